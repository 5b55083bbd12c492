"""Use of the module as a type checker sees it; it is never run."""

import numpy as np
import numpy.typing as npt
import polars as pl

import agogic


class Own(agogic.Rule):
    """A rule with both forms."""

    name = "own"

    def decide(self, encounter: agogic.Encounter) -> tuple[str, float]:
        return agogic.TAP, encounter.dwell_ms

    def decide_many(
        self, encounters: agogic.Encounters
    ) -> tuple[npt.NDArray[np.bool_], npt.NDArray[np.float64]]:
        return np.zeros(len(encounters), dtype=np.bool_), encounters.dwell_ms


def use() -> None:
    result: agogic.Result = agogic.run({"name": "a"}, rules=[Own()], progress=lambda done, total: None)
    frame: pl.DataFrame = result.estimates
    value: float | None = result.estimate("own", "false_holds").value
    lines: tuple[str, ...] = result.repeat().differences
    log: pl.DataFrame = agogic.simulate(typist=3, replicate=1)
    wrong: float | None = agogic.replay(log, rules=Own()).estimate("own", "false_holds").value
    people: agogic.Population = agogic.Population("slow").changed("mine", traits={"dwell_ms": 120})
    mistakes: list[agogic.Mistake] = agogic.AgogicError("").mistakes
    print(frame, value, lines, wrong, people, mistakes)
