"""Falls at the speed where drag carries the weight, integrated by SciPy, and writes descent_reference.csv beside this file.

Written apart from the Rust program, from the conventions alone: the density of the standard day's pressure at the temperature of the day,
v = sqrt(2 m g0 / (rho CdS)), time = integral of dz / v, drift = integral of w dz / v. Winds: steady; growing with the seventh root of
height above 10 m and steady below; by heights in straight lines, the outermost beyond. Run: python3 descent_reference.py
"""

import csv
import math
import pathlib

import numpy
import scipy
from scipy.integrate import quad, solve_ivp

from ascent_reference import G0, R, standard

# Mass kg, drag area m2, from m, to m, field m, warmer K, wind.
CASES = [
    (1.2, 0.55, 420.0, 0.0, 0.0, 0.0, "steady 4"),
    (9.0, 0.22, 1600.0, 180.0, 250.0, 18.0, "ground 6"),
    (9.0, 6.5, 180.0, 0.0, 250.0, 18.0, "ground 6"),
    (24.0, 0.9, 5100.0, 300.0, 1400.0, 25.0, "ground 8.5"),
    (24.0, 0.9, 5100.0, 0.0, 1400.0, -12.0, "list 0:4;300:9;1500:14;4000:21"),
    (3.0, 0.12, 9200.0, 0.0, 1200.0, 5.0, "list 0:3;1000:12;9000:30"),
    (6.0, 0.3, 14000.0, 0.0, 0.0, 0.0, "ground 5"),
]


def wind_of(words):
    kind, sizes = words.split(" ")
    if kind == "steady":
        return lambda z: float(sizes)
    if kind == "ground":
        return lambda z: float(sizes) * (max(z, 10.0) / 10.0) ** (1.0 / 7.0)
    points = [tuple(map(float, pair.split(":"))) for pair in sizes.split(";")]
    return lambda z: float(numpy.interp(z, [p[0] for p in points], [p[1] for p in points]))


def main():
    rows = []
    for mass, drag_area, top, bottom, field, warmer, words in CASES:
        wind = wind_of(words)

        def density(z):
            temperature, pressure = standard(field + z)
            return pressure / (R * (temperature + warmer))

        def rate(z):
            return math.sqrt(2.0 * mass * G0 / (density(z) * drag_area))

        kinks = [z for z in (10.0, 300.0, 1000.0, 1500.0, 4000.0, 9000.0, 11019.067 - field) if bottom < z < top]
        settings = dict(points=kinks, epsabs=0.0, epsrel=1e-12, limit=400)
        time = quad(lambda z: 1.0 / rate(z), bottom, top, **settings)[0]
        drift = quad(lambda z: wind(z) / rate(z), bottom, top, **settings)[0]
        # The same from rest by Newton's second law: what the steady speed leaves out.
        ground = lambda t, y: y[0] - bottom
        ground.terminal = True
        newton = solve_ivp(
            lambda t, y: [-y[1], G0 - 0.5 * density(y[0]) * y[1] ** 2 * drag_area / mass], (0.0, 1e4), [top, 0.0],
            method="DOP853", rtol=1e-10, atol=1e-9, events=ground,
        )
        rows.append(dict(
            mass_kg=mass, drag_area_m2=drag_area, from_m=top, to_m=bottom, field_m=field, warmer_K=warmer, wind=words,
            time_s=f"{time:.10g}", drift_m=f"{drift:.10g}", rate_at_end_m_s=f"{rate(bottom):.10g}",
            time_from_rest_s=f"{newton.t[-1]:.8g}", source=f"SciPy {scipy.__version__} quad epsrel 1e-12, DOP853 rtol 1e-10",
        ))
    with open(pathlib.Path(__file__).with_suffix(".csv"), "w", newline="") as file:
        sheet = csv.DictWriter(file, rows[0].keys(), lineterminator="\n")
        sheet.writeheader()
        sheet.writerows(rows)


if __name__ == "__main__":
    main()
