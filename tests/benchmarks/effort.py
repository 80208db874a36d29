"""How much effort a job costs: `python tests/benchmarks/effort.py [--jobs 2000] [--json FILE]`.

Every scenario is done by the real levelling procedure and by two baselines on the same seeded
made-up printers. Prints a table and writes JSON.

How effort is counted, in all three ways: an answer is one thing told (whether a thick card passes, how the
card feels, which leaf slides and which does not enter); a trial is one leaf or card pushed under the nozzle,
of which a reading by leaf takes several; a reading is a feel or a reading by leaf; a turn is one adjuster
turned once. Corner by corner nothing is told to anybody: each feel of the card counts as an answer and as a
trial. Columns show the median and the 95th percentile.
"""

from __future__ import annotations

import argparse
import json
import os
from concurrent.futures import ProcessPoolExecutor
from time import perf_counter

os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")

import numpy as np
from strategies import WAYS
from world import Kind, World

from profiles.machine import (
    Adjuster,
    Bed,
    FirstLayer,
    Gauge,
    Height,
    Machine,
    Motion,
    Point,
)

CORNERS = [("front left", 30, 30), ("front right", 190, 30), ("back right", 190, 190), ("back left", 30, 190)]
THREE = [("left", 30, 190), ("right", 190, 190), ("front", 110, 30)]
NINE = [
    (f"{r} {c}", x, y)
    for r, y in zip("fmb", (30, 110, 190), strict=True)
    for c, x in zip("lmr", (30, 110, 190), strict=True)
]
LEAVES = tuple(round(0.05 * i, 2) for i in range(1, 21))


def machine(screws, points, step=0.0625, leaves=LEAVES, mount="held") -> Machine:
    """A 220 mm bed with screws and points at the given places."""
    return Machine(
        name="benchmark",
        bed=Bed(size_mm=(220.0, 220.0), thickness_mm=3.0, material="aluminium", mount=mount),
        motion=Motion(x_mm=(0, 220), y_mm=(0, 220), z_mm=(0.0, 200)),
        first_layer=FirstLayer(height_mm=0.20, gap_mm=0.15, tolerance_mm=0.05),
        height=Height(by="bed adjusters"),
        gauge=Gauge(leaves_mm=leaves, card_mm=0.10),
        adjuster=tuple(
            Adjuster(name=n, at_mm=(x, y), thread="M3", clockwise="lowers", step_turns=step)
            for n, x, y in screws
        ),
        point=tuple(Point(name=n, at_mm=(x, y)) for n, x, y in points),
    )


COLUMNS = ("rounds", "readings", "answers", "trials", "turns")
FIVE = [*CORNERS, ("centre", 110, 110)]
SCENARIOS: dict[str, tuple[Machine, Kind, str]] = {
    "four screws": (machine(CORNERS, FIVE), Kind(), "feel"),
    "three screws": (machine(THREE, FIVE), Kind(), "feel"),
    "bowed plate": (machine(CORNERS, NINE), Kind(bow_mm=(-0.10, 0.10)), "feel"),
    "loose pitch": (machine(CORNERS, FIVE), Kind(pitch_range=0.10), "feel"),
    "clumsy hand": (machine(CORNERS, FIVE), Kind(hand_deg=15.0), "feel"),
    "coarse leaves": (machine(CORNERS, FIVE), Kind(), "leaf"),
    "eighth turns": (machine(CORNERS, FIVE, step=0.125), Kind(), "feel"),
    "paper only": (machine(CORNERS, FIVE, leaves=()), Kind(drag_mm=0.015, touch_mm=0.006), "feel"),
    "floating plate": (machine(CORNERS, FIVE, mount="unknown"), Kind(spring_n_mm=(1.0, 10.4)), "feel"),
}


def one(job: tuple[str, str, int]) -> dict[str, object]:
    """Do one job; returns what it cost and what it led to."""
    scenario, way, seed = job
    model, kind, gauge = SCENARIOS[scenario]
    world = World(model, kind, seed)
    exists = world.a_setting_within_exists() if way == "ours" else True
    result = WAYS[way](world, gauge)
    return {
        "scenario": scenario,
        "way": way,
        "seed": seed,
        "rounds": result.rounds,
        "readings": world.readings,
        "answers": world.answers,
        "trials": world.trials,
        "turns": world.turns,
        "within": world.truly_within,
        "said": result.said,
        "exists": exists,
        **result.extra,
    }


def row(scenario: str, way: str, results: list[dict]) -> dict[str, object]:
    """Sum up one scenario done one way."""
    out: dict[str, object] = {"scenario": scenario, "way": way, "jobs": len(results)}
    for column in COLUMNS:
        values = [r[column] for r in results]
        out[column] = [float(np.median(values)), float(np.percentile(values, 95))]
    possible = [r for r in results if r["exists"]]
    out["within"] = sum(r["within"] for r in possible) / max(len(possible), 1)
    out["claimed"] = sum(r["said"] for r in possible) / max(len(possible), 1)
    out["false within"] = sum(r["said"] and not r["within"] for r in results) / len(results)
    out["exists"] = len(possible) / len(results)
    return out


def table(rows: list[dict]) -> str:
    """Lay the rows out, medians with the 95th percentile behind them."""
    lines = [
        f"{'scenario':15} {'way':17} {'rounds':>8} {'readings':>9} {'answers':>8} {'trials':>9} {'turns':>7}"
        f" {'within':>8} {'claimed':>8} {'false':>7} {'exists':>7}"
    ]
    for r in rows:
        pairs = ["{:.0f} {:.0f}".format(*r[c]) for c in COLUMNS]
        costs = " ".join(f"{p:>{w}}" for p, w in zip(pairs, (8, 9, 8, 9, 7), strict=True))
        lines.append(
            f"{r['scenario']:15} {r['way']:17} {costs}"
            f" {r['within']:8.2%} {r['claimed']:8.2%} {r['false within']:7.2%} {r['exists']:7.1%}"
        )
    return "\n".join(lines)


def main() -> None:
    """Run all jobs on all cores."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--jobs", type=int, default=2000)
    parser.add_argument("--only", default="")
    parser.add_argument("--way", default="")
    parser.add_argument("--json", default="effort.json")
    told = parser.parse_args()
    scenarios = [s for s in SCENARIOS if told.only in s]
    ways = [w for w in WAYS if told.way in w]
    jobs = [(s, w, seed) for s in scenarios for w in ways for seed in range(told.jobs)]
    start = perf_counter()
    with ProcessPoolExecutor() as pool:
        results = list(pool.map(one, jobs, chunksize=20))
    rows = [
        row(s, w, [r for r in results if r["scenario"] == s and r["way"] == w])
        for s in scenarios
        for w in ways
    ]
    print(table(rows))
    ends: dict[str, int] = {}
    for r in results:
        if r["way"] == "ours":
            key = f"{r['scenario']}: {r['ended']}"
            ends[key] = ends.get(key, 0) + 1
    print("\n".join(f"  {k} {v}" for k, v in sorted(ends.items())))
    print(f"{len(jobs)} jobs in {perf_counter() - start:.0f} s")
    with open(told.json, "w", encoding="utf-8") as file:
        json.dump({"jobs": told.jobs, "rows": rows, "ended": ends}, file, indent=1)


if __name__ == "__main__":
    main()
