"""What all requests are made of: their bases, and the words that they share."""

from __future__ import annotations

from typing import Literal

import msgspec

Touch = Literal["free", "drag", "tight"]
Phase = Literal["first", "adjust", "verify"]
Topic = Literal[
    "cautions",  # the trade's usual ones: hot parts, moving axes, the maker's manual comes first
    "clean-tip",  # no plastic on the tip: it falsifies any touch
    "bed-clear",  # nothing on the plate, plate seated, same plate as for printing
    "snug-adjusters",  # all adjusters tightened first, so that nothing collides
    "hands-clear",  # before any motion
    "not-by-adjusters",  # what no adjuster can remove: told, with figure and remedies
    "verify-next",  # adjusting done; a pass in another order follows
    "nozzle-swap",  # before a recheck: what a changed nozzle needs, and how it burns
    "restart-machine",  # switched off and on by the person, so that it shows what it has kept
    "motors-next",  # the machine's own motors level the plate; why that beats compensation
    "gauge-next",  # what the machine's touch has told is checked by gauge at one point
    "print-cautions",  # before a check print: heat, air, never alone
    "print-ready",  # filament loaded, plate cleared, hands clear: then it heats and prints
    "print-anew",  # a print was cut off: it is not continued; the plate is cleared, then it begins anew
    "pads-cool",  # printed and cooling: wait before the pads are touched
    "restore-next",  # position unknown after a break: hands clear, then re-home and re-park
    "tolerance-too-fine",  # step, gauge and tolerance cannot be reconciled: told before anything moves
]

READ_AGAIN = "read it again"
AS_SUSPECTED = "it was so"
GO_ON = "go on"
GO_ON_ANYWAY = "go on anyway"
STOP_HERE = "stop here"
TOUCH_AGAIN = "touch again"
COMPENSATE = "compensate"
LEAVE_IT = "leave it"
REPEAT_READINGS = "repeat the readings"
SET_HEIGHT = "set the height"
LEVEL_NOW = "level"
CLOSE = "close"


class Request(msgspec.Struct, frozen=True, tag=True):
    """Base of all requests."""


class ByPerson(Request, frozen=True):
    """Base of the requests that a person answers."""


class ByMachine(Request, frozen=True):
    """Base of the requests that the machine carries out."""
