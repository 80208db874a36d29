"""Finding the speed of a serial line: try the common ones, and see whether what comes back makes sense."""

from __future__ import annotations

import time
from collections.abc import Callable, Sequence

from drivers.commands import TELL_TEMPERATURES, encode
from drivers.framing import Splitter
from drivers.replies import Blank, Echo, Other, decode, parse
from drivers.serial_port import open_port
from drivers.transport import Transport

COMMON = (115200, 250000, 57600, 230400, 38400, 19200, 9600, 500000, 1000000)
QUESTION = b"\n" + encode(TELL_TEMPERATURES).encode("ascii") + b"\n"
ASK_AGAIN_S = 1.0


def find_speed(
    url: str,
    speeds: Sequence[int] = COMMON,
    per_speed_s: float = 4.0,
    opener: Callable[[str, int], Transport] = open_port,
) -> int | None:
    """Return the first speed at which the machine answers; None where it does at none. Blocks.

    Nothing moves: the machine is only asked for its temperatures. Raises LinkLost where the port
    cannot be opened, OSError where it is pulled out meanwhile.
    """
    for speed in speeds:
        transport = opener(url, speed)
        try:
            if _answers(transport, per_speed_s):
                return speed
        finally:
            transport.close()
    return None


def _answers(transport: Transport, at_most_s: float) -> bool:
    lines, end, ask_at = Splitter(), time.monotonic() + at_most_s, 0.0
    while (now := time.monotonic()) < end:
        if now >= ask_at:
            transport.write(QUESTION)
            ask_at = now + ASK_AGAIN_S
        if any(makes_sense(line) for line in lines.split(transport.read())):
            return True
    return False


def makes_sense(line: bytes) -> bool:
    """Whether a line is one that machines send, and not noise from a wrong speed."""
    return not isinstance(parse(decode(line)), Other | Blank | Echo)
