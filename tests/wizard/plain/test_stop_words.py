"""What a plain terminal says of a stop: whether it went out, and whether the machine has confirmed it."""

from __future__ import annotations

from typing import Any

import pytest

from drivers.interface import Status
from wizard.instructions.stopping import stop_body, stop_title
from wizard.plain.transcript import Transcript
from wizard.running.events import StatusChanged


def said_of(*course: Any) -> list[str]:
    """Return all that is said while a stop goes that course, and when the job is over."""
    said: list[str] = []
    transcript = Transcript(said.append)
    for stopped in course:
        transcript(StatusChanged(Status(stopped=stopped)))
    transcript.end()
    return said


def test_a_confirmed_stop_is_said_once_as_written_and_once_as_confirmed() -> None:
    assert said_of("written", "written", "confirmed", "confirmed") == [
        "Stopping: not confirmed yet.",
        "Stopping: the machine has confirmed.",
    ]


@pytest.mark.parametrize(
    ("stopped", "last"),
    [
        ("written", "Stopped, but NOT confirmed by the machine."),
        ("not written", "The stop could NOT be sent."),
    ],
)
def test_a_stop_that_is_not_confirmed_is_said_at_the_end_with_what_to_do(stopped: Any, last: str) -> None:
    said = said_of(stopped)
    assert said[1] == last
    assert "switch its power off" in said[3]


def test_without_a_stop_nothing_is_said_of_one() -> None:
    assert said_of("") == []


@pytest.mark.parametrize("ended", [True, False])
@pytest.mark.parametrize("stopped", ["", "written", "confirmed", "not written"])
def test_only_a_confirmed_stop_is_called_confirmed(stopped: Any, ended: bool) -> None:
    """Every other wording says NOT, or says that nothing went out."""
    words = " ".join((stop_title(stopped, ended=ended), *stop_body(stopped, ended=ended)))
    nothing = "No stop went out" if ended else "Nothing is known yet"
    plainly = {"": nothing, "written": "not", "confirmed": "has confirmed", "not written": "NOT"}
    assert plainly[stopped] in words
    assert ("has confirmed" in words) == (stopped == "confirmed")
    assert "power off" in words
