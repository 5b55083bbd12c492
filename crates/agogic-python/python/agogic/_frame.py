"""Tables from rows as the compiled half gives them."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

import polars as pl

#: Columns that hold text even where all of it is missing.
TEXTS: dict[str, Any] = {"minus": pl.String, "cautions": pl.String, "reason": pl.String, "caution": pl.String}


def frame(rows: Sequence[Mapping[str, Any]], first: Sequence[str] = ()) -> pl.DataFrame:
    """A data frame of rows with the columns `first` in front; the others follow in the order of the rows."""
    names = rows[0].keys() if rows else first
    texts = {name: kind for name, kind in TEXTS.items() if name in names}
    found = pl.DataFrame(list(rows), infer_schema_length=None, schema_overrides=texts)
    front = [name for name in first if name in found.columns]
    return found.select(*front, pl.exclude(front)) if front else found
