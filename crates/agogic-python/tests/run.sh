#!/usr/bin/env bash
# The wheel and the source distribution, each tried in a fresh virtual environment, with types and notebooks. What it builds
# lies in target/python and is used again. The command whose results the module has to repeat is AGOGIC_COMMAND, the
# workspace's debug binary if absent.
set -euo pipefail
cd "$(dirname "$0")/.."
root="$(cd ../.. && pwd)"
export CARGO_TARGET_DIR="$root/target/python"
export AGOGIC_COMMAND="${AGOGIC_COMMAND:-$root/target/debug/agogic}"
export PIP_DISABLE_PIP_VERSION_CHECK=1 PIP_ROOT_USER_ACTION=ignore
work="$(mktemp -d)"
trap 'rm -rf "$work"' EXIT

python3 -m venv "$work/build"
"$work/build/bin/pip" install -q "maturin>=1.9,<2"
# Two commands: in one, the wheel would be built from the source distribution in a folder of its own, everything anew.
PATH="$work/build/bin:$PATH" maturin build --release --interpreter "$work/build/bin/python" --out "$work/dist"
PATH="$work/build/bin:$PATH" maturin sdist --out "$work/dist" 2>/dev/null

# A fresh environment with what is named, in which all tests pass.
try_in() {
  local place="$work/$1"
  python3 -m venv "$place"
  "$place/bin/pip" install -q "$2" pandas pyarrow
  (cd tests && AGOGIC_SCRIPT="$place/bin/agogic" "$place/bin/python" -W error::SyntaxWarning -m unittest -b)
}

try_in wheel "$(echo "$work"/dist/*.whl)"
"$work/wheel/bin/pip" install -q mypy
(cd "$work" && wheel/bin/mypy --strict -p agogic && wheel/bin/mypy --strict "$root/crates/agogic-python/tests/typed_use.py")
"$work/wheel/bin/python" tests/notebooks.py "$root"/notebooks-md/*-in-python.md

# Always at one place and with the times of unchanged files kept, so that only what changed is built again.
source="$CARGO_TARGET_DIR/sdist"
mkdir -p "$work/source" "$source"
tar xzmf "$(echo "$work"/dist/*.tar.gz)" -C "$work/source" --strip-components 1
(cd "$source" && find . -type f) | while read -r name; do
  [ -f "$work/source/$name" ] || rm "$source/$name"
done
(cd "$work/source" && find . -type f) | while read -r name; do
  cmp -s "$work/source/$name" "$source/$name" || install -D -m 644 "$work/source/$name" "$source/$name"
done
# Pages name the lock file that they were built with. That of the workspace does not lie here, so the command is its own.
AGOGIC_COMMAND="$work/sdist/bin/agogic" try_in sdist "$source"
