"""A machine that cannot be understood at its profile's speed: the common ones are tried on the open line.

Nothing moves: only the numbering is begun and temperatures are asked for. A stop ends it, as everything.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence

import msgspec

from drivers.conversation import Conversation, Waits
from drivers.errors import NoReply, PrinterFault, Stopped
from drivers.exchange_events import Patience
from drivers.interface import Identity
from drivers.line import Line
from drivers.same_device import SameDevice
from drivers.speeds import COMMON

TRYING = Patience(grace_s=0.8, margin_s=2.5, tries=4)


async def meet(talk: Conversation, line: Line, source: object, waits: Waits) -> Identity:
    """Greet the machine; where it cannot be understood, at another speed. Raises what `greet` raises."""
    try:
        return await talk.greet()
    except NoReply as error:
        if not isinstance(source, SameDevice) or not source.has_speed:
            raise
        profile, quiet_s = source.baud, waits.boot_s if line.may_reset else waits.quiet_s
        found = await answering_speed(line, source.tune, quiet_s, profile)
        if found is None:
            raise NoReply(f"{error} Other speeds were tried, too.", error.exchange) from error
        return msgspec.structs.replace(await talk.greet(), note=other_speed(found, profile))


async def answering_speed(
    line: Line, tune: Callable[[int], None], quiet_s: float, but: int, speeds: Sequence[int] = COMMON
) -> int | None:
    """Return the first of `speeds`, `but` one, at which the machine answers; the line is open at it then.

    quiet_s: how long to wait for a board that starts anew on opening. Returns None, with the line closed,
    where it answers at none. Raises LinkLost and Stopped.
    """
    for speed in speeds:
        if speed == but:
            continue
        await line.close()
        tune(speed)
        await line.open()
        await line.quiet(quiet_s, 2.0 * quiet_s)
        if await _answers(line):
            return speed
    await line.close()
    tune(but)
    return None


async def _answers(line: Line) -> bool:
    try:
        await line.begin(TRYING)
    except Stopped:
        raise
    except NoReply:
        return False
    except PrinterFault:  # it has said something that could be read, such as that it starts
        return True
    return True


def other_speed(found: int, profile: int) -> str:
    """Say that the machine's speed is another than the profile's, and what to do about it."""
    return (
        f"The machine answers at {found} baud, not at the {profile} of its profile."
        f" It is driven at {found} now; write baud = {found} into the profile."
    )
