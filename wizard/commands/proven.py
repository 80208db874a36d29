"""The proven runs of a machine that a recheck compares with, from the records."""

from __future__ import annotations

import sys
from collections.abc import Callable
from typing import TYPE_CHECKING

from wizard import exits

if TYPE_CHECKING:
    from profiles.machine import Machine
    from wizard.base import Base
    from wizard.records.run import Whole

MOST_BASES = 20
"""So many proven runs are looked through for one that tells what is wanted."""


def bases(machine: Machine) -> list[Base]:
    """Return the proven runs of this machine, newest first, one at least. Raises InputRefused."""
    from wizard.journal.moment import now_utc
    from wizard.records.bases import base_of

    return [base_of(whole, now_utc()) for whole in _wholes(machine, lambda found: len(found) == MOST_BASES)]


def plate_base(machine: Machine) -> Base:
    """Return what a recheck compares the plate with. Raises InputRefused."""
    from wizard.journal.moment import now_utc
    from wizard.records.bases import base_of_plate, tells_the_plate

    return base_of_plate(_wholes(machine, lambda found: tells_the_plate(found[-1])), now_utc())


def _wholes(machine: Machine, enough: Callable[[list[Whole]], bool]) -> list[Whole]:
    """Return proven runs of this bed, newest first, until they are enough; one at least. InputRefused."""
    from wizard.records.bases import proven_by_gauge, same_bed
    from wizard.records.filing import open_records
    from wizard.records.opening import RecordsError

    records = open_records()
    for trouble in records.troubles:
        print(f"tramwright: {trouble}", file=sys.stderr)
    with records.store as store:
        try:
            wholes: list[Whole] = []
            for run in proven_by_gauge(store.runs(machine.name)):
                wholes.append(store.whole(run.id))
                if enough(wholes):
                    break
        except RecordsError as error:
            raise exits.InputRefused(str(error)) from error
    if not wholes:
        raise exits.InputRefused(
            f"no proven run of {machine.name!r} is on record, so that there is nothing to compare with;"
            " use tramwright level PROFILE"
        )
    if wholes[0].run.simulated:
        print("tramwright: the last proven run was on a simulated printer.", file=sys.stderr)
    if not same_bed(wholes[0].header.profile, machine):
        raise exits.InputRefused(
            f"the description of {machine.name!r} has changed since its last proven run {wholes[0].run.id}:"
            " its gaps cannot be compared; use tramwright level PROFILE"
        )
    return [whole for whole in wholes if same_bed(whole.header.profile, machine)]
