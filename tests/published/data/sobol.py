"""Writes sobol.csv and percentiles.csv beside this file: points of SciPy's Sobol sequence, percentiles of NumPy.

Run: python3 sobol.py, with SciPy installed. The points are those of scipy.stats.qmc.Sobol without scrambling, with 32 bits, so that every
coordinate is a whole number of 2^-32.
"""

import csv
import pathlib

import numpy
import scipy
from scipy.stats import qmc

DIMENSIONS = 400
SHOWN = [1, 2, 3, 4, 7, 12, 40, 100, 213, 399, 400]
NUMBERS = [*range(17), 63, 64, 100, 511, 512, 777, 1000, 1023]

here = pathlib.Path(__file__).parent
points = qmc.Sobol(DIMENSIONS, scramble=False, bits=32).random(1024)
source = f"scipy.stats.qmc.Sobol, scramble=False, bits=32, SciPy {scipy.__version__}"
with open(here / "sobol.csv", "w", newline="") as file:
    out = csv.writer(file, lineterminator="\n")
    out.writerow(["number", "dimension", "coordinate", "source"])
    for number in NUMBERS:
        for dimension in SHOWN:
            out.writerow([number, dimension, int(points[number, dimension - 1] * 2**32), source])

samples = [round(float(x), 6) for x in numpy.random.default_rng(7).gamma(2.0, 3.0, 37)]
source = f"numpy.percentile, method linear, NumPy {numpy.__version__}"
with open(here / "percentiles.csv", "w", newline="") as file:
    out = csv.writer(file, lineterminator="\n")
    out.writerow(["samples", "percent", "value", "source"])
    for percent in (0, 5, 12.5, 50, 95, 100):
        text = " ".join(str(x) for x in samples)
        out.writerow([text, percent, repr(float(numpy.percentile(samples, percent))), source])
