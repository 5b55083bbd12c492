"""The model held against published values, and studies with people planned with it."""

from __future__ import annotations

import json
from collections.abc import Sequence
from html import escape
from typing import Any

import polars as pl

from . import _agogic
from ._frame import frame
from ._progress import Report, report_of
from ._spec import SpecLike, parts


def check(*, typists: int = 400, seed: int = 1) -> pl.DataFrame:
    """Compares the typist model with published values, one row each, with source, place, role and verdict.

    Rows with the role `calibration` set the model; those that are `held out` had no say in it.
    """
    first = ("id", "population", "published", "simulated", "simulated_mcse", "unit", "verdict", "role", "source", "place")
    return frame(json.loads(_agogic.check(typists, seed)), first)


class Plan:
    """How many people a study needs, for each length of a session."""

    def __init__(self, found: dict[str, Any]) -> None:
        #: Everything that was found.
        self.found = found
        #: The answer in words.
        self.sentence: str = found["sentence"]

    @property
    def rows(self) -> pl.DataFrame:
        """People needed for each number of minutes."""
        return frame(self.found["rows"], ("minutes", "people"))

    def __str__(self) -> str:
        return self.sentence

    def _repr_html_(self) -> str:
        return f"<pre>{escape(self.sentence)}</pre>"


def plan(
    spec: SpecLike = None,
    *,
    first: str | None = None,
    second: str | None = None,
    arm: str | None = None,
    errors: str = "both",
    design: str = "crossover",
    difference: float | None = None,
    margin: float | None = None,
    minutes: Sequence[int] = (5, 10, 20),
    power: float = 0.8,
    alpha: float = 0.05,
    pool: int = 80_000,
    trials: int = 1000,
    progress: bool | Report | None = None,
) -> Plan:
    """Says how many people a study of two policies with people needs.

    `errors` are `both`, `false-holds` or `missed-holds`; `design` is `crossover` or `replay`; `difference` and `margin`
    are in errors per 1000 opportunities. Studies with people need their consent and the review of your ethics board.
    """
    asked: dict[str, Any] = {
        "first": first,
        "second": second,
        "arm": arm,
        "errors": errors,
        "design": design,
        "difference": difference,
        "margin": margin,
        "minutes": list(minutes),
        "power": power,
        "alpha": alpha,
        "pool": pool,
        "trials": trials,
    }
    return Plan(json.loads(_agogic.plan(parts(spec), asked, report_of(progress, "people"))))
