"""Lets gradient boosting learn one typist's encounters and compares it with the ideal observer on fresh ones.

Use: cargo run --release -p agogic-floor --example encounters -- TYPIST DEADLINE_MS | python3 boosting.py

Prints, on the fresh part: log loss and errors per 1000 of both, the paired difference (boosting less observer)
in units of its standard error, and the observer's loss after the two are mixed. Needs numpy and scikit-learn.
"""

import sys

import numpy as np
import sklearn
from sklearn.ensemble import HistGradientBoostingClassifier

data = np.genfromtxt(sys.stdin, delimiter=",", skip_header=1)
part, hold, odds, seen = data[:, 0], data[:, 1], data[:, 2], data[:, 3:]
# What follows from the times, so that the trees need not find it.
dwell, down, up = seen[:, 6], seen[:, 8], seen[:, 9]
derived = [
    np.where((dwell >= 0) & (down >= 0), dwell - down, -1),
    np.where((dwell >= 0) & (up >= 0), dwell - up, -1e4),
    np.where((up >= 0), up - down, -1),
    np.where((seen[:, 4] >= 0) & (dwell >= 0), seen[:, 4] - dwell, -1e4),
    np.where(seen[:, 1] >= 0, seen[:, 0] - seen[:, 1], -1e6),
]
table = np.column_stack([seen, *derived])
learn, fresh = part == 0, part == 1


def loss(p, y):
    p = np.clip(p, 1e-9, 1 - 1e-9)
    return -np.where(y > 0, np.log(p), np.log1p(-p))


def sigmoid(x):
    return 1 / (1 + np.exp(-x))


def trained(columns):
    model = HistGradientBoostingClassifier(
        max_leaf_nodes=31, learning_rate=0.06, max_iter=400, early_stopping=True, validation_fraction=0.15,
        n_iter_no_change=15, min_samples_leaf=30, l2_regularization=1.0, random_state=1,
    ).fit(columns[learn], hold[learn])
    return model.predict_proba(columns[fresh])[:, 1]


y = hold[fresh]
observer = sigmoid(odds[fresh])
print(f"scikit-learn {sklearn.__version__}, {learn.sum()} encounters to learn from, {fresh.sum()} fresh")


def compare(name, p):
    gap = loss(p, y) - loss(observer, y)
    wrong = ((p >= 0.5) != y).astype(float) - ((observer >= 0.5) != y)
    rows = [("log loss", gap), ("errors", wrong)]
    for what, d in rows:
        error = d.std(ddof=1) / np.sqrt(len(d))
        print(f"{name}: {what}, mean difference {1000 * d.mean():+.3f} per 1000, {d.mean() / error:+.1f} errors")


print(f"observer: log loss {1000 * loss(observer, y).mean():.3f}, "
      f"errors {1000 * ((observer >= 0.5) != y).mean():.3f} per 1000")
compare("boosting on what is seen", trained(table))
compare("boosting on that and the observer's odds", trained(np.column_stack([table, odds])))
