"""A check print in a session: progress, pause, a cut in mid-layer, and that it is never left hot."""

from __future__ import annotations

import asyncio
from collections.abc import Callable
from types import SimpleNamespace
from typing import Any

import msgspec
import pytest

from drivers.errors import MoveRefused, PrinterFault
from profiles.load import load
from profiles.machine import Machine
from wizard import requests as ask
from wizard.facts import Facts
from wizard.journal.lines import Header
from wizard.journal.writing import Journal
from wizard.printing.plan import plan
from wizard.running import events
from wizard.running.flow import State
from wizard.running.laying import lay_down
from wizard.running.pace import Pace
from wizard.running.restore import as_hot_as_printing, needed
from wizard.running.session import Session, Stopped

PRINT = ask.PrintLayer(60.0, 205.0)
LAID = f"lay {len(plan(load('four-corner-220'), 60.0, 205.0).blocks)} 205.0"
"""What the printer is told once: the whole print, in as many blocks as its plan has."""


def short(facts: Facts):
    """Print, and judge one pad."""
    yield ask.Connect()
    yield ask.Confirm("print-ready")
    yield ask.Warm(60.0, 205.0)
    yield ask.Home()
    yield PRINT
    yield ask.CoolDown()
    yield ask.JudgePad("centre", "caliper", 1, 1, 1)
    return ask.Outcome(None, 1, False)


class Job:
    """A session that answers for itself, but not while `waits` says so."""

    def __init__(self, machine: Machine, printer: Any, journal: Journal | None = None, **how: Any) -> None:
        self.told: list[events.Event] = []
        self.waits: Callable[[ask.AnyRequest], bool] = lambda _: False
        self.journal = journal or Journal(Header("short", machine))
        self.session = Session(short, Facts(machine), printer, self.journal, self.hear, **how)
        self.task = asyncio.create_task(self.session.run())

    def hear(self, event: events.Event) -> None:
        self.told.append(event)
        if isinstance(event, events.Asked) and not self.waits(event.request):
            answer = ask.PadMeasured(0.15) if isinstance(event.request, ask.JudgePad) else ask.Confirmed()
            asyncio.get_running_loop().call_soon(self.session.reply, answer)

    async def until(self, met: Callable[[], bool]) -> None:
        for _ in range(20_000):
            if met():
                return
            await asyncio.sleep(0)
        raise AssertionError(f"never met; told last: {self.told[-3:]}")

    @property
    def topics(self) -> list[str]:
        asked = [event.request for event in self.told if isinstance(event, events.Asked)]
        return [request.topic for request in asked if isinstance(request, ask.Confirm)]


async def test_progress_is_told_and_the_pad_becomes_a_reading(four_corners, printer):
    job = Job(four_corners, printer)
    await job.task
    ticks = [event for event in job.told if isinstance(event, events.PrintTick)]
    assert [tick.done for tick in ticks] == [1, ticks[-1].total]
    assert "lay 515 205.0" in printer.calls
    reading = job.session.facts.rounds[-1].readings["centre"]
    assert reading.how == "caliper"
    assert (reading.low_mm + reading.high_mm) / 2 == pytest.approx(0.15)


async def test_a_pause_holds_the_layer_itself_and_going_on_ends_it(four_corners, printer):
    printer.holds["lay"] = asyncio.Event()
    job = Job(four_corners, printer)
    await job.until(lambda: "lay 515 205.0" in printer.calls)
    job.session.pause()
    printer.holds["lay"].set()
    await job.until(lambda: "held" in printer.calls)
    assert job.session.state is State.PAUSED
    assert not any(isinstance(e, events.Answered) and e.request == PRINT for e in job.told)
    job.session.go_on()
    await job.task
    assert printer.calls.count("lay 515 205.0") == 1


async def test_a_fault_in_mid_layer_cools_down_and_the_print_begins_anew_on_a_cleared_plate(
    four_corners, printer
):
    printer.fails["lay"] = PrinterFault("the nozzle has cooled down")
    job = Job(four_corners, printer)
    await job.until(lambda: any(isinstance(event, events.Faulted) for event in job.told))
    assert printer.calls[-2:] == ["make_safe", "close"]
    job.session.retry()
    await job.task
    assert job.topics == ["print-ready", "print-anew"]
    after = printer.calls[printer.calls.index("make_safe") + 2 :]
    assert after[:4] == ["connect", "warm 60.0 205.0", "home", "lay 515 205.0"]


async def test_a_job_cut_off_in_mid_layer_is_taken_up_by_printing_anew(four_corners, printer):
    printer.holds["lay"] = asyncio.Event()
    job = Job(four_corners, printer)
    await job.until(lambda: "lay 515 205.0" in printer.calls)
    job.session.hang_up()
    with pytest.raises(Stopped):
        await job.task
    steps = job.journal.record.steps
    assert [type(step.request).__name__ for step in steps] == ["Connect", "Confirm", "Warm", "Home"]
    again = Journal(Header("short", four_corners))
    for step in steps:
        again.append(step.request, step.answer)
    printer.holds.clear()
    second = Job(four_corners, printer, again)
    await second.task
    assert second.topics == ["print-anew"]


async def test_a_printing_nozzle_is_never_left_hot_even_where_heat_was_to_stay(four_corners, printer):
    printer.holds["lay"] = asyncio.Event()
    job = Job(four_corners, printer, keep_hot=True)
    await job.until(lambda: "lay 515 205.0" in printer.calls)
    job.session.hang_up()
    with pytest.raises(Stopped):
        await job.task
    assert "make_safe" in printer.calls
    assert "make_safe hot" not in printer.calls


def test_as_hot_as_printing_counts_from_the_moment_it_heats(four_corners):
    cold, hot = Facts(four_corners), Facts(four_corners, nozzle_c=205.0)
    assert not as_hot_as_printing(SimpleNamespace(facts=cold, pending=ask.Warm(60.0, 0.0)))
    assert as_hot_as_printing(SimpleNamespace(facts=cold, pending=ask.Warm(60.0, 205.0)))
    assert as_hot_as_printing(SimpleNamespace(facts=hot, pending=PRINT))
    assert not as_hot_as_printing(None)


def test_after_a_print_nothing_is_homed_over_its_pads(four_corners):
    want = Facts(four_corners, connected=True, print_c=(60.0, 205.0))
    pad = ask.JudgePad("centre", "caliper", 1, 1, 1)
    assert needed(Facts(four_corners), want, pad) == (ask.Connect(),)


async def test_a_machine_that_cannot_print_refuses_before_anything_is_sent(four_corners, printer):
    bare = msgspec.structs.replace(four_corners, print=None)
    with pytest.raises(MoveRefused, match=r"Add \[print\]"):
        await lay_down(printer, bare, PRINT, Pace(lambda _: None), lambda _: None)
    assert printer.calls == []
