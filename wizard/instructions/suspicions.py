"""Suspicion in words: the likeliest story behind readings that do not fit, asked with its odds. Pure."""

from __future__ import annotations

from collections.abc import Callable

from wizard.instructions.fitting import short
from wizard.instructions.verdicts import NAME_WIDTH
from wizard.solver.finding import Finding, Suspicion


def suspicion_sentence(finding: Finding) -> str:
    """Return the likeliest story behind readings that do not fit, as a question with its odds."""
    suspicion = finding.suspicion
    if suspicion is None:
        return ""
    return f"{_SUSPICIONS[suspicion.kind](suspicion)} The odds are {_odds(suspicion.odds)}."


def _odds(odds: float) -> str:
    """Return odds as whole numbers: "about 8 to 1", "about 1 to 3"."""
    if odds >= 1000:
        return "over 1000 to 1"
    if odds >= 1:
        return f"about {odds:.0f} to 1"
    return f"about 1 to {1 / odds:.0f}" if odds > 1e-3 else "less than 1 to 1000"


def _was(suspicion: Suspicion) -> str:
    """Begin the question; a story without an adjuster is about all that were turned."""
    return f"Was {_adjuster(suspicion)}" if suspicion.adjuster else "Were all of them"


def _adjuster(suspicion: Suspicion) -> str:
    return short(suspicion.adjuster or "an adjuster", NAME_WIDTH)


_SUSPICIONS: dict[str, Callable[[Suspicion], str]] = {
    "turned-other-way": lambda s: f"{_was(s)} turned the other way?",
    "not-turned": lambda s: f"{_was(s)} not turned at all?",
    "other-adjuster": lambda s: f"Was another adjuster turned in place of {_adjuster(s)}?",
    "reading-slipped": lambda s: f"Did the reading at {short(s.point or 'a point', NAME_WIDTH)} slip?",
    "home-shifted": lambda _: "Did the machine home to another height since the readings before?",
}
