"""Out of a fault: by the person, or by the lost line's coming back. And heat that stays when nobody does."""

from __future__ import annotations

import asyncio
from typing import Any

import msgspec
import pytest

from drivers.errors import LinkLost, NoReply, PrinterFault
from drivers.interface import Identity
from profiles.machine import Machine
from tests.wizard.running.test_session import ROUND_READ, Job, ended, usual, waiting_at
from wizard import requests as ask
from wizard.running import events
from wizard.running.flow import State
from wizard.running.session import STAYS_HOT, Session, Stopped
from wizard.running.way_out import BACK


async def at_fault(job: Job, printer: Any, error: Exception) -> None:
    """Bring a job to a fault on its way from the first point to the second; then it is answered as usual."""
    await waiting_at(job, ask.TakeReading, "front left")
    printer.fails["park"] = error
    job.answers = usual
    job.session.reply(ask.ReadingTaken(ROUND_READ))
    await job.until(lambda: job.session.state is State.FAULTED)


async def test_a_lost_line_that_is_there_again_leads_back_to_the_same_step(
    four_corners: Machine, printer: Any
) -> None:
    """By itself as far as the question that comes before anything moves; no answer is asked for twice."""
    job = Job(four_corners, printer)
    await at_fault(job, printer, LinkLost("pulled out"))
    job.answers = lambda request: None
    before = len(printer.calls)
    printer.there.set()
    await job.until_asked(ask.Confirm)
    assert job.session.request == ask.Confirm("restore-next")
    assert printer.calls[before:] == []
    assert [notice.text for notice in job.all(events.Notice)] == [BACK]
    job.answers = usual
    job.session.reply(ask.Confirmed())
    await ended(job)
    assert printer.calls[before:][:4] == ["connect", "warm 60.0 0.0", "home", "park centre 0.8"]
    assert [request.point for request in job.asked if isinstance(request, ask.TakeReading)] == [
        "front left",
        "centre",
    ]


@pytest.mark.parametrize("error", [PrinterFault("it restarted"), NoReply("silent")])
async def test_other_faults_wait_for_the_person(
    four_corners: Machine, printer: Any, error: Exception
) -> None:
    job = Job(four_corners, printer)
    await at_fault(job, printer, error)
    printer.there.set()
    for _ in range(50):
        await asyncio.sleep(0)
    assert job.session.state is State.FAULTED
    job.session.retry()
    await ended(job)


async def test_the_person_need_not_wait_for_the_line(four_corners: Machine, printer: Any) -> None:
    """Trying again is possible meanwhile, and the waiting is over then: it does not come in between later."""
    job = Job(four_corners, printer)
    await at_fault(job, printer, LinkLost("pulled out"))
    job.session.retry()
    printer.there.set()
    await ended(job)
    assert job.all(events.Notice) == []


async def test_stop_ends_the_wait_for_the_line(four_corners: Machine, printer: Any) -> None:
    job = Job(four_corners, printer)
    await at_fault(job, printer, LinkLost("pulled out"))
    job.session.stop()
    with pytest.raises(Stopped):
        await ended(job)
    others = asyncio.all_tasks() - {asyncio.current_task()}
    assert not [task for task in others if not task.done()]


@pytest.mark.parametrize(
    ("keep_hot", "end", "safe"),
    [
        (True, Session.hang_up, "make_safe hot"),
        (False, Session.hang_up, "make_safe"),
        (True, Session.stop, "make_safe"),
    ],
)
async def test_heat_stays_only_where_it_was_asked_for_and_never_after_a_stop(
    four_corners: Machine, printer: Any, keep_hot: bool, end: Any, safe: str
) -> None:
    job = Job(four_corners, printer)
    job.session._keep_hot = keep_hot
    await waiting_at(job, ask.TakeReading, "front left")
    end(job.session)
    end(job.session)
    with pytest.raises(Stopped):
        await ended(job)
    assert [call for call in printer.calls if call.startswith("make_safe")] == [safe]
    assert (STAYS_HOT in [notice.text for notice in job.all(events.Notice)]) == (safe == "make_safe hot")


async def test_what_is_to_be_known_of_a_line_is_told_and_kept(
    four_corners: Machine, printer: Any, monkeypatch: pytest.MonkeyPatch
) -> None:
    """As that the machine answers at another speed than its profile's. Journals from before have none."""

    async def connect() -> Identity:
        return Identity("made up", note="it answers at 250000 baud")

    monkeypatch.setattr(printer, "connect", connect)
    job = Job(four_corners, printer)
    await waiting_at(job, ask.TakeReading, "front left")
    assert [notice.text for notice in job.all(events.Notice)] == ["it answers at 250000 baud"]
    assert any(
        step.answer == ask.Connected("made up", note="it answers at 250000 baud")
        for step in job.journal.record.steps
    )
    assert msgspec.json.decode(b'{"line": "made up"}', type=ask.Connected, strict=False).note == ""
    job.session.stop()
    with pytest.raises(Stopped):
        await ended(job)
