"""What `demo --auto` prints at its end: a table in words, or `tramwright-run/1` as JSON."""

from __future__ import annotations

from typing import Any

import msgspec

from profiles.machine import Machine
from wizard.formats.finding_json import finding_object
from wizard.instructions import finding_lines, result_table
from wizard.instructions.printing import triple
from wizard.virtual.job import Done

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
            *_in_print(done),
        )
    )


def _in_print(done: Done) -> tuple[str, ...]:
    """Return what the check print came to, where there was one."""
    if done.in_print_mm is None:
        return ()
    told = "  as hot as it was printed  "
    return (
        *(f"  {line}" for line in triple(done.checks, done.outcome.rounds)),
        f"{told}{done.in_print_mm:.3f} mm true worst deviation (the simulated plate's own)",
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
        **_print_object(done),
    }


def _print_object(done: Done) -> dict[str, Any]:
    """Return what a check print adds; nothing without one."""
    if done.in_print_mm is None:
        return {}
    return {
        "print": {
            "verdict": done.checks.printed,
            "pads": done.checks.pads,
            "corrected": done.checks.changed,
            "true_worst_deviation_mm": done.in_print_mm,
        }
    }
