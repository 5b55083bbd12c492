"""Logs of key events: simulated, of people, or drawn by a model of one's own."""

from __future__ import annotations

import io
import json
import os
from collections.abc import Sequence
from html import escape
from typing import Any, TypeAlias, Union

import polars as pl

from . import _agogic
from ._error import AgogicError
from ._estimate import Estimate, flat, of_row
from ._frame import frame
from ._population import Population
from ._progress import Report, report_of
from ._rule import Encounters, Rule, rules_parts
from ._spec import SpecLike, parts

#: A log: the path of a file, or a data frame of polars or pandas with the columns of `EVENT_COLUMNS`.
LogLike: TypeAlias = Union[str, "os.PathLike[str]", pl.DataFrame, Any]

#: The columns of a log; `intent` and `target` may be left out.
EVENT_COLUMNS = ("session", "participant", "t_us", "code", "edge", "intent", "target")

_EVENTS = {name: pl.Int64 if name == "t_us" else pl.String for name in EVENT_COLUMNS}

_Source: TypeAlias = tuple[str | None, bytes | None, str, str | None]


def _source(log: LogLike, layout: str, participant: str | None) -> _Source:
    """A log as the compiled half takes it."""
    if isinstance(log, (str, os.PathLike)):
        return (os.fspath(log), None, layout, participant)
    events = log if isinstance(log, pl.DataFrame) else pl.from_pandas(log)
    lacking = [name for name in EVENT_COLUMNS[:5] if layout == "events" and name not in events.columns]
    if lacking:
        raise AgogicError(f"the data frame lacks the columns {', '.join(lacking)}; a log has {', '.join(EVENT_COLUMNS)}")
    return (None, events.write_csv().encode(), layout, participant)


def read_events(log: LogLike, layout: str) -> pl.DataFrame:
    """The key events of a log in the columns of `EVENT_COLUMNS`, whatever its layout."""
    return pl.read_csv(io.BytesIO(_agogic.log_events(_source(log, layout, None))), schema=_EVENTS)


def simulate(
    spec: SpecLike = None,
    *,
    typists: int = 1,
    typist: int | None = None,
    replicate: int = 0,
    arm: str | None = None,
    intents: bool = True,
    progress: bool | Report | None = None,
) -> pl.DataFrame:
    """Key events of synthetic typists, one row per edge, with what presses of dual-role keys were meant as.

    The first `typists` of the study, each beginning with a sentence; or, with `typist`, one session by its address, press
    for press as the study makes it: replicate 0 is the one that is judged, 1 the one that personal values are fitted to,
    others are further sessions of the same person. Times are in µs on the clock of the session.
    """
    csv = _agogic.simulate(
        parts(spec), arm, typists, typist, replicate, intents, report_of(progress, "typists")
    )
    return pl.read_csv(io.BytesIO(csv), schema=_EVENTS)


