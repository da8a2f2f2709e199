"""Fits with SciPy the drifts of driftFit.input.json on causes, as src/analysis/corrections does. Prints one JSON document.

driftFit.json is written by `npm run scipy -- --write`.
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
from scipy import interpolate, optimize, stats

SIGN = {"compression": 1.0, "rebound": -1.0}


def ratio(needle, shift):
    curve = interpolate.PchipInterpolator(needle["positions"], np.log(np.abs(needle["damping"])))
    position = min(max(needle["set"] + shift, needle["positions"][0]), needle["positions"][-1])
    return float(np.exp(curve(position) - curve(needle["set"])))


def drift(point, causes, sizes, temperature):
    force, factor = 0.0, 1.0
    for cause, size in zip(causes, sizes):
        if cause["kind"] == "gas":
            force += size
        elif cause["kind"] == "friction":
            force += size * SIGN[point["side"]]
        elif cause["kind"] == "scale":
            factor *= 1 + size if cause["side"] == point["side"] else 1
        elif cause["kind"] == "temperature":
            factor *= 1 + temperature * size
        else:
            needle = point["needles"][cause["adjuster"]]
            factor *= 1 if needle is None else ratio(needle, size)
    return force + point["reference"] * (factor - 1)


def fit(points, causes, temperature):
    def residuals(sizes):
        return np.array([(p["drift"] - drift(p, causes, sizes, temperature)) / p["u"] for p in points])

    if not causes:
        return np.zeros(0), float(np.sum(residuals([]) ** 2)), None
    scale = [1.0 if c["kind"] in ("gas", "friction", "temperature") else 0.01 if c["kind"] == "scale" else 0.1 for c in causes]
    found = optimize.least_squares(residuals, np.zeros(len(causes)), jac="3-point", x_scale=scale, xtol=1e-15, ftol=1e-15, gtol=1e-15)
    return found.x, float(2 * found.cost), np.linalg.inv(found.jac.T @ found.jac)


def case(given):
    points, causes = given["points"], given["causes"]
    sizes, squares, covariance = fit(points, causes, given["temperature"])
    freedom = len(points) - len(causes)
    variance = max(1.0, squares / freedom)
    chances = []
    for k in range(len(causes)):
        _, without, _ = fit(points, causes[:k] + causes[k + 1 :], given["temperature"])
        chances.append(float(stats.f.sf((without - squares) / variance, 1, freedom)))
    return {
        "sizes": [float(size) for size in sizes],
        "residualSumOfSquares": squares,
        "standardUncertainties": [float(value) for value in np.sqrt(np.diag(covariance))],
        "chances": chances,
    }


def main():
    with open(os.path.join(FOLDER, "driftFit.input.json"), encoding="utf-8") as file:
        text = file.read().replace("\r\n", "\n")
    cases = [case(given) for given in json.loads(text)["cases"]]
    print(json.dumps({"scipy": scipy.__version__, "input": hashlib.sha256(text.encode()).hexdigest(), "cases": cases}, indent=1))


main()
