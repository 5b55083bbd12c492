"""Predictive checks: a log held against what simulated groups of as many people do."""

from __future__ import annotations

import tomllib
from collections.abc import Sequence
from html import escape
from typing import Any

import polars as pl

from . import _agogic
from ._error import AgogicError
from ._frame import frame
from ._log import LogLike, Replay, read_events, replay, simulate
from ._progress import Report, report_of
from ._result import Figure
from ._rule import Rule
from ._spec import Parts, SpecLike, parts, text_of

#: What is checked of each rule.
ESTIMANDS = ("false_holds", "missed_holds", "decided_holds", "delay")

#: What is checked of how people type: name, unit.
TRAITS = (("median interval", "ms"), ("median dwell", "ms"), ("overlap with the next press", "share of presses"))


class PredictiveCheck:
    """Each observed value beside the interval of simulated groups.

    `table` has one row for each trait and for each rule and estimand: `observed`, the limits `lo` and `hi` between which
    the share `level` of simulated groups lies, `inside`, and `share_below`, the share of simulated groups below the
    observed value. A value without opportunities is null, and `reason` says so.
    """

    def __init__(self, table: pl.DataFrame, participants: int, draws: int, level: float) -> None:
        self.table = table
        self.participants = participants
        self.draws = draws
        self.level = level

    @property
    def outside(self) -> pl.DataFrame:
        """The rows whose observed value lies outside of the interval."""
        return self.table.filter(~pl.col("inside"))

    @property
    def sentence(self) -> str:
        """How many are outside, and how many would be by chance alone."""
        known = self.table.filter(pl.col("inside").is_not_null()).height
        chance = known * (1 - self.level)
        return (
            f"{self.outside.height} of {known} observed values lie outside of the {self.level * 100:g} % intervals of "
            f"{self.draws} simulated groups of {self.participants} people; were the model right, some {chance:.1f} would."
        )

    @property
    def figure(self) -> Figure:
        """Every observed value as a point on the interval of simulated groups, all intervals drawn equally long."""
        return Figure("predictive-check", _drawn(self.table.filter(pl.col("inside").is_not_null()).to_dicts()))

    def __repr__(self) -> str:
        return f"<predictive check: {self.sentence}>"

    def _repr_html_(self) -> str:
        return f"<p>{escape(self.sentence)}</p>{self.figure.svg}"


def predictive_check(
    log: LogLike,
    *,
    spec: SpecLike = None,
    arm: str | None = None,
    rules: Rule | Sequence[Rule] = (),
    draws: int = 100,
    level: float = 0.95,
    layout: str = "events",
    progress: bool | Report | None = None,
) -> PredictiveCheck:
    """Says whether a log looks as groups of simulated people would, trait by trait and rule by rule.

    Groups of as many people as the log has, each with as many presses as they have on average, are drawn from the
    population of the arm and type its text; the same numbers are taken from each group as from the log. The interval lies
    between the quantiles (1 − level) / 2 and (1 + level) / 2 of the groups. That is a predictive check (Box 1980, "Sampling
    and Bayes' inference in scientific modelling and robustness"; from memory). A log of other texts, or of people who never
    had such keys, differs for these reasons too. Rules that learn are trained anew for each group; leave them out of the
    spec where that takes too long.
    """
    if not 0.5 <= level < 1.0:
        raise AgogicError(f"`level` must be at least 0.5 and below 1, not {level}")
    least = round(2 / (1 - level))
    if draws < least:
        raise AgogicError(f"`draws` must be at least {least} at this level, not {draws}")
    events = read_events(log, layout)
    people = events["participant"].n_unique()
    if people == 0:
        raise AgogicError("the log has no press")
    presses = events.filter(pl.col("edge") == "press").height
    own = _with_keys(spec, round(presses / people))
    observed = _numbers(events, replay(events, spec=own, arm=arm, rules=rules))
    report = report_of(progress, "groups")
    simulated = _groups(simulate(own, typists=people * draws, arm=arm, progress=False), people)
    drawn = []
    for done, group in enumerate(simulated, start=1):
        drawn.append(_numbers(group, replay(group, spec=own, arm=arm, rules=rules)))
        if report is not None:
            report(done, draws)
    rows = [_row(name, value, [one.get(name) for one in drawn], level) for name, value in observed.items()]
    first = ("kind", "name", "estimand", "unit", "observed", "lo", "hi", "inside", "share_below", "groups", "reason")
    return PredictiveCheck(frame(rows, first), people, draws, level)


#: What a number is of: `trait` or `rule`, name, estimand, unit.
_Name = tuple[str, str, str | None, str | None]


