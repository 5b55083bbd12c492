"""The compiled half of the package; its functions take and give plain values, and the modules beside it make them handy."""

from collections.abc import Callable
from typing import Any, final

_Spec = tuple[str, str | None, str]
_Log = tuple[str | None, bytes | None, str, str | None]
_Progress = Callable[[int, int], None] | None

@final
class Contact:
    """Another key's press near a press of a dual-role key."""

    @property
    def code(self) -> str:
        """W3C code of the key."""

    @property
    def hand(self) -> str:
        """`left`, `right`, or `either` for a key that both thumbs may press."""

    @property
    def down_ms(self) -> float:
        """When it went down, in ms after the dual-role press; negative if it was down already."""

    @property
    def up_ms(self) -> float:
        """When it came up, in ms after the dual-role press."""

@final
class Encounter:
    """One press of a dual-role key with all that can bear on it.

    It also tells what happens after the decision, which a rule must not use.
    """

    @property
    def code(self) -> str:
        """W3C code of the dual-role key."""

    @property
    def hand(self) -> str:
        """Its hand."""

    @property
    def press_ms(self) -> float:
        """When it went down, in ms on the clock of the session."""

    @property
    def dwell_ms(self) -> float:
        """How long it was down, in ms."""

    @property
    def lull_ms(self) -> float | None:
        """Time since the press before, of any key, in ms; None for the first of a session."""

    @property
    def since_same_key_ms(self) -> float | None:
        """Time since the same key last came up, in ms; None when the session has not seen it before."""

    @property
    def previous(self) -> str | None:
        """Code of the press before; None for the first of a session."""

    @property
    def contacts(self) -> list[Contact]:
        """The keys that went down while this one was down, in order."""

    @property
    def carried(self) -> list[Contact]:
        """The keys that were still down when this one went down, in order."""

@final
class EncounterArrays:
    def __len__(self) -> int: ...
    def told(self) -> tuple[list[str], list[str], list[str]]: ...
    def column(self, name: str) -> bytes: ...

@final
class Folder:
    @property
    def kind(self) -> str: ...
    def names(self) -> list[str]: ...
    def file(self, name: str) -> bytes: ...
    def manifest(self) -> str: ...
    def save(self, out: str) -> None: ...
    def report(self, formats: list[str]) -> list[tuple[str, bytes]]: ...

def advise(spec: _Spec, out: str | None, progress: _Progress) -> Folder: ...
def advise_log(
    log: _Log,
    spec: _Spec,
    arm_label: str | None,
    now: str | None,
    false_hold_counts: float,
    least_gain: float,
    draws: int,
    progress: _Progress,
) -> str: ...
def check(typists: int, seed: int) -> str: ...
def check_rule(rule: dict[str, Any], cases: int) -> None: ...
def codes() -> list[str]: ...
def fit(
    log: _Log, people: tuple[str | None, _Spec | None], spec: _Spec | None, level: float, redraws: int, seed: int
) -> str: ...
def log_arrays(log: _Log, spec: _Spec, arm_label: str | None) -> EncounterArrays: ...
def log_events(log: _Log) -> bytes: ...
def main(args: list[str]) -> int: ...
def open_folder(path: str) -> Folder: ...
def plan(spec: _Spec, asked: dict[str, Any], progress: _Progress) -> str: ...
def population(spec: _Spec) -> str: ...
def population_toml(spec: _Spec, name: str) -> str: ...
def read_spec(spec: _Spec) -> tuple[str, list[str], list[str], int, str]: ...
def repeat(folder: Folder, rules: list[dict[str, Any]], progress: _Progress) -> list[str]: ...
def replay(log: _Log, spec: _Spec, arm_label: str | None, rules: list[dict[str, Any]]) -> str: ...
def run(spec: _Spec, rules: list[dict[str, Any]], out: str | None, progress: _Progress) -> Folder: ...
def simulate(
    spec: _Spec,
    arm_label: str | None,
    typists: int,
    typist: int | None,
    replicate: int,
    intents: bool,
    progress: _Progress,
) -> bytes: ...
def spec_of_json(json: str) -> str: ...
def sweep(spec: _Spec, out: str | None, progress: _Progress) -> Folder: ...
