#!/usr/bin/env bash
# Runs every study of this folder and keeps a small part of each result in results/NAME: tables, answers, methods and the
# manifest, from which `agogic repeat` tells whether a run of one's own gives the same. Takes some minutes.
#   experiments/results.sh [NAME ...]        AGOGIC names the program; it is built if that is empty.
set -euo pipefail
here="$(cd "$(dirname "$0")" && pwd)"
if [ -z "${AGOGIC:-}" ]; then
  cargo build --release --quiet --manifest-path "$here/../Cargo.toml" -p agogic
  AGOGIC="$(cargo metadata --no-deps --format-version 1 --manifest-path "$here/../Cargo.toml" |
    sed 's/.*"target_directory":"\([^"]*\)".*/\1/')/release/agogic"
fi
work="$(mktemp -d)"
trap 'rm -rf "$work"' EXIT

keep() { # name: a small part of the result in $work/NAME
  local from="$work/$1" to="$here/results/$1"
  rm -rf "$to"
  mkdir -p "$to"
  cp "$from/manifest.json" "$to/"
  if [ -f "$from/listed.csv" ]; then
    cp "$from"/{listed,rules,whom,turns}.csv "$to/"
    # The page of the robustness analysis holds the advice and what other assumptions do to it.
    cp "$work/$1-robust/"{conclusions.csv,page.html} "$to/"
    return
  fi
  if [ -f "$from/front.csv" ]; then
    cp "$from/front.csv" "$to/"
    return
  fi
  "$AGOGIC" report "$from" --formats svg > /dev/null
  cp "$from/report/methods.md" "$to/"
  if [ -f "$from/report/tables/assignments.md" ]; then
    cp "$from/report/tables/assignments.md" "$to/"
  else
    cp "$from"/report/tables/policies-*.md "$to/"
  fi
  # Rules that learn, where that is what a study is about.
  if [[ "$1" == trained-on-* ]]; then
    cp "$from"/report/tables/trained-on-judged-on-*.md "$to/"
  fi
  # Rows that the table of policies has no column for.
  if grep -qE ',pooled_(rare|anytime),' "$from/results.csv"; then
    { head -n 1 "$from/results.csv"; grep -E ',pooled_(rare|anytime),' "$from/results.csv"; } > "$to/rows.csv"
  fi
}

cd "$here"
names=("$@")
if [ ${#names[@]} -eq 0 ]; then
  names=(*.toml)
fi
for name in "${names[@]}"; do
  name="${name%.toml}"
  command=run
  if grep -q '^\[\[sweep\]\]' "$name.toml"; then
    command=sweep
  fi
  if grep -q '^\[advice\]' "$name.toml"; then
    command=advise
  fi
  echo "$name: agogic $command"
  # Advice that nothing meets, and conclusions that an assumption breaks, exit with 1; that is information.
  "$AGOGIC" "$command" "$name.toml" --out "$work/$name" > /dev/null || [ $? -eq 1 ]
  if [ "$command" = advise ]; then
    "$AGOGIC" robust "$name.toml" --out "$work/$name-robust" > /dev/null || [ $? -eq 1 ]
  fi
  keep "$name"
done
