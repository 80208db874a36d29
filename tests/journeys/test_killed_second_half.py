"""Killed at every question of the second half of a job, and taken up again each time."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from tests.journeys.cut_job import killed_at_each

PROFILE = "four-corner-220"
HALF = 21


def test_no_answer_is_lost_and_the_job_ends_proven(
    job: Callable[..., Any], person: Callable[..., Any]
) -> None:
    """The first questions are answered in one go; from HALF on each is cut off, to the very last."""
    this = job(PROFILE, 7)
    questions = killed_at_each(this, person(PROFILE, this.bed.hands, "card"), HALF, 1000)
    assert questions > HALF
