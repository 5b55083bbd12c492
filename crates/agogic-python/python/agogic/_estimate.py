"""An estimate with everything needed to judge it."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Any


@dataclass(frozen=True)
class Estimate:
    """A number with its error and interval.

    A missing number is None, never zero, and `reason` says why. `lo` and `hi` are the limits of the interval at `level`
    made by `method`; `resampling_unit` is what is counted in `n`. `mcse` is the standard error over repetitions of the
    sampling of units, in a simulation the Monte Carlo error. `cautions` say what to mind when reading the interval.
    """

    value: float | None
    unit: str
    lo: float | None
    hi: float | None
    mcse: float | None
    level: float
    method: str
    resampling_unit: str
    n: int
    cautions: tuple[str, ...] = field(default=())
    reason: str | None = None

    @property
    def interval(self) -> tuple[float, float] | None:
        """Both limits; None where one is missing."""
        return None if self.lo is None or self.hi is None else (self.lo, self.hi)

    def text(self, digits: int = 2) -> str:
        """As people read it: `1.25 (0.50 to 2.00)`, `1.25 (no interval)` or `unknown`."""
        if self.value is None:
            return "unknown"
        if self.interval is None:
            return f"{self.value:.{digits}f} (no interval)"
        return f"{self.value:.{digits}f} ({self.interval[0]:.{digits}f} to {self.interval[1]:.{digits}f})"

    def __str__(self) -> str:
        known = f"{self.text()} {self.unit}".strip()
        how = f"{self.level * 100:g} %, {self.method}, unit: {self.resampling_unit}, n = {self.n}"
        why = f"; {self.reason}" if self.reason else ""
        cautions = f"; caution: {' '.join(self.cautions)}" if self.cautions else ""
        return f"{known} [{how}{why}{cautions}]"

    def _repr_html_(self) -> str:
        from html import escape

        return f"<p>{escape(str(self))}</p>"


def of_row(row: Mapping[str, Any]) -> Estimate:
    """The estimate of a row of a table of estimates."""
    cautions = row.get("cautions")
    return Estimate(
        value=row["estimate"],
        unit=row.get("unit") or "",
        lo=row["ci_lo"],
        hi=row["ci_hi"],
        mcse=row["estimate_mcse"],
        level=row["ci_level"],
        method=row["ci_method"],
        resampling_unit=row["resampling_unit"],
        n=row["n"],
        cautions=(cautions,) if cautions else (),
        reason=row["reason"],
    )


def flat(estimate: Mapping[str, Any]) -> dict[str, Any]:
    """An estimate as JSON has it, as columns of a table of estimates."""
    cautions = [str(caution.get("kind", caution)).replace("_", " ") for caution in estimate.get("cautions", [])]
    return {
        "estimate": estimate["value"],
        "estimate_mcse": estimate["mcse"],
        "ci_lo": estimate["lo"],
        "ci_hi": estimate["hi"],
        "ci_level": estimate["level"],
        "ci_method": estimate["method"],
        "resampling_unit": estimate["unit"],
        "n": estimate["n"],
        "cautions": "; ".join(cautions) or None,
        "reason": estimate["reason"],
    }
