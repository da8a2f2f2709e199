"""Fits SciPy and NumPy to the sweeps of adjusterFits.input.json as src/analysis/adjusters does. Prints one JSON document.

adjusterFits.json is written by `npm run scipy -- --write`.
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
from scipy import optimize, stats


def digits(value, n=9):
    """Optimisers end within their own tolerance; what is compared are these digits."""
    if isinstance(value, (list, tuple, np.ndarray)):
        return [digits(entry, n) for entry in value]
    return float(f"{float(value):.{n}g}")


def levels(positions, damping, u):
    """Effect by linear regression at each speed, levels by least squares on the effect alone."""
    value = np.log(damping)
    effect = np.array([-stats.linregress(positions, value[:, k]).slope for k in range(value.shape[1])])
    weight = np.maximum(effect, 0)
    centred = value - value.mean(axis=0)
    level = [-np.linalg.lstsq(weight[:, None], row, rcond=None)[0][0] for row in centred]
    pseudo = np.linalg.pinv(weight[:, None])[0]
    level_u = [np.sqrt(np.sum((pseudo * row) ** 2)) for row in u / damping]
    return effect, np.array(level), np.array(level_u)


def change_points(positions, level):
    """Sum of squares of level = a + b min(position, m) for every m from the fourth on."""
    sums = []
    for m in positions[3:]:
        design = np.column_stack([np.ones(len(positions)), np.minimum(positions, m)])
        _, residual, _, _ = np.linalg.lstsq(design, level, rcond=None)
        sums.append(residual[0])
    return sums


def half_effect(speeds, effect, low):
    """Best edge over speed and steepness together, by bounded optimisation from several starts."""
    def misfit(p):
        share = 1 / (1 + (speeds / np.exp(p[0])) ** p[1])
        share = share if low else 1 - share
        amplitude = share @ effect / (share @ share)
        return np.sum((effect - amplitude * share) ** 2)

    best = None
    for start in (0.2, 0.4, 0.7):
        for steep in (3.0, 5.0):
            found = optimize.minimize(misfit, [np.log(start), steep], method="L-BFGS-B",
                                      bounds=[(np.log(speeds[0]), np.log(speeds[-1])), (2, 8)])
            if best is None or found.fun < best.fun:
                best = found
    return float(np.exp(best.x[0])), float(best.fun)


def main():
    with open(os.path.join(FOLDER, "adjusterFits.input.json"), encoding="utf-8") as file:
        text = file.read().replace("\r\n", "\n")
    given = json.loads(text)
    sweeps = []
    for case in given["sweeps"]:
        positions, speeds = np.array(case["positions"], dtype=float), np.array(case["speeds"])
        damping, u = np.array(case["damping"]), np.array(case["u"])
        effect, level, level_u = levels(positions, damping, u)
        half, misfit = half_effect(speeds, effect, case["low"])
        sweeps.append({
            "effect": digits(effect), "level": digits(level), "levelU": digits(level_u),
            "changePoints": digits(change_points(positions, level)),
            "halfEffect": digits(half, 4),
        })
    matrices = []
    for columns in given["matrices"]:
        matrix = np.array(columns).T
        matrices.append(digits(np.linalg.cond(matrix / np.linalg.norm(matrix, axis=0))))
    print(json.dumps({
        "scipy": scipy.__version__,
        "input": hashlib.sha256(text.encode()).hexdigest(),
        "sweeps": sweeps, "conditions": matrices,
        "chiSquare99": digits([stats.chi2.ppf(0.99, n) for n in (1, 8, 15)]),
    }, indent=1))


main()
