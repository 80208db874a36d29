"""The line's rules, with no line: bytes in, events out; blocks in, bytes out. Time is passed in.

- A block goes out as `N<n> <block>*<xor>` and only one is in flight.
- `ok` acknowledges it. The line number, not the `ok`, is the truth: where the machine asks for
  block n + 1 it has had block n; where it asks for an earlier one, that one is sent again, in
  order. So nothing is carried out twice, and a stray `ok` cannot lose a block.
- After a resend request the line is left to fall quiet before anything is repeated, so that
  answers to an earlier copy are not taken for answers to the new one.
- Silence: the block is repeated (its number keeps it from being carried out twice) at growing
  intervals, until its own deadline has passed. `busy` puts the deadline off.
- Numbers start high. A machine that suddenly asks for number 1 or below has been reset.
- A start banner is a reset. What was in flight is lost, and nothing goes out before `begin`.
"""

from __future__ import annotations

from typing import Literal

from drivers.commands import RENUMBER, encode
from drivers.exchange_events import (
    Acknowledged,
    Event,
    Failed,
    Patience,
    Repeated,
    Restarted,
    Said,
    Trouble,
)
from drivers.framing import FIRST_NUMBER, LAST_NUMBER, Splitter, check_block, frame
from drivers.replies import Busy, Failure, Ok, Reply, Resend, Started, decode, parse

KEPT_BLOCKS = 8


class NotReady(Exception):
    """A block was handed over while another is in flight, or before `begin`."""


class _Flight:
    """The block in flight. `cursor` is the number last put on the line: lower while catching up."""

    def __init__(self, number: int, block: str, expected_s: float, deadline: float) -> None:
        self.number = number
        self.cursor = number
        self.block = block
        self.expected_s = expected_s
        self.deadline = deadline
        self.retry_at = deadline
        self.wait_s = 0.0
        self.sent = 0
        self.error = ""
        self.replies: list[Reply] = []

    def forgive(self) -> None:
        """Error lines before a resend request were about the line, not about the block."""
        self.error = ""
        self.replies = [reply for reply in self.replies if not isinstance(reply, Failure)]


