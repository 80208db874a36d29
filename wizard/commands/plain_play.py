"""Runs a job line by line on standard input and output, for `level --plain` and `demo --plain`."""

from __future__ import annotations

import asyncio
import sys
from collections.abc import AsyncIterator, Callable
from functools import partial
from typing import TextIO

from wizard import exits
from wizard.config import keys_in_force
from wizard.plain import PlainOperator, typed_lines
from wizard.requests import Outcome
from wizard.running.assembly import Assembly
from wizard.running.session import Stopped
from wizard.signals import when_told

Aside = Callable[[str], str | None]
"""Takes a typed line that is not for the job; returns what to print, None where it is for the job."""


def play(assembly: Assembly, aside: Aside | None = None, to: TextIO | None = None) -> int:
    """Run the job and return its exit code. Raises what `Session.run` raises, but for the stop.

    to: where it is told; None: standard output.
    """
    try:
        return exits.code_of(asyncio.run(_play(assembly, aside, to)))
    except (Stopped, asyncio.CancelledError):
        return exits.STOPPED


async def _play(assembly: Assembly, aside: Aside | None, to: TextIO | None) -> Outcome:
    say = partial(print, file=to, flush=True)
    kept = aside is None  # what is played with a virtual hand leaves no record
    record = str(assembly.journal.path or "") if kept else ""
    operator = PlainOperator(say, keys_in_force(), record)
    session = assembly.session(operator.listen)
    when_told({"SIGTERM": session.hang_up, "SIGHUP": session.hang_up})
    return await operator.drive(session, _sorted(typed_lines(sys.stdin), aside, say))


async def _sorted(
    lines: AsyncIterator[str], aside: Aside | None, say: Callable[[str], None]
) -> AsyncIterator[str]:
    """Pass on the lines for the job, and answer the others."""
    async for line in lines:
        told = None if aside is None else aside(line)
        if told is None:
            yield line
        else:
            say(told)
