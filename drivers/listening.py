"""Who is told what happens on a line."""

from __future__ import annotations

from typing import Protocol

from drivers.errors import DriverError
from drivers.interface import LineRecord
from drivers.replies import Reply


class LineListener(Protocol):
    """Who is told what happens on the line."""

    def line_seen(self, record: LineRecord) -> None:
        """One line went out or came in."""

    def reply_heard(self, reply: Reply) -> None:
        """The machine said something, asked or not."""

    def line_broken(self, error: DriverError) -> None:
        """The machine was reset, halted or fell silent, or the line is gone: nothing is known any more."""
