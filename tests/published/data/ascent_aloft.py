"""Flies the rockets of ascent_reference.py in winds that change with height, in space, and on to the ground without a parachute.

Written apart from the Rust program, from the conventions alone; writes ascent_aloft.csv beside this file. Run: python3 ascent_aloft.py
Axes: upwind of the pad, to the right of that as seen from above, and up. The wind blows along the first axis, against it; by heights in
straight lines. The rail leans to an azimuth clockwise from where the wind comes from; on it the air is that at the ground.
"""

import csv
import math
import pathlib

import numpy
import scipy
from scipy.integrate import solve_ivp
from scipy.optimize import brentq

from ascent_reference import G0, GAMMA, R, R0, ROCKETS, standard

# Height above the field in m, wind in m/s.
WINDS = {
    "grows": [(0.0, 3.0), (300.0, 6.0), (900.0, 9.0), (2500.0, 14.0)],
    "jet": [(0.0, 4.0), (120.0, 9.0), (400.0, 3.0), (1500.0, 1.0)],
}
LEANS = [(0.0, 0.0), (6.0, 0.0), (6.0, 75.0), (4.0, 200.0)]


def fly(r, lean, azimuth, profile):
    area = math.pi / 4 * r["diameter_m"] ** 2
    heights, speeds = [h for h, _ in profile], [s for _, s in profile]
    sine, cosine = math.sin(math.radians(lean)), math.cos(math.radians(lean))
    ahead, side = math.cos(math.radians(azimuth)), math.sin(math.radians(azimuth))
    points = r["thrust"] if r["thrust"][0][0] == 0.0 else [(0.0, 0.0)] + r["thrust"]
    times = [t for t, _ in points]
    delivered = [0.0]
    for (t0, f0), (t1, f1) in zip(points, points[1:]):
        delivered.append(delivered[-1] + 0.5 * (f0 + f1) * (t1 - t0))
    tables = {k: ([m for m, _ in r[k]], [c for _, c in r[k]]) for k in ("burning", "coasting")}
    peak = max(f for _, f in points)
    last = max(i for i, (_, f) in enumerate(points) if f >= 0.05 * peak)
    (t0, f0), (t1, f1) = points[last], points[last + 1]
    burnout = t0 + (t1 - t0) * (f0 - 0.05 * peak) / (f0 - f1)

    def motor(t, leg):
        if leg >= len(points) - 1:
            return 0.0, r["dry_kg"], "coasting"
        (t0, f0), (t1, f1) = points[leg], points[leg + 1]
        f = f0 + (f1 - f0) * (t - t0) / (t1 - t0)
        spent = delivered[leg] + 0.5 * (f0 + f) * (t - t0)
        return f, r["dry_kg"] + r["propellant_kg"] * (1.0 - spent / delivered[-1]), "burning"

    def acting(t, leg, z, u):
        f, m, table = motor(t, leg)
        temperature, p = standard(r["elevation_m"] + z)
        temperature += r["offset_K"]
        mach = u / math.sqrt(GAMMA * R * temperature)
        drag = 0.5 * p / (R * temperature) * u * u * numpy.interp(mach, *tables[table]) * area
        return f, m, drag, G0 * (R0 / (R0 + r["elevation_m"] + z)) ** 2

    def rail(t, y, leg):
        u = y[1] + speeds[0] * sine * ahead
        f, m, drag, g = acting(t, leg, y[0] * cosine, abs(u))
        return [y[1], (f - math.copysign(drag, u)) / m - g * cosine]

    def through(y):
        return numpy.array([y[3] + numpy.interp(y[2], heights, speeds), y[4], y[5]])

    def free(t, y, leg):
        velocity = through(y)
        u = float(numpy.linalg.norm(velocity))
        f, m, drag, g = acting(t, leg, y[2], u)
        ax, ay, az = (f - drag) / m * velocity / u
        return [y[3], y[4], y[5], ax, ay, az - g]

    # Kinks of the wind are small beside steps of this size.
    settings = dict(method="DOP853", rtol=1e-11, atol=1e-10, max_step=0.02)
    leg, t = 0, None
    while t is None:
        net = lambda x: rail(x, [0.0, 0.0], leg)[1]
        if net(times[leg]) > 0.0:
            t = times[leg]
        elif net(times[leg + 1]) > 0.0:
            t = brentq(net, times[leg], times[leg + 1], xtol=1e-14)
        else:
            leg += 1
    y, on_rail = [0.0, 0.0], True
    while True:
        end = times[leg + 1] if leg < len(points) - 1 else t + 200.0
        if on_rail:
            leaves = lambda x, s, leg: s[0] - r["travel_m"]
            leaves.terminal, leaves.direction = True, 1.0
            s = solve_ivp(rail, (t, end), y, args=(leg,), events=leaves, **settings)
        else:
            top = lambda x, s, leg: s[5]
            top.terminal, top.direction = True, -1.0
            s = solve_ivp(free, (t, end), y, args=(leg,), events=top, **settings)
        assert s.success
        t, y = s.t[-1], s.y[:, -1]
        if s.status == 1 and on_rail:
            pointing = numpy.array([sine * ahead, sine * side, cosine])
            y = [*(y[0] * pointing), *(y[1] * pointing)]
            on_rail = False
        elif s.status == 1:
            assert t > burnout
            break
        else:
            leg += 1
    out = dict(
        apogee_s=t, apogee_m=y[2], upwind_m=y[0], right_m=y[1], airspeed_m_s=float(numpy.linalg.norm(through(y)))
    )
    ground = lambda x, s, leg: s[2]
    ground.terminal, ground.direction = True, -1.0
    s = solve_ivp(free, (t, t + 500.0), y, args=(len(points),), events=ground, **settings)
    assert s.status == 1
    y = s.y[:, -1]
    out.update(
        struck_s=s.t[-1], struck_upwind_m=y[0], struck_right_m=y[1],
        struck_m_s=float(numpy.linalg.norm(through(y))),
    )
    return out


def main():
    rows = []
    for r in ROCKETS:
        for wind, profile in WINDS.items():
            for lean, azimuth in LEANS:
                row = {k: v for k, v in r.items() if k not in ("wind_m_s", "angle_deg", "name")}
                for k in ("thrust", "burning", "coasting"):
                    row[k] = ";".join(f"{a}:{b}" for a, b in r[k])
                out = {k: f"{v:.9g}" for k, v in fly(r, lean, azimuth, profile).items()}
                name = dict(rocket=r["name"], wind=wind, angle_deg=lean, azimuth_deg=azimuth, wind_m_s=0.0)
                by_heights = ";".join(f"{a}:{b}" for a, b in profile)
                source = f"SciPy {scipy.__version__} DOP853 rtol 1e-11"
                rows.append({**name, "winds": by_heights, **row, **out, "source": source})
    with open(pathlib.Path(__file__).with_suffix(".csv"), "w", newline="") as file:
        sheet = csv.DictWriter(file, rows[0].keys(), lineterminator="\n")
        sheet.writeheader()
        sheet.writerows(rows)


if __name__ == "__main__":
    main()
