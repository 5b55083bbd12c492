"""What a study found: tables, figures and a page."""

from __future__ import annotations

import io
import json
import os
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from html import escape
from pathlib import Path
from typing import Any

import polars as pl

from . import _agogic
from ._error import AgogicError
from ._estimate import Estimate, of_row
from ._progress import Report, report_of


class Figure:
    """A picture as SVG, shown inline by notebooks."""

    def __init__(self, name: str, svg: str) -> None:
        self.name = name
        self.svg = svg

    def save(self, path: str | os.PathLike[str]) -> Path:
        """Writes the SVG."""
        out = Path(path)
        out.write_text(self.svg, encoding="utf-8")
        return out

    def _repr_svg_(self) -> str:
        return self.svg

    def __repr__(self) -> str:
        return f"Figure({self.name!r})"


@dataclass(frozen=True)
class Repeated:
    """Whether a result repeats byte by byte; `differences` has a line for each file that differs."""

    differences: tuple[str, ...]

    @property
    def same(self) -> bool:
        """Whether nothing differs."""
        return not self.differences

    def __bool__(self) -> bool:
        return self.same


class Result:
    """A result folder: what `agogic run`, `sweep` or `advise` writes, byte by byte, held in memory.

    `tables` has every table as a polars data frame; `.to_pandas()` and `.to_arrow()` of a frame lead on.
    """

    def __init__(self, folder: _agogic.Folder, rules: Sequence[dict[str, Any]] = ()) -> None:
        self._folder = folder
        self._rules = list(rules)
        self._tables: dict[str, pl.DataFrame] = {}

    @classmethod
    def open(cls, folder: str | os.PathLike[str]) -> Result:
        """Opens a result folder that a command or `save` wrote."""
        return cls(_agogic.open_folder(os.fspath(folder)))

    @property
    def kind(self) -> str:
        """The command it is of: `run`, `sweep`, `advise`, …"""
        return self._folder.kind

    @property
    def manifest(self) -> dict[str, Any]:
        """What was run, by what, and the hash of each file."""
        found: dict[str, Any] = json.loads(self._folder.manifest())
        return found

    @property
    def files(self) -> list[str]:
        """Names of its files."""
        return self._folder.names()

    def file(self, name: str) -> bytes:
        """The bytes of a file."""
        return self._folder.file(name)

    def table(self, name: str) -> pl.DataFrame:
        """A table by the name of its file, with or without its ending; Parquet comes before CSV."""
        stem = name.removesuffix(".parquet").removesuffix(".csv")
        if stem not in self._tables:
            self._tables[stem] = self._read(stem)
        return self._tables[stem]

    def _read(self, stem: str) -> pl.DataFrame:
        names = self.files
        if f"{stem}.parquet" in names:
            return pl.read_parquet(io.BytesIO(self.file(f"{stem}.parquet")))
        if f"{stem}.csv" in names:
            return pl.read_csv(io.BytesIO(self.file(f"{stem}.csv")), infer_schema_length=None)
        raise AgogicError(f"the result has no table `{stem}` (known: {', '.join(self.tables)})")

    @property
    def tables(self) -> Mapping[str, pl.DataFrame]:
        """Every table by its name."""
        stems = {name.rsplit(".", 1)[0] for name in self.files if name.endswith((".parquet", ".csv"))}
        return _Tables(self, sorted(stem for stem in stems if not stem.startswith("input-")))

    @property
    def estimates(self) -> pl.DataFrame:
        """All estimates of a run or a sweep: one row per arm, policy, group, estimand and statistic."""
        return self.table("results" if self.kind == "run" else "sweep")

    @property
    def typists(self) -> pl.DataFrame:
        """Counts of each typist under each policy."""
        return self.table("typists")

    @property
    def advice(self) -> list[dict[str, Any]]:
        """What to start from, arm by arm, as the folder has it."""
        found: list[dict[str, Any]] = json.loads(self.file("advice.json"))
        return found

    @property
    def cautions(self) -> list[dict[str, Any]]:
        """What to mind when reading the estimates."""
        found: list[dict[str, Any]] = json.loads(self.file("cautions.json"))
        return found

    @property
    def policies(self) -> list[str]:
        """Labels of the policies."""
        return list(self.manifest["policies"])

    @property
    def arms(self) -> list[str]:
        """Labels of the arms."""
        return [arm["label"] for arm in self.manifest["arms"]]

    def estimate(
        self,
        policy: str,
        estimand: str,
        *,
        arm: str | None = None,
        statistic: str = "pooled",
        group: str = "all",
        minus: str | None = None,
    ) -> Estimate:
        """One estimate of a run.

        `statistic` is `pooled`, `difference` (of `policy` minus another), `median_typist` and so on, as the table
        `estimates` has them; `arm` is the first if absent. Raises AgogicError where there is no such row.
        """
        wanted = {"policy": policy, "estimand": estimand, "statistic": statistic, "group": group}
        wanted["arm"] = arm or self.arms[0]
        if minus is not None:
            wanted["minus"] = minus
        rows = self.estimates.filter(*(pl.col(column) == value for column, value in wanted.items()))
        if rows.is_empty():
            for column, value in wanted.items():
                known = self.estimates[column].drop_nulls().unique(maintain_order=True).to_list()
                if value not in known:
                    raise AgogicError(f"there is no {column} `{value}` (known: {', '.join(map(str, known))})")
            raise AgogicError(f"the study has no estimate with {wanted}")
        return of_row(rows.row(0, named=True))

    @property
    def page(self) -> str:
        """The page of the result, HTML that needs nothing else."""
        return self.file("page.html").decode()

    @property
    def figures(self) -> dict[str, Figure]:
        """The figures of the folder by name."""
        names = [name for name in self.files if name.endswith(".svg")]
        return {name[:-4]: Figure(name[:-4], self.file(name).decode()) for name in names}

    def report(self, formats: Sequence[str] = ("svg",)) -> dict[str, bytes]:
        """What a paper needs, as `agogic report` writes it: page, tables (LaTeX, Markdown, CSV), methods, sources, figures.

        `formats` are those of the figures: `svg`, `pdf`, `png`.
        """
        return dict(self._folder.report(list(formats)))

    @property
    def methods(self) -> str:
        """The methods section of a run, in Markdown."""
        return self.report(())["methods.md"].decode()

    def save(self, folder: str | os.PathLike[str]) -> Path:
        """Writes the folder, whole or not at all. An earlier result there is replaced; anything else is refused."""
        self._folder.save(os.fspath(folder))
        return Path(folder)

    def repeat(self, *, progress: bool | Report | None = None) -> Repeated:
        """Runs the study again, with the same rules of your own, and compares byte by byte."""
        found = _agogic.repeat(self._folder, self._rules, report_of(progress, "typists"))
        return Repeated(tuple(found))

    def __repr__(self) -> str:
        manifest = self.manifest
        return (
            f"<{self.kind} of {manifest['study']!r}: {len(manifest['policies'])} policies, arms "
            f"{', '.join(self.arms)}, {len(self.files)} files>"
        )

    def _repr_html_(self) -> str:
        manifest = self.manifest
        head = f"<p><b>{escape(manifest['study'])}</b> {escape(manifest['question'])}</p>"
        figures = "".join(f"<div>{figure.svg}</div>" for figure in list(self.figures.values())[:1])
        return head + (self._summary_html() if self.kind == "run" else "") + figures

    def _summary_html(self) -> str:
        """The primary estimand of every policy."""
        primary = self.manifest["primary"]
        rows = self.estimates.filter(
            pl.col("estimand") == primary, pl.col("statistic") == "pooled", pl.col("group") == "all"
        ).to_dicts()
        level = f"{rows[0]['ci_level'] * 100:g} % intervals, unit: {rows[0]['resampling_unit']}" if rows else ""
        lines = [
            f"<tr><td>{escape(row['arm'])}</td><td>{escape(row['policy'])}</td>"
            f"<td>{escape(of_row(row).text(1))}</td><td>{escape(row['unit'])}</td></tr>"
            for row in rows
        ]
        head = f"<tr><th>arm</th><th>policy</th><th>{escape(primary.replace('_', ' '))}</th><th>unit</th></tr>"
        return f"<table>{head}{''.join(lines)}</table><p>{escape(level)}</p>"


class _Tables(Mapping[str, pl.DataFrame]):
    """Tables that are read when they are asked for."""

    def __init__(self, result: Result, names: list[str]) -> None:
        self._result = result
        self._names = names

    def __getitem__(self, name: str) -> pl.DataFrame:
        if name not in self._names:
            raise KeyError(name)
        return self._result.table(name)

    def __iter__(self) -> Iterator[str]:
        return iter(self._names)

    def __len__(self) -> int:
        return len(self._names)
