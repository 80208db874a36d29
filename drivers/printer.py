"""A machine on a line: connect, home, park, lower, lift, heat, stop, inside the safety envelope.

What the envelope knows is forgotten at every reset, fault, stop and loss of the line.
"""

from __future__ import annotations

import asyncio
from collections.abc import AsyncIterator, Callable
from contextlib import asynccontextmanager, suppress

import msgspec

from drivers import commands as c
from drivers import stored_offset
from drivers.conversation import Conversation, Waits
from drivers.envelope import Envelope
from drivers.errors import DriverError, LinkLost, PrinterFault, Stopped
from drivers.exchange_events import Patience
from drivers.heating import temperatures
from drivers.interface import Identity, LineRecord, Status, Temperatures, nobody
from drivers.laying import Laying
from drivers.line import Line, PumpMaker
from drivers.own_words import LineWords
from drivers.pump import best_pump
from drivers.replies import Failure, Ok, Reply, Started, Temperature
from drivers.same_device import SameDevice, is_there
from drivers.speed_search import meet
from drivers.stopping import HEATERS_OFF, Stopping
from drivers.teaching import Teaching
from drivers.transport import Transport
from drivers.warming import wait_for_heat
from profiles.machine import Machine, Point


class LinePrinter:
    """Implements `drivers.interface.Printer` over a serial line.

    source: a URL or device path, an open Transport, or a callable that opens one (it may block).
    """

    def __init__(
        self,
        machine: Machine,
        source: str | Transport | Callable[[], Transport],
        patience: Patience | None = None,
        waits: Waits | None = None,
        pump: PumpMaker = best_pump,
    ) -> None:
        self._machine = machine
        self._source = SameDevice(source, machine.motion.baud) if isinstance(source, str) else source
        self._waits = waits or Waits()
        self._line = Line(self._open_transport, self, patience, pump)
        self._stopping = Stopping(self._line, lambda stopped: self._change(stopped=stopped))
        self._envelope = Envelope(machine)
        self._talk = Conversation(self._line, self._envelope, self._waits)
        self._status = Status()
        self._trouble: DriverError | None = None
        self._at_work = 0
        self._idle_poll: asyncio.Task[None] | None = None
        self._on_status: Callable[[Status], None] = nobody
        self._on_line: Callable[[LineRecord], None] = nobody

    @property
    def status(self) -> Status:
        """What is known now."""
        return self._status

    def watch(self, on_status: Callable[[Status], None], on_line: Callable[[LineRecord], None]) -> None:
        """Be told of every change of status and of every line exchanged."""
        self._on_status, self._on_line = on_status, on_line

    async def connect(self) -> Identity:
        """Open the line, wait for the machine to be ready, ask who it is. Nothing moves."""
        self._stopping.lift()
        self._change(stopped="")
        self._clear_trouble()
        self._envelope.forget("the machine has not been homed since the line was opened")
        async with self._working():
            await self._line.open()
            self._change()
            identity = await meet(self._talk, self._line, self._source, self._waits)
            self._clear_trouble()
        if self._idle_poll is None:
            self._idle_poll = asyncio.create_task(self._poll_while_idle())
        return identity

    async def warm(self, bed_c: float, nozzle_c: float) -> None:
        """Set both targets and wait until they are reached. 0 is off and is not waited for."""
        targets = (c.SetBed(bed_c), c.SetNozzle(nozzle_c))
        for target in targets:
            self._envelope.admit(target)
        async with self._working():
            for target in targets:
                await self._talk.ask(target)
            await wait_for_heat(self._talk, self._machine.heat, self._waits, bed_c, nozzle_c)

    async def home(self) -> None:
        """Home all axes, then lift to clearance. After a restart the machine is greeted again first."""
        if isinstance(self._trouble, PrinterFault) and not isinstance(self._trouble, Stopped):
            self._clear_trouble()
        async with self._working(moving=True):
            if not self._line.is_ready:
                await self._talk.greet()
                self._clear_trouble()
            if self._envelope.position_mm() is not None:
                await self._talk.run(self._envelope.plan_lift())
            self._envelope.forget("homing did not finish")
            expected_s = self._envelope.homing_s()
            await self._talk.ask(c.Home(), expected_s)
            await self._talk.finish(expected_s)
            self._envelope.has_homed(await self._talk.agreed_position())
            await self._talk.run(self._envelope.plan_lift())

    async def park(self, point: Point, z_mm: float) -> None:
        """Lift to clearance, go over `point`, come down to `z_mm` from above."""
        async with self._working(moving=True):
            await self._talk.run(self._envelope.plan_park(point, z_mm))

    async def lower(self, z_mm: float) -> None:
        """Over the present point go to `z_mm`, approached from above."""
        async with self._working(moving=True):
            await self._talk.run(self._envelope.plan_lower(z_mm))

    async def lift(self) -> None:
        """Lift to clearance height."""
        async with self._working(moving=True):
            await self._talk.run(self._envelope.plan_lift())

    async def set_height(self, change_mm: float) -> None:
        """Change the stored nozzle height by the profile's template. Raises MoveRefused without one."""
        async with self._working():
            await stored_offset.change(self._talk, self._machine.height, change_mm)

    async def store(self) -> None:
        """Have the machine keep its settings, by the profile's template. Raises MoveRefused without one."""
        async with self._working():
            await stored_offset.store(self._talk, self._machine.height)

    def own_words(self) -> LineWords:
        """What this machine does by its own words, inside the same envelope."""
        return LineWords(self._machine, self._talk, self._envelope, self._working)

    def teaching(self) -> Teaching:
        """What the machine tells of itself, and standing over places that the profile does not know yet."""
        return Teaching(self._talk, self._envelope, self._working)

    def laying(self) -> Laying:
        """What lays a first layer down, inside the same envelope."""
        return Laying(self._machine, self._talk, self._envelope, self._working, self._waits)

    async def cool(self) -> None:
        """Heaters off."""
        async with self._working():
            await self._talk.ask(c.SetNozzle(0.0))
            await self._talk.ask(c.SetBed(0.0))

    def stop(self) -> None:
        """Tell the machine to stop, at once, past any queue. Never waits, never raises."""
        self._envelope.forget("it was stopped")
        self._trouble = Stopped("The machine was told to stop. Connect anew to go on.")
        self._stopping.press()
        self._change(trouble=str(self._trouble))

    async def make_safe(self, *, keep_hot: bool = False) -> None:
        """After an abort or fault: lift if the position is known, heaters off. Never raises.

        After a stop: also wait a little for the machine to show that it obeyed.
        """
        if self._line.is_ready:
            with suppress(DriverError):
                if self._envelope.position_mm() is not None:
                    await self.lift()
            if keep_hot:
                return
            with suppress(DriverError):
                await self.cool()
                return
        if not keep_hot:
            self._line.shout(HEATERS_OFF)
        await self._stopping.over()

    async def come_back(self) -> None:
        """After the line was lost: return once the same device is there again, on whatever path."""
        while not await asyncio.to_thread(is_there, self._source):  # noqa: ASYNC110 -- nobody else could tell
            await asyncio.sleep(self._waits.poll_s)

    async def close(self) -> None:
        """Let go of the line."""
        self._stopping.lift()
        if self._idle_poll is not None:
            self._idle_poll.cancel()
            self._idle_poll = None
        await self._line.close()
        self._envelope.forget("the line was closed")
        self._change(link="closed")

    def line_seen(self, record: LineRecord) -> None:
        """From the line: one line went out or came in."""
        self._on_line(record)

    def reply_heard(self, reply: Reply) -> None:
        """From the line: temperatures are kept, and signs that a stop was obeyed."""
        told = reply.rest if isinstance(reply, Ok) else reply
        if isinstance(told, Temperature):
            self._change(temperatures=temperatures(told))
        elif isinstance(told, Failure | Started):
            self._stopping.obeyed()

    def line_broken(self, error: DriverError) -> None:
        """From the line: reset, halt, silence or loss. Nothing is known from here on."""
        self._envelope.forget(str(error).rstrip("."))
        if not self._stopping.pressed:
            self._trouble = error
        link = "lost" if isinstance(error, LinkLost) else self._status.link
        self._change(link=link, trouble=str(self._trouble or error), temperatures=Temperatures())

    async def _open_transport(self) -> Transport:
        return await asyncio.to_thread(self._source) if callable(self._source) else self._source

    def _change(self, **changes: object) -> None:
        changes |= {"sent": self._line.sent, "resends": self._line.resends}
        if self._line.is_open:
            changes["link"] = "open"
        changes["position_mm"] = self._envelope.position_mm()
        status = msgspec.structs.replace(self._status, **changes)
        if status != self._status:
            self._status = status
            self._on_status(status)

    def _clear_trouble(self) -> None:
        self._trouble = None
        self._change(trouble="")

    @asynccontextmanager
    async def _working(self, moving: bool = False) -> AsyncIterator[None]:
        """Hold off the idle poll, and show whether the machine moves. Raises what is wrong already."""
        if self._trouble is not None:
            raise self._trouble
        self._at_work += 1
        self._change(moving=moving)
        try:
            yield
        finally:
            self._at_work -= 1
            self._change(moving=False)

    async def _poll_while_idle(self) -> None:
        """Ask for temperatures now and then: it shows them, and shows a dead machine early."""
        while True:
            await asyncio.sleep(self._waits.idle_poll_s)
            if self._at_work == 0 and self._trouble is None and self._line.is_ready:
                with suppress(DriverError):
                    await self._talk.ask(c.TELL_TEMPERATURES)
