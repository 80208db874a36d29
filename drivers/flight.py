"""What is known of the one block in flight."""

from __future__ import annotations

from drivers.replies import Ok, Reply, Temperature


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

    def tells_temperatures(self) -> bool:
        """Whether temperatures have come since the block went out."""
        told = [reply.rest if isinstance(reply, Ok) else reply for reply in self.replies]
        return any(isinstance(reply, Temperature) for reply in told)
