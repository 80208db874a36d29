"""The line's rules, with no line: bytes in, events out; blocks in, bytes out. Time is passed in.

- A block goes out as `N<n> <block>*<xor>` and only one is in flight.
- `ok` acknowledges it. The line number, not the `ok`, is the truth: a machine that asks for block
  n + 1 has had block n; an earlier one that it asks for is sent again. So a stray `ok` loses nothing.
- After a resend request, and after the `ok` of a block that went out more than once, the line is
  left to fall quiet first, so that answers to an earlier copy are not taken for answers to the next.
- Copies of the block that starts the numbering are all answered `ok`. So the harmless block after it
  counts as had once its temperatures have come, or, from a machine that tells none, after a pause.
- Silence: the block is repeated (its number keeps it from being done twice) at growing intervals,
  until its own deadline has passed. `busy` puts the deadline off.
- Numbers start high. A machine that suddenly asks for number 1 or below has been reset.
- After 99999 counting starts anew, at once behind a harmless block whose `ok` shows that the machine
  counts along; if that fails at the first attempt, a reset could hide there. A start banner is one.
"""

from __future__ import annotations

from drivers.exchange_events import (
    Acknowledged,
    Event,
    Failed,
    NotReady,
    Patience,
    Reason,
    Repeated,
    Restarted,
    Said,
    Trouble,
)
from drivers.flight import Flight
from drivers.framing import FIRST_NUMBER, LAST_NUMBER, Splitter, check_block
from drivers.replies import Busy, Failure, Ok, Reply, Resend, Started, decode, parse
from drivers.sending import HARMLESS, RENUMBERING, Sending


