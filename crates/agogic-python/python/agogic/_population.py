"""Populations of typists, as objects whose traits can be changed."""

from __future__ import annotations

import json
import os
from collections.abc import Mapping
from pathlib import Path
from typing import Any

import polars as pl

from . import _agogic
from ._frame import frame


class Population:
    """A population of typists: a built-in one by its name, or one of your own made by changing another.

    >>> people = Population("slow").changed("slow-long-holds", traits={"dwell_ms": 130})
    >>> people.trait("dwell_ms")
    (130.0, ...)

    It stands for its name wherever a spec given as a dict names a population.
    """

    def __init__(
        self,
        name: str,
        *,
        base: str | None = None,
        about: str = "",
        traits: Mapping[str, float | Mapping[str, float]] | None = None,
        constants: Mapping[str, float] | None = None,
        correlations: Mapping[str, Mapping[str, float]] | None = None,
        dwell_family: str | None = None,
    ) -> None:
        """`base` is the built-in population from which everything comes that is not given; without it `name` is built in.

        A trait is given as its median or as {"median": …, "spread": …}; the spread is the SD between people on the
        trait's normal scale. Raises AgogicError for an unknown name or a value out of range.
        """
        self.name = name
        self._draft: dict[str, Any] = {}
        if base is not None:
            spread = {
                trait: dict(value) if isinstance(value, Mapping) else {"median": value}
                for trait, value in (traits or {}).items()
            }
            given: dict[str, Any] = {
                "name": name,
                "base": base,
                "about": about,
                "traits": spread,
                "constants": dict(constants or {}),
                "correlations": {first: dict(others) for first, others in (correlations or {}).items()},
                "dwell_family": dwell_family,
            }
            self._draft = {key: value for key, value in given.items() if value}
        elif traits or constants or correlations or dwell_family:
            raise ValueError("a built-in population cannot be changed in place; use changed(), or name its base")
        self._found: dict[str, Any] = json.loads(_agogic.population(self._parts()))

    @property
    def is_own(self) -> bool:
        """Whether it is one of your own."""
        return bool(self._draft)

    @property
    def about(self) -> str:
        """Who these people are, in a sentence."""
        return str(self._found["about"])

    @property
    def traits(self) -> pl.DataFrame:
        """Every trait: median, spread between people on the trait's normal scale, unit, and what it is."""
        return frame(self._found["traits"], ("name", "unit", "median", "spread", "about"))

    @property
    def register(self) -> pl.DataFrame:
        """Every number of the population with its provenance."""
        return frame(self._found["register"], ("name", "value", "unit"))

    @property
    def constants(self) -> dict[str, float]:
        """Numbers that are the same for all of its people."""
        return dict(self._found["constants"])

    def trait(self, name: str) -> tuple[float, float]:
        """Median and spread of a trait. Raises KeyError where there is none of that name."""
        for row in self._found["traits"]:
            if row["name"] == name:
                return (float(row["median"]), float(row["spread"]))
        known = ", ".join(row["name"] for row in self._found["traits"])
        raise KeyError(f"there is no trait `{name}` (known: {known})")

    def changed(
        self,
        name: str,
        *,
        traits: Mapping[str, float | Mapping[str, float]] | None = None,
        constants: Mapping[str, float] | None = None,
        correlations: Mapping[str, Mapping[str, float]] | None = None,
        dwell_family: str | None = None,
        about: str = "",
    ) -> Population:
        """The same people with other traits, under another name; this one stays as it is."""
        before = self._draft
        merged: dict[str, Any] = {trait: dict(value) for trait, value in before.get("traits", {}).items()}
        for trait, value in (traits or {}).items():
            merged.setdefault(trait, {}).update(value if isinstance(value, Mapping) else {"median": value})
        return Population(
            name,
            base=str(before.get("base", self.name)),
            about=about or str(before.get("about", "")),
            traits=merged,
            constants={**before.get("constants", {}), **(constants or {})},
            correlations={**before.get("correlations", {}), **(correlations or {})},
            dwell_family=dwell_family or before.get("dwell_family"),
        )

    @classmethod
    def from_toml(cls, text: str) -> Population:
        """A population from the text of a population file."""
        import tomllib

        draft = tomllib.loads(text)
        return cls(
            str(draft.get("name", "")),
            base=str(draft.get("base", "volunteers")),
            about=str(draft.get("about", "")),
            traits=draft.get("traits"),
            constants=draft.get("constants"),
            correlations=draft.get("correlations"),
            dwell_family=draft.get("dwell_family"),
        )

    def to_toml(self) -> str:
        """The text of a population file, every number with meaning, unit and provenance."""
        return _agogic.population_toml(self._parts(), self.name)

    def save(self, path: str | os.PathLike[str]) -> Path:
        """Writes a population file, which specs and commands can name."""
        out = Path(path)
        out.write_text(self.to_toml(), encoding="utf-8")
        return out

    def _parts(self) -> tuple[str, str | None, str]:
        """A spec whose only population this is, as the compiled half takes it."""
        spec: dict[str, Any] = {
            "name": "population",
            "seed": 1,
            "text": {"built_in": "tide-station"},
            "typists": {"populations": [self.name], "number": 2},
            "floor": {"typists": 0},
            "policy": [{"rule": "enclosed"}],
        }
        if self._draft:
            spec["population"] = [self._draft]
        return ("of the population", _agogic.spec_of_json(json.dumps(spec)), ".")

    def __repr__(self) -> str:
        base = f", base={self._draft['base']!r}" if self._draft else ""
        return f"Population({self.name!r}{base})"

    def _repr_html_(self) -> str:
        return f"<p><b>{self.name}</b>: {self.about}</p>{self.traits._repr_html_()}"


def table_of(people: Population) -> dict[str, Any]:
    """A population of one's own as the table of a spec."""
    return dict(people._draft)
