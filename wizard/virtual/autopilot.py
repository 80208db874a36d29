"""A virtual operator for a simulated printer: answers what a person would, by feeling the virtual plate.

It sees nothing but what a hand sees: whether a card or leaf passes where the nozzle stands now.
"""

from __future__ import annotations

import asyncio
from collections.abc import Callable
from functools import singledispatchmethod

from drivers.errors import PrinterFault
from drivers.simulated.operator import Operator
from drivers.simulated.plate import ENDSTOP
from profiles.machine import Machine
from wizard.printing.pads import every_pad
from wizard.requests import (
    CHECK_PRINT,
    COMPENSATE,
    CORRECT,
    GO_ON,
    GO_ON_ANYWAY,
    READ_AGAIN,
    SET_HEIGHT,
    STOP_HERE,
    AnyAnswer,
    AnyRequest,
    AskFilament,
    AskSheet,
    ByPerson,
    ChangeHeightByMenu,
    Choose,
    Chosen,
    Confirm,
    Confirmed,
    EnterGrid,
    Feel,
    Felt,
    Filament,
    HeightChanged,
    JudgePad,
    LookForDaylight,
    Outcome,
    PadMeasured,
    PadSeen,
    ReadingTaken,
    Seen,
    ShowChange,
    ShowPrint,
    ShowResult,
    ShowTouches,
    Skipped,
    TakeReading,
    Thickness,
    Turn,
    Turned,
    TurnEndstop,
)
from wizard.rounds import Reading
from wizard.running.events import Answered, Asked, Event, Faulted
from wizard.running.session import Session, Stopped

PREFERRED = ("feel", COMPENSATE, CORRECT, READ_AGAIN, GO_ON, GO_ON_ANYWAY, STOP_HERE, SET_HEIGHT)


class VirtualHand:
    """Answers a procedure's requests by what the virtual operator sees, feels and turns."""

    def __init__(self, operator: Operator, machine: Machine, *, prints: bool = False) -> None:
        self._operator = operator
        self._gauge = machine.gauge
        self._prints = prints
        self._pads = every_pad(machine)

    @singledispatchmethod
    def answer(self, request: AnyRequest) -> AnyAnswer:
        """Return the operator's answer. Raises TypeError for what no hand can answer."""
        raise TypeError(f"a virtual operator cannot answer {type(request).__name__}")

    @answer.register
    def _(self, request: Confirm) -> AnyAnswer:
        if request.topic in ("print-ready", "print-anew"):
            self._operator.clear_plate()
        return Confirmed()

    @answer.register
    def _(self, request: ShowResult) -> AnyAnswer:
        return Chosen(CHECK_PRINT) if self._prints and request.can_print else Confirmed()

    @answer.register
    def _(self, request: AskFilament) -> AnyAnswer:
        return Filament(request.bed_c, request.nozzle_c)

    @answer.register
    def _(self, request: JudgePad) -> AnyAnswer:
        at_mm = self._pads[request.point]
        thick_mm = None if request.how == "look" else self._operator.pad_thickness(at_mm, request.how)
        if thick_mm:
            return PadMeasured(thick_mm)
        look = self._operator.pad_look(at_mm)
        return Skipped("no plastic there") if look is None else PadSeen(look)

    @answer.register(Choose)
    @answer.register(ShowChange)
    @answer.register(ShowPrint)
    def _(self, request: Choose | ShowChange | ShowPrint) -> AnyAnswer:
        return Chosen(next((o for o in PREFERRED if o in request.options), request.options[0]))

    @answer.register
    def _(self, request: LookForDaylight) -> AnyAnswer:
        return Seen(self._operator.daylight(request.thick_mm))

    @answer.register
    def _(self, request: TakeReading) -> AnyAnswer:
        low_mm, high_mm = self._operator.leaf_reading(self._gauge.leaves_mm)
        return ReadingTaken(Reading(low_mm, high_mm, "leaf"))

    @answer.register
    def _(self, request: Feel) -> AnyAnswer:
        return Felt(self._operator.feel(request.card_mm))

    @answer.register
    def _(self, request: Turn) -> AnyAnswer:
        for name, turns in request.turns.items():
            self._operator.turn(name, turns)
        return Turned(request.turns)

    @answer.register
    def _(self, request: TurnEndstop) -> AnyAnswer:
        self._operator.turn(ENDSTOP, request.turns)
        return Turned({ENDSTOP: request.turns})

    @answer.register
    def _(self, request: EnterGrid) -> AnyAnswer:
        self._operator.type_grid(request.values)
        return Confirmed()

    @answer.register
    def _(self, request: ShowTouches) -> AnyAnswer:
        return Chosen(STOP_HERE)

    @answer.register
    def _(self, request: AskSheet) -> AnyAnswer:
        return Thickness(request.usual_mm)

    @answer.register
    def _(self, request: ChangeHeightByMenu) -> AnyAnswer:
        return HeightChanged(self._operator.raise_nozzle(request.change_mm))


class Autopilot:
    """Lets a virtual hand answer a session. Give `listen` to the session, then await `drive`.

    `answers` counts what the hand was asked, `turns` the single turns it made.
    """

    def __init__(self, hand: VirtualHand, tell: Callable[[Event], None]) -> None:
        self.answers = 0
        self.turns = 0
        self._hand = hand
        self._tell = tell
        self._session: Session | None = None
        self._fault: Faulted | None = None

    def listen(self, event: Event) -> None:
        """Pass an event on, and see to it that what it asks is answered."""
        self._tell(event)
        if isinstance(event, Asked):
            # The session waits for the answer only once this call has returned.
            asyncio.get_running_loop().call_soon(self._reply, event.request)
        elif isinstance(event, Answered):
            self._count(event)
        elif isinstance(event, Faulted):
            self._fault = event
            asyncio.get_running_loop().call_soon(self._stop)

    async def drive(self, session: Session) -> Outcome:
        """Run the session to its end. Raises PrinterFault at a fault, since nobody could look into it."""
        self._session = session
        try:
            return await session.run()
        except Stopped:
            if self._fault is None:
                raise
            raise PrinterFault(self._fault.text, self._fault.exchange) from None

    def _reply(self, request: AnyRequest) -> None:
        assert self._session is not None
        self._session.reply(self._hand.answer(request))

    def _stop(self) -> None:
        assert self._session is not None
        self._session.stop()

    def _count(self, event: Answered) -> None:
        self.answers += isinstance(event.request, ByPerson)
        if isinstance(event.answer, Turned):
            self.turns += len(event.answer.turns)
