"""Single keys from a terminal; where there is none, the first letter of each line."""

from __future__ import annotations

import os
import select
import sys

from wizard.describing.asking import ENDED
from wizard.describing.typing_wait import wait_for_typing
from wizard.exits import InputRefused

ARROWS = {b"\x1b[A": "b", b"\x1b[B": "f", b"\x1b[C": "r", b"\x1b[D": "l"}
LONGEST = 3
ARROW_WAIT_S = 0.05


def read_key(prompt: str) -> str:
    """Return one key as a small letter or digit: "" is Enter, an arrow is l, r, f or b. Blocks.

    prompt: a line that tells where the machine stands. Keys pressed before it is there are dropped, so
    that nothing moves by what was typed ahead. Raises InputRefused at the end of input.
    """
    return _pressed(prompt) if sys.stdin.isatty() else _from_line(prompt)


def _from_line(prompt: str) -> str:
    print(prompt, flush=True)
    line = sys.stdin.readline()
    if not line:
        raise InputRefused(ENDED)
    return line.strip()[:1].casefold()


def _pressed(prompt: str) -> str:
    import termios
    import tty

    number = sys.stdin.fileno()
    before = termios.tcgetattr(number)
    try:
        tty.setcbreak(number)  # drops what waits; the interrupt key still interrupts
        print(prompt, flush=True)
        wait_for_typing(number)
        data = os.read(number, 1)
        while (
            data[:1] == b"\x1b" and len(data) < LONGEST and select.select([number], [], [], ARROW_WAIT_S)[0]
        ):
            data += os.read(number, 1)
    finally:
        termios.tcsetattr(number, termios.TCSADRAIN, before)
    if data in (b"", b"\x04"):
        raise InputRefused(ENDED)
    return ARROWS.get(data, data.decode("ascii", "replace").strip().casefold())
