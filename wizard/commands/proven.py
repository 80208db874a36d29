"""The proven runs of a machine that a recheck compares with, from the records."""

from __future__ import annotations

import sys
from itertools import islice
from typing import TYPE_CHECKING

from wizard import exits

if TYPE_CHECKING:
    from profiles.machine import Machine
    from wizard.base import Base

MOST_BASES = 20
"""So many proven runs are looked through for one that tells what is wanted."""


def bases(machine: Machine) -> list[Base]:
    """Return the proven runs of this machine, newest first, one at least. Raises InputRefused."""
    from wizard.journal.moment import now_utc
    from wizard.records.bases import base_of, proven_by_gauge, same_bed
    from wizard.records.filing import open_records
    from wizard.records.opening import RecordsError

    records = open_records()
    for trouble in records.troubles:
        print(f"tramwright: {trouble}", file=sys.stderr)
    with records.store as store:
        try:
            proven = islice(proven_by_gauge(store.runs(machine.name)), MOST_BASES)
            wholes = [store.whole(run.id) for run in proven]
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
    return [base_of(whole, now_utc()) for whole in wholes if same_bed(whole.header.profile, machine)]
