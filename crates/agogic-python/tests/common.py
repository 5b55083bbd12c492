"""What several tests need."""

import os
import subprocess
from pathlib import Path

import numpy as np

import agogic

SPEC = """\
name = "first"
seed = 7
[text]
built_in = "tide-station"
[workload]
shortcuts_per_1000_keys = 20
[typists]
populations = ["volunteers", "slow"]
number = 24
keys_each = 600
[floor]
typists = 4
[[policy]]
rule = "dwell-cutoff"
values = { cutoff_ms = 200 }
[[policy]]
rule = "enclosed"
"""

COMMAND = os.environ.get("AGOGIC_COMMAND", "agogic")
SCRIPT = os.environ.get("AGOGIC_SCRIPT", "agogic")


def command(*arguments: str, program: str = COMMAND, cwd: Path | None = None) -> str:
    """What a command prints; it has to do its work."""
    done = subprocess.run([program, *arguments], cwd=cwd, capture_output=True, text=True, check=False)
    assert done.returncode == 0, done.stderr
    return done.stdout


class TwoKeys(agogic.Rule):
    """A hold when a second key joins the first, decided then."""

    name = "two-keys"

    def decide(self, encounter: agogic.Encounter) -> tuple[str, float]:
        contacts = encounter.contacts
        if len(contacts) > 1:
            return "hold", contacts[1].down_ms
        return "tap", encounter.dwell_ms


class Cutoff(agogic.Rule):
    """The built-in cutoff of 200 ms, encounter by encounter."""

    name = "own-cutoff"

    def decide(self, encounter: agogic.Encounter) -> tuple[str, float]:
        return ("hold", 200.0) if encounter.dwell_ms >= 200.0 else ("tap", encounter.dwell_ms)


class ManyCutoff(agogic.Rule):
    """The same by arrays."""

    name = "many-cutoff"

    def decide_many(self, encounters):  # type: ignore[no-untyped-def]
        hold = encounters.dwell_ms >= 200.0
        return hold, np.where(hold, 200.0, encounters.dwell_ms)
