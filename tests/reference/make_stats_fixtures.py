"""Writes stats.json: statistics computed by SciPy, statsmodels and NumPy.

Run in a virtual environment that holds only what is imported here:

    python3 -m venv venv
    venv/bin/pip install numpy scipy statsmodels
    venv/bin/python tests/reference/make_stats_fixtures.py

The versions used are written into the file. Nothing here is random.
"""

import itertools
import json
import math
import pathlib
import platform

import numpy as np
import scipy
import statsmodels
import statsmodels.api as sm
from scipy import optimize, special, stats
from statsmodels.stats.contingency_tables import mcnemar
from statsmodels.stats.proportion import confint_proportions_2indep, proportion_confint

FOLDER = pathlib.Path(__file__).parent

# Weil (1970), rats of 16 litters, pups alive after 21 days of those after 4.
CONTROL = [(13, 13), (12, 12), (9, 9), (9, 9), (8, 8), (8, 8), (12, 13), (11, 12),
           (9, 10), (9, 10), (8, 9), (11, 13), (4, 5), (5, 7), (7, 10), (7, 10)]
TREATED = [(12, 12), (11, 11), (10, 10), (9, 9), (10, 11), (9, 10), (9, 10), (8, 9),
           (8, 9), (4, 5), (7, 9), (4, 7), (5, 10), (3, 6), (3, 10), (0, 7)]
SMALL = [(1, 10), (0, 7), (4, 12), (2, 9), (5, 8)]


def tail_root(f):
    """Root of f over the logit of p."""
    u = optimize.brentq(lambda u: f(special.expit(u)), -40, 40, xtol=1e-14)
    return special.expit(u)


def log(p):
    """Logarithm for root finding, where a tail may underflow to 0."""
    return math.log(max(p, 5e-324))


def mid_p(x, n, alpha):
    lo = 0.0 if x == 0 else tail_root(
        lambda p: log(stats.binom.sf(x, n, p) + 0.5 * stats.binom.pmf(x, n, p)) - log(alpha / 2))
    hi = 1.0 if x == n else tail_root(
        lambda p: log(alpha / 2) - log(stats.binom.cdf(x - 1, n, p) + 0.5 * stats.binom.pmf(x, n, p)))
    return [lo, hi]


def likelihood(x, n, alpha):
    crit = stats.chi2.isf(alpha, 1)

    def deviance(p):
        top = special.xlogy(x, x / n) + special.xlogy(n - x, 1 - x / n)
        return 2 * (top - special.xlogy(x, p) - special.xlog1py(n - x, -p)) - crit

    def side(a, b):
        u = optimize.brentq(lambda u: deviance(special.expit(u)), a, b, xtol=1e-14)
        return special.expit(u)

    peak = special.logit(x / n) if 0 < x < n else None
    if x == 0:
        return [0.0, side(-40, 40)]
    if x == n:
        return [side(-40, 35), 1.0]
    return [side(-40, peak), side(peak, 40)]


def binomial():
    rows = []
    for x, n in [(0, 1), (1, 1), (0, 20), (1, 29), (15, 148), (81, 263), (263, 263), (500, 1000), (2, 3000),
                 (2999, 3000), (7, 100000)]:
        for level in [0.9, 0.95, 0.999]:
            alpha = 1 - level
            row = {"x": x, "n": n, "level": level}
            for name, method in [("wilson", "wilson"), ("clopper_pearson", "beta")]:
                row[name] = [float(v) for v in proportion_confint(x, n, alpha, method)]
            beta = stats.beta(x + 0.5, n - x + 0.5)
            row["jeffreys"] = [float(beta.ppf(alpha / 2)), float(beta.isf(alpha / 2))]
            row["mid_p"] = [float(v) for v in mid_p(x, n, alpha)]
            row["likelihood"] = [float(v) for v in likelihood(x, n, alpha)]
            # statsmodels cuts the Wald interval at 0 and 1; the published one is not cut.
            half = stats.norm.isf(alpha / 2) * math.sqrt(x / n * (1 - x / n) / n)
            row["wald"] = [x / n - half, x / n + half]
            rows.append(row)
    return rows


