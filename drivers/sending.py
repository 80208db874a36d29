"""What goes out on the line: the block in flight, those that follow it, those that may be asked for again.

No line and no clock: bytes are taken from `outgoing`, the time is passed in. When a block counts as
had, and what is done about it, is decided in `drivers.protocol`.
"""

from __future__ import annotations

from collections import deque

from drivers.commands import RENUMBER, TELL_TEMPERATURES, encode
from drivers.exchange_events import Patience
from drivers.flight import Flight, Kept
from drivers.framing import frame

RENUMBERING = encode(RENUMBER)
HARMLESS = encode(TELL_TEMPERATURES)


class Sending:
    """The outgoing side. `number` is the last one given to a block."""

    def __init__(self, patience: Patience) -> None:
        self.patience = patience
        self.flight: Flight | None = None
        self.kept = Kept()
        self.number = 0
        self._steps: deque[tuple[int | None, str, float]] = deque()
        self._out = bytearray()

    def outgoing(self) -> bytes:
        """Return and forget the bytes to be written now."""
        data = bytes(self._out)
        self._out.clear()
        return data

    def drop(self) -> None:
        """Forget what is in flight, what follows it, and what was kept."""
        self.flight = None
        self.kept.clear()
        self._steps.clear()
        self._out.clear()

    def follow(self, block: str, expected_s: float = 0.0, number: int | None = None) -> None:
        """Have a block go out once all before it are had; without a number it gets the next."""
        self._steps.append((number, block, expected_s))

    def start(self, number: int, block: str, now: float, expected_s: float) -> None:
        """Put a block in flight that may take `expected_s` seconds."""
        if block == RENUMBERING:
            self.kept.clear()
        self.flight = Flight(number, block, expected_s)
        self.number = number
        self.put(self.flight, now)

    def start_next(self, now: float) -> bool:
        """Put the block in flight that was to follow; return whether there was one."""
        if not self._steps:
            return False
        number, block, expected_s = self._steps.popleft()
        self.start(self.number + 1 if number is None else number, block, now, expected_s)
        return True

    def put(self, flight: Flight, now: float) -> None:
        """Write the block at the cursor and wait as long for it as it may take."""
        block, expected_s = self.kept.get(flight.cursor, (flight.block, flight.expected_s))
        self._out += frame(flight.cursor, block)
        flight.sent += 1
        flight.wait_s = self.patience.grace_s
        flight.retry_at = now + expected_s + flight.wait_s
        flight.deadline = now + 2.0 * expected_s + self.patience.margin_s

    def put_into_silence(self, flight: Flight, now: float) -> None:
        """Write the block once more: its deadline stays, and the wait for an answer doubles."""
        wait_s, deadline = flight.wait_s, flight.deadline
        self.put(flight, now)
        flight.wait_s, flight.deadline = 2.0 * wait_s, deadline
        flight.retry_at = now + flight.wait_s
