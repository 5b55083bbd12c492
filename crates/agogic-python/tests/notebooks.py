"""Runs the Python of notebooks in Markdown, block by block, and holds what it prints to what stands there.

A block ```python is run; a block ```text right after it is what it has to print, where `[..]` stands for anything in a line.
With --write the text is replaced by what is printed today.
"""

import contextlib
import io
import os
import re
import sys
import tempfile
from pathlib import Path

BLOCK = re.compile(r"```python\n(?P<code>.*?)```\n(?P<said>\n```text\n(?P<text>.*?)```\n)?", re.DOTALL)


def agrees(said: str, wanted: str) -> bool:
    pattern = ".*".join(re.escape(part) for part in wanted.split("[..]"))
    return re.fullmatch(pattern, said) is not None


def run(path: Path, write: bool) -> bool:
    """Whether a notebook does what it says."""
    os.environ.setdefault("POLARS_FMT_MAX_COLS", "8")
    source, names, good = path.read_text(encoding="utf-8"), {"__name__": "__main__"}, True
    parts, last = [], 0
    for block in BLOCK.finditer(source):
        said = io.StringIO()
        with contextlib.redirect_stdout(said):
            line = source[: block.start()].count("\n") + 1
            exec(compile("\n" * line + block["code"], str(path), "exec"), names)  # noqa: S102
        wanted = block["text"] or ""
        if not agrees(said.getvalue(), wanted):
            good = write
            if not write:
                print(f"{path}:{line}: prints\n{said.getvalue()}\nand not\n{wanted}", file=sys.stderr)
        text = f"\n```text\n{said.getvalue()}```\n" if said.getvalue() else ""
        parts += [source[last : block.start()], f"```python\n{block['code']}```\n", text]
        last = block.end()
    if write:
        path.write_text("".join([*parts, source[last:]]), encoding="utf-8")
    return good


def main() -> int:
    write = "--write" in sys.argv
    paths = [Path(name).resolve() for name in sys.argv[1:] if name != "--write"]
    if not paths:
        print("name a notebook", file=sys.stderr)
        return 2
    here = os.getcwd()
    good = True
    for path in paths:
        with tempfile.TemporaryDirectory() as folder:
            os.chdir(folder)
            try:
                good = run(path, write) and good
            finally:
                os.chdir(here)
    return 0 if good else 1


if __name__ == "__main__":
    sys.exit(main())
