"""The session: a whole job on a fake printer, cut off and taken up, taken back, paused, stopped, at fault."""

from __future__ import annotations

import asyncio
from collections.abc import Callable, Sequence
from pathlib import Path
from typing import Any

import msgspec
import pytest

from drivers.byhand import HandPrinter
from drivers.errors import LinkLost, MoveRefused, PrinterFault
from profiles.machine import Height, Machine
from wizard import requests as ask
from wizard.facts import Facts
from wizard.journal.lines import Header
from wizard.journal.runs import newest_unfinished
from wizard.journal.writing import Journal, reopen, start
from wizard.procedures.level import level
from wizard.rounds import Reading
from wizard.running import events
from wizard.running.course import Procedure, ReplayError, replay
from wizard.running.flow import FlowError, State
from wizard.running.session import Session, Stopped
from wizard.solver import whole
from wizard.solver.finding import Finding

FAST = 1e6
ROUND_READ = Reading(0.20, 0.25, "leaf")
Step = tuple[ask.AnyRequest, ask.AnyAnswer]


def short(facts: Facts) -> Procedure:
    """Read two points once: the shortest procedure that has every kind of step."""
    yield ask.Confirm("cautions")
    yield ask.Connect()
    yield ask.Confirm("hands-clear")
    yield ask.Warm(60.0, 0.0)
    yield ask.Soak(5.0)
    yield ask.Home()
    for nth, point in enumerate(("front left", "centre"), 1):
        yield ask.Park(point, 0.8)
        yield ask.Lower(point, 0.2)
        yield ask.TakeReading(point, 0.2, 1, nth, 2, "first")
    yield ask.Lift()
    yield ask.CoolDown()
    return ask.Outcome(None, 1, False)


class Job:
    """A session under test, with whatever it tells; `answers` is called for what is asked."""

    def __init__(
        self,
        machine: Machine,
        printer: Any,
        journal: Journal | None = None,
        procedure: Callable[[Facts], Procedure] = short,
        speed: float = FAST,
    ) -> None:
        self.told: list[events.Event] = []
        self.answers: Callable[[ask.AnyRequest], ask.AnyAnswer | None] = usual
        self.journal = journal or Journal(Header("short", machine))
        self.session = Session(procedure, Facts(machine), printer, self.journal, self._hear, speed)
        self.task: asyncio.Task[ask.Outcome] | None = None

    def _hear(self, event: events.Event) -> None:
        self.told.append(event)
        if isinstance(event, events.Asked):
            answer = self.answers(event.request)
            if answer is not None:
                asyncio.get_running_loop().call_soon(self.session.reply, answer)

    def begin(self) -> None:
        self.task = asyncio.create_task(self.session.run())

    async def until(self, met: Callable[[], bool]) -> None:
        """Let the loop turn until `met`; fails after far more turns than any job needs."""
        for _ in range(20_000):
            if met():
                return
            await asyncio.sleep(0)
        raise AssertionError(f"never met; told last: {self.told[-3:]}")

    async def until_asked(self, kind: type, point: str | None = None) -> Any:
        def asked() -> bool:
            now = self.session.request
            return isinstance(now, kind) and point in (None, getattr(now, "point", None))

        await self.until(asked)
        return self.session.request

    def all(self, kind: type) -> list[Any]:
        return [event for event in self.told if isinstance(event, kind)]

    @property
    def asked(self) -> list[ask.AnyRequest]:
        return [event.request for event in self.all(events.Asked)]


def usual(request: ask.AnyRequest) -> ask.AnyAnswer:
    """Answer without a thought."""
    return ask.ReadingTaken(ROUND_READ) if isinstance(request, ask.TakeReading) else ask.Confirmed()


def but_not(kind: type, point: str | None = None) -> Callable[[ask.AnyRequest], ask.AnyAnswer | None]:
    """Answer all but the requests of one kind (over one point)."""
    return lambda request: (
        None
        if isinstance(request, kind) and point in (None, getattr(request, "point", None))
        else usual(request)
    )


async def waiting_at(job: Job, kind: type, point: str | None = None) -> Any:
    """Begin the job and let it come to where it waits for the answer to a request."""
    job.answers = but_not(kind, point)
    job.begin()
    return await job.until_asked(kind, point)


async def ended(job: Job) -> ask.Outcome:
    assert job.task is not None
    return await job.task


