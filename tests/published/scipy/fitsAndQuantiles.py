"""Recomputes with SciPy what src/analysis/statistics computes, from fitsAndQuantiles.input.json beside it. Prints one JSON document.

fitsAndQuantiles.json is written by `npm run scipy -- --write`.
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
from scipy import interpolate, signal, stats


def plain(value):
    if isinstance(value, (list, tuple, np.ndarray)):
        return [plain(entry) for entry in value]
    return float(value)


def pchip(case):
    curve = interpolate.PchipInterpolator(case["x"], case["y"])
    return {"values": plain(curve(case["at"])), "slopes": plain(curve.derivative()(case["at"]))}


def savitzky_golay(case, series):
    return plain(signal.savgol_filter(series, case["window"], case["order"], deriv=case["derivative"], delta=case["delta"]))


def least_squares(case):
    design = np.array(case["design"])
    observed = np.array(case["observed"])
    root = np.sqrt(np.array(case["weights"]))
    scaled = design * root[:, None]
    coefficients, _, _, _ = np.linalg.lstsq(scaled, observed * root, rcond=None)
    residuals = observed - design @ coefficients
    freedom = np.count_nonzero(root) - design.shape[1]
    squares = float(np.sum((root * residuals) ** 2))
    inverse = np.linalg.pinv(scaled)
    return {
        "coefficients": plain(coefficients),
        "residualSumOfSquares": plain(squares),
        "covariance": plain(inverse @ inverse.T * squares / freedom),
    }


def student_quantile(p, df):
    """SciPy 1.10's own t.ppf is off by up to 2e-9; two Newton steps on its cdf, in the lower tail, bring it to the last digits."""
    if p == 0.5:
        return 0.0
    tail = min(p, 1 - p)
    value = stats.t.ppf(tail, df)
    for _ in range(2):
        value -= (stats.t.cdf(value, df) - tail) / stats.t.pdf(value, df)
    return float(value if p < 0.5 else -value)


def distributions(case):
    p = case["probabilities"]
    return {
        "normal": plain(stats.norm.ppf(p)),
        "student": [[student_quantile(q, df) for q in p] for df in case["freedoms"]],
        "studentCdf": [plain(stats.t.cdf(case["at"], df)) for df in case["freedoms"]],
        "chiSquare": [plain(stats.chi2.ppf(p, df)) for df in case["freedoms"]],
        "f": [plain(stats.f.ppf(p, n, d)) for n, d in case["pairs"]],
        "fCdf": [plain(stats.f.cdf(np.abs(case["at"]), n, d)) for n, d in case["pairs"]],
    }


def main():
    with open(os.path.join(FOLDER, "fitsAndQuantiles.input.json"), encoding="utf-8") as file:
        text = file.read().replace("\r\n", "\n")
    given = json.loads(text)
    series = given["series"]
    result = {
        "scipy": scipy.__version__,
        "input": hashlib.sha256(text.encode()).hexdigest(),
        "pchip": [pchip(case) for case in given["pchip"]],
        "savitzkyGolay": [savitzky_golay(case, series) for case in given["savitzkyGolay"]],
        "leastSquares": [least_squares(case) for case in given["leastSquares"]],
        "distributions": distributions(given["distributions"]),
        "quantiles": plain(np.quantile(series, given["shares"])),
        "slopes": [plain(stats.linregress(np.arange(len(y)), y).pvalue) for y in given["slopes"]],
    }
    print(json.dumps(result, indent=1))


main()
