"""Adjusters, points and the endstop screw: do they stand where they can, and can they be turned? Pure."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence

from profiles.faults import Fault, missing, unwanted, wrong
from profiles.form import item_key
from profiles.machine import XY, Adjuster, Bed, Machine, Point, Thread
from profiles.ranges import between, name_faults
from profiles.threads import mm_per_turn, pitch_mm

ENDSTOP_SCREW = "endstop screw"
BESIDE_PLATE_MM = 50.0
PITCH_KEYS = ("thread", "mm_per_turn", "threads_per_inch")


def faults(machine: Machine) -> Iterator[Fault]:
    """Yield what is wrong with adjusters, points and the endstop screw."""
    yield from _listed("adjuster", machine.adjuster)
    yield from _listed("point", machine.point)
    for nth, adjuster in enumerate(machine.adjuster, 1):
        yield from _adjuster(item_key("adjuster", nth, adjuster), adjuster, machine)
    if not machine.point:
        yield missing("point", "given at least once, under [[point]]")
    for nth, point in enumerate(machine.point, 1):
        yield from _point(item_key("point", nth, point), point, machine)
    yield from _proof_only(machine)
    yield from _checks(machine)
    yield from _height(machine)


def _proof_only(machine: Machine) -> Iterator[Fault]:
    """Some points are always read. A grid is made of all of them: what checks it has a list of its own."""
    proof_only = [(nth, point) for nth, point in enumerate(machine.point, 1) if point.only]
    for nth, point in proof_only if machine.compensation else ():
        key = f"{item_key('point', nth, point)}.only"
        yield unwanted(
            key, point.only, "the points are the grid's; one that checks it is a compensation.check"
        )
    if proof_only and not machine.levelling_points:
        nth, point = proof_only[0]
        yield unwanted(f"{item_key('point', nth, point)}.only", point.only, "no point is left to level by")


def _checks(machine: Machine) -> Iterator[Fault]:
    """Points that verify a compensation stand where points may, under names and at places of their own."""
    checks = machine.compensation.check if machine.compensation else ()
    for nth, point in enumerate(checks, 1):
        key = item_key("compensation.check", nth, point)
        yield from name_faults(f"{key}.name", point.name)
        yield from _point(key, point, machine)
        if point.only:
            yield unwanted(f"{key}.only", point.only, "these points prove the compensation anyway")
        others = (*machine.point, *checks[: nth - 1])
        if point.name in {other.name for other in others}:
            yield wrong(f"{key}.name", point.name, "another name: each point has its own")
        if point.at_mm in {other.at_mm for other in others}:
            yield wrong(f"{key}.at_mm", point.at_mm, "elsewhere: another point stands there")


def _listed(kind: str, parts: Sequence[Adjuster | Point]) -> Iterator[Fault]:
    names: set[str] = set()
    places: dict[XY, str] = {}
    for nth, part in enumerate(parts, 1):
        key = item_key(kind, nth, part)
        yield from name_faults(f"{key}.name", part.name)
        if part.name in names:
            yield wrong(f"{key}.name", part.name, f"another name: each {kind} has its own")
        if part.at_mm in places:
            yield wrong(f"{key}.at_mm", part.at_mm, f"elsewhere: {kind} {places[part.at_mm]!r} stands there")
        names.add(part.name)
        places.setdefault(part.at_mm, part.name)


def _point(key: str, point: Point, machine: Machine) -> Iterator[Fault]:
    limits = machine.motion
    for nth, (at_mm, (low, high)) in enumerate(zip(point.at_mm, (limits.x_mm, limits.y_mm), strict=True), 1):
        yield from between(f"{key}.at_mm[{nth}]", at_mm, low, high, "mm (the axis limits)")
    if outside_plate_mm(machine.bed, point.at_mm) > 0:
        yield wrong(f"{key}.at_mm", point.at_mm, f"over the plate, which is {plate_words(machine.bed)}")


def _adjuster(key: str, adjuster: Adjuster, machine: Machine) -> Iterator[Fault]:
    if adjuster.name == ENDSTOP_SCREW:
        yield wrong(f"{key}.name", adjuster.name, "another name: this one is kept for [height.screw]")
    if outside_plate_mm(machine.bed, adjuster.at_mm) > BESIDE_PLATE_MM:
        allowed = f"no more than {BESIDE_PLATE_MM:g} mm beside the plate, which is {plate_words(machine.bed)}"
        yield wrong(f"{key}.at_mm", adjuster.at_mm, allowed)
    if adjuster.kind != "motor" and adjuster.move_command is not None:
        yield unwanted(f"{key}.move_command", adjuster.move_command, "only a motor is moved by a command")
    if adjuster.kind == "fixed":
        return
    screw_keys = [name for name in ("thread", "threads_per_inch") if getattr(adjuster, name) is not None]
    if adjuster.kind == "shim" and screw_keys:
        told = getattr(adjuster, screw_keys[0])
        yield unwanted(f"{key}.{screw_keys[0]}", told, "a shim has mm_per_turn, the thickness of one sheet")
        return
    yield from _thread(f"{key}.", adjuster, machine.first_layer.tolerance_mm)


def _thread(key: str, thread: Thread, tolerance_mm: float) -> Iterator[Fault]:
    in_order = (*_pitch(key, thread), *_travel(key, thread))
    yield from in_order
    if in_order:
        return
    step_mm = thread.step_turns * mm_per_turn(thread)
    if step_mm > 2 * tolerance_mm:
        largest = 2 * tolerance_mm / mm_per_turn(thread)
        allowed = f"at most {largest:g}, as half a step may not pass the tolerance {tolerance_mm:g} mm"
        yield wrong(f"{key}step_turns", thread.step_turns, allowed)


def _pitch(key: str, thread: Thread) -> Iterator[Fault]:
    told = [name for name in PITCH_KEYS if getattr(thread, name) is not None]
    if not told:
        yield missing(
            f"{key}thread", 'a designation such as "M3", or mm_per_turn or threads_per_inch given instead'
        )
    for name in told[1:]:
        yield unwanted(f"{key}{name}", getattr(thread, name), f"{told[0]} tells it already")
    if told == ["thread"] and thread.thread is not None:
        yield from _designation(f"{key}thread", thread.thread)


def _designation(key: str, designation: str) -> Iterator[Fault]:
    try:
        pitch_mm(designation)
    except ValueError as error:
        yield wrong(key, designation, str(error).partition("; use ")[2])


def _travel(key: str, thread: Thread) -> Iterator[Fault]:
    low, high = thread.travel_turns
    if not -1000 <= low <= 0 <= high <= 1000 or low == high:
        allowed = "the turns left each way, from -1000..0 to 0..1000, and not both 0"
        yield wrong(f"{key}travel_turns", thread.travel_turns, allowed)
    elif not 0 < thread.step_turns <= high - low:
        yield wrong(
            f"{key}step_turns", thread.step_turns, f"more than 0 and at most the travel {high - low:g}"
        )


def _height(machine: Machine) -> Iterator[Fault]:
    by, screw = machine.height.by, machine.height.screw
    if by == ENDSTOP_SCREW and screw is None:
        yield missing("height.screw", 'given where by = "endstop screw", with its thread and clockwise')
    elif by == ENDSTOP_SCREW and screw is not None:
        yield from _thread("height.screw.", screw, machine.first_layer.tolerance_mm)
    elif screw is not None:
        yield unwanted("height.screw", {}, f'it is only for by = "endstop screw", and by is "{by}"')
    if by == "bed adjusters" and all(adjuster.kind == "fixed" for adjuster in machine.adjuster):
        yield wrong("height.by", by, "another way, as no adjuster of this machine can move")


def outside_plate_mm(bed: Bed, at_mm: XY) -> float:
    """Return how far a place lies outside the plate's edge, mm; 0 or less is on the plate."""
    x, y = at_mm[0] - bed.origin_mm[0], at_mm[1] - bed.origin_mm[1]
    if bed.shape == "round":
        return math.hypot(x, y) - (bed.diameter_mm or 0.0) / 2
    width, depth = bed.size_mm or (0.0, 0.0)
    return max(-x, x - width, -y, y - depth)


def plate_words(bed: Bed) -> str:
    """Return where the plate lies, in machine coordinates."""
    x, y = bed.origin_mm
    if bed.shape == "round":
        return f"{bed.diameter_mm or 0.0:g} mm round X{x:g} Y{y:g}"
    width, depth = bed.size_mm or (0.0, 0.0)
    return f"X{x:g} to X{x + width:g}, Y{y:g} to Y{y + depth:g}"