async def test_a_job_runs_to_its_end_and_lets_go_of_printer_and_journal(
    four_corners: Machine, printer: Any, tmp_path: Path
) -> None:
    journal = start(Header("short", four_corners), tmp_path)
    job = Job(four_corners, printer, journal)
    job.begin()
    assert await ended(job) == ask.Outcome(None, 1, False)
    assert job.session.state is State.FINISHED
    assert printer.calls == [
        "connect",
        "warm 60.0 0.0",
        "home",
        "park front left 0.8",
        "lower 0.2",
        "park centre 0.8",
        "lower 0.2",
        "lift",
        "cool",
        "close",
    ]
    assert journal.record.outcome == ask.Outcome(None, 1, False)
    assert newest_unfinished(four_corners.name, "short", tmp_path) is None
    assert job.session.facts.readings == {"front left": ROUND_READ, "centre": ROUND_READ}


async def test_status_lines_and_states_are_told(four_corners: Machine, printer: Any) -> None:
    job = Job(four_corners, printer)
    job.begin()
    await ended(job)
    assert [event.status.link for event in job.all(events.StatusChanged)] == ["open"]
    assert job.all(events.LineSeen)[0].record.text == "connect"
    states = [event.after for event in job.all(events.StateChanged)]
    assert states[:6] == ["asking", "connecting", "asking", "waiting", "moving", "asking"]
    assert states[-1] == "finished"
    assert job.all(events.Finished) == [events.Finished(ask.Outcome(None, 1, False))]


async def test_every_answer_is_in_the_journal_before_the_procedure_sees_it(
    four_corners: Machine, printer: Any
) -> None:
    journal = Journal(Header("short", four_corners))
    seen: list[int] = []

    def watched(facts: Facts) -> Procedure:
        course = short(facts)
        request = next(course)
        while True:
            answer = yield request
            seen.append(len(journal.record.steps))
            assert journal.record.steps[-1].request == request
            assert journal.record.steps[-1].answer == answer
            try:
                request = course.send(answer)
            except StopIteration as end:
                return end.value

    job = Job(four_corners, printer, journal, watched)
    job.begin()
    await ended(job)
    assert seen == list(range(1, 15))


@pytest.mark.parametrize(
    "wrong",
    [
        ask.Confirmed(),
        ask.Felt("drag"),
        ask.ReadingTaken(Reading()),
        ask.ReadingTaken(Reading(0.2, 0.1)),
        ask.ReadingTaken(Reading(float("inf"), None)),
        ask.ReadingTaken(Reading(-0.1, 0.1)),
        ask.Skipped("  "),
    ],
)
async def test_an_answer_that_does_not_fit_is_refused_and_nothing_is_lost(
    four_corners: Machine, printer: Any, wrong: ask.AnyAnswer
) -> None:
    job = Job(four_corners, printer)
    request = await waiting_at(job, ask.TakeReading)
    with pytest.raises(ValueError, match=r"."):
        job.session.reply(wrong)
    assert job.session.request is request
    job.answers = usual
    job.session.reply(ask.ReadingTaken(ROUND_READ))
    await ended(job)


async def test_an_answer_that_nobody_asked_for_is_refused(four_corners: Machine, printer: Any) -> None:
    job = Job(four_corners, printer)
    with pytest.raises(ValueError, match="nothing is being asked"):
        job.session.reply(ask.Confirmed())
    await waiting_at(job, ask.TakeReading)
    job.session.reply(ask.Skipped("a clip is in the way"))
    with pytest.raises(ValueError, match="nothing is being asked"):
        job.session.reply(ask.ReadingTaken(ROUND_READ))
    job.answers = usual
    await ended(job)
    assert job.session.facts.readings == {"centre": ROUND_READ}


async def test_the_soak_counts_down_and_can_be_cut_short(four_corners: Machine, printer: Any) -> None:
    job = Job(four_corners, printer, speed=1.0)
    job.begin()
    await job.until(lambda: bool(job.all(events.SoakTick)))
    assert (job.all(events.SoakTick)[0].left_s, job.all(events.SoakTick)[0].total_s) == (300.0, 300.0)
    assert job.session.state is State.WAITING
    job.session.reply(ask.Done("cut short"))
    await ended(job)
    soaked = next(step for step in job.journal.record.steps if isinstance(step.request, ask.Soak))
    assert soaked.answer == ask.Done("cut short")
    marked = [step for step in job.journal.record.steps if step.early]
    assert [type(step.request) for step in marked] == [ask.TakeReading, ask.TakeReading]


