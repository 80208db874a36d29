"""Killed at every question of the first half of a job, and taken up again each time."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from tests.journeys.cut_job import killed_at_each

PROFILE = "four-corner-220"
HALF = 21


def test_no_answer_is_lost_and_the_job_ends_proven(
    job: Callable[..., Any], person: Callable[..., Any]
) -> None:
    """Questions before HALF are each cut off; the rest is done in one go."""
    this = job(PROFILE, 7)
    questions = killed_at_each(this, person(PROFILE, this.bed.hands, "card"), 1, HALF)
    assert questions > HALF
