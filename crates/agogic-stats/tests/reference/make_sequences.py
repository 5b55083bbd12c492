"""Writes sequences.json: confidence sequences computed with mpmath in 40 digits.

    python3 -m venv venv
    venv/bin/pip install mpmath
    venv/bin/python crates/agogic-stats/tests/reference/make_sequences.py

The mixture boundary is written as in Howard, Ramdas, McAuliffe & Sekhon (2021), equation 14: with intrinsic time v and
r = m/(-2 ln a + ln(1 - 2 ln a)), it is sqrt((v + r) ln((v + r)/(a^2 r))). The limits for a ratio are found by bisection
on the capital of the two bets. Nothing here is random.
"""

import importlib.metadata
import json
import pathlib

from mpmath import log, mp, mpf, sqrt

mp.dps = 40


def mixture(n, tuned_for, alpha):
    spent = -2 * log(mpf(alpha))
    r = mpf(tuned_for) / (spent + log(1 + spent))
    return sqrt((n + r) * log((n + r) / (mpf(alpha) ** 2 * r))) / n


def bets(pairs, cap, alpha):
    """Each cluster's bet, from the clusters before it."""
    sum_y = sum_x = squares = mpf(0)
    found = []
    for k, (y, x) in enumerate(pairs, start=1):
        y, x = mpf(y) / cap, mpf(x) / cap
        scale = (mpf("0.5") + abs(sum_y)) / k
        variance = (scale / 4 + squares) / k
        found.append(sqrt(2 * log(2 / mpf(alpha)) / (variance * k * log(mpf(k + 1)))))
        sum_y, sum_x = sum_y + y, sum_x + x
        squares += (y - (sum_y / sum_x if sum_x else 0) * x) ** 2
    return found


def limits(pairs, cap, alpha, least):
    bet = bets(pairs, cap, alpha)
    data = [(mpf(y) / cap, mpf(x) / cap, b) for (y, x), b in zip(pairs, bet)]

    def capital(r, sign, most):
        product = mpf(1)
        for y, x, b in data:
            product *= 1 + sign * min(b, most) * (y - r * x)
        return product / 2

    def below(r):
        return capital(r, 1, mpf("0.5") / (r - least)) > 1 / mpf(alpha)

    def above(r):
        return capital(r, -1, mpf("0.5") / (1 - r)) > 1 / mpf(alpha)

    def root(excluded, out, inside):
        for _ in range(100):
            middle = (out + inside) / 2
            if excluded(middle):
                out = middle
            else:
                inside = middle
        return out

    return [float(root(below, mpf(least), mpf(1))), float(root(above, mpf(1), mpf(least)))]


PROPORTION = [[(7 * i) % 5 + (i % 3), 60 + (11 * i) % 30] for i in range(150)]
DIFFERENCE = [[(7 * i) % 9 - 3, 60 + (11 * i) % 30] for i in range(150)]
radii = [
    {"n": n, "tuned_for": m, "alpha": a, "radius": float(mixture(n, m, a))}
    for n, m, a in ((1, 100, 0.05), (100, 100, 0.05), (5000, 100, 0.05), (100, 100, 0.01), (30, 400, 0.1))
]
ratios = [
    {"kind": "proportion", "pairs": PROPORTION, "cap": 100, "alpha": 0.05, "limits": limits(PROPORTION, 100, 0.05, 0)},
    {"kind": "difference", "pairs": DIFFERENCE, "cap": 100, "alpha": 0.05, "limits": limits(DIFFERENCE, 100, 0.05, -1)},
]
found = {"versions": {"mpmath": importlib.metadata.version("mpmath")}, "mixture": radii, "ratios": ratios}
pathlib.Path(__file__).with_name("sequences.json").write_text(json.dumps(found) + "\n")
