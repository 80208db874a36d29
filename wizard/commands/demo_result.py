"""What `demo --auto` prints at its end: a table in words, or `tramwright-run/1` as JSON."""

from __future__ import annotations

from typing import Any

import msgspec

from profiles.machine import Machine
from wizard.finding_json import finding_object
from wizard.instructions import finding_lines, result_table
from wizard.virtual_job import Done

FORMAT = "tramwright-run/1"


def as_text(done: Done, machine: Machine) -> str:
    """Return the final table. Figures of the simulated plate are labelled as such."""
    finding = done.outcome.finding
    assert finding is not None
    measured = finding.worst_deviation_mm
    return "\n".join(
        (
            "",
            "Result on the SIMULATED printer",
            *(f"  {row}" for row in result_table(finding)),
            f"  verdict                 {finding.verdict}, {'' if done.outcome.proven else 'not '}proven",
            f"  worst deviation         {measured or 0.0:.3f} mm measured,"
            f" {done.true_worst_deviation_mm:.3f} mm true (the simulated plate's own)",
            f"  tolerance               {machine.first_layer.tolerance_mm:.3f} mm",
            f"  rounds, answers, turns  {done.outcome.rounds}, {done.answers}, {done.turns}",
        )
    )


def as_json(profile: str, seed: int, done: Done, machine: Machine) -> str:
    """Return the result as one JSON object."""
    return msgspec.json.format(msgspec.json.encode(_run_object(profile, seed, done, machine))).decode()


def _run_object(profile: str, seed: int, done: Done, machine: Machine) -> dict[str, Any]:
    finding = done.outcome.finding
    assert finding is not None
    return {
        "format": FORMAT,
        "profile": profile,
        "seed": seed,
        "simulated": True,
        "rounds": done.outcome.rounds,
        "answers": done.answers,
        "turns": done.turns,
        "verdict": finding.verdict,
        "proven": done.outcome.proven,
        "worst_deviation_mm": finding.worst_deviation_mm,
        "true_worst_deviation_mm": done.true_worst_deviation_mm,
        "finding": finding_object(finding, finding_lines(finding, machine)),
    }
