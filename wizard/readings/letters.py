"""Which letters a person may have to type into a reading. Pure."""

from __future__ import annotations

from wizard.readings.lengths import UNIT_MM
from wizard.readings.turned import PER_TURN, WAYS
from wizard.readings.typed import SIDES

TYPED_LETTERS = frozenset("".join((*UNIT_MM, *PER_TURN, *WAYS, *SIDES, "to up down of a and s")))
"""Every letter of the words that may be typed beside figures (and signs, which no key map uses)."""
