"""`tramwright profiles check`: what is wrong with a profile, or that it can be used."""

from __future__ import annotations

import sys

from wizard import exits


def said_of(profile: str) -> int:
    """Say all that is wrong with one profile, or that it can be used; return the exit code."""
    from profiles.faults import printable
    from profiles.load import problems

    found = problems(profile)
    if found:
        print(*found, sep="\n", file=sys.stderr)
        return exits.WRONG_INPUT
    print(f"{printable(profile)}: can be used.")
    return exits.WITHIN
