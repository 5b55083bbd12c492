"""Writes sample_sizes.json: people for a paired t test and for a paired equivalence test.

    python3 -m venv venv
    venv/bin/pip install numpy scipy statsmodels
    venv/bin/python crates/agogic-power/tests/reference/make_sample_sizes.py

The paired t test comes from statsmodels (noncentral t). The equivalence test is integrated with SciPy: with
s^2 = chi^2_df/df, both one-sided tests reject when |mean| < margin - t s/sqrt(n). Nothing here is random.
"""

import importlib.metadata
import json
import math
import pathlib

from scipy import integrate, stats
from statsmodels.stats.power import TTestPower


def equivalence_power(n, margin, difference=0.0, alpha=0.05):
    """Power of two one-sided paired t tests; margin and difference in SDs of the difference."""
    df = n - 1
    t = stats.t.ppf(1 - alpha, df)

    def given(s):
        half = margin - t * s / math.sqrt(n)
        if half <= 0:
            return 0.0
        scale = 1 / math.sqrt(n)
        inside = stats.norm.cdf((half - difference) / scale) - stats.norm.cdf((-half - difference) / scale)
        return inside * stats.chi.pdf(s * math.sqrt(df), df) * math.sqrt(df)

    return integrate.quad(given, 0, margin * math.sqrt(n) / t, epsabs=1e-12)[0]


def equivalence_people(margin, power):
    n = 4
    while equivalence_power(n, margin) < power:
        n += 1
    return n


paired = [
    {"d": d, "power": power, "people": float(TTestPower().solve_power(effect_size=d, alpha=0.05, power=power))}
    for d in (0.3, 0.5, 0.8)
    for power in (0.8, 0.9)
]
at = [
    {"d": d, "people": n, "power": float(TTestPower().power(effect_size=d, nobs=n, alpha=0.05))}
    for d, n in ((0.3, 50), (0.5, 20), (0.5, 34), (0.8, 15))
]
equivalence = [
    {"margin": margin, "power": power, "people": equivalence_people(margin, power)}
    for margin in (0.4, 0.6)
    for power in (0.8, 0.9)
]
versions = {name: importlib.metadata.version(name) for name in ("scipy", "statsmodels")}
found = {"versions": versions, "paired": paired, "power_at": at, "equivalence": equivalence}
pathlib.Path(__file__).with_name("sample_sizes.json").write_text(json.dumps(found, indent=1) + "\n")
