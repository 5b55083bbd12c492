#!/usr/bin/env bash
# The same simulation and eight policies in agogic and in numpy: do they agree, and which is faster by how much?
#
#   cargo build --release
#   pip install numpy
#   tests/reference/compare_numpy.sh target/release/agogic [TYPISTS] [KEYS]
#
# Both run on one core; CPU time is compared, so that other work on the machine matters less. agogic does more in its time:
# the text at the host, causes, harm, intervals, files. The typists are the same on both sides and only their presses differ,
# so rates agree when they differ by less than five standard errors of a difference between so many independent presses
# (two-sided error below 1e-6 for each), widened by half for presses of one typist that hang together.
set -euo pipefail
agogic=$(realpath "${1:?name the program}")
typists=${2:-2000}
keys=${3:-4000}
root=$(realpath "$(dirname "$0")/../..")
here=$(mktemp -d /tmp/agogic-numpy.XXXXXX)
trap 'rm -rf "$here"' EXIT
seed=31
(cd "$root" && cargo run --release --quiet -p agogic-typist --example model_as_json -- \
  "$typists" $seed tests/reference/numpy_text.txt) >"$here/model.json"
cp "$root/tests/reference/numpy_text.txt" "$here/text.txt"
cat >"$here/study.toml" <<SPEC
name = "numpy"
seed = $seed
[text]
file = "text.txt"
[keyboard]
board = "row-staggered"
resting = ["Meta", "Alt", "Control", "Shift"]
[workload]
shortcuts_per_1000_keys = 0
[clock]
like = "exact"
[typists]
population = "volunteers"
number = $typists
keys_each = $keys
[floor]
typists = 0
SPEC
policy() {
  printf '[[policy]]\nrule = "%s"\n' "$1" >>"$here/study.toml"
  [ $# -eq 1 ] || printf 'values = { %s }\n' "$2" >>"$here/study.toml"
}
policy dwell-cutoff "cutoff_ms = 200"
policy dwell-cutoff "cutoff_ms = 250"
policy first-contact
policy enclosed
policy overlap-share "share = 0.8"
policy overlap-share "share = 0.6"
policy overlap-span "span_ms = 80"
policy overlap-span "span_ms = 40"

# OpenBLAS has no part in this; one thread all the same.
cd "$here"
export OMP_NUM_THREADS=1 OPENBLAS_NUM_THREADS=1
python3 - "$agogic" "$root/tests/reference/numpy_study.py" "$keys" <<'PY'
import json, math, resource, subprocess, sys
agogic, script, keys = sys.argv[1:]
def cpu():
    used = resource.getrusage(resource.RUSAGE_CHILDREN)
    return used.ru_utime + used.ru_stime
before = cpu()
subprocess.run([agogic, "--threads", "1", "run", "study.toml", "--out", "out"], check=True, stdout=subprocess.DEVNULL)
own = cpu() - before
told = subprocess.run([sys.executable, script, "model.json", keys, "7"], check=True, capture_output=True, text=True)
other = json.loads(told.stdout)
rows = json.load(open("out/results.json"))
worst = 0.0
print(f"{'policy':<20}{'estimand':<14}{'agogic':>10}{'numpy':>10}{'difference':>12}{'in s.e.':>9}")
for row in rows:
    if row["statistic"] != "pooled" or row["group"] != "all" or row["estimand"] not in ("false_holds", "missed_holds", "tap_delay"):
        continue
    numpy = other["rates"][row["policy"]][row["estimand"]]
    value, rates = row["estimate"]["value"], other["rates"][row["policy"]]
    if row["estimand"] == "tap_delay":
        error = rates["tap_delay_sd"] / math.sqrt(rates["taps"])
    else:
        scale, n = (1000, rates["taps"]) if row["estimand"] == "false_holds" else (100, rates["holds"])
        share = max((value + numpy) / 2 / scale, 1 / n)
        error = scale * math.sqrt(share * (1 - share) / n)
    z = (value - numpy) / (1.5 * math.sqrt(2) * error)
    worst = max(worst, abs(z))
    print(f"{row['policy']:<20}{row['estimand']:<14}{value:>10.3f}{numpy:>10.3f}{value - numpy:>12.3f}{z:>9.2f}")
n = other["keystrokes"]
print(f"\nagogic, whole command: {own:.2f} s CPU, {1e9 * own / n:.0f} ns per keystroke")
parts = ", ".join(f"{k[:-2]} {other[k]:.1f}" for k in ("sequences_s", "times_s", "policies_s"))
print(f"numpy {other['numpy']}, without start: {other['cpu_s']:.2f} s CPU ({parts}), {1e9 * other['cpu_s'] / n:.0f} ns per keystroke")
print(f"ratio {other['cpu_s'] / own:.1f}, {n} keystrokes, 8 policies")
if worst > 5:
    sys.exit(f"the two differ by {worst:.1f} standard errors")
PY
