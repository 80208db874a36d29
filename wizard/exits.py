"""Exit codes that scripts depend on, and the error that ends a command because of what it was given."""

from __future__ import annotations

from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from wizard.requests import Outcome

WITHIN = 0
NOT_WITHIN = 1
WRONG_INPUT = 2
MACHINE_FAULT = 3
STOPPED = 130


class InputRefused(Exception):
    """An argument or a file cannot be used; the text is one sentence for the person who gave it."""


def code_of(outcome: Outcome) -> int:
    """Return the exit code: 0 only where a whole pass has proven that all gaps are within tolerance."""
    within = outcome.finding is not None and outcome.finding.verdict == "within"
    return WITHIN if within and outcome.proven else NOT_WITHIN