def _with_keys(spec: SpecLike, keys: int) -> Parts:
    """The study with so many presses of each typist; files are read from where it reads them."""
    name, text, folder = parts(spec)
    if text is None:
        raise AgogicError("name a study whose population and rules the log is held against")
    # Read as it is first, so that mistakes have the lines of the user's text.
    _agogic.read_spec((name, text, folder))
    study = tomllib.loads(text)
    study["typists"]["keys_each"] = max(keys, 1)
    return (name, text_of(study), folder)


def _groups(events: pl.DataFrame, people: int) -> list[pl.DataFrame]:
    number = pl.col("participant").str.strip_prefix("synthetic-").cast(pl.Int64)
    return events.with_columns(group=number // people).partition_by("group", maintain_order=True, include_key=False)


def _numbers(events: pl.DataFrame, found: Replay) -> dict[_Name, float | None]:
    numbers: dict[_Name, float | None] = {}
    for (name, unit), value in zip(TRAITS, _traits(events), strict=True):
        numbers[("trait", name, None, unit)] = value
    own = found.estimates.filter(pl.col("minus").is_null(), pl.col("estimand").is_in(ESTIMANDS))
    for row in own.iter_rows(named=True):
        numbers[("rule", row["policy"], row["estimand"], row["unit"])] = row["estimate"]
    return numbers


def _traits(events: pl.DataFrame) -> tuple[float | None, ...]:
    """Of each participant the medians of interval and dwell and the share of overlaps; of the group their means."""
    key = ["participant", "session"]
    edges = events.with_columns(nth=pl.int_range(pl.len()).over([*key, "code", "edge"]))
    downs = edges.filter(pl.col("edge") == "press").select(*key, "code", "nth", down="t_us")
    ups = edges.filter(pl.col("edge") == "release").select(*key, "code", "nth", up="t_us")
    presses = downs.join(ups, on=[*key, "code", "nth"], how="inner").sort(*key, "down")
    each = (
        presses.with_columns(next=pl.col("down").shift(-1).over(key))
        .group_by("participant", maintain_order=True)
        .agg(
            (pl.col("next") - pl.col("down")).median().alias("interval") / 1000,
            (pl.col("up") - pl.col("down")).median().alias("dwell") / 1000,
            (pl.col("next") < pl.col("up")).mean().alias("overlap"),
        )
    )
    return tuple(each.select(pl.col("interval", "dwell", "overlap").mean()).row(0))


def _row(name: _Name, observed: float | None, drawn: list[float | None], level: float) -> dict[str, Any]:
    known = pl.Series(drawn, dtype=pl.Float64).drop_nulls()
    kind, of, estimand, unit = name
    row: dict[str, Any] = {"kind": kind, "name": of, "estimand": estimand, "unit": unit, "observed": observed}
    row |= {"lo": None, "hi": None, "inside": None, "share_below": None, "groups": len(known), "reason": None}
    if observed is None:
        return row | {"reason": "the log has no press that this is about"}
    if len(known) < len(drawn):
        return row | {"reason": f"{len(drawn) - len(known)} of {len(drawn)} groups have no press that this is about"}
    lo = known.quantile((1 - level) / 2, "linear")
    hi = known.quantile((1 + level) / 2, "linear")
    assert lo is not None and hi is not None
    return row | {"lo": lo, "hi": hi, "inside": lo <= observed <= hi, "share_below": (known < observed).mean()}


def _drawn(rows: list[dict[str, Any]]) -> str:
    """Points on intervals: filled inside, hollow outside."""
    left, width, height = 330, 220, 20
    lines = []
    for at, row in enumerate(rows):
        y = 20 + height * at
        span = row["hi"] - row["lo"]
        # What lies far outside stands at the edge.
        place = 0.5 if span == 0 else (row["observed"] - row["lo"]) / span
        x = left + width * min(max(place, -0.4), 1.4)
        name = f"{row['name']}{', ' + row['estimand'].replace('_', ' ') if row['estimand'] else ''}"
        fill = "#1a1a1a" if row["inside"] else "#ffffff"
        numbers = f"{row['observed']:.3g} ({row['lo']:.3g} to {row['hi']:.3g}) {row['unit']}"
        lines.append(
            f'<text x="{left - 100}" y="{y + 4}" text-anchor="end">{escape(name)}</text>'
            f'<line x1="{left}" y1="{y}" x2="{left + width}" y2="{y}" stroke="#777777" stroke-width="3"/>'
            f'<circle cx="{x:.1f}" cy="{y}" r="4.5" fill="{fill}" stroke="#1a1a1a" stroke-width="1.5"/>'
            f'<text x="{left + width + 100}" y="{y + 4}">{escape(numbers)}</text>'
        )
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 980 {40 + height * len(rows)}" role="img" '
        f'font-family="sans-serif" font-size="12"><title>Observed values on intervals of simulated groups</title>'
        f'<rect width="100%" height="100%" fill="#ffffff"/>{"".join(lines)}</svg>'
    )
