"""Flies three invented rockets with SciPy's DOP853 and writes ascent_reference.csv beside this file.

Written apart from the Rust program, from the conventions alone; every constant is its own. Run: python3 ascent_reference.py
Conventions: point mass in a vertical plane; U.S. Standard Atmosphere 1976 by geometric altitude with one temperature offset at every
height; gravity g0 (r0 / (r0 + Z))^2; thrust in straight lines between points; burnout when the thrust falls below 5 % of its peak for the
last time, what is left of the curve pushing on; propellant by impulse delivered; held until the thrust exceeds the weight along the rail; on the rail drag by the air along the rail; off it thrust and drag along the velocity through the air.
A positive wind blows against the lean of the rail.
"""

import csv
import math
import pathlib

import numpy
import scipy
from scipy.integrate import solve_ivp
from scipy.optimize import brentq

G0 = 9.80665
R0 = 6356766.0
R = 8314.32 / 28.9644
GAMMA = 1.4


def standard(z):
    """Temperature and pressure of the standard day at geometric altitude z."""
    h = R0 * z / (R0 + z)
    if h <= 11000.0:
        t = 288.15 - 0.0065 * h
        return t, 101325.0 * (t / 288.15) ** (G0 / (R * 0.0065))
    p11 = 101325.0 * (216.65 / 288.15) ** (G0 / (R * 0.0065))
    if h <= 20000.0:
        return 216.65, p11 * math.exp(-G0 * (h - 11000.0) / (R * 216.65))
    raise ValueError("too high for these rockets")


ROCKETS = [
    dict(
        name="wren", dry_kg=1.10, propellant_kg=0.125, diameter_m=0.054, travel_m=1.05, lower_m=1.35, angle_deg=0.0,
        elevation_m=0.0, offset_K=0.0, wind_m_s=4.0,
        thrust=[(0.0, 0.0), (0.04, 190.0), (0.3, 205.0), (0.9, 185.0), (1.2, 120.0), (1.35, 20.0), (1.4, 0.0)],
        burning=[(0.0, 0.55)], coasting=[(0.0, 0.55)],
    ),
    dict(
        name="bittern", dry_kg=9.6, propellant_kg=1.30, diameter_m=0.1022, travel_m=2.1, lower_m=2.7, angle_deg=5.0,
        elevation_m=1250.0, offset_K=14.0, wind_m_s=6.0,
        thrust=[(0.02, 350.0), (0.1, 900.0), (0.6, 1010.0), (1.5, 980.0), (2.2, 760.0), (2.6, 510.0), (2.85, 60.0),
                (2.95, 0.0)],
        burning=[(0.0, 0.43)], coasting=[(0.0, 0.49)],
    ),
    dict(
        name="gannet", dry_kg=3.3, propellant_kg=1.45, diameter_m=0.0787, travel_m=2.4, lower_m=2.9, angle_deg=3.0,
        elevation_m=310.0, offset_K=-9.0, wind_m_s=5.0,
        # Rises slowly enough at first that the rocket is held for a moment.
        thrust=[(0.0, 0.0), (0.15, 30.0), (0.3, 1150.0), (1.0, 1240.0), (1.8, 1130.0), (2.3, 820.0), (2.6, 90.0),
                (2.7, 0.0)],
        burning=[(0.0, 0.40), (0.6, 0.385), (0.8, 0.40), (0.95, 0.50), (1.05, 0.60), (1.2, 0.58), (1.6, 0.50),
                 (2.5, 0.40)],
        coasting=[(0.0, 0.47), (0.6, 0.455), (0.8, 0.47), (0.95, 0.58), (1.05, 0.69), (1.2, 0.67), (1.6, 0.575),
                  (2.5, 0.46)],
    ),
]