class Exchange:
    """One end of the line. Feed it bytes and the time; take the bytes it wants sent from `outgoing`."""

    def __init__(self, patience: Patience | None = None) -> None:
        self.patience = patience or Patience()
        self._lines = Splitter()
        self._out = bytearray()
        self._kept: dict[int, str] = {}
        self._number = 0
        self._open = False
        self._fresh = False
        self._flight: _Flight | None = None
        self._next: tuple[str, float] | None = None
        self._wanted: int | None = None
        self._quiet_at: float | None = None

    @property
    def busy(self) -> bool:
        """Whether a block is in flight."""
        return self._flight is not None

    @property
    def is_open(self) -> bool:
        """Whether blocks may be sent."""
        return self._open

    def outgoing(self) -> bytes:
        """Return and forget the bytes to be written now."""
        data = bytes(self._out)
        self._out.clear()
        return data

    def begin(self, now: float) -> None:
        """Start numbering anew; an `Acknowledged` follows when the machine agrees."""
        self.drop()
        self._open = self._fresh = True
        self._start(FIRST_NUMBER, encode(RENUMBER), now, 0.0)

    def drop(self) -> None:
        """Forget what is in flight. Nothing goes out before `begin`."""
        self._open = False
        self._flight = self._next = self._wanted = self._quiet_at = None
        self._kept.clear()
        self._out.clear()

    def send(self, block: str, now: float, expected_s: float = 0.0) -> None:
        """Put `block` in flight. Raises NotReady, and ValueError where it is not one plain block."""
        if not self._open or self._flight:
            raise NotReady("a block is in flight" if self._flight else "the line is not begun")
        check_block(block)
        if self._number >= LAST_NUMBER:
            self._next = (block, expected_s)
            self._kept.clear()
            self._start(FIRST_NUMBER, encode(RENUMBER), now, 0.0)
        else:
            self._start(self._number + 1, block, now, expected_s)

    def receive(self, data: bytes, now: float) -> list[Event]:
        """Take bytes in; return what they mean, in order."""
        events: list[Event] = []
        for line in self._lines.split(data):
            self._hear(parse(decode(line)), now, events)
        return events

    def next_due(self) -> float | None:
        """Return when `poll` has something to do; None: only bytes can change anything."""
        if self._flight is None:
            return None
        if self._quiet_at is not None:
            return min(self._quiet_at, self._flight.deadline)
        return min(self._flight.retry_at, self._flight.deadline)

    def poll(self, now: float) -> list[Event]:
        """Do what is due by `now`."""
        events: list[Event] = []
        flight = self._flight
        if flight is None:
            return events
        if now >= flight.deadline:
            self._give_up("error" if flight.error else "silent", flight.error, events)
        elif self._quiet_at is not None and now >= self._quiet_at:
            self._answer_request(flight, now, events)
        elif self._quiet_at is None and now >= flight.retry_at:
            self._repeat(flight, now, "silence", events)
        return events

    def _start(self, number: int, block: str, now: float, expected_s: float) -> None:
        deadline = now + 2.0 * expected_s + self.patience.margin_s
        self._flight = _Flight(number, block, expected_s, deadline)
        self._number = number
        self._put(self._flight, now)

    def _put(self, flight: _Flight, now: float) -> None:
        block = flight.block if flight.cursor == flight.number else self._kept[flight.cursor]
        self._out += frame(flight.cursor, block)
        flight.sent += 1
        flight.wait_s = self.patience.grace_s if flight.sent == 1 else 2.0 * flight.wait_s
        flight.retry_at = now + flight.wait_s + (flight.expected_s if flight.sent == 1 else 0.0)

    def _hear(self, reply: Reply, now: float, events: list[Event]) -> None:
        events.append(Said(reply))
        if isinstance(reply, Started):
            self.drop()
            events.append(Restarted(reply.text))
        elif isinstance(reply, Failure) and reply.fatal:
            self._give_up("halted", reply.text, events)
        elif self._flight is not None:
            self._hear_in_flight(self._flight, reply, now, events)

    def _hear_in_flight(self, flight: _Flight, reply: Reply, now: float, events: list[Event]) -> None:
        if isinstance(reply, Resend):
            self._wanted = reply.number
            flight.forgive()
        elif isinstance(reply, Ok):
            if self._quiet_at is None and reply.number in (None, flight.cursor):
                flight.replies.append(reply)
                self._accepted(flight, now, events)
                return
        else:
            self._note(flight, reply, now)
        if isinstance(reply, Resend) or self._quiet_at is not None:
            self._quiet_at = now + self.patience.settle_s

    def _note(self, flight: _Flight, reply: Reply, now: float) -> None:
        flight.replies.append(reply)
        if isinstance(reply, Busy):
            flight.deadline = max(flight.deadline, now + flight.expected_s + self.patience.margin_s)
            flight.retry_at = max(flight.retry_at, now + flight.wait_s)
        elif isinstance(reply, Failure):
            flight.error = reply.text
            flight.deadline = min(flight.deadline, now + self.patience.margin_s)

    def _accepted(self, flight: _Flight, now: float, events: list[Event]) -> None:
        self._wanted = self._quiet_at = None
        if flight.cursor < flight.number:
            flight.cursor += 1
            self._put(flight, now)
            return
        self._flight = None
        self._fresh = self._fresh and flight.block == encode(RENUMBER)
        self._kept[flight.number] = flight.block
        self._kept.pop(flight.number - KEPT_BLOCKS, None)
        if self._next is not None:
            (block, expected_s), self._next = self._next, None
            self._start(self._number + 1, block, now, expected_s)
        else:
            events.append(Acknowledged(flight.number, flight.block, tuple(flight.replies)))

    def _answer_request(self, flight: _Flight, now: float, events: list[Event]) -> None:
        wanted, self._wanted, self._quiet_at = self._wanted, None, None
        if wanted is None:
            return
        if self._fresh:
            self._agree(flight, wanted)
        elif wanted <= 1 and flight.number > 2:
            self.drop()
            events.append(Restarted(f"the machine asks for block {wanted}, as after a reset"))
            return
        if wanted == flight.number + 1 and flight.cursor == flight.number and flight.sent > 1:
            self._accepted(flight, now, events)
            return
        if wanted == flight.number or wanted in self._kept:
            flight.cursor = wanted
        self._repeat(flight, now, "asked", events)

    def _agree(self, flight: _Flight, wanted: int) -> None:
        """Before the first numbered block is through: take the machine's own count if it insists."""
        if flight.sent > 2 and wanted not in (flight.number, flight.number + 1):
            self._kept.clear()
            self._number = flight.number = flight.cursor = wanted

    def _repeat(
        self, flight: _Flight, now: float, reason: Literal["asked", "silence"], events: list[Event]
    ) -> None:
        if flight.sent >= self.patience.tries:
            self._give_up("noisy", flight.error, events)
            return
        self._put(flight, now)
        events.append(Repeated(flight.cursor, reason))

    def _give_up(self, trouble: Trouble, text: str, events: list[Event]) -> None:
        block = self._flight.block if self._flight else ""
        self.drop()
        events.append(Failed(trouble, block, text))
