#!/usr/bin/env bash
# Kills a run at random moments until it has been killed often enough, and compares what it ends with with a run left alone.
#
#   cargo build --release && tests/reference/kills.sh target/release/agogic 200
#   COMMAND=advise tests/reference/kills.sh target/release/agogic 50
#
# COMMAND may be run (which it is without), sweep, sensitivity, advise or robust.
# Half of the kills are SIGKILL, half SIGINT. No block may be lost: after a kill there are never fewer than before, until
# the run is done. As root it also fills a disk (a small tmpfs) and takes the right to write away (as nobody).
set -euo pipefail
agogic=$(realpath "${1:?name the program}")
kills=${2:-200}
command=${COMMAND:-run}
here=$(mktemp -d /tmp/agogic-kills.XXXXXX)
mounted=
tidy() {
  [ -z "$mounted" ] || umount "$mounted"
  rm -rf "$here"
}
trap tidy EXIT
cd "$here"
cat >study.toml <<SPEC
name = "killed"
seed = 21
[text]
built_in = "tide-station"
[typists]
populations = ["volunteers", "slow"]
number = ${TYPISTS:-700}
keys_each = 6000
[floor]
typists = 40
[[policy]]
rule = "enclosed"
[[policy]]
rule = "first-contact"
[[policy]]
rule = "overlap-share"
[[sweep]]
rule = "dwell-cutoff"
design = "grid"
over = { cutoff_ms = { from = 120, to = 220, steps = 6 } }
[sensitivity]
rule = "dwell-cutoff"
rows = 64
typists = 50
over = { cutoff_ms = { from = 120, to = 260 } }
traits = { dwell_ms = { from = 90, to = 130 } }
[advice]
objective = "wrong_keys"
limits = { tap_delay_p95 = 160 }
[robust]
typists = 60
points = 6
SPEC

# Exit code 1 is an answer: nothing meets what is asked, or an assumption breaks a conclusion.
job() { "$agogic" "$command" study.toml --out "$1" || [ $? = 1 ]; }

same() {
  for file in whole/*; do
    # The manifest knows when and how long.
    [ "$(basename "$file")" = manifest.json ] || cmp "$file" "$1/$(basename "$file")"
  done
}
blocks() { { find "$1.unfinished" -name '*.block' 2>/dev/null || true; } | wc -l; }

start=$(date +%s%N)
job whole >/dev/null
took_ms=$((($(date +%s%N) - start) / 1000000))
echo "left alone it takes $took_ms ms"

RANDOM=1
killed=0
finished=0
most=0
while [ "$killed" -lt "$kills" ]; do
  before=$(blocks parts)
  # A job in the background of a script would ignore SIGINT.
  env --default-signal=INT "$agogic" "$command" study.toml --out parts >/dev/null 2>&1 &
  child=$!
  # Any moment, from the start to after the end of a run; short waits are more frequent, so that few runs end in peace.
  wait_ms=$((RANDOM % (took_ms + 200)))
  [ $((RANDOM % 3)) -eq 0 ] || wait_ms=$((wait_ms / 8))
  sleep "$(printf '%d.%03d' $((wait_ms / 1000)) $((wait_ms % 1000)))"
  signal=KILL
  [ $((RANDOM % 2)) -eq 0 ] || signal=INT
  alive=yes
  kill -s $signal "$child" 2>/dev/null || alive=no
  code=0
  wait "$child" || code=$?
  if [ "$alive" = yes ] && [ "$code" -gt 128 ]; then
    killed=$((killed + 1))
    after=$(blocks parts)
    # A kill in the last moment comes when the results are in place and the blocks are being removed.
    if [ "$after" -lt "$before" ] && [ ! -e parts/manifest.json ]; then
      echo "blocks were lost: $before, then $after" >&2
      exit 1
    fi
    [ "$after" -le "$most" ] || most=$after
  else
    same parts
    finished=$((finished + 1))
    rm -rf parts
  fi
done
job parts >/dev/null 2>&1
same parts
echo "$killed kills, $finished runs ended in between, up to $most blocks kept; the bytes are those of a run left alone"

left=$(find . -mindepth 1 -maxdepth 1 | sort | tr '\n' ' ')
[ "$left" = "./parts ./study.toml ./whole " ] || { echo "left behind: $left" >&2; exit 1; }

"$agogic" "$command" study.toml --out twice >/dev/null &
child=$!
sleep 0.3
code=0
said=$("$agogic" "$command" study.toml --out twice 2>&1 >/dev/null) || code=$?
wait "$child" || [ $? = 1 ]
[ "$code" = 2 ] || { echo "a second run into the same folder was not refused: $code $said" >&2; exit 1; }
same twice
echo "a second run into the same folder is refused: $said"

# The other commands go on without keeping where there is no room for blocks, and say so only if their results do not fit.
[ "$command" = run ] || exit 0
if [ "$(id -u)" = 0 ] && mkdir full && mount -t tmpfs -o size=300k tmpfs full 2>/dev/null; then
  mounted=$here/full
  code=0
  said=$("$agogic" run study.toml --out full/results 2>&1 >/dev/null) || code=$?
  [ "$code" = 3 ] || { echo "a full disk was not noticed: $code $said" >&2; exit 1; }
  echo "a full disk: $said"
  mount -o remount,size=50M full
  echo "$(blocks full/results) blocks were kept"
  "$agogic" run study.toml --out full/results >/dev/null
  same full/results
  echo "with room the same command ends with the same bytes"
fi
if [ "$(id -u)" = 0 ]; then
  mkdir -m 555 shut
  chmod 755 "$here"
  cp "$agogic" "$here/program"
  code=0
  said=$(setpriv --reuid=65534 --regid=65534 --clear-groups "$here/program" run study.toml --out shut/results 2>&1) || code=$?
  [ "$code" = 3 ] || { echo "a folder without the right to write was not noticed: $code $said" >&2; exit 1; }
  echo "a read-only folder: $said"
fi
