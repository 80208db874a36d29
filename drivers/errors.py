"""Whose fault it was is the type; what to do next is in the text."""

from __future__ import annotations


class DriverError(Exception):
    """Base of all errors from the machine's side. `exchange` holds the last lines on the line."""

    def __init__(self, text: str, exchange: tuple[str, ...] = ()) -> None:
        super().__init__(text)
        self.exchange = exchange


class MoveRefused(DriverError):
    """Ours: the safety envelope does not allow the move. Nothing was sent."""


class PrinterFault(DriverError):
    """Theirs: the machine reported an error, reset itself, or a heater does not respond."""


class Stopped(PrinterFault):
    """The operator's: the machine was told to stop. Nothing more is sent until connecting anew."""


class LinkLost(DriverError):
    """The line's: the port is gone or cannot be opened."""


class NoReply(DriverError):
    """The line's: the machine did not answer within the command's own deadline."""
