"""The machine touches the plate by its own word: over the place at clearance, ask, read the contact."""

from __future__ import annotations

import math
import re

from drivers import commands as c
from drivers.conversation import Conversation
from drivers.envelope import Envelope
from drivers.errors import MoveRefused, PrinterFault
from profiles.machine import XY, Machine

TOUCH_FEED_MM_S = 1.0
"""As slowly as a machine may come down while it feels for the plate: how long to wait follows from it."""


async def touch(talk: Conversation, envelope: Envelope, machine: Machine, at_mm: XY) -> float:
    """Return the commanded Z at which the machine has met the plate at a place, mm.

    The nozzle is lifted before and after. Raises MoveRefused without a probe in the profile or outside the
    limits, PrinterFault where no contact is told, or one that cannot be.
    """
    probe = machine.probe
    if probe is None:
        raise MoveRefused("The profile has no command by which this machine touches the plate.")
    x_mm, y_mm = at_mm
    over = c.Move(x_mm=x_mm, y_mm=y_mm, feed_mm_min=machine.motion.travel_feed_mm_min, rapid=True)
    await talk.run([*envelope.plan_lift(), over])
    clearance_mm = machine.motion.clearance_mm
    wait_s = 10.0 + 2.0 * (clearance_mm - machine.motion.z_mm[0]) / TOUCH_FEED_MM_S
    replies = await talk.ask(c.filled(probe.command, x_mm=x_mm, y_mm=y_mm), wait_s)
    texts = tuple(reply.text for reply in replies)
    envelope.has_homed(await talk.agreed_position())
    await talk.run(envelope.plan_lift())
    return contact_mm(texts, probe.reply, machine.motion.z_mm[0], clearance_mm)


def contact_mm(texts: tuple[str, ...], pattern: str, floor_mm: float, highest_mm: float) -> float:
    """Return the Z that an answer tells, mm. Raises PrinterFault where it tells none between the limits."""
    for text in texts:
        found = re.search(pattern, text)
        z_mm = number(found["z_mm"]) if found else None
        if z_mm is None:
            continue
        if not floor_mm <= z_mm < highest_mm:
            raise PrinterFault(
                f"The machine says that it met the plate at Z {z_mm:g} mm, which is not between its floor"
                f" {floor_mm:g} and the clearance {highest_mm:g} mm. Look at probe and plate."
            )
        return z_mm
    said = "; ".join(texts) or "nothing"
    raise PrinterFault(f"Asked to touch the plate, the machine says {said}, and no height of contact.")


def number(text: str | None) -> float | None:
    """Return a finite number, None for anything else."""
    try:
        value = float(text or "")
    except ValueError:
        return None
    return value if math.isfinite(value) else None
