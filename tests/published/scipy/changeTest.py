"""Recomputes with NumPy and SciPy what src/analysis/significance computes, from changeTest.input.json beside it. Prints one JSON document.

changeTest.json is written by `npm run scipy -- --write`.
"""
import hashlib
import json
import os
import sys

# Beside this script stands a file with the name of a standard module; the folder must not shadow it.
FOLDER = os.path.dirname(os.path.abspath(__file__))
sys.path = [entry for entry in sys.path if os.path.abspath(entry or os.curdir) != FOLDER]

import numpy as np
import scipy
from scipy import stats

LEVEL = 0.05


def pooled(units):
    """Covariance pooled over units, each with its own mean, and its degrees of freedom."""
    df = sum(len(unit) - 1 for unit in units)
    return sum(np.cov(np.array(unit).T) * (len(unit) - 1) for unit in units) / df, df


def squared_distance(difference, covariance):
    return float(np.array(difference) @ np.linalg.solve(2 * covariance, np.array(difference)))


def change(case):
    covariance, df = pooled(case["units"])
    t_squared = squared_distance(case["difference"], covariance)
    f = t_squared * (df - 1) / (2 * df)
    critical = stats.f.isf(LEVEL, 2, df - 1)
    powers = [
        float(stats.ncf.sf(critical, 2, df - 1, squared_distance([c, c], covariance) * stats.chi2.ppf(0.5, df - 1) / df))
        for c in (0.01, 0.02, 0.05)
    ]
    return {
        "covariance": covariance.tolist(),
        "degreesOfFreedom": df,
        "tSquared": t_squared,
        "f": f,
        "pValue": float(stats.f.sf(f, 2, df - 1)),
        "power": powers,
    }


def main():
    with open(os.path.join(FOLDER, "changeTest.input.json"), encoding="utf-8") as file:
        text = file.read().replace("\r\n", "\n")
    given = json.loads(text)
    result = {
        "scipy": scipy.__version__,
        "input": hashlib.sha256(text.encode()).hexdigest(),
        "changes": [change(case) for case in given["changes"]],
        "noncentralF": [float(stats.ncf.cdf(*case)) for case in given["noncentralF"]],
    }
    print(json.dumps(result, indent=1))


main()
