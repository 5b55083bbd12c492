#!/usr/bin/env bash
# Draws the figures of the notebooks again; the README shows one of them: notebooks-md/figures.sh [FOLDER]
# Without a folder they replace those in the repository. AGOGIC names the program; it is built if that is empty.
set -euo pipefail
here="$(cd "$(dirname "$0")" && pwd)"
out="${1:-}"
if [ -z "${AGOGIC:-}" ]; then
  cargo build --release --quiet --manifest-path "$here/../Cargo.toml" -p agogic
  AGOGIC="$(cargo metadata --no-deps --format-version 1 --manifest-path "$here/../Cargo.toml" |
    sed 's/.*"target_directory":"\([^"]*\)".*/\1/')/release/agogic"
fi
figures="${out:-$here/figures}"
mkdir -p "$figures"
work="$(mktemp -d)"
trap 'rm -rf "$work"' EXIT
cd "$work"

study() { # notebook, study, figure of its report, name
  "$AGOGIC" run "$here/$1.in/$2.toml" > /dev/null
  "$AGOGIC" report "results/$2" --formats svg > /dev/null
  cp "results/$2/report/figures/$3-two-column.svg" "$figures/$4.svg"
}
study which-default default trade-off-volunteers which-default
study lull-guard lull differences-volunteers lull-guard
study whom-it-fails whom who-false-holds-by-rollover-volunteers whom-it-fails
study how-sure more differences-volunteers how-sure
# A check whose rows miss exits with 1; that is information.
"$AGOGIC" check --typists 200 --figure "$figures/literature.svg" > /dev/null || [ $? -eq 1 ]
"$AGOGIC" picture --population trained --typist 117 --out "$figures/one-press.svg" > /dev/null
