#!/usr/bin/env python3
"""What agogic is to reach in speed and memory, measured on this machine and printed as a table.

    cargo build --release
    python3 tests/reference/targets.py target/release/agogic [--large] [--build]

Wall clock needs a quiet machine; CPU time hardly. --large adds a thousand million keystrokes, --build the time of an
incremental build after a change of a policy. The load at the start is printed with the results.
"""

import os
import resource
import subprocess
import sys
import tempfile
import time
from pathlib import Path

ROOT = Path(__file__).resolve().parents[2]
POLICIES = """
[[policy]]
rule = "dwell-cutoff"
values = { cutoff_ms = 200 }
[[policy]]
rule = "dwell-cutoff"
values = { cutoff_ms = 250 }
[[policy]]
rule = "first-contact"
[[policy]]
rule = "enclosed"
[[policy]]
rule = "overlap-share"
values = { share = 0.8 }
[[policy]]
rule = "overlap-share"
values = { share = 0.6 }
[[policy]]
rule = "overlap-span"
values = { span_ms = 80 }
[[policy]]
rule = "overlap-span"
values = { span_ms = 40 }
"""


def study(folder, typists, keys):
    path = folder / f"study-{typists}-{keys}.toml"
    path.write_text(
        f'name = "targets"\nseed = 1\n[text]\nbuilt_in = "tide-station"\n[workload]\nshortcuts_per_1000_keys = 8\n'
        f"[typists]\nnumber = {typists}\nkeys_each = {keys}\n[floor]\ntypists = 0\n{POLICIES}"
    )
    return path


class Took:
    """Wall clock, CPU time and peak memory of a command."""

    def __init__(self, *command):
        start = time.monotonic()
        child = subprocess.Popen([str(c) for c in command], stdout=subprocess.DEVNULL)
        _, status, used = os.wait4(child.pid, 0)
        self.wall = time.monotonic() - start
        if status:
            sys.exit(f"{command} ended with {status}")
        self.cpu = used.ru_utime + used.ru_stime
        self.peak_mb = used.ru_maxrss / 1024


def main():
    agogic = Path(sys.argv[1]).resolve()
    print(f"load {os.getloadavg()[0]:.1f} on {os.cpu_count()} cores\n")
    line = lambda what, got, wanted: print(f"{what:<58}{got:<44}{wanted}", flush=True)
    with tempfile.TemporaryDirectory(prefix="agogic-targets-") as folder:
        folder = Path(folder)
        run = lambda path, threads: Took(agogic, "--threads", threads, "run", path, "--out", folder / "out")
        tiny = study(folder, 20, 500)
        fastest = min((run(tiny, 2) for _ in range(5)), key=lambda took: took.wall)
        line("small study, start to end", f"{fastest.wall:.2f} s, {fastest.cpu:.2f} s CPU", "first line in 0.2 s")
        for typists, keys in ((10_000, 13_600), (168_000, 810)):
            took = run(study(folder, typists, keys), 2)
            got = f"{took.wall:.1f} s, {took.cpu:.1f} s CPU, {took.peak_mb:.0f} MB"
            line(f"136 M keystrokes ({typists} typists), 8 policies, 2 cores", got, "20 s (40 s CPU), 300 MB")
        path = study(folder, 1_000, 15_000)
        one, two = run(path, 1), run(path, 2)
        line("2 cores against 1, 15 M keystrokes", f"{one.wall / two.wall:.2f} ({one.wall:.1f} s, {two.wall:.1f} s)", "1.8")
        shapes = [(100, 10_000), (1_000, 10_000), (10_000, 10_000), (4, 1_000_000)]
        if "--large" in sys.argv:
            shapes.append((100_000, 10_000))
        for typists, keys in shapes:
            took = run(study(folder, typists, keys), 2)
            what = f"peak memory, {typists * keys / 1e6:.0f} M keystrokes of {typists} typists"
            line(what, f"{took.peak_mb:.0f} MB, {took.wall:.1f} s, {took.cpu:.1f} s CPU", "300 MB, flat")
    if "--build" in sys.argv:
        (ROOT / "crates/agogic-policy/src/rules/enclosed.rs").touch()
        took = Took("cargo", "build", "--quiet", "--manifest-path", ROOT / "Cargo.toml")
        line("incremental build after a policy was touched", f"{took.wall:.1f} s, {took.cpu:.1f} s CPU", "15 s")
    print("\nStages and one policy more: cargo run --release -p agogic-score --example pace")
    print("Against numpy: tests/reference/compare_numpy.sh; kills: kills.sh; Slurm: slurm_here.sh")


main()
