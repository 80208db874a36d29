"""What gets a request answered: the person at the desk, the soak clock, or the printer.

Keeps in mind what holds of the machine itself (`have`), which after a break is nothing.
"""

from __future__ import annotations

from collections.abc import Callable

from drivers.errors import MoveRefused
from drivers.interface import Printer
from wizard.facts import Facts, after
from wizard.requests import (
    RESTED,
    AnyAnswer,
    AnyRequest,
    ByMachine,
    ByPerson,
    Connect,
    Connected,
    CoolDown,
    Done,
    Home,
    Lift,
    Lower,
    MoveByHand,
    Park,
    PrintLayer,
    Reconnect,
    Soak,
    Warm,
)
from wizard.running.carry import carry_out
from wizard.running.desk import Desk
from wizard.running.events import Asked, Event, Notice, Working
from wizard.running.flow import Event as Happens
from wizard.running.laying import lay_down
from wizard.running.pace import Pace
from wizard.running.soak import SoakClock

_LEFT_TO_DO = "The job has ended: lift the nozzle and switch the heaters off on the machine itself."
MOVES = (Home, Park, Lower, Lift)
_HAPPENS: dict[type, Happens] = {Connect: Happens.CONNECT, Warm: Happens.WAIT, Soak: Happens.WAIT}


class Hands:
    """Obtains answers, one request at a time."""

    def __init__(
        self,
        facts: Facts,
        printer: Printer,
        pace: Pace,
        tell: Callable[[Event], None],
        *,
        speed: float,
    ) -> None:
        self.have = facts
        self.desk = Desk(facts.machine)
        self.clock = SoakClock(speed, tell)
        self._fresh = facts
        self._printer = printer
        self._pace = pace
        self._tell = tell
        self._known: Connected | None = None

    def forget(self) -> None:
        """After a break nothing is known of the machine any more."""
        self.have, self._known = self._fresh, None
        self.clock.cooled()

    async def obtain(self, request: AnyRequest, facts: Facts, *, can_go_back: bool = False) -> AnyAnswer:
        """Return the answer to `request`. Raises DriverError and TakenBack."""
        await self._pace.not_paused()
        if isinstance(request, ByPerson):
            return await self._ask(request, facts, can_go_back)
        if isinstance(request, Connect) and self.have.connected and self._known:
            return self._known
        answer = self._timed(request, await self._work(request, facts), facts)
        self.have = after(self.have, request, answer)
        return answer

    def _timed(self, request: AnyRequest, answer: AnyAnswer, facts: Facts) -> AnyAnswer:
        """Return the answer, saying so where a plate whose soak was cut short has rested by now.

        With a move, as what is read without one still counts with what was read before it.
        """
        if isinstance(request, Warm):
            self.clock.warmed(facts.machine.heat.soak_min)
        elif isinstance(request, CoolDown | Reconnect):
            self.clock.cooled()
        elif isinstance(request, MOVES) and facts.soak_cut and self.clock.rested:
            return Done(RESTED)
        return answer

    async def ask_by_hand(self, request: MoveByHand, facts: Facts) -> None:
        """Have the person do what a line would, in the midst of a request to the machine.

        Raises MoveRefused where the job has ended or is at fault; the person is told then what is left.
        """
        await self._pace.not_paused()
        if not self._pace.takes(Happens.ASK):
            self._tell(Notice(_LEFT_TO_DO))
            raise MoveRefused(_LEFT_TO_DO)
        await self._ask(request, facts, can_go_back=False)
        await self._pace.not_paused()
        self._pace.happens(Happens.MOVE)

    async def _ask(self, request: AnyRequest, facts: Facts, can_go_back: bool) -> AnyAnswer:
        self._pace.happens(Happens.ASK)
        self._tell(Asked(request, facts, can_go_back))
        return await self.desk.ask(request)

    async def _work(self, request: AnyRequest, facts: Facts) -> AnyAnswer:
        assert isinstance(request, ByMachine)
        self._pace.happens(_HAPPENS.get(type(request), Happens.MOVE))
        self._tell(Working(request, facts))
        if isinstance(request, Soak):
            return await self.clock.soak(request)
        if isinstance(request, PrintLayer):
            return await lay_down(self._printer, facts.machine, request, self._pace, self._tell)
        answer = await carry_out(self._printer, facts.machine, request)
        if isinstance(answer, Connected):
            self._known = answer
            if answer.note:
                self._tell(Notice(answer.note))
        return answer
