"""A nozzle height that the machine stores: set, stored, read back; and once more after a restart.

A number that does not come back as it was set is a fault: prints would be made by another height.
"""

from __future__ import annotations

from wizard.procedures.job import Job, Steps
from wizard.requests import Confirm, HeightKept, ReadHeight, Reconnect, SetHeight, Store


def store_offset(job: Job, change_mm: float) -> Steps[None]:
    """Have the machine change its number, and store it where the profile says how; compare if it can tell."""
    kept_mm = yield from _kept_mm(job)
    yield from job.ask(SetHeight(round(change_mm, 3)))
    if job.machine.height.store_command is not None:
        yield from job.ask(Store())
    if kept_mm is not None:
        job.kept_mm = round(kept_mm + round(change_mm, 3), 3)
        yield from job.ask(ReadHeight(job.kept_mm))


def survives_restart(job: Job) -> Steps[None]:
    """Have the person switch the machine off and on, and compare; only where a stored number was changed."""
    if job.kept_mm is None or job.machine.height.store_command is None:
        return
    yield from job.ask(Confirm("restart-machine"))
    yield from job.ask(Reconnect())
    yield from job.ask(ReadHeight(job.kept_mm))


def _kept_mm(job: Job) -> Steps[float | None]:
    """Return the number kept now, None where the machine cannot tell it."""
    if job.machine.height.read_command is None:
        return None
    answer = yield from job.ask(ReadHeight())
    return answer.offset_mm if isinstance(answer, HeightKept) else None