def rare():
    rows = []
    for x, n in [(0, 10**9), (1, 10**6), (3, 10**6), (3, 10**7), (3, 10**9), (50, 10**8), (5 * 10**4, 10**5),
                 (5 * 10**5, 10**6), (10**6 - 2, 10**6)]:
        lo = float(special.betaincinv(x, n - x + 1, 0.025)) if x else 0.0
        hi = float(special.betainccinv(x + 1, n - x, 0.025))
        rows.append({"x": x, "n": n, "clopper_pearson": [lo, hi]})
    return rows


def incomplete_beta():
    rows = []
    for a, b in itertools.product([0.1, 0.5, 1.0, 3.0, 20.0, 1e3, 1e5, 1e7], repeat=2):
        for p in [1e-6, 0.025, 0.5, 0.975]:
            x = float(special.betaincinv(a, b, p))
            if 1e-300 < x < 1 - 1e-12:
                rows.append([a, b, x, float(special.betainc(a, b, x)), float(special.betaincc(a, b, x))])
    return rows


def incomplete_gamma():
    rows = []
    for a in [0.1, 0.5, 1.0, 4.0, 20.0, 1e3, 1e5, 1e8]:
        for p in [1e-6, 0.025, 0.5, 0.975]:
            x = float(special.gammaincinv(a, p))
            if x > 1e-300:
                rows.append([a, x, float(special.gammainc(a, x)), float(special.gammaincc(a, x))])
    return rows


def student_t():
    rows = []
    for df in [0.5, 1, 2, 3, 9.7, 30, 1e3, 1e5, 1e6, 1e9]:
        for q in [1e-10, 1e-4, 0.025, 0.2, 0.3, 0.4999]:
            t = float(stats.t.isf(q, df))
            rows.append([df, q, t, float(stats.t.sf(t, df))])
    return rows


def normal():
    return [[q, float(special.ndtri(q))] for q in [1e-300, 1e-100, 1e-20, 1e-9, 1e-3, 0.025, 0.3, 0.5, 0.8, 0.999]]


def poisson():
    rows = []
    for x in [0, 1, 3, 20, 1000, 10**6]:
        lo = float(stats.chi2.ppf(0.025, 2 * x) / 2) if x else 0.0
        rows.append([x, lo, float(stats.chi2.isf(0.025, 2 * x + 2) / 2)])
    return rows


def stacked(*sides):
    """One row per event or miss: outcome, side, cluster."""
    outcome, side, cluster = [], [], []
    for s, pairs in enumerate(sides):
        for k, (y, x) in enumerate(pairs):
            outcome += [1.0] * y + [0.0] * (x - y)
            side += [float(s)] * x
            cluster += [k] * x
    return np.array(outcome), np.array(side), np.array(cluster)


def clustered():
    """The ratio as the mean of 0/1 outcomes with a cluster-robust error.

    With a single column of ones the sandwich of ordinary least squares is the
    linearised variance, and its correction is K/(K-1).
    """
    rows = []
    for name, pairs in [("control", CONTROL), ("treated", TREATED), ("small", SMALL)]:
        y, _, groups = stacked(pairs)
        fit = sm.OLS(y, np.ones_like(y)).fit(cov_type="cluster", cov_kwds={"groups": groups}, use_t=True)
        lo, hi = fit.conf_int(0.05)[0]
        rows.append({"name": name, "ratio": fit.params[0], "se": fit.bse[0], "lo": lo, "hi": hi})
    return rows


def paired():
    """Difference and log ratio of two clustered rates over the same clusters.

    Least squares gives the difference, Poisson regression the log ratio. Their
    uncorrected sandwich errors are multiplied by sqrt(K/(K-1)).
    """
    y, side, groups = stacked(CONTROL, TREATED)
    k = len(CONTROL)
    correction = math.sqrt(k / (k - 1))
    t = stats.t.isf(0.025, k - 1)
    design = np.column_stack([np.ones_like(y), 1 - side])
    options = {"cov_type": "cluster", "cov_kwds": {"groups": groups, "use_correction": False}}
    line = sm.OLS(y, design).fit(**options)
    rate = sm.GLM(y, design, family=sm.families.Poisson()).fit(tol=1e-14, maxiter=200, **options)
    difference, se = line.params[1], line.bse[1] * correction
    log_ratio, log_se = rate.params[1], rate.bse[1] * correction
    return {
        "difference": [difference, se, difference - t * se, difference + t * se],
        "rate_ratio": [math.exp(log_ratio), log_se, math.exp(log_ratio - t * log_se), math.exp(log_ratio + t * log_se)],
    }


