"""The asyncio shell around the line's core: carries bytes, keeps time, hands out answers. No rules here."""

from __future__ import annotations

import asyncio
from collections import deque
from collections.abc import Awaitable, Callable

from drivers.commands import STOP, encode
from drivers.errors import DriverError, LinkLost, PrinterFault, Stopped
from drivers.exchange_error import error_of
from drivers.exchange_events import Acknowledged, Event, Failed, Patience, Repeated, Restarted, Said
from drivers.interface import LineRecord
from drivers.listening import LineListener
from drivers.protocol import Exchange
from drivers.pump import Pumping, best_pump
from drivers.replies import decode
from drivers.transport import Transport

KEPT_LINES = 12
STOP_BYTES = b"\n" + encode(STOP).encode("ascii") + b"\n"

Opener = Callable[[], Awaitable[Transport]]
PumpMaker = Callable[
    [Transport, asyncio.AbstractEventLoop, Callable[[bytes], None], Callable[[str], None]], Pumping
]


class Line:
    """One line to one machine. All calls from the loop's own thread."""

    def __init__(
        self,
        opener: Opener,
        listener: LineListener,
        patience: Patience | None = None,
        pump: PumpMaker = best_pump,
    ) -> None:
        self._opener = opener
        self._listener = listener
        self._pump_maker = pump
        self._patience = patience or Patience()
        self._exchange = Exchange(self._patience)
        self._transport: Transport | None = None
        self._pump: Pumping | None = None
        self._timer: asyncio.TimerHandle | None = None
        self._pending: asyncio.Future[Acknowledged] | None = None
        self._turn = asyncio.Lock()
        self._last: deque[str] = deque(maxlen=KEPT_LINES)
        self._broken: DriverError | None = None
        self._heard_at = 0.0
        self._held = False
        self.was_open = False
        self.sent = 0
        self.resends = 0

    @property
    def name(self) -> str:
        """What the line is called."""
        return self._transport.name if self._transport else ""

    @property
    def is_open(self) -> bool:
        """Whether there is a transport."""
        return self._transport is not None

    @property
    def is_ready(self) -> bool:
        """Whether blocks can be asked."""
        return self.is_open and self._exchange.is_open

    @property
    def may_reset(self) -> bool:
        """Whether opening can have restarted the machine."""
        return self._transport is not None and self._transport.may_reset

    def exchange(self) -> tuple[str, ...]:
        """Return the last lines that went over the line."""
        return tuple(self._last)

    async def open(self) -> None:
        """Open the transport and begin to read. Raises LinkLost."""
        if self._transport is not None:
            return
        transport = await self._opener()
        loop = asyncio.get_running_loop()
        self._heard_at = loop.time()
        self._transport, self.was_open = transport, True
        self._pump = self._pump_maker(transport, loop, self._bytes_came, self._gone)
        self._pump.start()

    async def quiet(self, for_s: float, at_most_s: float) -> None:
        """Wait until nothing has come in for `for_s`."""
        loop = asyncio.get_running_loop()
        end = loop.time() + at_most_s
        while (left_s := min(self._heard_at + for_s, end) - loop.time()) > 0:  # noqa: ASYNC110
            await asyncio.sleep(left_s)

    async def begin(self, patience: Patience | None = None) -> None:
        """Start numbering anew, with another patience from here on if one is given. Raises like `ask`."""
        async with self._turn:
            self._check_held()
            self._settle_pending(LinkLost("The line was begun anew.", self.exchange()))
            self._broken = None
            self._exchange.begin(asyncio.get_running_loop().time(), patience or self._patience)
            await self._answer()

    async def ask(self, block: str, expected_s: float = 0.0) -> Acknowledged:
        """Send one block; return once it is acknowledged. Raises NoReply, PrinterFault or LinkLost."""
        async with self._turn:
            if self._pending is not None:  # an asker was cancelled; its block is still in flight
                await asyncio.wait([self._pending])
            self._check_held()
            if not self.is_ready:
                raise self._broken or LinkLost("The line is not open; connect again.", self.exchange())
            self._exchange.send(block, asyncio.get_running_loop().time(), expected_s)
            self.sent += 1
            return await self._answer()

    async def _answer(self) -> Acknowledged:
        self._pending = asyncio.get_running_loop().create_future()
        pending = self._pending
        self._flush()
        try:
            return await pending
        except asyncio.CancelledError:
            if self._pending is pending:  # the block is in flight all the same: the next asker waits for it
                self._pending = asyncio.get_running_loop().create_future()
                self._pending.add_done_callback(_mark_seen)
            raise

    def stop(self) -> bool:
        """Write the stop block at once, past everything; return whether the system took it. Never raises.

        Until `release` nothing else is sent but what is shouted.
        """
        self._held = True
        written = self.shout(STOP_BYTES)
        self._exchange.drop()
        self._settle_pending(Stopped("Stopped by the operator.", self.exchange()))
        return written

    def release(self) -> None:
        """The operator goes on after a stop."""
        self._held = False

    def _check_held(self) -> None:
        if self._held:
            raise Stopped("Stopped by the operator.", self.exchange())

    def shout(self, data: bytes) -> bool:
        """Write bytes outside the numbered exchange; return whether the system took them. Never raises."""
        if self._transport is None:
            return False
        try:
            self._transport.write(data)
        except OSError:
            return False
        self._record_out(data)
        return True

    async def close(self) -> None:
        """Let go of the transport; returns when it is closed."""
        pump, self._pump, self._transport = self._pump, None, None
        self._exchange.drop()
        if self._timer is not None:
            self._timer.cancel()
            self._timer = None
        self._settle_pending(LinkLost("The line was closed.", self.exchange()))
        if pump is not None:
            pump.stop()
            await pump.ended()

    def _flush(self) -> None:
        data = self._exchange.outgoing()
        if data and self._transport is not None:
            try:
                self._transport.write(data)
            except OSError as error:
                self._gone(str(error))
            else:
                self._record_out(data)
        self._set_timer()

    def _record_out(self, data: bytes) -> None:
        for line in data.splitlines():
            if line:
                self._record(LineRecord(">", decode(line)))

    def _record(self, record: LineRecord) -> None:
        self._last.append(f"{record.direction} {record.text}")
        self._listener.line_seen(record)

    def _set_timer(self) -> None:
        """Wake when something is due. A timer that comes too early is left: it only looks again."""
        due = self._exchange.next_due()
        if due is None or (self._timer is not None and self._timer.when() <= due):
            return
        if self._timer is not None:
            self._timer.cancel()
        self._timer = asyncio.get_running_loop().call_at(due, self._time_passed)

    def _bytes_came(self, data: bytes) -> None:
        self._heard_at = asyncio.get_running_loop().time()
        self._take(self._exchange.receive(data, self._heard_at))

    def _time_passed(self) -> None:
        self._timer = None
        self._take(self._exchange.poll(asyncio.get_running_loop().time()))

    def _take(self, events: list[Event]) -> None:
        for event in events:
            self._take_one(event)
        self._flush()

    def _take_one(self, event: Event) -> None:
        match event:
            case Said(reply):
                self._record(LineRecord("<", reply.text))
                self._listener.reply_heard(reply)
            case Acknowledged():
                if self._pending is not None and not self._pending.done():
                    self._pending.set_result(event)
                self._pending = None
            case Repeated():
                self.resends += 1
            case Restarted(text):
                self._break(PrinterFault(f"The machine has restarted by itself ({text}).", self.exchange()))
            case Failed():
                self._break(error_of(event, self.exchange()))

    def _gone(self, reason: str) -> None:
        self._transport = None
        if self._pump is not None:
            self._pump.stop()
            self._pump = None
        self._exchange.drop()
        self._break(LinkLost(f"The line is gone: {reason}.", self.exchange()))

    def _break(self, error: DriverError) -> None:
        self._broken = error
        self._listener.line_broken(error)
        self._settle_pending(error)

    def _settle_pending(self, error: DriverError) -> None:
        pending, self._pending = self._pending, None
        if pending is not None and not pending.done():
            pending.set_exception(error)


def _mark_seen(future: asyncio.Future[Acknowledged]) -> None:
    """Whoever asked may have been cancelled: an unread error is then no news."""
    if not future.cancelled():
        future.exception()
