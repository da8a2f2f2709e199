"""Weighted fits of the smooth two-slope line and of a straight line by SciPy's optimiser; printed as JSON."""
import hashlib
import json
import os

import numpy as np
import scipy
from scipy import optimize, stats

FOLDER = os.path.dirname(os.path.abspath(__file__))
SOFTNESS = [0.02, 0.15, 0.3]


def model(p, v, softness):
    at_zero, low, bend, knee = p
    s = softness * knee
    return at_zero + low * v + bend * s * np.logaddexp(0, (v - knee) / s)


def best_line(v, f, root):
    """Best of many starts: the sum of squares has more than one dip over the knee."""
    first, last = v[1], v[-2]
    best = None
    for softness in SOFTNESS:
        for start in np.geomspace(first * 1.02, last * 0.98, 24):
            design = np.column_stack([np.ones_like(v), v, model((0, 0, 1, start), v, softness)])
            guess = np.linalg.lstsq(design * root[:, None], f * root, rcond=None)[0]
            found = optimize.least_squares(
                lambda p: root * (f - model(p, v, softness)),
                [*guess, start],
                bounds=([-np.inf, -np.inf, -np.inf, first], [np.inf, np.inf, np.inf, last]),
                x_scale=[100, 1000, 1000, 0.1],
                xtol=1e-15,
                ftol=1e-15,
                gtol=1e-15,
                jac="3-point",
                max_nfev=400,
            )
            if best is None or 2 * found.cost < best["residualSumOfSquares"]:
                best = {"softness": softness, "p": found.x, "residualSumOfSquares": 2 * found.cost}
    return best


def uncertainties(best, v, root):
    """Of at_zero, low, bend and knee, by central differences of the model about its solution."""
    p, softness = best["p"], best["softness"]
    steps = 1e-6 * np.maximum(np.abs(p), 1e-3)
    columns = []
    for i, step in enumerate(steps):
        up, down = p.copy(), p.copy()
        up[i] += step
        down[i] -= step
        columns.append(root * (model(up, v, softness) - model(down, v, softness)) / (2 * step))
    jacobian = np.column_stack(columns)
    covariance = np.linalg.inv(jacobian.T @ jacobian) * best["residualSumOfSquares"] / (len(v) - 4)
    to_high = np.array([0, 1, 1, 0])
    to_ratio = np.array([0, -p[2] / p[1] ** 2, 1 / p[1], 0])
    return {
        "atZero": float(np.sqrt(covariance[0, 0])),
        "low": float(np.sqrt(covariance[1, 1])),
        "knee": float(np.sqrt(covariance[3, 3])),
        "high": float(np.sqrt(to_high @ covariance @ to_high)),
        "ratio": float(np.sqrt(to_ratio @ covariance @ to_ratio)),
    }


def shape(curve):
    v, f = np.array(curve["speeds"]), np.array(curve["forces"])
    root = 1 / np.maximum(np.abs(f), 20)
    best = best_line(v, f, root)
    design = np.column_stack([np.ones_like(v), v])
    line = np.linalg.lstsq(design * root[:, None], f * root, rcond=None)[0]
    straight = float(np.sum((root * (f - design @ line)) ** 2))
    squares = float(best["residualSumOfSquares"])
    freedom = len(v) - 4
    at_zero, low, bend, knee = (float(value) for value in best["p"])
    return {
        "softness": best["softness"],
        "atZero": at_zero,
        "low": low,
        "high": low + bend,
        "knee": knee,
        "residualSumOfSquares": squares,
        "u": uncertainties(best, v, root),
        "straightResidualSumOfSquares": straight,
        "pValue": float(stats.f.sf((straight - squares) / 2 / (squares / freedom), 2, freedom)),
        "exponent": float(stats.linregress(np.log(v), np.log(f)).slope),
        "exponentU": float(stats.t.ppf(0.975, len(v) - 2) * stats.linregress(np.log(v), np.log(f)).stderr),
    }


def rounded(value):
    """Optimisers of other processors stop elsewhere in the last digits: six significant ones are stable."""
    if isinstance(value, dict):
        return {key: rounded(item) for key, item in value.items()}
    return float(f"{value:.6g}")


def main():
    with open(os.path.join(FOLDER, "shapeFits.input.json"), encoding="utf-8") as file:
        text = file.read().replace("\r\n", "\n")
    result = {
        "scipy": scipy.__version__,
        "input": hashlib.sha256(text.encode()).hexdigest(),
        "curves": [rounded(shape(curve)) for curve in json.loads(text)["curves"]],
    }
    print(json.dumps(result, indent=1))


main()