@pytest.mark.parametrize(("passed_s", "early"), [(299.0, [True, True]), (300.0, [True, False])])
async def test_once_a_soak_that_was_cut_short_would_be_over_readings_are_early_no_more(
    four_corners: Machine, printer: Any, monkeypatch: pytest.MonkeyPatch, passed_s: float, early: list[bool]
) -> None:
    """From the next move on; the time counts while a person is being asked, and it stands in the record."""
    clock = [1000.0]
    monkeypatch.setattr("wizard.running.soak._now_s", lambda: clock[0])
    job = Job(four_corners, printer, speed=1.0)
    job.answers = but_not(ask.TakeReading, "front left")
    job.begin()
    await job.until(lambda: bool(job.all(events.SoakTick)))
    job.session.reply(ask.Done("cut short"))
    await job.until_asked(ask.TakeReading, "front left")
    clock[0] += passed_s
    job.session.reply(ask.ReadingTaken(ROUND_READ))
    await ended(job)
    steps = job.journal.record.steps
    assert [step.early for step in steps if isinstance(step.request, ask.TakeReading)] == early
    facts = job.session.facts
    assert [facts.rounds[0].readings[p].early for p in ("front left", "centre")] == early
    again = replay(short, Facts(four_corners), steps).facts
    assert again.rounds == facts.rounds
    assert (again.soak_cut, "time is up" in str(steps)) == (early[-1], not early[-1])


