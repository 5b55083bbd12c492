"""Specs of studies: a path, a TOML text, or a dict."""

from __future__ import annotations

import json
import os
from collections.abc import Mapping
from pathlib import Path
from typing import Any, TypeAlias, Union

from . import _agogic
from ._error import AgogicError
from ._population import Population, table_of

#: Name in messages, text, folder from which files are read.
Parts: TypeAlias = tuple[str, str | None, str]

#: A study: the path of a spec in TOML, its text, a dict of the same shape, or None for the built-in main study.
SpecLike: TypeAlias = Union[str, "os.PathLike[str]", Mapping[str, Any], Parts, None]


def parts(spec: SpecLike) -> Parts:
    """A spec as the compiled half takes it.

    A text is told from a path by a line break or a `=`. Files that a dict or a text names are read from the working
    folder, those of a path from its folder.
    """
    if spec is None:
        return ("built-in study", None, ".")
    if isinstance(spec, tuple):
        return spec
    if isinstance(spec, Mapping):
        return ("made from the dict", text_of(spec), ".")
    if isinstance(spec, str) and ("\n" in spec or "=" in spec):
        return ("given as text", spec, ".")
    path = Path(spec)
    try:
        text = path.read_text(encoding="utf-8")
    except (OSError, UnicodeDecodeError) as refused:
        raise AgogicError(f"failed to read the spec {path}: {refused}") from refused
    return (str(path), text, str(path.parent))


def text_of(spec: Mapping[str, Any]) -> str:
    """A dict as the text of a spec in TOML; populations that stand in it are written into it."""
    plain = _plain(spec)
    own = {people.name: table_of(people) for people in _populations(spec) if people.is_own}
    if own:
        plain["population"] = [*plain.get("population", []), *own.values()]
    try:
        written = json.dumps(plain, allow_nan=False)
    except (TypeError, ValueError) as refused:
        raise AgogicError(f"the spec cannot be written as TOML: {refused}") from refused
    return _agogic.spec_of_json(written)


def _populations(value: Any) -> list[Population]:
    if isinstance(value, Population):
        return [value]
    inner = value.values() if isinstance(value, Mapping) else value if isinstance(value, (list, tuple)) else ()
    return [people for item in inner for people in _populations(item)]


def _plain(value: Any) -> Any:
    """The same without populations, paths and missing values."""
    if isinstance(value, Population):
        return value.name
    if isinstance(value, Mapping):
        return {str(key): _plain(item) for key, item in value.items() if item is not None}
    if isinstance(value, (list, tuple)):
        return [_plain(item) for item in value]
    if isinstance(value, os.PathLike):
        return os.fspath(value)
    return value