def encounters(
    log: LogLike,
    *,
    spec: SpecLike = None,
    arm: str | None = None,
    layout: str = "events",
    participant: str | None = None,
) -> pl.DataFrame:
    """Every press of a dual-role key of a log, with the keys around it: what rules see.

    The keyboard is that of the study. `contacts` went down while the key was down, `carried` were down already; their
    times are in ms after the press. `meant` is null where the log does not say what the press was meant as.
    """
    arrays = _agogic.log_arrays(_source(log, layout, participant), parts(spec), arm)
    participants, sessions, meant = arrays.told()
    seen = Encounters(arrays)
    names = pl.Series(_agogic.codes())
    hands = pl.Series(["left", "right", "either"])

    def code(column: Any) -> pl.Series:
        places = pl.Series(column, dtype=pl.Int64)
        return names.gather(places.set(places < 0, None))

    def others(kind: str, owner: Any) -> pl.DataFrame:
        own = {
            "code": code(getattr(seen, f"{kind}_code")),
            "hand": hands.gather(pl.Series(getattr(seen, f"{kind}_hand"), dtype=pl.Int64)),
            "down_ms": getattr(seen, f"{kind}_down_ms"),
            "up_ms": getattr(seen, f"{kind}_up_ms"),
        }
        name = "contacts" if kind == "contact" else kind
        own_frame = pl.DataFrame({"at": owner, **own}, schema_overrides={"at": pl.Int64})
        return own_frame.group_by("at", maintain_order=True).agg(pl.struct("code", "hand", "down_ms", "up_ms").alias(name))

    seen_frame = pl.DataFrame(
        {
            "participant": pl.Series(participants, dtype=pl.String),
            "session": pl.Series(sessions, dtype=pl.String),
            "press_ms": seen.press_ms,
            "code": code(seen.code),
            "hand": hands.gather(pl.Series(seen.hand, dtype=pl.Int64)),
            "dwell_ms": seen.dwell_ms,
            "lull_ms": seen.lull_ms,
            "since_same_key_ms": seen.since_same_key_ms,
            "previous": code(seen.previous),
            "meant": pl.Series(meant, dtype=pl.String),
        }
    )
    seen_frame = seen_frame.with_columns(
        pl.col("lull_ms", "since_same_key_ms").fill_nan(None),
        pl.when(pl.col("meant") != "").then(pl.col("meant")),
        at=pl.int_range(pl.len(), dtype=pl.Int64),
    )
    for kind, owner in (("contact", seen.contact_of), ("carried", seen.carried_of)):
        seen_frame = seen_frame.join(others(kind, owner), on="at", how="left", maintain_order="left")
    return seen_frame.with_columns(pl.col("contacts", "carried").fill_null([])).drop("at")


class Replay:
    """What policies make of a log."""

    def __init__(self, found: dict[str, Any]) -> None:
        self._found = found["replay"]
        #: The arm whose people rules that learn were trained on.
        self.arm: str = found["arm"]
        #: What to mind.
        self.notes: list[str] = found["notes"]

    @property
    def policies(self) -> list[str]:
        """Labels of the policies."""
        return list(self._found["policies"])

    @property
    def counts(self) -> dict[str, int]:
        """Participants, presses of any key, presses of dual-role keys, and those meant as taps and as holds."""
        return {name: self._found[name] for name in ("participants", "keys", "presses", "taps", "holds")}

    @property
    def estimates(self) -> pl.DataFrame:
        """Every number about a policy, and its difference from the first (`minus`), with its interval."""
        rows = [
            {
                "policy": row["policy"],
                # One spelling in all tables.
                "estimand": row["estimand"].replace("-", "_"),
                "unit": row["unit"],
                "minus": row["minus"],
            }
            | flat(row["estimate"])
            for row in self._found["rows"]
        ]
        return frame(rows)

    @property
    def judged(self) -> pl.DataFrame:
        """What the log lets one judge, and why the rest cannot be."""
        return frame(self._found["judged"], ("outcome", "presses", "because"))

    @property
    def differ(self) -> pl.DataFrame:
        """How often each two policies decide differently."""
        first = ("first", "second", "tap_to_hold", "hold_to_tap")
        rows = [{name: row[name] for name in first} | flat(row["per_100"]) for row in self._found["differ"]]
        return frame(rows)

    @property
    def by_key(self) -> pl.DataFrame:
        """Presses and errors of each key under each policy."""
        return _parts_of(self._found["by_key"])

    @property
    def by_finger(self) -> pl.DataFrame:
        """Presses and errors of each finger under each policy."""
        return _parts_of(self._found["by_finger"])

    def estimate(self, policy: str, estimand: str, *, minus: str | None = None) -> Estimate:
        """One estimate: `estimand` is `false_holds`, `missed_holds`, `wrong_decisions`, `delay` and so on.

        With `minus`, the first policy, it is the difference from it.
        """
        difference = pl.col("minus").is_null() if minus is None else pl.col("minus") == minus
        rows = self.estimates.filter(pl.col("policy") == policy, pl.col("estimand") == estimand, difference)
        if rows.is_empty():
            known = "; ".join(
                f"{column}: {', '.join(self.estimates[column].unique(maintain_order=True))}"
                for column in ("policy", "estimand")
            )
            raise AgogicError(f"there is no estimate of `{estimand}` for `{policy}` (known: {known})")
        return of_row(rows.row(0, named=True))

    def __repr__(self) -> str:
        return f"<replay of {self.counts['presses']} presses of dual-role keys to {len(self.policies)} policies>"

    def _repr_html_(self) -> str:
        own = self.estimates.filter(pl.col("minus").is_null())
        estimands = own.filter(pl.col("estimate").is_not_null()).unique("estimand", maintain_order=True)
        head = "".join(
            f"<th>{escape(row['estimand'].replace('_', ' '))}<br>{escape(row['unit'])}</th>" for row in estimands.to_dicts()
        )
        lines = []
        for policy in self.policies:
            cells = [self.estimate(policy, name).text(1) for name in estimands["estimand"]]
            lines.append(f"<tr><td>{escape(policy)}</td>{''.join(f'<td>{escape(cell)}</td>' for cell in cells)}</tr>")
        notes = "".join(f"<p>{escape(note)}</p>" for note in self.notes)
        return f"<table><tr><th>policy</th>{head}</tr>{''.join(lines)}</table>{notes}"


