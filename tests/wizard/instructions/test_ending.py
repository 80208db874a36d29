"""What stays on the terminal when a job's screen is gone."""

from __future__ import annotations

import pytest

from wizard.instructions.ending import ON_PAPER, finished_sentence, last_lines
from wizard.requests import Outcome

PROVEN = Outcome(finding=None, rounds=3, proven=True)


@pytest.mark.parametrize(
    ("rounds", "proven", "said"), [(1, False, "one round, not proven"), (3, True, "three rounds, proven")]
)
def test_a_finished_job_says_its_rounds_and_whether_it_is_proven(
    rounds: int, proven: bool, said: str
) -> None:
    outcome = Outcome(finding=None, rounds=rounds, proven=proven)
    assert finished_sentence(outcome) == f"The job is finished: {said}."


def test_the_record_is_named_where_there_is_one() -> None:
    assert last_lines(PROVEN, "", resumes=True) == (finished_sentence(PROVEN),)
    assert last_lines(PROVEN, "/runs/1.jsonl", resumes=True)[1:] == ("Its record: /runs/1.jsonl", ON_PAPER)


def test_a_job_that_was_broken_off_tells_how_to_go_on_only_where_it_can() -> None:
    """What was played at a virtual bench is gone with it."""
    told = " ".join(last_lines(None, "/runs/1.jsonl", resumes=True))
    assert "broken off" in told
    assert "--resume" in told
    assert "--resume" not in " ".join(last_lines(None, "", resumes=False))
