"""Waiting until both heaters are where they should be."""

from __future__ import annotations

import asyncio

from drivers import commands as c
from drivers.conversation import Conversation, Waits
from drivers.heating import HeaterRules, HeaterWatch, temperatures
from drivers.interface import Temperatures
from drivers.replies import Ok, Temperature
from profiles.machine import Heat


async def wait_for_heat(talk: Conversation, heat: Heat, waits: Waits, bed_c: float, nozzle_c: float) -> None:
    """Ask for temperatures until both are reached; 0 is not waited for. Raises PrinterFault."""
    loop = asyncio.get_running_loop()
    window_s = waits.heater_window_s
    bed = HeaterWatch(HeaterRules("plate", heat.max_bed_c, window_s), bed_c, loop.time())
    nozzle = HeaterWatch(HeaterRules("nozzle", heat.max_nozzle_c, window_s), nozzle_c, loop.time())
    while True:
        told = await told_temperatures(talk)
        warm_bed = bed_c == 0.0 or bed.reached(told.bed_c, loop.time())
        warm_nozzle = nozzle_c == 0.0 or nozzle.reached(told.nozzle_c, loop.time())
        if warm_bed and warm_nozzle:
            return
        await asyncio.sleep(waits.poll_s)


async def told_temperatures(talk: Conversation) -> Temperatures:
    """Ask for temperatures; None where the machine does not tell one."""
    replies = await talk.ask(c.TELL_TEMPERATURES)
    tellings = [reply.rest if isinstance(reply, Ok) else reply for reply in replies]
    found = [temperatures(told) for told in tellings if isinstance(told, Temperature)]
    return found[-1] if found else Temperatures()
