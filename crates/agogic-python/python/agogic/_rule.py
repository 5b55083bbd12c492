"""Rules of one's own."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from typing import Any

import numpy as np
import numpy.typing as npt

from . import _agogic
from ._agogic import Encounter

#: The role of a key that writes its letter.
TAP = "tap"
#: The role of a key that acts as its modifier.
HOLD = "hold"

#: Type of a column by the ending of its name.
_KINDS: dict[str, str] = {"_ms": "f8", "code": "i2", "previous": "i2", "hand": "i1", "_end": "i8"}


class Encounters:
    """Many presses of dual-role keys, each column an array with one entry per press.

    Times are in ms, NaN where they are not known. Codes are places in `agogic.CODES`, -1 for none; hands are 0 left,
    1 right, 2 either, -1 for none. `first_…` is of the first key that went down while the dual-role key was down. All
    contacts lie in one array after the other: those of press `i` end before `contact_end[i]` and begin where those of the
    press before end; `contact_of` tells the press of each. So do the carried keys, which were down already.
    """

    press_ms: npt.NDArray[np.float64]
    dwell_ms: npt.NDArray[np.float64]
    lull_ms: npt.NDArray[np.float64]
    since_same_key_ms: npt.NDArray[np.float64]
    code: npt.NDArray[np.int16]
    hand: npt.NDArray[np.int8]
    previous: npt.NDArray[np.int16]
    first_down_ms: npt.NDArray[np.float64]
    first_up_ms: npt.NDArray[np.float64]
    first_hand: npt.NDArray[np.int8]
    contact_end: npt.NDArray[np.int64]
    contact_code: npt.NDArray[np.int16]
    contact_hand: npt.NDArray[np.int8]
    contact_down_ms: npt.NDArray[np.float64]
    contact_up_ms: npt.NDArray[np.float64]
    carried_end: npt.NDArray[np.int64]
    carried_code: npt.NDArray[np.int16]
    carried_hand: npt.NDArray[np.int8]
    carried_down_ms: npt.NDArray[np.float64]
    carried_up_ms: npt.NDArray[np.float64]

    def __init__(self, arrays: _agogic.EncounterArrays) -> None:
        self._arrays = arrays

    def __len__(self) -> int:
        return len(self._arrays)

    def __getattr__(self, name: str) -> Any:
        # A column is made when it is asked for, and kept.
        if name not in Encounters.__annotations__:
            raise AttributeError(f"encounters have no column `{name}`")
        kind = next(kind for ending, kind in _KINDS.items() if name.endswith(ending))
        column: npt.NDArray[Any] = np.frombuffer(self._arrays.column(name), dtype=kind)
        self.__dict__[name] = column
        return column

    @property
    def contact_of(self) -> npt.NDArray[np.int64]:
        """The press that each contact is of."""
        return _owners(self.contact_end)

    @property
    def carried_of(self) -> npt.NDArray[np.int64]:
        """The press that each carried key is of."""
        return _owners(self.carried_end)


def _owners(ends: npt.NDArray[np.int64]) -> npt.NDArray[np.int64]:
    return np.repeat(np.arange(len(ends)), np.diff(ends, prepend=0))


class Rule:
    """A rule of your own: derive from it and write `decide`, `decide_many`, or both.

    >>> class TwoKeys(agogic.Rule):
    ...     "A hold when a second key joins the first, decided then."
    ...     name = "two-keys"
    ...
    ...     def decide(self, encounter):
    ...         contacts = encounter.contacts
    ...         if len(contacts) > 1:
    ...             return "hold", contacts[1].down_ms
    ...         return "tap", encounter.dwell_ms

    A rule is a pure function of the encounter and causal: what it decides after `t` ms may hang on nothing that happens
    later than `t`. `agogic.check_rule` tries that, and `run` and `replay` do so before they use it.
    """

    #: Name of the policy in tables; that of the class in small letters if empty.
    name: str = ""
    #: What it sees beside times: `timing` (and hands), `own-key`, or `keys`.
    sight: str = "timing"
    #: Guards around it, such as {"lull_ms": 150, "other_hand": True}.
    guards: Mapping[str, float | bool] = {}
    #: Label of the policy of the study that it is compared with; the first if None.
    versus: str | None = None

    def decide(self, encounter: Encounter) -> tuple[str, float]:
        """Role of the press, `tap` or `hold`, and when that is known, in ms after the press."""
        raise NotImplementedError

    def decide_many(self, encounters: Encounters) -> tuple[npt.ArrayLike, npt.ArrayLike]:
        """The same for many presses at once: whether each is a hold, and when that is known, in ms after the press."""
        raise NotImplementedError


def check_rule(rule: Rule, cases: int = 1000) -> None:
    """Holds a rule to what every rule must keep, on so many made-up presses, the same at every call.

    A decision stays whatever happens after it (causality); the same press gets the same decision, alone or among others;
    keys that go down together may come in any order; and nothing is used that the rule does not say it sees. Raises
    AgogicError with the first press on which one of these fails.
    """
    _agogic.check_rule(_parts(rule), cases)


def rules_parts(rules: Rule | Sequence[Rule]) -> list[dict[str, Any]]:
    """Rules as the compiled half takes them, each checked."""
    all_of_them: list[Any] = list(rules) if isinstance(rules, (list, tuple)) else [rules]
    for rule in all_of_them:
        check_rule(rule)
    return [_parts(rule) for rule in all_of_them]


def _parts(rule: Any) -> dict[str, Any]:
    one = _own(rule, "decide")
    many = _own(rule, "decide_many")
    if one is None and many is None:
        raise TypeError(f"{type(rule).__name__} is no rule: it has neither `decide` nor `decide_many`")
    return {
        "name": getattr(rule, "name", "") or _small(type(rule).__name__),
        "sight": getattr(rule, "sight", "timing"),
        "guards": dict(getattr(rule, "guards", {})),
        "versus": getattr(rule, "versus", None),
        "one": one,
        "many": None if many is None else _by_bytes(many),
    }


def _own(rule: Any, method: str) -> Callable[..., Any] | None:
    found = getattr(rule, method, None)
    inherited = getattr(type(rule), method, None) is getattr(Rule, method)
    return None if inherited or not callable(found) else found


def _small(name: str) -> str:
    """`TwoKeys` as `two-keys`."""
    return "".join(f"-{c.lower()}" if c.isupper() and place else c.lower() for place, c in enumerate(name))


def _by_bytes(many: Callable[..., Any]) -> Callable[[_agogic.EncounterArrays], tuple[bytes, bytes]]:
    def answer(arrays: _agogic.EncounterArrays) -> tuple[bytes, bytes]:
        holds, times = many(Encounters(arrays))
        holds = np.asarray(holds)
        if holds.dtype != np.bool_:
            raise TypeError(f"decide_many must say of each press whether it is a hold (True or False), not {holds.dtype}")
        shape = (len(arrays),)
        return (
            np.broadcast_to(holds, shape).tobytes(),
            np.broadcast_to(np.asarray(times, dtype=np.float64), shape).tobytes(),
        )

    return answer
