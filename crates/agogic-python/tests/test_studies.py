"""Studies from Python are those of the command, byte by byte."""

import json
import subprocess
import tempfile
import tomllib
import unittest
from pathlib import Path

import polars as pl
from common import COMMAND, SCRIPT, SPEC, command

import agogic


class Studies(unittest.TestCase):
    @classmethod
    def setUpClass(cls):
        cls.result = agogic.run(SPEC)

    def setUp(self):
        place = tempfile.TemporaryDirectory()
        self.addCleanup(place.cleanup)
        self.folder = Path(place.name)
        (self.folder / "first.toml").write_text(SPEC)

    def test_a_run_is_that_of_the_command_and_of_the_script(self):
        for program in ({}, {"program": SCRIPT}):
            command("run", "first.toml", "--out", "out", cwd=self.folder, **program)
            theirs = {path.name: path.read_bytes() for path in (self.folder / "out").iterdir()}
            manifest = json.loads(theirs.pop("manifest.json"))
            self.assertEqual(sorted(theirs), self.result.files)
            for name, content in theirs.items():
                self.assertEqual(self.result.file(name), content, name)
            self.assertEqual(manifest["files_sha256"], self.result.manifest["files_sha256"])
            self.assertEqual(manifest["spec_sha256"], self.result.manifest["spec_sha256"])

    def test_what_is_saved_is_opened_again_and_the_command_repeats_it(self):
        out = self.result.save(self.folder / "mine")
        again = agogic.open_result(out)
        self.assertTrue(again.estimates.equals(self.result.estimates))
        self.assertIn("The same", command("repeat", str(out)))
        self.assertTrue(again.repeat())

    def test_an_edited_file_is_found_by_repeat(self):
        out = self.result.save(self.folder / "mine")
        (out / "results.csv").write_text("arm\n")
        repeated = agogic.open_result(out).repeat()
        self.assertFalse(repeated)
        self.assertTrue(any("results.csv" in line for line in repeated.differences), repeated)

    def test_a_path_a_text_and_a_dict_are_the_same_study(self):
        from_path = agogic.run(self.folder / "first.toml")
        from_dict = agogic.run(tomllib.loads(SPEC))
        self.assertEqual(from_path.file("results.parquet"), self.result.file("results.parquet"))
        self.assertEqual(from_dict.file("results.parquet"), self.result.file("results.parquet"))

    def test_estimates_carry_what_one_needs_to_judge_them(self):
        found = self.result.estimate("enclosed", "missed_holds", arm="slow")
        row = self.result.estimates.row(
            by_predicate=(pl.col("arm") == "slow")
            & (pl.col("policy") == "enclosed")
            & (pl.col("estimand") == "missed_holds")
            & (pl.col("statistic") == "pooled")
            & (pl.col("group") == "all"),
            named=True,
        )
        self.assertEqual((found.value, found.lo, found.hi), (row["estimate"], row["ci_lo"], row["ci_hi"]))
        self.assertEqual((found.level, found.resampling_unit, found.unit), (0.95, "typist", "per 100 holds"))
        self.assertTrue(found.cautions and "one text" in found.cautions[0], found)
        self.assertLess(found.lo, found.value)
        self.assertGreater(found.mcse, 0.0)
        difference = self.result.estimate("enclosed", "wrong_keys", statistic="difference")
        self.assertIsNotNone(difference.interval)
        with self.assertRaisesRegex(agogic.AgogicError, "no policy `enclosd`"):
            self.result.estimate("enclosd", "wrong_keys")

    def test_unknown_is_null_with_a_reason_and_not_zero(self):
        # In a text without capitals and shortcuts no key is held, so no hold can be missed.
        spec = SPEC.replace('built_in = "tide-station"', 'words = "the tide turns at noon and the lamp is lit."')
        result = agogic.run(spec.replace("shortcuts_per_1000_keys = 20", "shortcuts_per_1000_keys = 0"))
        unknown = result.estimates.filter(pl.col("estimate").is_null(), pl.col("statistic") == "pooled")
        self.assertGreater(unknown.height, 0)
        self.assertTrue(unknown["reason"].is_not_null().all())

    def test_tables_lead_on_to_pandas_and_arrow(self):
        frame = self.result.estimates.to_pandas()
        self.assertEqual(len(frame), self.result.estimates.height)
        self.assertEqual(self.result.typists.to_arrow().num_rows, self.result.typists.height)
        self.assertEqual(
            set(self.result.tables), {"results", "typists", "kinds", "hands", "floor"}
        )

    def test_figures_page_and_paper(self):
        self.assertIn("</html>", self.result.page)
        for figure in self.result.figures.values():
            self.assertTrue(figure._repr_svg_().startswith("<svg") or "<svg" in figure.svg[:200])
        shown = self.result._repr_html_()
        self.assertIn("dwell-cutoff 200", shown)
        self.assertIn("<svg", shown)
        report = self.result.report(["svg", "pdf"])
        self.assertIn("methods.tex", report)
        self.assertTrue(any(name.endswith(".pdf") for name in report))
        self.assertIn("24", self.result.methods)

    def test_every_mistake_comes_with_line_and_key(self):
        wrong = SPEC.replace('rule = "enclosed"', 'rule = "enclosd"').replace("number = 24", "number = -1")
        with self.assertRaises(agogic.AgogicError) as caught:
            agogic.run(wrong)
        places = {(mistake.line, mistake.key) for mistake in caught.exception.mistakes}
        line = 1 + wrong.splitlines().index('rule = "enclosd"')
        self.assertIn((line, "policy[2].rule"), places)
        self.assertIn((1 + wrong.splitlines().index("number = -1"), "typists.number"), places)
        self.assertIn("did you mean `enclosed`?", str(caught.exception))

    def test_what_is_no_spec_is_refused(self):
        with self.assertRaisesRegex(agogic.AgogicError, "failed to read the spec nowhere.toml"):
            agogic.run("nowhere.toml")
        with self.assertRaisesRegex(agogic.AgogicError, "cannot be written as TOML"):
            agogic.run({"name": object()})
        (self.folder / "taken").mkdir()
        (self.folder / "taken" / "a.txt").write_text("mine")
        with self.assertRaisesRegex(agogic.AgogicError, "taken"):
            self.result.save(self.folder / "taken")

    def test_with_out_the_folder_is_written_and_progress_is_told(self):
        seen = []
        result = agogic.run(SPEC, out=self.folder / "out", progress=lambda done, total: seen.append((done, total)))
        self.assertEqual((self.folder / "out" / "results.json").read_bytes(), result.file("results.json"))
        self.assertEqual(seen[-1], (56, 56), "24 typists and 4 watched ones in two arms")

    def test_sweep_and_advice_are_those_of_the_command(self):
        spec = SPEC + (
            '[[sweep]]\nrule = "dwell-cutoff"\nover = { cutoff_ms = { from = 150, to = 250, steps = 3 } }\n'
            '[advice]\nobjective = "false_holds"\nlimits = { missed_holds = 90 }\nsearch_typists = 20\n'
            "confirm_typists = 50\n"
        )
        (self.folder / "both.toml").write_text(spec)
        for name, mine in (("sweep", agogic.sweep), ("advise", agogic.advise)):
            result = mine(self.folder / "both.toml")
            done = subprocess.run(
                [COMMAND, name, "both.toml", "--out", name], cwd=self.folder, capture_output=True, text=True
            )
            self.assertIn(done.returncode, (0, 1), done.stderr)
            for path in (self.folder / name).iterdir():
                if path.name != "manifest.json":
                    self.assertEqual(result.file(path.name), path.read_bytes(), path.name)
            self.assertTrue(result.repeat())
