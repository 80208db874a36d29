"""Killed while the machine is at work, in the midst of a block, and taken up again each time."""

from __future__ import annotations

import signal
from collections.abc import Callable
from functools import partial
from typing import Any

PROFILE = "four-corner-220"
CUTS = (
    ("M115", 1),  # who are you: the line has just been opened
    ("M140", 1),  # the plate is told to heat
    ("M105", 1),  # waiting for it
    ("G28", 1),  # homing
    ("G1", 1),  # lifting after it
    ("G1", 4),  # on the way to a point
    ("G1", 7),  # coming down over it
    ("G28", 1),  # homing again after a break
    ("M400", 2),  # waiting for moves to end
    ("G1", 60),  # somewhere in a later pass
    ("M114", 1),  # asking where it stands
    ("M104", 2),  # heaters off at the end
)
"""First word of a block, and the how manieth of them since the last cut."""


def test_no_answer_is_lost_and_the_machine_homes_before_it_moves(
    job: Callable[..., Any], person: Callable[..., Any]
) -> None:
    """What was being carried out is begun anew after the homing; the job ends proven."""
    this, cut, done = job(PROFILE, 7), None, []
    somebody = person(PROFILE, this.bed.hands, "card")
    for code, nth in CUTS:
        program = this.taken_up(cut)
        with this.bed.at_block(code, nth, partial(program.signal, signal.SIGKILL)):
            ended = somebody.do(program)
        if ended != -signal.SIGKILL:
            break
        if cut is not None:
            this.kept_all(cut)
        cut, done = this.stands(), [*done, (code, nth)]
    else:
        program = this.taken_up(cut)
        somebody.do(program)
        this.kept_all(cut)
    this.ended_well(program)
    assert tuple(done) == CUTS
