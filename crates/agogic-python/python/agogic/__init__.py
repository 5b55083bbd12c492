"""Statistical experiments on rules that tell a tap from a hold on dual-role keys.

>>> import agogic
>>> result = agogic.run("my-study.toml")
>>> result.estimates                      # a polars data frame
>>> result.estimate("enclosed", "wrong_keys")
>>> result.save("results/my-study")       # the folder that `agogic run` writes

Studies: `run`, `sweep`, `advise`, `plan`. Logs: `simulate`, `encounters`, `replay`, `judge`, `fit`, `advise_person`. The
model: `Population`, `check`, `predictive_check`. Rules of your own: `Rule`, `check_rule`. Whatever a call refuses is an `AgogicError`.
"""

from importlib.metadata import version as _version

from ._agogic import Contact, Encounter
from ._agogic import codes as _codes
from ._error import AgogicError, Mistake
from ._estimate import Estimate
from ._log import EVENT_COLUMNS, Fit, PersonalAdvice, Replay, advise_person, encounters, fit, judge, replay, simulate
from ._model import Plan, check, plan
from ._population import Population
from ._predict import PredictiveCheck, predictive_check
from ._result import Figure, Repeated, Result
from ._rule import HOLD, TAP, Encounters, Rule, check_rule
from ._study import advise, run, sweep

__version__ = _version("agogic")

#: W3C codes of all keys, in the order of their numbers in arrays of encounters.
CODES: tuple[str, ...] = tuple(_codes())

open_result = Result.open

__all__ = [
    "CODES",
    "EVENT_COLUMNS",
    "HOLD",
    "TAP",
    "AgogicError",
    "Contact",
    "Encounter",
    "Encounters",
    "Estimate",
    "Figure",
    "Fit",
    "Mistake",
    "PersonalAdvice",
    "Plan",
    "Population",
    "PredictiveCheck",
    "Repeated",
    "Replay",
    "Result",
    "Rule",
    "advise",
    "advise_person",
    "check",
    "check_rule",
    "encounters",
    "fit",
    "judge",
    "open_result",
    "plan",
    "predictive_check",
    "replay",
    "run",
    "simulate",
    "sweep",
]