class Exchange:
    """One end of the line. Feed it bytes and the time; take the bytes it wants sent from `outgoing`."""

    def __init__(self, patience: Patience | None = None) -> None:
        self._lines = Splitter()
        self._out = Sending(patience or Patience())
        self._open = False
        self._fresh = False
        self._wanted: int | None = None
        self._quiet_at: float | None = None

    @property
    def busy(self) -> bool:
        """Whether a block is in flight."""
        return self._out.flight is not None

    @property
    def is_open(self) -> bool:
        """Whether blocks may be sent."""
        return self._open

    def outgoing(self) -> bytes:
        """Return and forget the bytes to be written now."""
        return self._out.outgoing()

    def begin(self, now: float, patience: Patience | None = None) -> None:
        """Start numbering anew, and see by a harmless block that the machine counts along.

        An `Acknowledged` follows when it does. patience: another one from here on.
        """
        self.drop()
        self._out.patience = patience or self._out.patience
        self._open = self._fresh = True
        self._out.follow(HARMLESS)
        self._out.start(FIRST_NUMBER, RENUMBERING, now, 0.0)

    def drop(self) -> None:
        """Forget what is in flight. Nothing goes out before `begin`."""
        self._open = False
        self._wanted = self._quiet_at = None
        self._out.drop()

    def send(self, block: str, now: float, expected_s: float = 0.0) -> None:
        """Put `block` in flight. Raises NotReady, and ValueError where it is not one plain block."""
        if not self._open or self._out.flight:
            raise NotReady("a block is in flight" if self._out.flight else "the line is not begun")
        check_block(block)
        if self._out.number < LAST_NUMBER - 1:
            self._out.start(self._out.number + 1, block, now, expected_s)
            return
        self._out.follow(RENUMBERING, number=FIRST_NUMBER)
        self._out.follow(block, expected_s)
        self._out.start(LAST_NUMBER, HARMLESS, now, 0.0)

    def receive(self, data: bytes, now: float) -> list[Event]:
        """Take bytes in; return what they mean, in order."""
        events: list[Event] = []
        for line in self._lines.split(data):
            self._hear(parse(decode(line)), now, events)
        return events

    def next_due(self) -> float | None:
        """Return when `poll` has something to do; None: only bytes can change anything."""
        if self._out.flight is None:
            return None
        due = self._out.flight.retry_at if self._quiet_at is None else self._quiet_at
        return min(due, self._out.flight.deadline)

    def poll(self, now: float) -> list[Event]:
        """Do what is due by `now`."""
        events: list[Event] = []
        if (flight := self._out.flight) is None:
            return events
        if now >= flight.deadline:
            self._give_up("error" if flight.error else "silent", flight.error, events)
        elif self._quiet_at is not None and now >= self._quiet_at:
            self._answer_request(flight, now, events)
        elif self._quiet_at is None and now >= flight.retry_at:
            self._repeat(flight, now, "silence", events)
        return events

    def _hear(self, reply: Reply, now: float, events: list[Event]) -> None:
        events.append(Said(reply))
        if not self._open:
            return  # a banner after opening is no news
        if isinstance(reply, Started):
            self.drop()
            events.append(Restarted(reply.text))
        elif isinstance(reply, Failure) and reply.fatal:
            self._give_up("halted", reply.text, events)
        elif self._out.flight is not None:
            self._hear_in_flight(self._out.flight, reply, now, events)

    def _hear_in_flight(self, flight: Flight, reply: Reply, now: float, events: list[Event]) -> None:
        about_line = isinstance(reply, Resend) or (isinstance(reply, Failure) and reply.of_line)
        if isinstance(reply, Resend):
            self._wanted, flight.had = reply.number, False
            flight.excuse(reply.number)
        elif about_line:
            self._wanted = flight.cursor if self._wanted is None else self._wanted
        elif isinstance(reply, Ok):
            flight.replies.append(reply)
            if self._quiet_at is None and reply.number in (None, flight.cursor):
                self._hear_ok(flight, now, events)
                return
        else:
            self._note(flight, reply, now)
        if about_line or self._quiet_at is not None:
            self._quiet_at = now + self._out.patience.settle_s

    def _hear_ok(self, flight: Flight, now: float, events: list[Event]) -> None:
        """Believe an `ok` at once, or only if nothing against it follows."""
        doubtful = self._fresh and flight.block == HARMLESS and not flight.tells_temperatures()
        if flight.sent == 1 and not doubtful:
            self._accepted(flight, now, events)
            return
        self._wanted, flight.had = flight.cursor + 1, True
        self._quiet_at = now + (self._out.patience.grace_s if doubtful else self._out.patience.settle_s)

    def _note(self, flight: Flight, reply: Reply, now: float) -> None:
        flight.replies.append(reply)
        if isinstance(reply, Busy):
            flight.deadline = max(flight.deadline, now + flight.expected_s + self._out.patience.margin_s)
            flight.retry_at = max(flight.retry_at, now + flight.wait_s)
        elif isinstance(reply, Failure):
            flight.error = reply.text
            flight.deadline = min(flight.deadline, now + 2.0 * self._out.patience.grace_s)

    def _accepted(self, flight: Flight, now: float, events: list[Event]) -> None:
        self._wanted = self._quiet_at = None
        if flight.cursor < flight.number:
            flight.cursor += 1
            self._out.put(flight, now)
            return
        self._out.flight = None
        self._fresh = self._fresh and flight.block == RENUMBERING
        if not self._fresh:
            self._out.kept.forget(FIRST_NUMBER)  # sent again, it would have all after it done again
        if self._fresh or flight.block != RENUMBERING:
            self._out.kept.add(flight)
        if not self._out.start_next(now):
            events.append(Acknowledged(flight.number, flight.block, tuple(flight.replies)))

    def _answer_request(self, flight: Flight, now: float, events: list[Event]) -> None:
        wanted, self._wanted, self._quiet_at = self._wanted, None, None
        if wanted is None:
            return
        if self._fresh:
            self._agree(flight, wanted)
        elif wanted <= 1 and flight.number > 2:
            self.drop()
            events.append(Restarted(f"the machine asks for block {wanted}, as after a reset"))
            return
        if wanted in (flight.cursor + 1, flight.number + 1) and (flight.sent > 1 or flight.had):
            flight.cursor = max(flight.cursor, wanted - 1)
            self._accepted(flight, now, events)
            return
        if wanted == flight.number or wanted in self._out.kept:
            flight.cursor = wanted
        self._repeat(flight, now, "asked", events)

    def _agree(self, flight: Flight, wanted: int) -> None:
        """Before the first harmless block is through: have the machine take our count, else take its own.

        Low numbers are then used up by harmless blocks, so that a later 1 shows a reset here too.
        """
        if wanted in (flight.number, flight.number + 1) or flight.sent < 3:
            return
        if flight.sent < 6 and FIRST_NUMBER in self._out.kept:
            flight.cursor = FIRST_NUMBER
            return
        self._out.kept.clear()
        self._out.number = flight.number = flight.cursor = wanted
        for _ in range(3):
            self._out.follow(HARMLESS)

    def _repeat(self, flight: Flight, now: float, reason: Reason, events: list[Event]) -> None:
        if flight.sent >= self._out.patience.tries:
            self._give_up("noisy", flight.error, events)
        elif flight.block == RENUMBERING and not self._fresh:
            self.drop()
            events.append(Restarted("counting could not be started anew without doubt"))
        else:
            put = self._out.put_into_silence if reason == "silence" else self._out.put
            put(flight, now)
            events.append(Repeated(flight.cursor, reason))

    def _give_up(self, trouble: Trouble, text: str, events: list[Event]) -> None:
        block = self._out.flight.block if self._out.flight else ""
        self.drop()
        events.append(Failed(trouble, block, text))
