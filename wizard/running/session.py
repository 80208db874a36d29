"""The shell around a procedure: has its requests carried out or answered, and feeds the answers back.

It decides nothing about levelling. Every answer is in the journal before the procedure sees it.
All calls come from the event loop's own thread.
"""

from __future__ import annotations

import asyncio
from collections.abc import Callable

from drivers.byhand import What
from drivers.errors import DriverError, MoveRefused
from drivers.interface import Printer
from wizard.facts import Facts
from wizard.journal.writing import Journal
from wizard.requests import (
    AnyAnswer,
    AnyRequest,
    ByPerson,
    Done,
    MoveByHand,
    MoveMotors,
    Outcome,
    SetHeight,
    Turned,
)
from wizard.running.course import Course, MakeProcedure, replay, same_request
from wizard.running.desk import TakenBack
from wizard.running.events import Answered, Event, Faulted, Finished, LineSeen, Notice, StatusChanged
from wizard.running.flow import Event as Happens
from wizard.running.flow import State
from wizard.running.hands import Hands
from wizard.running.pace import Pace
from wizard.running.recording import Recorder
from wizard.running.restore import CUT_OFF, as_hot_as_printing, needed
from wizard.running.way_out import WayOut

STAYS_HOT = "The heaters stay as they are, as was asked for."


class Stopped(Exception):
    """The operator stopped the job."""


