"""The distribution of true rates fitted by another implementation: NumPy for the model, SciPy's BFGS for the maximum, and
differenced second derivatives for the errors. Prints what crates/agogic-stats/src/rate_distribution/tests.rs pins.

    python3 tests/reference/rate_distribution.py
"""

import numpy as np
from scipy.optimize import brentq, minimize
from scipy.special import expit, logit

i = np.arange(80)
n = 40 + (37 * i) % 60
x = (i * i) % 7 * (i % 3)

m = 60
t = np.linspace(logit(0.05 / n.max()), logit(((x + 3) / (n + 4)).max()) + 0.5, m)
z = np.linspace(-1, 1, m)
knots = np.linspace(-1, 1, 6)


def cut(k):
    cube = lambda u: np.clip(u, 0, None) ** 3
    return (cube(z - knots[k]) - cube(z - knots[5])) / (knots[5] - knots[k])


columns = np.column_stack([np.ones(m), z, z * z] + [cut(k) - cut(4) for k in range(4)])
shapes = np.linalg.qr(columns)[0][:, 1:]
ridge = np.array([1 / 100**2] * 2 + [1 / m] * 4)
likelihood = np.exp(x[:, None] * t - n[:, None] * np.log1p(np.exp(t)))
likelihood /= likelihood.max(axis=1, keepdims=True)


def mass(a):
    g = np.exp(shapes @ a - (shapes @ a).max())
    return g / g.sum()


def loss(a):
    return -np.log(likelihood @ mass(a)).sum() + 0.5 * (ridge * a * a).sum()


best = np.zeros(6)
for _ in range(5):
    best = minimize(loss, best, method="BFGS", options={"gtol": 1e-9}).x


def hessian(f, a, h=1e-3):
    e = np.eye(6) * h
    return np.array(
        [[(f(a + p + q) - f(a + p - q) - f(a - p + q) + f(a - p - q)) / (4 * h * h) for q in e] for p in e]
    )


covariance = np.linalg.inv(hessian(loss, best))
half = (t[1] - t[0]) / 2


def share(s, a=best):
    return np.clip((s - (t - half)) / (2 * half), 0, 1) @ mass(a)


def error(s):
    slope = np.array([(share(s, best + e) - share(s, best - e)) / 2e-5 for e in np.eye(6) * 1e-5])
    return np.sqrt(slope @ covariance @ slope)


for limit in (0.02, 0.05, 0.1):
    print("share at most", limit, share(logit(limit)), error(logit(limit)))
for p in (0.5, 0.9):
    print("quantile", p, expit(brentq(lambda s: share(s) - p, t[0], t[-1])))
