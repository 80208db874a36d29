"""What a turn of an endstop screw does: by the profile, and by the turns that were tried. Pure."""

from __future__ import annotations

import math

import msgspec

from profiles.machine import Thread
from profiles.threads import mm_per_turn, raise_per_clockwise_turn_mm
from wizard.rounds import Reading

TEST_TURNS = 0.25
"""A first turn of unknown direction is no larger, so that it does little harm if it goes the other way."""

MOST_TRY_TURNS = 3.0
"""Nor is any later one that looks for the direction larger than this."""

PITCH_SPREAD = 0.08
"""Relative standard uncertainty of what a screw does before it was tried: common practice, no source."""

HAND_TURNS = 6.0 / 360.0
"""How exactly a hand turns it: common practice, no source."""

HAND_MM = 0.007
"""Repeatability of hand and gauge, joined with that of homing: common practice, no source."""

SURE = 2.0
"""Standard uncertainties by which a reading must miss what one direction foretells to rule it out."""


class ScrewPitch(msgspec.Struct, frozen=True):
    """What one clockwise turn of an endstop screw does to the nozzle height, mm (raises is +), and its u.

    sure: the direction is known, by the profile or by a turn that was tried.
    tries: turns of unknown direction so far that have told nothing.
    """

    mm_per_turn: float
    u_mm: float
    sure: bool = True
    tries: int = 0


class Before(msgspec.Struct, frozen=True):
    """The gap to expect with the screw as it was, and its standard uncertainty, mm."""

    gap_mm: float
    u_mm: float


def nominal(screw: Thread) -> ScrewPitch:
    """Return what the profile says of the screw; of unknown direction it is taken to raise, not surely."""
    signed_mm, size_mm = raise_per_clockwise_turn_mm(screw), mm_per_turn(screw)
    u_mm = PITCH_SPREAD * size_mm
    return ScrewPitch(size_mm, u_mm, sure=False) if signed_mm is None else ScrewPitch(signed_mm, u_mm)


def wished_turns(pitch: ScrewPitch, change_mm: float) -> float:
    """Return the turns that change the height by `change_mm`; where the direction is not known, a try.

    Tries that tell nothing, as every gap stays beyond the gauge, go to and fro, each further than the one
    before, so that one side or the other comes into range.
    """
    turns = change_mm / pitch.mm_per_turn
    if pitch.sure:
        return turns
    if not pitch.tries:
        return min(max(turns, -TEST_TURNS), TEST_TURNS)
    size = min(1.5 * TEST_TURNS * 2.0**pitch.tries, MOST_TRY_TURNS)
    return math.copysign(size, turns) * (-1.0) ** pitch.tries


def change_u_mm(pitch: ScrewPitch, turns: float) -> float:
    """Return the standard uncertainty of a turn's effect; until its direction is sure it may be either."""
    if not pitch.sure:
        return 1.2 * abs(turns * pitch.mm_per_turn)
    return math.hypot(pitch.u_mm * turns, HAND_TURNS * pitch.mm_per_turn)


def learned(pitch: ScrewPitch, turns: float, before: Before, after: Reading) -> ScrewPitch:
    """Return what the screw does by what was known and what a turn has shown (weighted mean, JCGM 100).

    A reading open on one side tells the direction at most, no turn tells nothing.
    """
    if not turns:
        return pitch
    if after.low_mm is None or after.high_mm is None:
        return pitch if pitch.sure else _by_one_side(pitch, turns, before, after)
    change_mm = (after.low_mm + after.high_mm) / 2.0 - before.gap_mm
    read_u_mm = (after.high_mm - after.low_mm) / math.sqrt(12.0)
    by_hand_mm = HAND_TURNS * abs(pitch.mm_per_turn)
    seen_mm = change_mm / turns
    seen_u_mm = math.hypot(before.u_mm, read_u_mm, HAND_MM, by_hand_mm) / abs(turns)
    size_mm = abs(pitch.mm_per_turn)
    usual_mm = math.copysign(size_mm, seen_mm) if not pitch.sure else pitch.mm_per_turn
    weights = pitch.u_mm**-2, seen_u_mm**-2
    mean_mm = (usual_mm * weights[0] + seen_mm * weights[1]) / sum(weights)
    if pitch.sure or abs(seen_mm) > seen_u_mm:
        return ScrewPitch(mean_mm, sum(weights) ** -0.5)
    return msgspec.structs.replace(pitch, tries=pitch.tries + 1)


def _by_one_side(pitch: ScrewPitch, turns: float, before: Before, after: Reading) -> ScrewPitch:
    """Return the direction where the known side of a reading rules the other one out."""
    ways = [way for way in (1.0, -1.0) if _is_possible(way * pitch.mm_per_turn * turns, before, after)]
    if len(ways) == 1:
        return ScrewPitch(ways[0] * pitch.mm_per_turn, pitch.u_mm)
    return msgspec.structs.replace(pitch, tries=pitch.tries + 1)


def _is_possible(change_mm: float, before: Before, after: Reading) -> bool:
    """Tell whether such a change of the gap may have led to the reading."""
    gap_mm, room_mm = before.gap_mm + change_mm, SURE * math.hypot(before.u_mm, HAND_MM)
    over = after.low_mm is None or gap_mm + room_mm >= after.low_mm
    return over and (after.high_mm is None or gap_mm - room_mm <= after.high_mm)
