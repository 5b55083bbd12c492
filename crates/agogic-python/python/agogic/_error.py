"""The one exception of the package."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass


@dataclass(frozen=True)
class Mistake:
    """One mistake in a text such as a spec.

    `line` counts from 1 and is None for what was not read from a text; `key` is the dotted path of the key, empty when
    the text is no TOML; `message` says what is wrong and how to mend it.
    """

    line: int | None
    key: str
    message: str

    def __str__(self) -> str:
        line = "" if self.line is None else f"line {self.line}: "
        key = f"`{self.key}`: " if self.key else ""
        return f"{line}{key}{self.message}"


class AgogicError(Exception):
    """What a call refuses: the message says what is wrong, where, and how to mend it.

    `mistakes` holds every mistake of a text with line and key; it is empty where the error is about no text.
    """

    def __init__(self, message: str, mistakes: Sequence[tuple[int | None, str, str]] = ()) -> None:
        super().__init__(message)
        self.mistakes: list[Mistake] = [Mistake(*mistake) for mistake in mistakes]