def fly(r, wind):
    area = math.pi / 4 * r["diameter_m"] ** 2
    sine, cosine = math.sin(math.radians(r["angle_deg"])), math.cos(math.radians(r["angle_deg"]))
    points = r["thrust"] if r["thrust"][0][0] == 0.0 else [(0.0, 0.0)] + r["thrust"]
    peak = max(f for _, f in points)
    last = max(i for i, (_, f) in enumerate(points) if f >= 0.05 * peak)
    (t0, f0), (t1, f1) = points[last], points[last + 1]
    points = points[: last + 1] + [(t0 + (t1 - t0) * (f0 - 0.05 * peak) / (f0 - f1), 0.05 * peak)] + points[last + 1 :]
    burnt = last + 1
    times = [p[0] for p in points]
    delivered = [0.0]
    for (t0, f0), (t1, f1) in zip(points, points[1:]):
        delivered.append(delivered[-1] + 0.5 * (f0 + f1) * (t1 - t0))
    tables = {k: ([m for m, _ in r[k]], [c for _, c in r[k]]) for k in ("burning", "coasting")}

    def motor(t, leg):
        if leg >= len(points) - 1:
            return 0.0, r["dry_kg"]
        (t0, f0), (t1, f1) = points[leg], points[leg + 1]
        f = f0 + (f1 - f0) * (t - t0) / (t1 - t0)
        spent = delivered[leg] + 0.5 * (f0 + f) * (t - t0)
        return f, r["dry_kg"] + r["propellant_kg"] * (1.0 - spent / delivered[-1])

    def around(leg, z, u):
        """Drag, Mach number and dynamic pressure at height z above the site and airspeed u; gravity there."""
        altitude = r["elevation_m"] + z
        t, p = standard(altitude)
        t += r["offset_K"]
        mach = u / math.sqrt(GAMMA * R * t)
        q = 0.5 * p / (R * t) * u * u
        cd = numpy.interp(mach, *tables["burning" if leg < len(points) - 1 else "coasting"])
        return q * cd * area, mach, q, G0 * (R0 / (R0 + altitude)) ** 2

    def rail(t, y, leg):
        f, m = motor(t, leg)
        u = y[1] + wind * sine
        drag, _, _, g = around(leg, y[0] * cosine, abs(u))
        return [y[1], (f - math.copysign(drag, u)) / m - g * cosine]

    def free(t, y, leg):
        f, m = motor(t, leg)
        ux, uz = y[2] + wind, y[3]
        u = math.hypot(ux, uz)
        drag, _, _, g = around(leg, y[1], u)
        return [y[2], y[3], (f - drag) / m * ux / u, (f - drag) / m * uz / u - g]

    def observe(t, y, leg, on_rail):
        f, m = motor(t, leg)
        if on_rail:
            u, a = abs(y[1] + wind * sine), abs(rail(t, y, leg)[1])
            speed, z = y[1], y[0] * cosine
        else:
            u = math.hypot(y[2] + wind, y[3])
            d = free(t, y, leg)
            a, speed, z = math.hypot(d[2], d[3]), math.hypot(y[2], y[3]), y[1]
        drag, mach, q, _ = around(leg, z, u)
        return speed, mach, q, a, abs(f - drag) / m

    settings = dict(method="DOP853", rtol=1e-10, atol=1e-10, dense_output=True)
    # Held until the thrust exceeds the weight along the rail (and the little that the wind along it does).
    leg, t = 0, None
    while t is None:
        t0, t1 = times[leg], times[leg + 1]
        net = lambda x: rail(x, [0.0, 0.0], leg)[1]
        if net(t0) > 0.0:
            t = t0
        elif net(t1) > 0.0:
            t = brentq(net, t0, t1, xtol=1e-14)
        else:
            leg += 1
    out = dict(rocket=r["name"], wind=wind, liftoff_s=t)
    peaks = {True: numpy.zeros(5), False: numpy.zeros(5)}

    def watch(solution, start, end, leg, on_rail):
        burning = leg < burnt
        for x in numpy.linspace(start, end, 4001 if burning else 20001):
            peaks[burning] = numpy.maximum(peaks[burning], observe(x, solution.sol(x), leg, on_rail))

    y, on_rail = [0.0, 0.0], True
    while True:
        end = times[leg + 1] if leg < len(points) - 1 else t + 200.0
        if on_rail:
            leaves = lambda x, s, leg: s[0] - r["travel_m"]
            leaves.terminal, leaves.direction = True, 1.0
            s = solve_ivp(rail, (t, end), y, args=(leg,), events=leaves, **settings)
        else:
            top = lambda x, s, leg: s[3]
            top.terminal, top.direction = True, -1.0
            low = lambda x, s, leg: s[0] * sine + s[1] * cosine - r["lower_m"]
            low.direction = 1.0
            s = solve_ivp(free, (t, end), y, args=(leg,), events=(top, low), **settings)
            if len(s.t_events[1]):
                out["lower_speed_m_s"] = math.hypot(*s.y_events[1][0][2:])
        assert s.success
        watch(s, t, s.t[-1], leg, on_rail)
        t, y = s.t[-1], s.y[:, -1]
        if s.status == 1 and on_rail:
            f, m = motor(t, leg)
            out.update(exit_s=t, exit_speed_m_s=y[1], exit_thrust_to_weight=f / (m * G0))
            y = [y[0] * sine, y[0] * cosine, y[1] * sine, y[1] * cosine]
            on_rail = False
        elif s.status == 1:
            out.update(apogee_s=t, apogee_m=y[1], drift_m=y[0])
            break
        else:
            leg += 1
            if leg == burnt:
                out.update(burnout_s=t, burnout_m=y[1], burnout_speed_m_s=math.hypot(y[2], y[3]))
    whole = numpy.maximum(peaks[True], peaks[False])
    out.update(top_speed_m_s=whole[0], top_mach=whole[1], peak_pressure_Pa=whole[2], peak_acceleration_m_s2=peaks[True][3],
               peak_felt_m_s2=peaks[True][4], peak_deceleration_m_s2=peaks[False][3],
               peak_felt_deceleration_m_s2=peaks[False][4])
    return out


def main():
    rows = []
    for r in ROCKETS:
        for wind in (0.0, r["wind_m_s"], -r["wind_m_s"]):
            row = {k: v for k, v in r.items() if k not in ("name", "wind_m_s")}
            for k in ("thrust", "burning", "coasting"):
                row[k] = ";".join(f"{a}:{b}" for a, b in r[k])
            out = fly(r, wind)
            name = dict(rocket=out.pop("rocket"), wind_m_s=out.pop("wind"))
            figures = {k: f"{v:.9g}" for k, v in out.items()}
            rows.append({**name, **row, **figures, "source": f"SciPy {scipy.__version__} DOP853 rtol 1e-10"})
    with open(pathlib.Path(__file__).with_suffix(".csv"), "w", newline="") as file:
        sheet = csv.DictWriter(file, rows[0].keys(), lineterminator="\n")
        sheet.writeheader()
        sheet.writerows(rows)


if __name__ == "__main__":
    main()
