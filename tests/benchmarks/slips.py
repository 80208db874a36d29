"""How well mistakes are named: `python tests/benchmarks/slips.py [--jobs 2000] [--json FILE]`.

In each seeded job every action (a reading, a turn) goes wrong with a chance of 3 in 100: a turn is made
the other way, not at all, or at another adjuster; a reading slips by a tenth of a millimetre. Counts how
often the next pass names a turn of a quarter or more made the other way, how often the first reading
nearest to that adjuster is enough, and how often a job without a mistake is suspected.
"""

from __future__ import annotations

import argparse
import json
import os
from collections import Counter
from concurrent.futures import ProcessPoolExecutor
from functools import partial

os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")

import numpy as np
from effort import SCENARIOS
from world import World

from wizard.rounds import Reading, Round
from wizard.solver import solve
from wizard.solver.finding import Finding

CHANCE = 0.03
MEANT = ("four screws", "three screws", "loose pitch", "clumsy hand", "floating plate")


def leaf(world: World, point: str, slips: bool) -> Reading:
    """Read by leaf, a quarter of a step above the measuring height, as the procedure does."""
    off = world.rng.choice([-0.1, 0.1]) if slips else 0.0
    return world.leaf(point, world.machine.measuring_height_mm + 0.025, None).shifted(off - 0.025)


def card(world: World, point: str, slips: bool) -> Reading:
    """Read by feel, to a bracket of 0.02 mm that lies anyhow about the gap."""
    off = world.rng.choice([-0.1, 0.1]) if slips else world.rng.normal(0.0, world.kind.touch_mm)
    middle = world.gap(point, world.machine.measuring_height_mm) + off + world.rng.uniform(-0.01, 0.01)
    return Reading(middle - 0.01, middle + 0.01, "feel")


def turn(world: World, wanted: dict[str, float]) -> list[tuple[str, str, float]]:
    """Make the turns, some of them wrongly; returns what went wrong: kind, adjuster, turns wanted."""
    wrong = []
    names = [a.name for a in world.machine.adjuster]
    for name, turns in wanted.items():
        kinds = ["turned-other-way", "not-turned", "other-adjuster"]
        kind = world.rng.choice(kinds, p=[0.6, 0.25, 0.15]) if world.rng.random() < CHANCE else ""
        if kind:
            wrong.append((str(kind), name, turns))
        at = str(world.rng.choice([n for n in names if n != name])) if kind == "other-adjuster" else name
        if kind != "not-turned":
            world.turn(at, -turns if kind == "turned-other-way" else turns)
    return wrong


def nearest(world: World, adjuster: str) -> str:
    """Return the point nearest to an adjuster."""
    at = np.array(world.machine.adjuster_named(adjuster).at_mm)
    return min(world.machine.point, key=lambda p: float(((np.array(p.at_mm) - at) ** 2).sum())).name


def names_it(finding: Finding, kind: str, adjuster: str) -> bool:
    """Whether the finding suspects just that."""
    found = finding.suspicion
    return found is not None and (found.kind, found.adjuster) == (kind, adjuster)


def one(scenario: str, seed: int) -> Counter[str]:
    """Do one round, its turns and the pass after them; returns what was counted."""
    model, kind, _ = SCENARIOS[scenario]
    world = World(model, kind, seed)
    world.home()
    count: Counter[str] = Counter()
    slipped: dict[str, bool] = {p.name: bool(world.rng.random() < CHANCE / 2) for p in model.point}
    first = Round({name: leaf(world, name, slips) for name, slips in slipped.items()})
    wanted = solve(model, [first]).turns
    wrong = turn(world, wanted)
    done = Round(first.readings, wanted)
    again = {p.name: bool(world.rng.random() < CHANCE / 2) for p in model.point}
    after = solve(model, [done, Round({name: card(world, name, slips) for name, slips in again.items()})])
    readings_wrong = sum(slipped.values()) + sum(again.values())
    if not wrong and not readings_wrong:
        count["clean"] += 1
        count["clean, suspected"] += after.suspicion is not None
    for what, adjuster, turns in wrong if len(wrong) == 1 and not readings_wrong else ():
        size = "other way, quarter or more" if what == "turned-other-way" and abs(turns) >= 0.25 else what
        count[size] += 1
        count[f"{size}: named"] += names_it(after, what, adjuster)
        point = nearest(world, adjuster)
        soon = solve(model, [done, Round({point: leaf(world, point, False)})])
        count[f"{size}: named by one reading"] += names_it(soon, what, adjuster)
    return count


def main() -> None:
    """Run all jobs on all cores and print the counts."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--jobs", type=int, default=2000)
    parser.add_argument("--json", default="slips.json")
    told = parser.parse_args()
    results = {}
    with ProcessPoolExecutor() as pool:
        for scenario in MEANT:
            total: Counter[str] = Counter()
            for count in pool.map(partial(one, scenario), range(told.jobs), chunksize=20):
                total.update(count)
            results[scenario] = dict(sorted(total.items()))
            print(scenario, *(f"  {key}: {n}" for key, n in results[scenario].items()), sep="\n")
    with open(told.json, "w", encoding="utf-8") as file:
        json.dump({"jobs": told.jobs, "results": results}, file, indent=1)


if __name__ == "__main__":
    main()
