"""Studies: run, swept, searched for advice."""

from __future__ import annotations

import os
from collections.abc import Sequence

from . import _agogic
from ._progress import Report, report_of
from ._result import Result
from ._rule import Rule, rules_parts
from ._spec import SpecLike, parts

_Path = str | os.PathLike[str]


def _out(out: _Path | None) -> str | None:
    return None if out is None else os.fspath(out)


def run(
    spec: SpecLike = None,
    *,
    rules: Rule | Sequence[Rule] = (),
    out: _Path | None = None,
    progress: bool | Report | None = None,
) -> Result:
    """Runs a study: synthetic typists, policies, error rates with intervals. The same bytes as `agogic run`.

    `spec` is a path, a TOML text, a dict of the same shape, or None for the built-in main study. `rules` of your own are
    compared beside those of the study. With `out` the folder is written too, and a run that was interrupted goes on
    from the blocks that it finished. `progress` is None (where somebody looks on), True, False, or a function of steps
    done and steps in all. Ctrl-C ends it within a second.

    Raises AgogicError with line and key of every mistake of the spec, before anything runs.
    """
    own = rules_parts(rules)
    return Result(_agogic.run(parts(spec), own, _out(out), report_of(progress, "typists")), own)


def sweep(spec: SpecLike = None, *, out: _Path | None = None, progress: bool | Report | None = None) -> Result:
    """Sweeps the rules of a study over whole ranges of their values; the front of the trade-off is the table `front`."""
    return Result(_agogic.sweep(parts(spec), _out(out), report_of(progress, "typists")))


def advise(spec: SpecLike = None, *, out: _Path | None = None, progress: bool | Report | None = None) -> Result:
    """Looks for the best setting that meets what the table [advice] of a spec asks, and confirms it on fresh typists.

    None is the built-in study of defaults. For the one person of a log see `advise_person`.
    """
    return Result(_agogic.advise(parts(spec), _out(out), report_of(progress, "settings × typists")))
