"""A finding as the object that `--json` prints: `tramwright-finding/1`. Pure."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

import msgspec

from wizard.solver.finding import Finding, Suspicion

FORMAT = "tramwright-finding/1"
NOTHING_SHAPED = (
    "tilt_x_mm_per_m",
    "tilt_y_mm_per_m",
    "twist_mm",
    "bow_mm",
    "flatness_minimum_zone_mm",
    "flatness_least_squares_mm",
)


def finding_object(finding: Finding, instructions: Sequence[str]) -> dict[str, Any]:
    """Return the finding as JSON's own types; `instructions` are its lines in words.

    A shape that is not known has null for each number, so that the keys are always there.
    """
    told: dict[str, Any] = msgspec.to_builtins(finding)
    return {
        "format": FORMAT,
        "verdict": finding.verdict,
        "status": finding.status,
        "turns": told["turns"],
        "height_change_mm": finding.height_change_mm,
        "instructions": list(instructions),
        "points": told["points"],
        "shape": told["shape"] or dict.fromkeys(NOTHING_SHAPED),
        "learned": told["learned"],
        "suspicion": None if finding.suspicion is None else _suspicion(finding.suspicion),
    }


def _suspicion(suspicion: Suspicion) -> dict[str, Any]:
    about = {"adjuster": suspicion.adjuster, "point": suspicion.point}
    named = {key: name for key, name in about.items() if name is not None}
    return {"kind": suspicion.kind, **named, "odds": suspicion.odds}
