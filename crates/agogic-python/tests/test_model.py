"""Populations, the check against published values, and plans."""

import json
import subprocess
import tempfile
import unittest
from pathlib import Path

from common import COMMAND, SPEC, command

import agogic


class Model(unittest.TestCase):
    def test_populations_are_objects_with_changed_traits(self):
        slow = agogic.Population("slow")
        mine = slow.changed("slow-long", traits={"dwell_ms": 130, "interval_ms": {"spread": 0.2}})
        self.assertEqual(mine.trait("dwell_ms")[0], 130.0)
        self.assertEqual(mine.trait("dwell_ms")[1], slow.trait("dwell_ms")[1])
        self.assertEqual(mine.trait("interval_ms"), (slow.trait("interval_ms")[0], 0.2))
        again = mine.changed("slow-longer", traits={"dwell_ms": 150})
        self.assertEqual(again.trait("interval_ms"), mine.trait("interval_ms"))
        spec = {
            "name": "own-people",
            "seed": 3,
            "text": {"built_in": "tide-station"},
            "typists": {"populations": [slow, mine], "number": 10, "keys_each": 400},
            "floor": {"typists": 0},
            "policy": [{"rule": "dwell-cutoff", "values": {"cutoff_ms": 200}}],
        }
        result = agogic.run(spec)
        self.assertEqual(result.arms, ["slow", "slow-long"])
        policy = "dwell-cutoff 200"
        few, many = (result.estimate(policy, "false_holds", arm=arm).value for arm in result.arms)
        self.assertGreater(many, few, "who keeps keys down longer is over the cutoff more often")
        self.assertTrue(result.repeat())

    def test_a_population_is_saved_for_the_command_and_read_back(self):
        mine = agogic.Population("slow").changed("slow-long", traits={"dwell_ms": 130})
        with tempfile.TemporaryDirectory() as folder:
            path = mine.save(Path(folder) / "slow-long.toml")
            self.assertTrue(agogic.Population.from_toml(path.read_text()).traits.equals(mine.traits))
            spec = SPEC.replace('["volunteers", "slow"]', '["slow-long.toml"]')
            (Path(folder) / "own.toml").write_text(spec)
            command("run", "own.toml", "--out", "out", cwd=Path(folder))
            by_path = agogic.run(Path(folder) / "own.toml")
            self.assertEqual(by_path.file("results.json"), (Path(folder) / "out" / "results.json").read_bytes())

    def test_what_no_population_has_is_refused(self):
        with self.assertRaisesRegex(agogic.AgogicError, "quick"):
            agogic.Population("quick")
        with self.assertRaisesRegex(agogic.AgogicError, "dwel_ms"):
            agogic.Population("slow").changed("mine", traits={"dwel_ms": 1})
        with self.assertRaises(KeyError):
            agogic.Population("slow").trait("dwel_ms")

    def test_the_check_is_that_of_the_command(self):
        done = subprocess.run(
            [COMMAND, "--json", "check", "--typists", "50", "--seed", "2"], capture_output=True, text=True
        )
        self.assertIn(done.returncode, (0, 1), done.stderr)
        rows = json.loads(done.stdout)["rows"]
        mine = agogic.check(typists=50, seed=2)
        self.assertEqual(mine["id"].to_list(), [row["id"] for row in rows])
        self.assertEqual(mine["simulated"].to_list(), [row["simulated"] for row in rows])
        self.assertEqual(mine["verdict"].to_list(), [row["verdict"] for row in rows])

    def test_a_plan_is_that_of_the_command(self):
        with tempfile.TemporaryDirectory() as folder:
            (Path(folder) / "first.toml").write_text(SPEC)
            numbers = ["--minutes", "5", "--pool", "400", "--trials", "100"]
            said = json.loads(command("--json", "plan", "first.toml", *numbers, cwd=Path(folder)))
        mine = agogic.plan(SPEC, minutes=[5], pool=400, trials=100)
        self.assertEqual({key: mine.found[key] for key in said}, said)
        self.assertEqual(mine.rows.height, 1)
        with self.assertRaisesRegex(agogic.AgogicError, "`design`"):
            agogic.plan(SPEC, design="sideways", pool=400, trials=100)
