"""Writes stats.json: statistics computed by SciPy, statsmodels, SALib, NumPy and mpmath.

Run in a virtual environment that holds only what is imported here:

    python3 -m venv venv
    venv/bin/pip install numpy scipy statsmodels mpmath SALib
    venv/bin/python tests/reference/make_stats_fixtures.py

The versions used are written into the file. Nothing here is random.
"""

import importlib.metadata
import itertools
import json
import math
import pathlib
import platform

import mpmath
import numpy as np
import scipy
import statsmodels
import statsmodels.api as sm
from SALib.analyze import sobol as salib_sobol
from SALib.test_functions import Ishigami, Sobol_G
from scipy import optimize, special, stats
from statsmodels.stats.multitest import multipletests
from statsmodels.stats.proportion import proportion_confint
from statsmodels.stats.weightstats import ttost_paired
from statsmodels.tools.numdiff import approx_hess

FOLDER = pathlib.Path(__file__).parent

# Weil (1970), rats of 16 litters, pups alive after 21 days of those after 4.
CONTROL = [(13, 13), (12, 12), (9, 9), (9, 9), (8, 8), (8, 8), (12, 13), (11, 12),
           (9, 10), (9, 10), (8, 9), (11, 13), (4, 5), (5, 7), (7, 10), (7, 10)]
TREATED = [(12, 12), (11, 11), (10, 10), (9, 9), (10, 11), (9, 10), (9, 10), (8, 9),
           (8, 9), (4, 5), (7, 9), (4, 7), (5, 10), (3, 6), (3, 10), (0, 7)]
SMALL = [(1, 10), (0, 7), (4, 12), (2, 9), (5, 8)]


def binomial():
    rows = []
    for x, n in [(0, 1), (1, 1), (0, 20), (1, 29), (15, 148), (81, 263), (263, 263), (500, 1000), (2, 3000),
                 (2999, 3000), (7, 100000)]:
        for level in [0.9, 0.95, 0.999]:
            alpha = 1 - level
            row = {"x": x, "n": n, "level": level}
            for name, method in [("wilson", "wilson"), ("clopper_pearson", "beta")]:
                row[name] = [float(v) for v in proportion_confint(x, n, alpha, method)]
            rows.append(row)
    return rows


def rare():
    """Exact limits for few events, from sums of binomial terms in 40 digits.

    SciPy 1.17 is wrong here in the ninth digit: its betainccinv gives
    8.767273088677563e-09 for the upper limit of 3 in 10**9.
    """
    mpmath.mp.dps = 40
    half = mpmath.mpf(1) / 40

    def below(x, n, p):
        return mpmath.fsum(mpmath.binomial(n, k) * p**k * (1 - p) ** (n - k) for k in range(x + 1))

    def limit(f, n, a, b):
        return float(mpmath.findroot(f, (mpmath.mpf(a) / n, mpmath.mpf(b) / n), solver="anderson", tol=1e-60))

    rows = []
    for x, n in [(0, 10**9), (1, 10**6), (3, 10**6), (3, 10**7), (3, 10**9), (20, 10**8)]:
        n = mpmath.mpf(n)
        low, high = stats.chi2.ppf(0.025, 2 * x) / 2 if x else 0.0, stats.chi2.isf(0.025, 2 * x + 2) / 2
        lo = limit(lambda p: 1 - below(x - 1, n, p) - half, n, 0.99 * low, 1.01 * low) if x else 0.0
        hi = limit(lambda p: below(x, n, p) - half, n, 0.99 * high, 1.01 * high)
        rows.append({"x": x, "n": int(n), "clopper_pearson": [lo, hi]})
    return rows


