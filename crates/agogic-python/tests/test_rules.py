"""Rules of one's own: held to causality, and judged beside the built-in ones."""

import unittest

import numpy as np
import polars as pl
from common import SPEC, Cutoff, ManyCutoff, TwoKeys

import agogic


def numbers(result, policy):
    rows = result.estimates.filter(pl.col("policy") == policy, pl.col("statistic") == "pooled")
    return rows.drop("policy", "cautions", "reason")


class Rules(unittest.TestCase):
    def test_a_rule_is_judged_as_the_built_in_one_that_it_repeats(self):
        result = agogic.run(SPEC, rules=[Cutoff(), ManyCutoff(), TwoKeys()])
        built_in = numbers(result, "dwell-cutoff 200")
        self.assertTrue(numbers(result, "own-cutoff").equals(built_in))
        self.assertTrue(numbers(result, "many-cutoff").equals(built_in))
        self.assertFalse(numbers(result, "two-keys").equals(built_in))
        self.assertTrue(result.repeat())
        # Whatever else is judged, the policies of the study get what they get alone.
        alone = agogic.run(SPEC)
        self.assertTrue(numbers(alone, "enclosed").equals(numbers(result, "enclosed")))

    def test_a_rule_that_looks_ahead_is_refused(self):
        class Peeks(agogic.Rule):
            def decide(self, encounter):
                return ("hold" if encounter.dwell_ms > 200.0 else "tap"), 0.0

        class PeeksByArrays(agogic.Rule):
            def decide_many(self, encounters):
                return encounters.dwell_ms > 200.0, np.zeros(len(encounters))

        for rule in (Peeks(), PeeksByArrays()):
            with self.assertRaisesRegex(agogic.AgogicError, "depends on what comes after it"):
                agogic.run(SPEC, rules=rule)

    def test_a_rule_must_say_what_it_sees(self):
        class OneKey(agogic.Rule):
            def decide(self, encounter):
                return ("hold" if encounter.code == "KeyF" else "tap"), 0.0

        class OneKeyTold(OneKey):
            sight = "own-key"

        with self.assertRaisesRegex(agogic.AgogicError, "more than the rule says that it sees"):
            agogic.check_rule(OneKey())
        agogic.check_rule(OneKeyTold())
        OneKeyTold.sight = "everything"
        with self.assertRaisesRegex(agogic.AgogicError, "known: timing, own-key, keys"):
            agogic.check_rule(OneKeyTold())

    def test_both_forms_must_agree(self):
        class Divided(ManyCutoff):
            def decide(self, encounter):
                return "tap", encounter.dwell_ms

        with self.assertRaisesRegex(agogic.AgogicError, "otherwise within a session than alone"):
            agogic.check_rule(Divided())

    def test_guards_stand_around_a_rule(self):
        class Guarded(ManyCutoff):
            guards = {"lull_ms": 150, "other_hand": True, "bare_hold_ms": 500, "dwell_floor_ms": 210}

        class GuardedOne(Cutoff):
            guards = Guarded.guards

        spec = SPEC + (
            '[[policy]]\nrule = "dwell-cutoff"\nvalues = { cutoff_ms = 200 }\nguards = { lull_ms = 150, other_hand = true, '
            "bare_hold_ms = 500, dwell_floor_ms = 210 }\n"
        )
        result = agogic.run(spec, rules=[Guarded(), GuardedOne()])
        label = "dwell-cutoff 200, lull 150, floor 210, other hand, bare hold 500"
        self.assertIn(label, result.policies)
        for own in ("many-cutoff", "own-cutoff"):
            name = own + label.removeprefix("dwell-cutoff 200")
            self.assertTrue(numbers(result, name).equals(numbers(result, label)), name)
        Guarded.guards = {"lul_ms": 1}
        with self.assertRaisesRegex(agogic.AgogicError, "`lul_ms`"):
            agogic.check_rule(Guarded())

    def test_what_a_rule_raises_comes_out_as_it_is(self):
        class Fails(agogic.Rule):
            def decide(self, encounter):
                raise ZeroDivisionError("of my own")

        with self.assertRaisesRegex(ZeroDivisionError, "of my own"):
            agogic.run(SPEC, rules=Fails())
        for said in (("tap", -1.0), ("tap", float("nan")), ("shift", 1.0), "tap", ("tap",), None):

            class Says(agogic.Rule):
                def decide(self, encounter, said=said):
                    return said

            with self.assertRaises(agogic.AgogicError, msg=said):
                agogic.check_rule(Says())

        class Short(agogic.Rule):
            def decide_many(self, encounters):
                return np.array([], dtype=bool), np.array([])

        with self.assertRaises((ValueError, agogic.AgogicError)):
            agogic.check_rule(Short())

    def test_labels_are_unique_and_comparisons_known(self):
        class Taken(Cutoff):
            name = "enclosed"

        with self.assertRaisesRegex(agogic.AgogicError, "has a policy `enclosed` already"):
            agogic.run(SPEC, rules=Taken())

        class Against(TwoKeys):
            versus = "enclosed"

        result = agogic.run(SPEC, rules=Against())
        rows = result.estimates.filter(pl.col("policy") == "two-keys", pl.col("statistic") == "difference")
        self.assertEqual(rows["minus"].unique().to_list(), ["enclosed"])
        Against.versus = "nobody"
        with self.assertRaisesRegex(agogic.AgogicError, "`nobody`"):
            agogic.run(SPEC, rules=Against())

    def test_arrays_hold_what_single_encounters_hold(self):
        seen, single = [], []

        class Watch(agogic.Rule):
            def decide_many(self, encounters):
                seen.append(encounters)
                return np.zeros(len(encounters), dtype=bool), encounters.dwell_ms

        class WatchOne(agogic.Rule):
            def decide(self, encounter):
                single.append(encounter)
                return "tap", encounter.dwell_ms

        log = agogic.simulate(SPEC, typist=3)
        agogic.replay(log, spec=SPEC, rules=Watch())
        agogic.replay(log, spec=SPEC, rules=WatchOne())
        many = seen[-1]
        single = single[-len(many) :]
        self.assertGreater(len(many), 50)
        self.assertEqual([one.dwell_ms for one in single], many.dwell_ms.tolist())
        self.assertEqual([one.code for one in single], [agogic.CODES[at] for at in many.code])
        start = 0
        for one, end in zip(single, many.contact_end, strict=True):
            self.assertEqual([c.down_ms for c in one.contacts], many.contact_down_ms[start:end].tolist())
            self.assertEqual([c.code for c in one.contacts], [agogic.CODES[at] for at in many.contact_code[start:end]])
            start = end
        lulls = [float("nan") if one.lull_ms is None else one.lull_ms for one in single]
        np.testing.assert_array_equal(lulls, many.lull_ms)
        firsts = [one.contacts[0].up_ms if one.contacts else float("nan") for one in single]
        np.testing.assert_array_equal(firsts, many.first_up_ms)
        self.assertEqual(len(many.contact_of), len(many.contact_code))
        hands = {"left": 0, "right": 1, "either": 2}
        self.assertEqual([hands[one.hand] for one in single], many.hand.tolist())
