"""What a block that was given up means to whoever asked for it."""

from __future__ import annotations

from drivers.errors import DriverError, NoReply, PrinterFault
from drivers.exchange_events import Failed


def error_of(failed: Failed, exchange: tuple[str, ...]) -> DriverError:
    """Return the error to raise for a block that was given up; `exchange` is the last lines."""
    match failed.trouble:
        case "silent":
            return NoReply(f"The machine did not answer {failed.block!r} in time.", exchange)
        case "noisy":
            return NoReply(
                f"{failed.block!r} did not get through: the line is too noisy. Look at the cable.", exchange
            )
        case _:
            return PrinterFault(f"The machine reports: {failed.text}", exchange)