def _parts_of(rows: list[dict[str, Any]]) -> pl.DataFrame:
    return frame(rows, ("policy", "part", "presses", "decided_holds", "taps", "false_holds", "holds", "missed_holds"))


def replay(
    log: LogLike,
    *,
    spec: SpecLike = None,
    arm: str | None = None,
    rules: Rule | Sequence[Rule] = (),
    layout: str = "events",
    participant: str | None = None,
) -> Replay:
    """Plays a log to the policies of a study, and to rules of your own: decisions, delays, errors where intents are known.

    About one participant intervals come from blocks of presses in time; about several, from participants.
    """
    found = _agogic.replay(_source(log, layout, participant), parts(spec), arm, rules_parts(rules))
    return Replay(json.loads(found))


def judge(
    draws: LogLike, *, spec: SpecLike = None, arm: str | None = None, rules: Rule | Sequence[Rule] = ()
) -> Replay:
    """Judges policies on draws of your own generative model: key events with intents, each typist a `participant`.

    The statistics are those of `replay`: intervals over typists, differences on the same presses. Rules that learn are
    trained on the people of the study, not on the draws. Raises AgogicError where fewer than two typists were drawn, or no
    press of a dual-role key says what it was meant as.
    """
    found = replay(draws, spec=spec, arm=arm, rules=rules)
    counts = found.counts
    if counts["participants"] < 2:
        raise AgogicError("the draws hold one typist; intervals over typists need several values of `participant`")
    if counts["taps"] + counts["holds"] == 0:
        raise AgogicError(
            "no press of a dual-role key of the draws has an `intent`; give `tap` or `hold` in the rows of presses, and "
            "the `target` of a hold"
        )
    return found


