"""What carries bytes to a machine and back."""

from __future__ import annotations

from typing import Protocol


class Transport(Protocol):
    """A byte line. Every method raises OSError once the other end is gone."""

    @property
    def name(self) -> str:
        """What the line is called, as the operator wrote it."""

    @property
    def may_reset(self) -> bool:
        """Whether opening the line can restart the machine, so that a banner must be waited for."""

    @property
    def descriptor(self) -> int | None:
        """The file descriptor on which bytes come in; None where there is none to watch."""

    def read(self) -> bytes:
        """Wait a short while for bytes; b"" if none came."""

    def write(self, data: bytes) -> None:
        """Hand over `data` at once."""

    def close(self) -> None:
        """Let go of the line. Called only by whoever reads."""
