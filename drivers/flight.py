"""What is known of the one block in flight, and of the last ones that were acknowledged."""

from __future__ import annotations

from drivers.replies import Failure, Ok, Reply, Temperature


class Flight:
    """The block in flight. `cursor` is the number last put on the line: lower while catching up."""

    def __init__(self, number: int, block: str, expected_s: float) -> None:
        self.number = number
        self.cursor = number
        self.block = block
        self.expected_s = expected_s
        self.deadline = 0.0
        self.retry_at = 0.0
        self.wait_s = 0.0
        self.sent = 0
        self.had = False
        self.error = ""
        self.replies: list[Reply] = []

    def excuse(self, wanted: int) -> None:
        """Forget an error line right before a request for the block at the cursor.

        That block was not carried out, so the error is not about what it asked for: it is the garbled
        first line of the request. After a request for a later block it may well be about it, and stands.
        """
        if wanted == self.cursor and self.replies and isinstance(self.replies[-1], Failure):
            self.replies.pop()
            self.error = next((r.text for r in reversed(self.replies) if isinstance(r, Failure)), "")

    def tells_temperatures(self) -> bool:
        """Whether temperatures have come since the block went out."""
        told = [reply.rest if isinstance(reply, Ok) else reply for reply in self.replies]
        return any(isinstance(reply, Temperature) for reply in told)


class Kept:
    """The last blocks acknowledged, by number: the machine may ask for them again."""

    MOST = 8

    def __init__(self) -> None:
        self._blocks: dict[int, tuple[str, float]] = {}

    def __contains__(self, number: int) -> bool:
        return number in self._blocks

    def get(self, number: int, otherwise: tuple[str, float]) -> tuple[str, float]:
        """Return the block with `number` and the time it may take, s."""
        return self._blocks.get(number, otherwise)

    def add(self, flight: Flight) -> None:
        """Keep one more; the oldest goes."""
        self._blocks[flight.number] = (flight.block, flight.expected_s)
        self.forget(flight.number - self.MOST)

    def forget(self, number: int) -> None:
        """Keep this one no longer."""
        self._blocks.pop(number, None)

    def clear(self) -> None:
        """Keep none."""
        self._blocks.clear()