def huge():
    """Tails of beta and gamma with huge parameters, by quadrature in 30 digits."""
    mpmath.mp.dps = 30
    rows = {"gamma": [], "beta": []}
    for a in [1e6, 1e8, 1e10]:
        a = mpmath.mpf(a)
        sd = mpmath.sqrt(a)

        def density(t):
            return mpmath.exp((a - 1) * mpmath.log(t) - t - mpmath.loggamma(a))

        for z in [-5, -2, -0.5]:
            x = mpmath.mpf(float(a + z * sd))
            steps = [x - k * sd for k in (12, 8, 5, 3, 2, 1, 0.5, 0)]
            rows["gamma"].append([float(a), float(x), float(mpmath.quad(density, steps))])
    for a, b in [(5e4, 5e4), (5e8, 5e8), (1e9, 40.5), (1e6, 2e3)]:
        a, b = mpmath.mpf(a), mpmath.mpf(b)
        n = a + b
        sd = mpmath.sqrt(a * b / n**3)
        scale = mpmath.loggamma(n) - mpmath.loggamma(a) - mpmath.loggamma(b)

        def density(t):
            return mpmath.exp(scale + (a - 1) * mpmath.log(t) + (b - 1) * mpmath.log1p(-t))

        for z in [-5, -2, -0.5]:
            x = mpmath.mpf(float(a / n + z * sd))
            steps = [x - k * sd for k in (16, 12, 8, 5, 3, 2, 1, 0.5, 0)]
            rows["beta"].append([float(a), float(b), float(x), float(mpmath.quad(density, steps))])
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
    # From 1e7 SciPy 1.17 errs in the sixth digit far from the mean; see huge().
    for a in [0.1, 0.5, 1.0, 4.0, 20.0, 1e3, 1e5]:
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
        logit = sm.GLM(y, np.ones_like(y), family=sm.families.Binomial()).fit(
            tol=1e-14, cov_type="cluster", cov_kwds={"groups": groups, "use_correction": False})
        k = len(pairs)
        half = stats.t.isf(0.025, k - 1) * logit.bse[0] * math.sqrt(k / (k - 1))
        limits = [float(special.expit(logit.params[0] + side * half)) for side in (-1, 1)]
        rows.append({"name": name, "ratio": fit.params[0], "se": fit.bse[0], "lo": lo, "hi": hi, "logit": limits})
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


def timing_law(family, parameters):
    """A distribution of times with our parameters, as SciPy has it."""
    if family == "log-normal":
        mu, sigma = parameters
        return stats.lognorm(s=sigma, scale=math.exp(mu))
    if family == "log-logistic":
        shift, scale, shape = parameters
        return stats.fisk(c=shape, loc=shift, scale=scale)
    if family == "gamma":
        shape, scale = parameters
        return stats.gamma(a=shape, scale=scale)
    if family == "ex-gaussian":
        mu, sigma, tau = parameters
        return stats.exponnorm(K=tau / sigma, loc=mu, scale=sigma)
    shape, scale = parameters
    return stats.weibull_min(c=shape, scale=scale)


def timing():
    rows = []
    for family, parameters in [
        ("log-normal", [4.5, 0.4]), ("log-normal", [-1.0, 1.7]),
        ("log-logistic", [0.0, 100.0, 5.0]), ("log-logistic", [35.0, 60.0, 2.5]), ("log-logistic", [-80.0, 200.0, 12.0]),
        ("gamma", [0.4, 3.0]), ("gamma", [6.0, 15.0]), ("gamma", [250.0, 0.5]),
        ("ex-gaussian", [80.0, 12.0, 30.0]), ("ex-gaussian", [100.0, 20.0, 4.0]), ("ex-gaussian", [50.0, 1.0, 60.0]),
        ("weibull", [2.0, 100.0]), ("weibull", [0.8, 5.0]),
    ]:
        law = timing_law(family, parameters)
        points = [float(law.ppf(p)) for p in (0.001, 0.1, 0.5, 0.9, 0.999)]
        rows.append({
            "family": family, "parameters": parameters, "mean": float(law.mean()), "variance": float(law.var()),
            "points": [[x, float(law.logpdf(x)), float(law.cdf(x)), float(law.sf(x))] for x in points],
        })
    return rows


def timing_fits():
    """Greatest likelihoods by SciPy's optimisers, with errors from differences.

    The sample is a gamma's quantiles at uneven steps, so that it fits no family
    perfectly.
    """
    steps = [(i + 0.5 + 0.3 * math.sin(7 * i)) / 60 for i in range(60)]
    sample = [round(float(40 + stats.gamma(a=2.5, scale=30).ppf(p)), 3) for p in steps]
    x = np.array(sample)
    rows = {"sample": sample, "fits": []}
    starts = {
        "log-normal": [4.6, 0.4], "log-logistic": [30.0, 70.0, 3.0], "gamma": [5.0, 20.0],
        "ex-gaussian": [70.0, 15.0, 45.0], "weibull": [2.0, 120.0],
    }
    for family, start in starts.items():
        def cost(parameters):
            try:
                value = -timing_law(family, parameters).logpdf(x).sum()
            except (ValueError, ZeroDivisionError):
                return math.inf
            return float(value) if np.isfinite(value) else math.inf

        best = np.array(start)
        for _ in range(5):
            best = optimize.minimize(cost, best, method="Nelder-Mead",
                                     options={"xatol": 1e-10, "fatol": 1e-13, "maxiter": 20000, "maxfev": 20000}).x
        row = {"family": family, "parameters": best.tolist(), "log_likelihood": -cost(best)}
        if family in ("log-logistic", "ex-gaussian"):
            # The other fits state their errors in closed form.
            row["errors"] = np.sqrt(np.diag(np.linalg.inv(approx_hess(best, cost, epsilon=1e-3 * np.abs(best))))).tolist()
        rows["fits"].append(row)
    return rows


