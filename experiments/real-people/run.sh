#!/usr/bin/env bash
# Makes the figures about people from open data sets in a local folder, and prints what rules make of these people
# beside what they make of simulated ones:
#
#   experiments/real-people/run.sh DATA [OUT]
#
# DATA holds the data sets as published (README.md says where each comes from); sets that are not there are passed over:
#   DATA/dhakal2018-sample/*_keystrokes.txt
#   DATA/monaco2018/free_text.csv
#   DATA/kuruvilla2024/*/*.log
# OUT gets the figures as JSON, by default where the program keeps them; what became of personal advice goes to
# experiments/real-people/advised. Rows of people never leave DATA.
set -euo pipefail
cd "$(dirname "$0")/../.."
data=$(realpath "${1:?name the folder with the data sets}")
out=${2:-crates/agogic-literature/data/people}
advised=experiments/real-people/advised
layouts=experiments/real-people/layouts
# The one default that `agogic advise` names for everybody.
one_default="dwell-cutoff 210, lull 50"
agogic() { cargo run --quiet --release -- "$@"; }
# Rows `names,edge,key,t_ns` of the edges that a log of kuruvilla2024 writes, one `P, 'a', 165...` a line.
edges() {
  sed -nE "s/^([PR]),[[:space:]]*(.+),[[:space:]]*([0-9]{16,})[[:space:]]*$/\1\t\2\t\3/p" |
    awk -F '\t' -v names="$1" '{
      key = $2
      if (key ~ /^Key\./) key = substr(key, 5)
      else { key = substr(key, 2, length(key) - 2); if (key == "\\\\") key = "\\"; if (key == "\"") key = "\"\"" }
      printf "%s,%s,\"%s\",%s\n", names, $1, key, $3
    }'
}
mkdir -p "$out" "$advised"
work=$(mktemp -d)
trap 'rm -rf "$work"' EXIT

if [ -d "$data/dhakal2018-sample" ]; then
  # One file of all people: the header of the first, then the rows of each.
  all=$work/dhakal2018-sample.tsv
  first=1
  for file in "$data"/dhakal2018-sample/*_keystrokes.txt; do
    if [ $first = 1 ]; then cat "$file"; else tail -n +2 "$file"; fi
    echo
    first=0
  done | LC_ALL=C grep -av '^$' > "$all"
  agogic people "$all" --layout $layouts/dhakal2018-sample.toml --name dhakal2018-sample --half calibration \
    --out "$out/dhakal2018-calibration.json"
  agogic people "$all" --layout $layouts/dhakal2018-sample.toml --name dhakal2018-sample --half held-out --learned \
    --out "$out/dhakal2018-held-out.json"
fi
if [ -f "$data/monaco2018/free_text.csv" ]; then
  agogic people "$data/monaco2018/free_text.csv" --layout $layouts/monaco2018.toml --name monaco2018 --whole --learned \
    --out "$out/monaco2018.json"
  agogic people "$data/monaco2018/free_text.csv" --layout $layouts/monaco2018.toml --name monaco2018 --whole --clock-ms 10 \
    --advised --beside "$one_default" --out "$advised/monaco2018.json"
fi
if [ -d "$data/kuruvilla2024" ]; then
  # The logs name neither person nor session, and write keys as Python does; the file's name is the person's number.
  all=$work/kuruvilla2024.csv
  echo "participant,edge,key,t_ns" > "$all"
  for file in "$data"/kuruvilla2024/*/*.log; do
    edges "$(basename "$file" .log)" < "$file"
  done >> "$all"
  agogic people "$all" --layout $layouts/kuruvilla2024.toml --name kuruvilla2024 --whole --learned \
    --clock-ms 1 \
    --out "$work/kuruvilla2024.json"
  # Three recordings of each person, one for each site they wrote on: personal advice on the first two, judged on the third.
  sessions=$work/kuruvilla2024-sessions.csv
  echo "participant,session,edge,key,t_ns" > "$sessions"
  for folder in "$data"/kuruvilla2024/*/; do
    person=$(basename "$folder")
    for file in "$folder"[fit]_"$person"_fpd*.csv; do
      # In the order in which they were made.
      printf '%s\t%s\n' "$(grep -m1 -oE '[0-9]{16,}' "$file" || echo 0)" "$file"
    done | sort -n | cut -f2 | while read -r file; do
      edges "$person,$(basename "$file" .csv)" < "$file"
    done
  done >> "$sessions"
  sed 's/^session = ""/session = "session"/' $layouts/kuruvilla2024.toml > "$work/kuruvilla2024-sessions.toml"
  agogic people "$sessions" --layout "$work/kuruvilla2024-sessions.toml" --name kuruvilla2024 --whole --clock-ms 1 \
    --advised --beside "$one_default" --out "$advised/kuruvilla2024.json"
fi
