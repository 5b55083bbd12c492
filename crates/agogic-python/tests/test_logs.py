"""Logs from Python: simulated, replayed, fitted, and drawn by a model of one's own."""

import json
import tempfile
import unittest
from pathlib import Path

import numpy as np
import polars as pl
from common import SPEC, Cutoff, ManyCutoff, command

import agogic


class Logs(unittest.TestCase):
    def setUp(self):
        place = tempfile.TemporaryDirectory()
        self.addCleanup(place.cleanup)
        self.folder = Path(place.name)
        (self.folder / "first.toml").write_text(SPEC)

    def test_simulated_logs_are_those_of_the_command(self):
        for more, arguments in (
            ({"typists": 2}, ["--typists", "2"]),
            ({"typist": 17, "replicate": 3}, ["--typist", "17", "--replicate", "3"]),
            ({"typist": 17, "arm": "slow", "intents": False}, ["--typist", "17", "--arm", "slow", "--without-intents"]),
        ):
            command("simulate", "first.toml", *arguments, "--out", "log.csv", cwd=self.folder)
            mine = agogic.simulate(SPEC, **more)
            self.assertEqual(mine.write_csv(), (self.folder / "log.csv").read_text())

    def test_one_replicate_is_what_the_study_judged(self):
        # The study counts presses of typist 5 as it judges them; so does the replay of that one session.
        result = agogic.run(SPEC)
        counts = result.typists.filter(
            pl.col("typist") == 5, pl.col("arm") == "volunteers", pl.col("policy") == "dwell-cutoff 200"
        ).row(0, named=True)
        replayed = agogic.replay(agogic.simulate(SPEC, typist=5), spec=SPEC)
        self.assertEqual(replayed.counts["holds"], counts["holds"])
        self.assertEqual(replayed.counts["taps"], counts["taps"])
        other = agogic.simulate(SPEC, typist=5, replicate=2)
        self.assertFalse(other.equals(agogic.simulate(SPEC, typist=5)))
        with self.assertRaisesRegex(agogic.AgogicError, "0 to 23"):
            agogic.simulate(SPEC, typist=24)

    def test_a_replay_is_that_of_the_command(self):
        log = agogic.simulate(SPEC, typists=2)
        log.write_csv(self.folder / "log.csv")
        said = command("--json", "replay", "log.csv", "--spec", "first.toml", cwd=self.folder)
        theirs = json.loads(said)["replay"]
        for mine in (
            agogic.replay(log, spec=SPEC),
            agogic.replay(self.folder / "log.csv", spec=SPEC),
            agogic.replay(log.to_pandas(), spec=SPEC),
        ):
            self.assertEqual(mine._found, theirs)
        own = mine.estimates.filter(pl.col("minus").is_null())
        self.assertEqual(own.height, len({row["estimand"] for row in theirs["rows"]}) * len(theirs["policies"]))
        self.assertIn("<table>", mine._repr_html_())

    def test_own_rules_are_replayed_beside_built_in_ones(self):
        log = agogic.simulate(SPEC, typists=1)
        found = agogic.replay(log, spec=SPEC, rules=[Cutoff(), ManyCutoff()])
        for estimand in ("false_holds", "missed_holds", "delay"):
            built_in = found.estimate("dwell-cutoff 200", estimand).value
            self.assertEqual(found.estimate("own-cutoff", estimand).value, built_in)
            self.assertEqual(found.estimate("many-cutoff", estimand).value, built_in)

    def test_encounters_tell_contacts_and_meaning(self):
        log = pl.DataFrame(
            {
                "session": ["1"] * 4,
                "participant": ["ada"] * 4,
                "t_us": [0, 90_000, 120_000, 190_000],
                "code": ["KeyF", "KeyI", "KeyF", "KeyI"],
                "edge": ["press", "press", "release", "release"],
                "intent": ["tap", None, None, None],
            }
        )
        found = agogic.encounters(log, spec=SPEC)
        self.assertEqual(found.height, 1)
        row = found.row(0, named=True)
        self.assertEqual((row["code"], row["hand"], row["dwell_ms"], row["meant"]), ("KeyF", "left", 120.0, "tap"))
        self.assertIsNone(row["lull_ms"])
        self.assertIsNone(row["previous"])
        self.assertEqual(row["contacts"], [{"code": "KeyI", "hand": "right", "down_ms": 90.0, "up_ms": 190.0}])
        self.assertEqual(row["carried"], [])

    def test_a_log_that_lacks_something_says_what(self):
        with self.assertRaisesRegex(agogic.AgogicError, "lacks the columns code, edge"):
            agogic.replay(pl.DataFrame({"session": ["1"], "participant": ["a"], "t_us": [0]}))
        with self.assertRaisesRegex(agogic.AgogicError, "nowhere.csv"):
            agogic.replay("nowhere.csv")
        with self.assertRaisesRegex(agogic.AgogicError, "no layout, and no file, `sideways`"):
            agogic.replay(agogic.simulate(SPEC), layout="sideways")
        with self.assertRaisesRegex(agogic.AgogicError, "several participants"):
            agogic.fit(agogic.simulate(SPEC, typists=2))

    def test_a_fit_is_that_of_the_command(self):
        log = agogic.simulate(SPEC, typists=1)
        log.write_csv(self.folder / "log.csv")
        theirs = json.loads(command("--json", "fit", "log.csv", "--redraws", "9", cwd=self.folder))["fit"]
        mine = agogic.fit(log, redraws=9)
        self.assertEqual(mine.found, theirs)
        dwell = mine.estimate("dwell_ms")
        self.assertLess(dwell.lo, dwell.value)
        self.assertEqual(dwell.level, 0.95)
        as_own = agogic.fit(log, redraws=0, population=agogic.Population("slow").changed("mine", traits={"dwell_ms": 99}))
        self.assertEqual(as_own.found["population"], "mine")

    def test_a_model_of_ones_own_is_judged(self):
        # Five typists whose taps last 80 ms and whose holds last 400 ms: a cutoff of 200 ms cannot err.
        generator = np.random.Generator(np.random.PCG64(3))
        rows = []
        for person in range(5):
            now = 0
            for press in range(60):
                hold = press % 6 == 0
                now += 700_000
                dwell = int(generator.normal(400_000 if hold else 80_000, 5_000))
                intent, target = ("hold", "KeyJ") if hold else ("tap", None)
                rows.append(("1", f"p{person}", now, "KeyF", "press", intent, target))
                rows.append(("1", f"p{person}", now + dwell, "KeyF", "release", None, None))
        draws = pl.DataFrame(rows, schema=agogic.EVENT_COLUMNS, orient="row")
        found = agogic.judge(draws, spec=SPEC, rules=Cutoff())
        self.assertEqual(found.counts["participants"], 5)
        self.assertEqual(found.estimate("own-cutoff", "false_holds").value, 0.0)
        self.assertEqual(found.estimate("own-cutoff", "missed_holds").value, 0.0)
        # No other key came down, so `enclosed` misses every hold.
        missed = found.estimate("enclosed", "missed_holds")
        self.assertEqual((missed.value, missed.resampling_unit), (100.0, "participant"))
        with self.assertRaisesRegex(agogic.AgogicError, "one typist"):
            agogic.judge(draws.filter(pl.col("participant") == "p1"), spec=SPEC)
        with self.assertRaisesRegex(agogic.AgogicError, "`intent`"):
            agogic.judge(draws.drop("intent", "target"), spec=SPEC)

    def test_advice_for_a_person(self):
        spec = SPEC.replace("keys_each = 600", "keys_each = 3000")
        advice = agogic.advise_person(agogic.simulate(spec, typist=1), spec=spec, draws=20, now="enclosed")
        self.assertTrue(advice.sentences)
        self.assertIn(advice.sentences[0], str(advice))
        self.assertEqual(advice.participant, "synthetic-1")