def bootstrap():
    """Every resample of five clusters once, so that no draw is random."""
    y, x = np.array(SMALL, dtype=float).T

    def statistic(y, x, axis=-1):
        return y.sum(axis=axis) / x.sum(axis=axis)

    every = np.array(list(itertools.product(range(5), repeat=5)))
    values = statistic(y[every], x[every])
    rows = {"clusters": SMALL, "observed": float(statistic(y, x)), "se": float(values.std(ddof=1))}
    base = stats.bootstrap((y, x), statistic, paired=True, n_resamples=1, method="percentile", vectorized=True)
    base.bootstrap_distribution = values
    for method in ["percentile", "BCa"]:
        for level in [0.9, 0.95]:
            result = stats.bootstrap((y, x), statistic, paired=True, n_resamples=0, method=method, vectorized=True,
                                     confidence_level=level, bootstrap_result=base)
            interval = result.confidence_interval
            rows[f"{method.lower()}_{level}"] = [float(interval.low), float(interval.high)]
    return rows


def newcombe():
    rows = []
    for x1, n1, x2, n2 in [(56, 70, 48, 80), (9, 10, 3, 10), (5, 56, 0, 29), (0, 10, 0, 20), (10, 10, 0, 20)]:
        lo, hi = confint_proportions_2indep(x1, n1, x2, n2, method="newcomb", compare="diff", correction=False)
        rows.append([x1, n1, x2, n2, float(lo), float(hi)])
    return rows


def mcnemar_rows():
    rows = []
    for f, g in [(6, 16), (86, 150), (1, 0), (40, 41), (3000, 3200)]:
        table = [[10, f], [g, 10]]
        plain = mcnemar(table, exact=False, correction=False)
        corrected = mcnemar(table, exact=False, correction=True)
        exact = mcnemar(table, exact=True)
        rows.append([f, g, float(plain.statistic), float(plain.pvalue), float(corrected.statistic),
                     float(corrected.pvalue), float(exact.pvalue)])
    return rows


def samples():
    data = [float(v) for v in [576, 635, 558, 578, 666, 580, 555, 661, 651, 605, 653, 575, 545, 572, 594]]
    other = [3.39, 3.30, 2.81, 3.03, 3.44, 3.07, 3.00, 3.43, 3.36, 3.13, 3.12, 2.74, 2.76, 2.88, 2.96]
    result = stats.pearsonr(data, other)
    interval = result.confidence_interval(0.95)
    return {
        "first": data,
        "second": other,
        "quantiles": [[p, float(np.quantile(data, p, method="linear"))] for p in [0, 0.025, 0.1, 0.5, 0.77, 1]],
        "pearson": [float(result.statistic), float(interval.low), float(interval.high)],
    }


def main():
    fixtures = {
        "made_by": {
            "script": "tests/reference/make_stats_fixtures.py",
            "python": platform.python_version(),
            "numpy": np.__version__,
            "scipy": scipy.__version__,
            "statsmodels": statsmodels.__version__,
        },
        "binomial": binomial(),
        "rare": rare(),
        "incomplete_beta": incomplete_beta(),
        "incomplete_gamma": incomplete_gamma(),
        "student_t": student_t(),
        "normal": normal(),
        "poisson": poisson(),
        "clustered": clustered(),
        "paired": paired(),
        "bootstrap": bootstrap(),
        "newcombe": newcombe(),
        "mcnemar": mcnemar_rows(),
        "samples": samples(),
    }
    path = FOLDER / "stats.json"
    # One section a line group keeps differences readable.
    sections = []
    for name, value in fixtures.items():
        if isinstance(value, list):
            body = "[\n" + ",\n".join("    " + json.dumps(row) for row in value) + "\n  ]"
        else:
            body = json.dumps(value)
        sections.append(f"  {json.dumps(name)}: {body}")
    path.write_text("{\n" + ",\n".join(sections) + "\n}\n")


if __name__ == "__main__":
    main()
