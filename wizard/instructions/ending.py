"""What is said last of a job, when its screen is gone or its lines have ended. Pure."""

from __future__ import annotations

from wizard.instructions.figures import counted
from wizard.requests import Outcome

ON_PAPER = "On one page: tramwright report last -o bed.html"


def finished_sentence(outcome: Outcome) -> str:
    """Return how a job has ended that came to its end."""
    proof = "proven" if outcome.proven else "not proven"
    return f"The job is finished: {counted(outcome.rounds, 'round')}, {proof}."


def last_lines(outcome: Outcome | None, record: str, resumes: bool) -> tuple[str, ...]:
    """Return what stays on the terminal after the screen.

    outcome: None where the job was broken off. record: where it is kept, "" for nowhere. resumes: whether
    it can be taken up again.
    """
    said = finished_sentence(outcome) if outcome else "The job was broken off before its end."
    kept = (f"Its record: {record}",) if record else ()
    if outcome:
        return (said, *kept, *((ON_PAPER,) if record else ()))
    on = ("Every answer is kept: the same command with --resume goes on.",) if resumes else ()
    return (said, *on, *kept)