class Session:
    """One job on one printer. `run` does it; the other methods are what a person can do meanwhile."""

    def __init__(  # noqa: PLR0917 -- the seam that commands and tests use
        self,
        procedure: MakeProcedure,
        facts: Facts,
        printer: Printer,
        journal: Journal,
        listener: Callable[[Event], None],
        speed: float = 1.0,
        *,
        keep_hot: bool = False,
    ) -> None:
        self._procedure = procedure
        self._fresh = facts
        self._printer = printer
        self._journal = journal
        self._tell = listener
        self._recorder = Recorder(journal, printer, listener)
        self._pace = Pace(listener)
        self._hands = Hands(facts, printer, self._pace, listener, speed=speed)
        self._course: Course | None = None
        self._task: asyncio.Task[Outcome] | None = None
        self._way_out = WayOut(printer, listener, self.retry)
        self._can_go_back = False
        self._keep_hot = keep_hot
        self._hung_up = False

    @property
    def state(self) -> State:
        """What the session is doing."""
        return self._pace.state

    @property
    def facts(self) -> Facts:
        """What is known of the job now."""
        return self._course.facts if self._course else self._fresh

    @property
    def request(self) -> AnyRequest | None:
        """What a person is being asked now, None where nothing is."""
        return self._hands.desk.request

    async def run(self) -> Outcome:
        """Do the job, or go on with the one in the journal.

        Raises Stopped, and wizard.running.course.ReplayError where the journal is of another version.
        However it ends, the machine is left safe and the line closed.
        """
        try:
            return await self._guarded()
        finally:
            await self._printer.close()
            self._journal.close()

    def reply(self, answer: AnyAnswer) -> None:
        """Answer what is asked, or cut the soak short with Done. Raises ValueError; nothing is lost then."""
        if self._pace.is_in(State.PAUSED):
            raise ValueError("the job is paused; go on first")
        if self._hands.clock.running and isinstance(answer, Done):
            self._hands.clock.cut_short()
        else:
            self._hands.desk.answer(answer)

    def back(self) -> None:
        """Take the last answer back. Raises ValueError where that is not possible."""
        if self._pace.is_in(State.PAUSED) or not self._can_go_back:
            raise ValueError("there is no answer that could be taken back now")
        self._hands.desk.take_back()

    def pause(self) -> None:
        """Begin no further step. Raises wizard.running.flow.FlowError where there is nothing to pause."""
        self._pace.happens(Happens.PAUSE)

    def go_on(self) -> None:
        """End the pause. Raises wizard.running.flow.FlowError where there is none."""
        self._pace.happens(Happens.GO_ON)

    def retry(self) -> None:
        """After a fault: open the line anew, re-home and go on at the same step. Raises FlowError."""
        self._pace.happens(Happens.RETRY)
        self._way_out.opened()

    def stop(self) -> None:
        """Stop the machine at once and end the job, in any state."""
        self._printer.stop()
        self._end()

    def hang_up(self) -> None:
        """End the job, as nobody is there any more. No stop block: the nozzle still lifts; heat may stay."""
        if not self._pace.is_in(State.STOPPED):
            self._hung_up = True
            if self._keep_hot:
                self._tell(Notice(STAYS_HOT))
        self._end()

    def _end(self) -> None:
        self._pace.happens(Happens.STOP)
        if self._task is not None:
            self._task.cancel()

    async def ask_by_hand(
        self,
        what: What,
        point: str | None = None,
        z_mm: float | None = None,
        bed_c: float | None = None,
        nozzle_c: float | None = None,
    ) -> None:
        """Have the person do what a line would; what the drive by hand is given as its way to ask."""
        request = MoveByHand(what, point, z_mm, bed_c, nozzle_c)
        await self._hands.ask_by_hand(request, self.facts)

    async def _guarded(self) -> Outcome:
        """Run the job in a task of its own, so that a stop ends it wherever it waits."""
        if self._pace.is_in(State.STOPPED):
            raise Stopped
        self._task = asyncio.create_task(self._job())
        try:
            return await self._task
        except BaseException as error:
            stopped = self._pace.is_in(State.STOPPED)
            self._pace.happens(Happens.STOP)
            stays_hot = self._keep_hot and self._hung_up and not as_hot_as_printing(self._course)
            await self._printer.make_safe(keep_hot=stays_hot)
            self._journal.broke("stopped by the operator" if stopped else f"ended by {type(error).__name__}")
            if stopped:
                raise Stopped from None
            raise

    async def _job(self) -> Outcome:
        self._printer.watch(lambda s: self._tell(StatusChanged(s)), lambda r: self._tell(LineSeen(r)))
        self._recorder.tell_trouble()
        course = self._replay()
        while course.pending is not None:
            try:
                await self._restore(course, course.pending)
                await self._step(course, course.pending)
            except TakenBack:
                self._journal.take_back()
                course = self._replay()
            except DriverError as error:
                await self._fault(error)
        return self._finish(course)

    def _replay(self) -> Course:
        self._course = replay(self._procedure, self._fresh, self._journal.record.steps)
        return self._course

    async def _restore(self, course: Course, pending: AnyRequest) -> None:
        """Bring the machine to where the answers have led; nothing is needed while nothing was cut off."""
        for request in needed(self._hands.have, course.facts, pending):
            await self._hands.obtain(request, course.facts)

    async def _step(self, course: Course, request: AnyRequest) -> None:
        """Obtain one answer, journal it, use it."""
        answer = await self._obtain(course, request)
        self._recorder.keep(request, answer, course.facts)
        course.take(answer)
        self._tell(Answered(request, answer))

    async def _obtain(self, course: Course, request: AnyRequest) -> AnyAnswer:
        if isinstance(request, SetHeight | MoveMotors):
            return await self._obtain_once(course, request)
        self._can_go_back = isinstance(request, ByPerson) and self._journal.record.back_to is not None
        try:
            return await self._hands.obtain(request, course.facts, can_go_back=self._can_go_back)
        finally:
            self._can_go_back = False

    async def _obtain_once(self, course: Course, request: SetHeight | MoveMotors) -> AnyAnswer:
        """Send what must not be sent twice: what a break has left unknown is not sent again."""
        begun = self._journal.record.begun
        if begun is not None and same_request(begun, request):
            return Done(CUT_OFF) if isinstance(request, SetHeight) else Turned(request.turns)
        self._journal.begin(request)
        try:
            return await self._hands.obtain(request, course.facts)
        except MoveRefused:
            self._journal.not_begun()
            raise

    async def _fault(self, error: DriverError) -> None:
        """Make the machine safe, tell, and wait until the person wants to try again."""
        self._pace.happens(Happens.FAULT)
        self._way_out.close()
        await self._printer.make_safe()
        await self._printer.close()
        self._hands.forget()
        self._journal.broke(str(error), fault=True)
        self._tell(Faulted(type(error).__name__, str(error), error.exchange))
        await self._way_out.wait(error)

    def _finish(self, course: Course) -> Outcome:
        outcome = course.outcome
        assert outcome is not None
        self._pace.happens(Happens.FINISH)
        self._journal.finish(outcome)
        self._tell(Finished(outcome))
        return outcome
