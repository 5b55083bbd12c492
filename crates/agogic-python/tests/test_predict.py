"""Predictive checks: a log of the model's own people passes, and one of other people does not."""

import tomllib
import unittest

import polars as pl
from common import SPEC, Cutoff

import agogic


class Predict(unittest.TestCase):
    @classmethod
    def setUpClass(cls):
        # Five people of the population that the study names, but of another seed.
        cls.log = agogic.simulate(SPEC.replace("seed = 7", "seed = 8"), typists=5)
        cls.found = agogic.predictive_check(cls.log, spec=SPEC, draws=60, rules=Cutoff())

    def test_people_of_the_model_lie_within(self):
        table = self.found.table
        self.assertEqual(table["kind"].unique().sort().to_list(), ["rule", "trait"])
        # 3 traits, and 4 estimands of 3 rules, that hang together: few may lie outside by chance.
        self.assertEqual(table.height, 3 + 4 * 3)
        self.assertLessEqual(self.found.outside.height, 3, self.found.outside)
        own = table.filter(pl.col("name") == "own-cutoff").drop("name")
        self.assertTrue(own.equals(table.filter(pl.col("name") == "dwell-cutoff 200").drop("name")))
        self.assertIn("60 simulated groups of 5 people", self.found.sentence)

    def test_other_people_lie_outside_where_they_are_other(self):
        # Keys stay down twice as long as in the model, and intervals are as they were.
        longer = agogic.Population("volunteers").changed("longer", traits={"dwell_ms": 190})
        spec = tomllib.loads(SPEC)
        spec["typists"]["populations"] = [longer]
        log = agogic.simulate(spec, typists=5)
        found = agogic.predictive_check(log, spec=SPEC, draws=40)
        inside = dict(found.table.filter(pl.col("kind") == "trait").select("name", "inside").iter_rows())
        self.assertFalse(inside["median dwell"], found.table)
        self.assertTrue(inside["median interval"], found.table)
        dwell = found.table.filter(pl.col("name") == "median dwell").row(0, named=True)
        self.assertEqual(dwell["share_below"], 1.0)
        self.assertGreater(dwell["observed"], dwell["hi"])

    def test_unknown_is_null_with_a_reason(self):
        silent = self.log.with_columns(intent=pl.lit(None, pl.String), target=pl.lit(None, pl.String))
        found = agogic.predictive_check(silent, spec=SPEC, draws=40)
        unknown = found.table.filter(pl.col("estimand") == "false_holds")
        self.assertTrue(unknown["inside"].is_null().all())
        self.assertTrue(unknown["reason"].is_not_null().all())
        self.assertFalse(found.table.filter(pl.col("estimand") == "delay")["inside"].is_null().any())

    def test_the_figure_shows_every_value(self):
        svg = self.found.figure.svg
        known = self.found.table.filter(pl.col("inside").is_not_null()).height
        self.assertEqual(svg.count("<circle"), known)
        self.assertIn("median dwell", svg)
        self.assertIn("<svg", self.found._repr_html_())

    def test_what_cannot_be_asked_is_refused(self):
        for more, said in (({"draws": 10}, "`draws` must be at least 40"), ({"level": 1.0}, "`level`"), ({}, "name a study")):
            with self.assertRaisesRegex(agogic.AgogicError, said):
                agogic.predictive_check(self.log, **({"spec": SPEC} if more else {}), **more)
        with self.assertRaises(agogic.AgogicError) as caught:
            agogic.predictive_check(self.log, spec="name = \n")
        self.assertEqual(caught.exception.mistakes[0].line, 1)
