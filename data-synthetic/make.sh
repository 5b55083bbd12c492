#!/usr/bin/env bash
# Makes the synthetic logs again, byte for byte; tests compare them with what the same commands give.
set -euo pipefail
cd "$(dirname "$0")/.."

for log in prompted-volunteer slow-typist; do
  options=()
  [ "$log" = slow-typist ] && options=(--without-intents)
  cargo run --release --quiet -- simulate "data-synthetic/logs/$log.toml" "${options[@]}" --out "data-synthetic/logs/$log.csv"
done
cargo run --quiet -p agogic-log --example planted_defects > data-synthetic/logs/laid-out-otherwise.tsv