async def test_a_line_that_breaks_ends_the_count_of_how_long_the_plate_has_rested(
    four_corners: Machine, printer: Any, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Its heaters went off then: warmed anew it rests anew before readings are early no more."""
    clock = [1000.0]
    monkeypatch.setattr("wizard.running.soak._now_s", lambda: clock[0])
    job = Job(four_corners, printer, speed=1.0)
    job.answers = but_not(ask.TakeReading, "front left")
    job.begin()
    await job.until(lambda: bool(job.all(events.SoakTick)))
    job.session.reply(ask.Done("cut short"))
    await job.until_asked(ask.TakeReading, "front left")
    printer.fails["park"] = LinkLost("gone")
    clock[0] += 1000.0
    job.session.reply(ask.ReadingTaken(ROUND_READ))
    await job.until(lambda: bool(job.all(events.Faulted)))
    printer.fails.clear()
    job.session.retry()
    await ended(job)
    steps = job.journal.record.steps
    assert [step.early for step in steps if isinstance(step.request, ask.TakeReading)] == [True, True]


async def test_a_soak_that_is_over_by_itself_says_nothing_special(
    four_corners: Machine, printer: Any
) -> None:
    job = Job(four_corners, printer)
    job.begin()
    await ended(job)
    soaked = next(step for step in job.journal.record.steps if isinstance(step.request, ask.Soak))
    assert soaked.answer == ask.Done()
    assert job.all(events.SoakTick)[-1].left_s == 0.0
    assert not any(step.early for step in job.journal.record.steps)


async def test_back_asks_the_last_question_again_and_parks_anew_once_hands_are_clear(
    four_corners: Machine, printer: Any
) -> None:
    job = Job(four_corners, printer)
    await waiting_at(job, ask.TakeReading, "centre")
    assert job.all(events.Asked)[-1].can_go_back
    before = len(printer.moves)
    job.answers = lambda _: None
    job.session.back()
    assert (await job.until_asked(ask.Confirm)).topic == "hands-clear"
    assert len(printer.moves) == before
    assert not job.all(events.Asked)[-1].can_go_back
    job.session.reply(ask.Confirmed())
    await job.until_asked(ask.TakeReading, "front left")
    assert printer.moves[before:] == ["park front left 0.2"]
    assert job.session.facts.readings == {}
    job.answers = usual
    job.session.reply(ask.ReadingTaken(Reading(0.1, 0.15, "leaf")))
    await ended(job)
    assert job.session.facts.readings == {"front left": Reading(0.1, 0.15, "leaf"), "centre": ROUND_READ}


async def test_back_to_before_the_line_was_opened_neither_moves_nor_connects_again(
    four_corners: Machine, printer: Any
) -> None:
    job = Job(four_corners, printer)
    request = await waiting_at(job, ask.Confirm)
    assert not job.all(events.Asked)[-1].can_go_back
    with pytest.raises(ValueError, match="no answer"):
        job.session.back()
    assert job.session.request is request
    job.session.reply(ask.Confirmed())
    await job.until(lambda: job.session.request == ask.Confirm("hands-clear"))
    job.session.back()
    await job.until(lambda: job.session.request == ask.Confirm("cautions"))
    job.answers = usual
    job.session.reply(ask.Confirmed())
    await ended(job)
    assert printer.calls.count("connect") == 1


async def test_after_back_a_lifted_nozzle_is_lifted_again_before_a_turn(
    four_corners: Machine, printer: Any, make_plate: Any
) -> None:
    plate = make_plate(four_corners, 1)
    job = Job(four_corners, printer, procedure=level)
    first_of_round_2 = lambda r: isinstance(r, ask.LookForDaylight | ask.TakeReading) and r.round == 2  # noqa: E731
    job.answers = lambda r: None if first_of_round_2(r) else answer_on(plate, r)
    job.begin()
    await job.until(lambda: job.session.request is not None and first_of_round_2(job.session.request))
    job.answers = lambda r: ask.Confirmed() if isinstance(r, ask.Confirm) else None
    job.session.back()
    await job.until_asked(ask.Turn)
    assert printer.moves[-1] == "lift"
    assert not job.all(events.Asked)[-1].can_go_back
    job.session.stop()
    with pytest.raises(Stopped):
        await ended(job)


def answer_on(plate: Any, request: ask.AnyRequest, gauge: str = "leaf") -> ask.AnyAnswer:
    """Answer on a made-up plate; the nozzle stands where the request says."""
    if isinstance(request, ask.LookForDaylight | ask.TakeReading | ask.Feel):
        plate.move(request.point, request.z_mm)
    return plate.answer(request, gauge)


async def test_while_paused_nothing_new_is_begun_and_no_answer_is_taken(
    four_corners: Machine, printer: Any
) -> None:
    job = Job(four_corners, printer)
    await waiting_at(job, ask.TakeReading, "front left")
    job.session.pause()
    for forbidden in (lambda: job.session.reply(ask.ReadingTaken(ROUND_READ)), job.session.back):
        with pytest.raises(ValueError, match=r"."):
            forbidden()
    job.session.go_on()
    assert job.session.state is State.ASKING
    printer.holds["park"] = asyncio.Event()
    job.answers = usual
    job.session.reply(ask.ReadingTaken(ROUND_READ))
    await job.until(lambda: printer.calls[-1] == "park centre 0.8")
    job.session.pause()
    printer.holds["park"].set()
    for _ in range(50):
        await asyncio.sleep(0)
    assert printer.calls[-1] == "park centre 0.8"
    assert job.journal.record.steps[-1].request == ask.Park("centre", 0.8)
    job.session.go_on()
    await ended(job)


STOPPED_IN = ["idle", "connecting", "asking", "moving", "waiting", "paused", "faulted", "stopped"]


@pytest.mark.parametrize("state", STOPPED_IN)
async def test_stop_reaches_the_machine_at_once_in_every_state_and_ends_the_job(
    four_corners: Machine, printer: Any, state: str
) -> None:
    job = Job(four_corners, printer, speed=1.0 if state == "waiting" else FAST)
    await brought_to(job, printer, state)
    assert job.session.state.value == state
    before = len(printer.calls)
    job.session.stop()
    assert printer.calls[before:] == ["stop"]
    assert job.session.state is State.STOPPED
    if job.task is None:
        job.begin()
    with pytest.raises(Stopped):
        await ended(job)
    assert printer.calls[-1] == "close"
    assert not set(printer.calls[before:]) & set(printer.moves)


async def brought_to(job: Job, printer: Any, state: str) -> None:
    """Bring a job to a state."""
    hold = {"connecting": "connect", "moving": "home"}.get(state)
    if hold:
        printer.holds[hold] = asyncio.Event()
    if state == "faulted":
        printer.fails["home"] = PrinterFault("a heater does not respond")
    if state == "stopped":
        job.session.stop()
    if state in ("asking", "paused"):
        await waiting_at(job, ask.TakeReading)
    elif state not in ("idle", "stopped"):
        job.begin()
        await job.until(lambda: job.session.state.value == state)
    if state == "paused":
        job.session.pause()


async def test_stop_after_the_end_is_still_told_to_the_machine(four_corners: Machine, printer: Any) -> None:
    job = Job(four_corners, printer)
    job.begin()
    await ended(job)
    job.session.stop()
    assert printer.calls[-1] == "stop"
    assert job.session.state is State.STOPPED


async def test_a_stopped_job_can_be_taken_up_with_every_reading(
    four_corners: Machine, printer: Any, tmp_path: Path
) -> None:
    job = Job(four_corners, printer, start(Header("short", four_corners), tmp_path))
    await waiting_at(job, ask.TakeReading, "centre")
    job.session.stop()
    with pytest.raises(Stopped):
        await ended(job)
    path = newest_unfinished(four_corners.name, "short", tmp_path)
    assert path is not None
    again = Job(four_corners, printer, reopen(path))
    again.begin()
    await ended(again)
    assert again.asked == [ask.Confirm("restore-next"), job.asked[-1]]
    assert again.session.facts.readings == {"front left": ROUND_READ, "centre": ROUND_READ}


async def test_a_fault_is_told_with_its_exchange_and_the_step_is_done_again_after_re_homing(
    four_corners: Machine, printer: Any
) -> None:
    job = Job(four_corners, printer)
    await waiting_at(job, ask.TakeReading, "front left")
    printer.fails["park"] = LinkLost("the port is gone; plug it in again", (">N1 G0", "<!"))
    job.answers = usual
    job.session.reply(ask.ReadingTaken(ROUND_READ))
    await job.until(lambda: job.session.state is State.FAULTED)
    fault = job.all(events.Faulted)[0]
    assert (fault.kind, fault.exchange) == ("LinkLost", (">N1 G0", "<!"))
    assert "plug it in again" in fault.text
    assert printer.calls[-2:] == ["make_safe", "close"]
    with pytest.raises(FlowError):
        job.session.pause()
    before = len(printer.calls)
    job.session.retry()
    await ended(job)
    assert printer.calls[before:][:4] == ["connect", "warm 60.0 0.0", "home", "park centre 0.8"]
    assert ask.Confirm("restore-next") in job.asked
    assert job.session.facts.readings == {"front left": ROUND_READ, "centre": ROUND_READ}


async def test_a_second_fault_on_trying_again_is_told_too(four_corners: Machine, printer: Any) -> None:
    job = Job(four_corners, printer)
    printer.fails["connect"] = LinkLost("no such port")
    job.begin()
    await job.until(lambda: job.session.state is State.FAULTED)
    printer.fails["connect"] = LinkLost("still no such port")
    job.session.retry()
    await job.until(lambda: len(job.all(events.Faulted)) == 2)
    job.session.retry()
    await ended(job)


async def test_retry_is_refused_where_nothing_is_at_fault(four_corners: Machine, printer: Any) -> None:
    job = Job(four_corners, printer)
    await waiting_at(job, ask.TakeReading)
    with pytest.raises(FlowError):
        job.session.retry()
    job.answers = usual
    job.session.reply(ask.ReadingTaken(ROUND_READ))
    await ended(job)


async def test_cancelled_from_outside_the_machine_is_made_safe_and_the_cut_is_written(
    four_corners: Machine, printer: Any, tmp_path: Path
) -> None:
    job = Job(four_corners, printer, start(Header("short", four_corners), tmp_path))
    await waiting_at(job, ask.TakeReading)
    assert job.task is not None
    job.task.cancel()
    with pytest.raises(asyncio.CancelledError):
        await job.task
    assert printer.calls[-2:] == ["make_safe", "close"]
    assert job.journal.path is not None
    assert b"ended by CancelledError" in job.journal.path.read_bytes()
    assert newest_unfinished(four_corners.name, "short", tmp_path) == job.journal.path


def one_change(facts: Facts) -> Procedure:
    """Change the stored height once."""
    yield ask.Connect()
    yield ask.SetHeight(-0.1)
    yield ask.Store()
    yield ask.Confirm("verify-next")
    return ask.Outcome(None, 1, False)


async def test_a_height_change_cut_off_is_not_sent_a_second_time(four_corners: Machine, printer: Any) -> None:
    job = Job(four_corners, printer, procedure=one_change)
    printer.fails["set_height"] = LinkLost("gone")
    job.begin()
    await job.until(lambda: job.session.state is State.FAULTED)
    job.session.retry()
    await ended(job)
    assert printer.calls.count("set_height -0.1") == 1
    done = job.journal.record.steps[1].answer
    assert isinstance(done, ask.Done)
    assert "may have been done or not" in done.note


async def test_a_move_of_the_plate_cut_off_is_not_sent_a_second_time(
    four_corners: Machine, printer: Any
) -> None:
    """It may have been made, and twice as far would meet the nozzle; what follows reads the plate anew."""
    moved: list[dict[str, float]] = []

    class Motors:
        async def move_motors(self, turns: dict[str, float]) -> None:
            moved.append(turns)
            raise LinkLost("gone")

    def moving(facts: Facts) -> Procedure:
        yield ask.Connect()
        yield ask.Home()
        yield ask.MoveMotors({"front left": 0.5}, 1, Finding("outside", "turn"))
        return ask.Outcome(None, 1, False)

    printer.own_words = Motors
    job = Job(four_corners, printer, procedure=moving)
    job.begin()
    await job.until(lambda: job.session.state is State.FAULTED)
    job.session.retry()
    await ended(job)
    assert moved == [{"front left": 0.5}]
    assert job.journal.record.steps[-1].answer == ask.Turned({"front left": 0.5})


async def test_a_height_change_that_was_refused_before_it_was_sent_is_tried_again(
    four_corners: Machine, printer: Any
) -> None:
    job = Job(four_corners, printer, procedure=one_change)
    printer.fails["set_height"] = MoveRefused("not now")
    job.begin()
    await job.until(lambda: job.session.state is State.FAULTED)
    job.session.retry()
    await job.until(lambda: job.session.state in (State.FINISHED, State.FAULTED))
    await ended(job)
    assert printer.calls.count("set_height -0.1") == 2


async def test_nothing_is_taken_back_across_a_height_change(four_corners: Machine, printer: Any) -> None:
    job = Job(four_corners, printer, procedure=one_change)
    await waiting_at(job, ask.Confirm)
    assert not job.all(events.Asked)[-1].can_go_back
    job.answers = usual
    job.session.reply(ask.Confirmed())
    await ended(job)


async def test_a_journal_of_another_version_is_refused_clearly_and_nothing_moves(
    four_corners: Machine, printer: Any
) -> None:
    journal = Journal(Header("short", four_corners))
    journal.append(ask.Confirm("cautions"), ask.Confirmed())
    journal.append(ask.Home(), ask.Done())
    job = Job(four_corners, printer, journal)
    job.begin()
    with pytest.raises(ReplayError, match=r"step 2 .* Home .* Connect"):
        await ended(job)
    assert printer.moves == []


async def test_where_the_record_cannot_be_written_the_person_is_told_once(
    four_corners: Machine, printer: Any, tmp_path: Path
) -> None:
    (tmp_path / "runs").touch()
    job = Job(four_corners, printer, start(Header("short", four_corners), tmp_path / "runs"))
    job.begin()
    await ended(job)
    assert len(job.all(events.Notice)) == 1
    assert "no record" in job.all(events.Notice)[0].text


async def test_by_hand_the_person_is_asked_to_do_what_a_line_would(four_corners: Machine) -> None:
    sessions: list[Session] = []

    async def by_person(*args: Any, **more: Any) -> None:
        await sessions[0].ask_by_hand(*args, **more)

    job = Job(four_corners, HandPrinter(four_corners, by_person))
    sessions.append(job.session)
    job.begin()
    await ended(job)
    moves = [request for request in job.asked if isinstance(request, ask.MoveByHand)]
    assert [move.what for move in moves] == [
        "heat",
        "home",
        "park",
        "lower",
        "park",
        "lower",
        "lift",
        "cool",
    ]
    assert (moves[2].point, moves[2].z_mm) == ("front left", 0.8)


async def test_by_hand_a_stop_leaves_nobody_waiting_and_says_what_is_left(
    four_corners: Machine,
) -> None:
    sessions: list[Session] = []

    async def by_person(*args: Any, **more: Any) -> None:
        await sessions[0].ask_by_hand(*args, **more)

    job = Job(four_corners, HandPrinter(four_corners, by_person))
    sessions.append(job.session)
    await waiting_at(job, ask.TakeReading)
    job.session.stop()
    with pytest.raises(Stopped):
        await ended(job)
    assert "heaters off" in job.all(events.Notice)[0].text


async def whole_job(machine: Machine, printer: Any, plate: Any, gauge: str) -> Job:
    """Run a whole levelling job on a made-up plate."""
    job = Job(machine, printer, Journal(Header("level", machine)), level)
    job.answers = lambda request: answer_on(plate, request, gauge)
    job.begin()
    await ended(job)
    return job


def cut_after(machine: Machine, steps: Sequence[Any], count: int) -> Journal:
    """Return the journal of a job that was killed after `count` answers."""
    journal = Journal(Header("level", machine))
    for step in steps[:count]:
        journal.append(step.request, step.answer)
    return journal


async def taken_up(machine: Machine, printer: Any, steps: Sequence[Any], count: int, last: int) -> Job:
    """Take a job up after `count` answers and let it run on with the recorded ones up to step `last`."""
    job = Job(machine, printer, cut_after(machine, steps, count), level)

    def recorded(request: ask.AnyRequest) -> ask.AnyAnswer | None:
        if request in (ask.Confirm("restore-next"),) and request != steps[done()].request:
            return ask.Confirmed()
        assert request == steps[done()].request
        return steps[done()].answer if done() < last else None

    def done() -> int:
        return len(job.journal.record.steps)

    job.answers = recorded
    job.begin()
    return job


@pytest.fixture
def solved_once(monkeypatch: pytest.MonkeyPatch) -> None:
    """Keep what the solver said of the same rounds: a job is taken up here from each of its answers."""
    known: dict[bytes, Any] = {}

    def once(solver: Callable[..., Any]) -> Callable[..., Any]:
        def answer(machine: Machine, rounds: Sequence[Any]) -> Any:
            key = solver.__name__.encode() + msgspec.json.encode((machine, tuple(rounds)))
            if key not in known:
                known[key] = solver(machine, rounds)
            return known[key]

        return answer

    for solver in (whole.solve, whole.expect):
        monkeypatch.setattr(whole, solver.__name__, once(solver))


@pytest.mark.usefixtures("solved_once")
@pytest.mark.parametrize("gauge", ["leaf", "feel"])
async def test_cut_off_after_any_answer_a_job_goes_on_with_the_same_request_and_rounds(
    four_corners: Machine, make_plate: Any, printer: Any, gauge: str
) -> None:
    full = await whole_job(four_corners, printer, make_plate(four_corners, 1), gauge)
    steps = full.journal.record.steps
    by_person = [i for i, step in enumerate(steps) if isinstance(step.request, ask.ByPerson)]
    for count in range(len(steps)):
        fresh = type(printer)()
        to = next(i for i in by_person if i >= count)
        job = await taken_up(four_corners, fresh, steps, count, to)
        await job.until(lambda job=job, to=to: job.session.request == steps[to].request)
        restored = ask.Confirm("restore-next") in job.asked
        assert restored == bool(fresh.moves)
        assert job.session.facts.rounds == rounds_after(four_corners, steps, to)
        job.session.stop()
        with pytest.raises(Stopped):
            await ended(job)


def rounds_after(machine: Machine, steps: Sequence[Any], count: int) -> Any:
    """Return the rounds that the first `count` answers add up to."""
    from wizard.facts import after

    facts = Facts(machine)
    for step in steps[:count]:
        facts = after(facts, step.request, step.answer)
    return facts.rounds


async def test_taken_up_in_the_middle_a_job_comes_to_the_same_end(
    four_corners: Machine, make_plate: Any, printer: Any
) -> None:
    full = await whole_job(four_corners, printer, make_plate(four_corners, 2), "feel")
    steps = full.journal.record.steps
    job = await taken_up(four_corners, type(printer)(), steps, len(steps) // 2, len(steps))
    outcome = await ended(job)
    assert outcome == full.journal.record.outcome
    assert outcome.proven


async def test_with_a_stored_height_the_job_sets_and_stores_it_once_a_round(
    four_corners: Machine, make_plate: Any, printer: Any
) -> None:
    apart = msgspec.structs.replace(
        four_corners, height=Height(by="stored offset", set_command="M1 {change_mm}", store_command="M2")
    )
    plate = make_plate(apart, 2, 0.35, 0.6)
    printer.set_height = moved(plate, printer.set_height)
    job = await whole_job(apart, printer, plate, "feel")
    assert job.journal.record.outcome is not None
    assert job.journal.record.outcome.proven
    assert printer.calls.count("store") == sum(call.startswith("set_height") for call in printer.calls) > 0


def moved(plate: Any, set_height: Any) -> Any:
    """Let a change of the stored height reach the made-up plate."""

    async def change(change_mm: float) -> None:
        await set_height(change_mm)
        plate.lifted_by_mm += change_mm

    return change
