"""`tramwright recheck PROFILE --looked`: a person says that they have looked at the machine after a fault."""

from __future__ import annotations

import sys
from typing import TYPE_CHECKING

from wizard import exits

if TYPE_CHECKING:
    from profiles.machine import Machine
    from wizard.journal.lines import Break

YES = "looked"
LOOK = f"""Look at the machine: nothing in the way, no plastic on the tip, no cable loose,
nothing hot that should not be. Once it is safe to move with nobody beside it,
type {YES}. Anything else leaves it as it is."""


def how_it_ended(machine: str, end: Break) -> str:
    """Return how the last job of a machine ended, where a person has to look at it: one sentence, and why."""
    at = f"{end.at[:16].replace('T', ' ')} UTC"
    reason = end.reason.splitlines()[0] if end.reason else ""
    if end.fault:
        return f"The last job of {machine!r} ended in a fault ({at}): {reason}"
    return (
        f"The last job of {machine!r} has no end ({at}). {reason} Heaters may be on, or it is still at work."
    )


def say_looked(machine: Machine) -> int:
    """Show the fault and have it confirmed at a terminal. Raises InputRefused."""
    from wizard.journal.files import JournalError
    from wizard.journal.runs import last_fault
    from wizard.journal.writing import reopen

    found = last_fault(machine.name)
    if found is None:
        print(f"The last job of {machine.name!r} did not end in a fault: there is nothing to look at.")
        return exits.WITHIN
    if not sys.stdin.isatty():  # a script could say it each time, and nobody would ever look
        raise exits.InputRefused("--looked is answered by a person at a terminal, not by a script")
    path, end = found
    print(how_it_ended(machine.name, end))
    print(LOOK)
    if sys.stdin.readline().strip().lower() != YES:
        print("Left as it was.")
        return exits.STOPPED
    try:
        journal = reopen(path)
    except JournalError as error:
        raise exits.InputRefused(str(error)) from error
    journal.looked()
    journal.close()
    print("Noted. It may be rechecked unattended again.")
    return exits.WITHIN