class Fit:
    """How a person types, as one of a population, and how sure that is."""

    def __init__(self, found: dict[str, Any]) -> None:
        #: The participant.
        self.participant: str = found["participant"]
        #: Everything that was found.
        self.found: dict[str, Any] = found["fit"]
        #: What to mind.
        self.notes: list[str] = found["notes"]

    @property
    def traits(self) -> pl.DataFrame:
        """Every trait: value, limits, what the log alone says, what the population says, and what more typing would bring."""
        rows = [
            {key: value for key, value in row.items() if not isinstance(value, dict)}
            | {"log_alone": row["likeliest"]["value"], "presses_to_halve": row["more"]["presses_to_halve"]}
            for row in self.found["traits"]
        ]
        level, method = self.found["level"], self.found["method"]
        first = ("name", "unit", "value", "lo", "hi", "log_alone", "population_median", "observations")
        return frame(rows, first).with_columns(ci_level=pl.lit(level), ci_method=pl.lit(method))

    @property
    def goodness(self) -> pl.DataFrame:
        """How far the log departs from each law of the model."""
        return frame(self.found["goodness"], ("law", "n", "distance", "usual_distance", "p_value"))

    def estimate(self, trait: str) -> Estimate:
        """One trait as an estimate."""
        for row in self.found["traits"]:
            if row["name"] == trait:
                caution = row.get("caution")
                return Estimate(
                    value=row["value"],
                    unit=row["unit"],
                    lo=row["lo"],
                    hi=row["hi"],
                    mcse=None,
                    level=self.found["level"],
                    method=self.found["method"],
                    resampling_unit=self.found["unit"],
                    n=row["observations"],
                    cautions=(caution,) if caution else (),
                    reason=row.get("note"),
                )
        known = ", ".join(row["name"] for row in self.found["traits"])
        raise AgogicError(f"there is no trait `{trait}` (known: {known})")

    def __repr__(self) -> str:
        return f"<fit of {self.participant!r} as one of {self.found['population']!r}>"

    def _repr_html_(self) -> str:
        columns = ["name", "unit", "value", "lo", "hi", "observations"]
        return f"<p>{escape(repr(self))}</p>{self.traits.select(columns)._repr_html_()}"


def fit(
    log: LogLike,
    *,
    population: str | os.PathLike[str] | Population = "volunteers",
    spec: SpecLike = None,
    participant: str | None = None,
    level: float = 0.95,
    redraws: int = 99,
    seed: int = 1,
    layout: str = "events",
) -> Fit:
    """Fits the traits of one person to a log. Every trait is drawn towards the population, the more the less the log tells.

    With a `spec` the log was typed on its keyboard; without, on a row-staggered one without dual-role keys. How somebody
    types can tell who it is: keep a fit as you keep the log.
    """
    if isinstance(population, Population):
        people: tuple[str | None, Any] = (None, population._parts())
    else:
        people = (os.fspath(population), None)
    own = None if spec is None else parts(spec)
    found = _agogic.fit(_source(log, layout, participant), people, own, level, redraws, seed)
    return Fit(json.loads(found))


class PersonalAdvice:
    """A setting for one person, what it gains, and whether that is worth a change."""

    def __init__(self, found: dict[str, Any]) -> None:
        #: The participant.
        self.participant: str = found["participant"]
        #: Everything that was found.
        self.found: dict[str, Any] = found["advice"]
        #: The person as one of the population.
        self.fit = Fit({"participant": found["participant"], "fit": found["fit"], "notes": found["notes"]})
        #: What to mind.
        self.notes: list[str] = found["notes"]

    @property
    def sentences(self) -> list[str]:
        """The advice in words."""
        return list(self.found["sentences"])

    def __str__(self) -> str:
        return "\n\n".join(self.sentences)

    def _repr_html_(self) -> str:
        return "".join(f"<p>{escape(sentence)}</p>" for sentence in self.sentences)


def advise_person(
    log: LogLike,
    *,
    spec: SpecLike = None,
    arm: str | None = None,
    now: str | None = None,
    false_hold_counts: float = 1.0,
    least_gain: float = 1.0,
    draws: int = 100,
    layout: str = "events",
    participant: str | None = None,
    progress: bool | Report | None = None,
) -> PersonalAdvice:
    """A setting for the one person of a log, compared with `now`, the setting in use, such as "enclosed, lull 150".

    `least_gain`, in wrong decisions per 1000 presses, is not worth a change. Persistent pain is a matter for a clinician,
    not for a timing value.
    """
    source = _source(log, layout, participant)
    report = report_of(progress, "steps")
    found = _agogic.advise_log(source, parts(spec), arm, now, false_hold_counts, least_gain, draws, report)
    return PersonalAdvice(json.loads(found))
