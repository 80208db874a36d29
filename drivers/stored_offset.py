"""The nozzle height as a number that the machine keeps: by how much to change it, or what to make it.

A template with {change_mm} adds; one with {offset_mm} sets the whole number, so the one kept now is
asked for first. A larger number raises the nozzle.
"""

from __future__ import annotations

import math
import re

from drivers import commands as c
from drivers.conversation import Conversation
from drivers.errors import MoveRefused, PrinterFault
from profiles.machine import Height


async def change(talk: Conversation, height: Height, change_mm: float) -> None:
    """Raise (+) the nozzle by `change_mm`.

    Raises MoveRefused where the profile has no command for it, PrinterFault where the machine does
    not tell the number it keeps now; nothing is changed then.
    """
    template = height.set_command
    if template is None or not math.isfinite(change_mm):
        raise MoveRefused("The profile has no command that sets the nozzle height.")
    if "{offset_mm}" not in template:
        await talk.ask(c.filled(template, change_mm=change_mm))
        return
    await talk.ask(c.filled(template, offset_mm=await kept_mm(talk, height) + change_mm))


async def kept_mm(talk: Conversation, height: Height) -> float:
    """Return the number kept now, mm. Raises MoveRefused where it cannot be asked, PrinterFault else."""
    if height.read_command is None or height.reply is None:
        raise MoveRefused("The profile has no command that asks for the nozzle height kept now.")
    texts = [reply.text for reply in await talk.ask(c.filled(height.read_command))]
    for text in texts:
        found = re.search(height.reply, text)
        if found and (number := _number(found["offset_mm"])) is not None:
            return number
    said = "; ".join(texts) or "nothing"
    raise PrinterFault(f"Asked for the nozzle height it keeps, the machine says {said}; nothing was changed.")


async def store(talk: Conversation, height: Height) -> None:
    """Have the machine keep its settings. Raises MoveRefused where the profile has no command for it."""
    if height.store_command is None:
        raise MoveRefused("The profile has no command that stores settings.")
    await talk.ask(c.filled(height.store_command))


def _number(text: str | None) -> float | None:
    try:
        number = float(text or "")
    except ValueError:
        return None
    return number if math.isfinite(number) else None
