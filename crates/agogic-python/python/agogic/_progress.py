"""Progress of long work: a line on a terminal, a bar in a notebook, nothing elsewhere."""

from __future__ import annotations

import sys
import time
from collections.abc import Callable
from typing import Any

#: What takes steps done, and steps in all (0 where that is not known).
Report = Callable[[int, int], None]


def report_of(progress: bool | Report | None, what: str) -> Report | None:
    """The function that shows progress.

    `None` shows it where somebody looks on, a terminal or a notebook; `True` always, `False` never. A function of one's
    own is called with steps done and steps in all.
    """
    if callable(progress):
        return progress
    if progress is False:
        return None
    display = _notebook_display()
    if display is not None:
        return _Notebook(display, what)
    if progress is True or sys.stderr.isatty():
        return _Terminal(what)
    return None


def _notebook_display() -> Any:
    """IPython's module for output, where this runs in a notebook and not in a terminal."""
    shell = sys.modules.get("IPython")
    own = shell.get_ipython() if shell is not None else None
    if own is None or not hasattr(own, "kernel"):
        return None
    from IPython import display  # type: ignore[import-not-found,unused-ignore]

    return display


def _left(began: float, done: int, total: int) -> str:
    if not 0 < done < total:
        return ""
    return f", {(time.monotonic() - began) * (total - done) / done:.0f} s to go"


class _Terminal:
    """One line on standard error that is written over."""

    def __init__(self, what: str) -> None:
        self.what = what
        self.began = time.monotonic()

    def __call__(self, done: int, total: int) -> None:
        of = f"/{total}" if total else ""
        line = f"{done}{of} {self.what}{_left(self.began, done, total)}"
        over = bool(total) and done >= total
        sys.stderr.write("\r\x1b[K" + ("" if over else line))
        sys.stderr.flush()


class _Notebook:
    """A bar of HTML that is drawn over, and taken away at the end."""

    def __init__(self, display: Any, what: str) -> None:
        self.html = display.HTML
        self.what = what
        self.began = time.monotonic()
        self.handle = display.display(self.html(""), display_id=True)

    def __call__(self, done: int, total: int) -> None:
        if total and done >= total:
            self.handle.update(self.html(""))
            return
        bar = f'<progress max="{total}" value="{done}"></progress> ' if total else ""
        of = f"/{total}" if total else ""
        self.handle.update(self.html(f"{bar}{done}{of} {self.what}{_left(self.began, done, total)}"))