def polygamma():
    return [[x, float(special.digamma(x)), float(special.polygamma(1, x))]
            for x in [1e-3, 0.3, 1.5, 5.0, 11.99, 12.0, 1e3, 1e9]]


def kolmogorov():
    rows = []
    for n in [1, 2, 5, 10, 50, 100, 140, 200, 500, 501, 1000, 20000, 10**6]:
        for z in [0.4, 0.7, 1.0, 1.3581, 1.9, 2.5, 4.0]:
            d = z / math.sqrt(n)
            if 0.5 / n < d < 1:
                rows.append([n, d, float(stats.kstwo.sf(d, n))])
    return rows


def corrections():
    rows = []
    for p in [[.0001, .0004, .0019, .0095, .0201, .0278, .0298, .0344, .0459, .3240, .4262, .5719, .6528, .7590, 1],
              [.04, .001, .04, .2, .03, .9, .012], [.5], [0.0, .01, .01]]:
        rows.append([p, multipletests(p, method="holm")[1].tolist()])
    return rows


def equivalence():
    a = np.array([12.1, 9.8, 11.4, 10.2, 13.0, 9.1, 10.9, 12.2])
    b = np.array([11.8, 10.1, 11.0, 10.6, 12.1, 9.5, 10.7, 11.1])
    paired_p, lower, upper = ttost_paired(a, b, -0.8, 0.5)
    return {
        "first": a.tolist(), "second": b.tolist(),
        "paired": [float(v) for v in (paired_p, lower[1], upper[1])],
    }


def beta_binomial():
    """Greatest likelihood of scipy.stats.betabinom over the logarithms of both parameters."""
    rows = []
    for name, pairs in [("control", CONTROL), ("treated", TREATED)]:
        y, n = np.array(pairs).T

        def cost(logs):
            return -float(stats.betabinom.logpmf(y, n, *np.exp(logs)).sum())

        best = np.log([5.0, 1.0])
        for _ in range(5):
            best = optimize.minimize(cost, best, method="Nelder-Mead", options={"xatol": 1e-11, "fatol": 1e-13}).x
        fitted = np.exp(best)
        rows.append({"name": name, "parameters": fitted.tolist(), "log_likelihood": -cost(best)})
    return rows


def sensitivity():
    """SciPy's unscrambled Sobol' points and SALib's estimators on them."""
    sequence = stats.qmc.Sobol(d=64, scramble=False, bits=32)
    points = sequence.random(64)[1:]
    rows = {"points": [points[i].tolist() for i in (0, 1, 6, 29, 62)], "places": [0, 1, 6, 29, 62], "models": []}
    for name, inputs, model in [
        ("ishigami", 3, lambda x: Ishigami.evaluate(x * 2 * np.pi - np.pi, A=7.0, B=0.1)),
        ("g", 8, lambda x: Sobol_G.evaluate(x, a=np.array([0, 1, 4.5, 9, 99, 99, 99, 99]))),
    ]:
        base = stats.qmc.Sobol(d=2 * inputs, scramble=False, bits=32).random(1025)[1:]
        a, b = base[:, :inputs], base[:, inputs:]
        y_a, y_b = model(a), model(b)
        center = np.concatenate([y_a, y_b]).mean()
        first, total = [], []
        for i in range(inputs):
            mixed = a.copy()
            mixed[:, i] = b[:, i]
            y_ab = model(mixed) - center
            first.append(float(salib_sobol.first_order(y_a - center, y_ab, y_b - center)))
            total.append(float(salib_sobol.total_order(y_a - center, y_ab, y_b - center)))
        rows["models"].append({"name": name, "rows": 1024, "first": first, "total": total})
    return rows


def main():
    fixtures = {
        "made_by": {
            "script": "tests/reference/make_stats_fixtures.py",
            "python": platform.python_version(),
            "mpmath": mpmath.__version__,
            "numpy": np.__version__,
            "salib": importlib.metadata.version("SALib"),
            "scipy": scipy.__version__,
            "statsmodels": statsmodels.__version__,
        },
        "binomial": binomial(),
        "rare": rare(),
        "huge": huge(),
        "incomplete_beta": incomplete_beta(),
        "incomplete_gamma": incomplete_gamma(),
        "student_t": student_t(),
        "normal": normal(),
        "clustered": clustered(),
        "paired": paired(),
        "bootstrap": bootstrap(),
        "samples": samples(),
        "timing": timing(),
        "timing_fits": timing_fits(),
        "polygamma": polygamma(),
        "kolmogorov": kolmogorov(),
        "corrections": corrections(),
        "equivalence": equivalence(),
        "beta_binomial": beta_binomial(),
        "sensitivity": sensitivity(),
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
