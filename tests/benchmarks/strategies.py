"""Three ways to do the job: ours (the real procedure, answered by the made-up person), and two baselines."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from world import World

from wizard.facts import Facts
from wizard.procedures.level import level
from wizard.requests import (
    Choose,
    Chosen,
    Confirm,
    Confirmed,
    Connect,
    Connected,
    Done,
    Feel,
    Felt,
    Home,
    LookForDaylight,
    ReadingTaken,
    Seen,
    ShowResult,
    TakeReading,
    Turn,
    Turned,
)


@dataclass
class Result:
    """rounds: times at which adjusters were turned. said: whether the way itself claims to be within."""

    rounds: int
    said: bool
    extra: dict[str, float]


def ours(world: World, gauge: str) -> Result:
    """The real procedure `level`, its requests answered by the made-up person."""
    work = level(Facts(world.machine))
    request = next(work)
    adjusted, ended = 0, "finished"
    try:
        while True:
            if isinstance(request, Turn):
                adjusted += 1
            if isinstance(request, Choose) and request.topic == "stuck":
                ended = "stuck: " + (request.finding.status if request.finding else "?")
            request = work.send(_answer(world, request, gauge))
    except StopIteration as stop:
        outcome = stop.value
    return Result(adjusted, bool(outcome.proven), {"ended": ended})


def _answer(world: World, request: object, gauge: str) -> object:
    if isinstance(request, LookForDaylight):
        return Seen(world.daylight(request.point, request.z_mm, request.thick_mm))
    if isinstance(request, TakeReading):
        world.readings += 1
        return ReadingTaken(world.leaf(request.point, request.z_mm, request.start_leaf_mm))
    if isinstance(request, Feel):
        world.readings += 1
        return Felt(world.feel(request.point, request.z_mm, request.card_mm))
    if isinstance(request, Turn):
        for name, turns in request.turns.items():
            world.turn(name, turns)
        return Turned(request.turns)
    if isinstance(request, Choose):
        wanted = {"gauge": gauge, "stuck": "stop-here"}.get(request.topic, request.options[0])
        return Chosen(wanted if wanted in request.options else request.options[-1])
    if isinstance(request, Confirm | ShowResult):
        return Confirmed()
    if isinstance(request, Home):
        world.home()
    return Connected("made up") if isinstance(request, Connect) else Done()


def corner_by_corner(world: World, gauge: str) -> Result:
    """Common practice: at each screw turn until the card drags, round and round until none needs it."""
    world.home()
    nearest = _nearest_points(world)
    for pass_number in range(1, 16):
        turned = False
        for a, point in zip(world.machine.adjuster, nearest, strict=True):
            turned |= _until_drag(world, a.name, point)
        world.readings += len(nearest)
        if not turned:
            return Result(pass_number - 1, True, {})
    return Result(15, False, {})


def _nearest_points(world: World) -> list[str]:
    places = np.array([p.at_mm for p in world.machine.point])
    rows = [int(((places - a.at_mm) ** 2).sum(axis=1).argmin()) for a in world.machine.adjuster]
    return [world.machine.point[row].name for row in rows]


def _until_drag(world: World, adjuster: str, point: str) -> bool:
    card = world.machine.gauge.card_mm or 0.1
    z = world.machine.measuring_height_mm + card - world.target
    a = world.machine.adjuster_named(adjuster)
    up = -1.0 if a.clockwise == "lowers" else 1.0
    size, last, turned = 0.25, "", False
    for _ in range(30):
        touch = world.feel(point, z, card)
        if touch == "drag":
            break
        if last and touch != last:
            size = max(size / 2.0, a.step_turns)
        world.turn(adjuster, (up if touch == "free" else -up) * size)
        last, turned = touch, True
    return turned


def plane_by_rounds(world: World, gauge: str) -> Result:
    """Least-squares plane, nominal pitch, each turn rounded alone, nothing remembered between rounds."""
    world.home()
    places = np.array([p.at_mm for p in world.machine.point])
    held = np.array([a.at_mm for a in world.machine.adjuster])
    for adjusted in range(9):
        off = np.array([_read(world, p.name, gauge, first=adjusted == 0) for p in world.machine.point])
        off = off - world.target
        if np.abs(off).max() <= world.machine.first_layer.tolerance_mm:
            return Result(adjusted, True, {})
        fit, *_ = np.linalg.lstsq(np.c_[np.ones(len(places)), places], off, rcond=None)
        wanted = np.c_[np.ones(len(held)), held] @ fit
        for a, rise in zip(world.machine.adjuster, wanted, strict=True):
            steps = round(rise / 0.5 / a.step_turns)
            world.turn(a.name, (-steps if a.clockwise == "lowers" else steps) * a.step_turns)
    return Result(9, False, {})


def _read(world: World, point: str, gauge: str, first: bool) -> float:
    world.readings += 1
    z_m = world.machine.measuring_height_mm
    leaves = world.machine.gauge.leaves_mm
    if leaves and (first or gauge == "leaf"):
        reading = world.leaf(point, z_m, None if first else world.target)
        low = leaves[-1] if reading.low_mm is None and reading.high_mm is None else reading.low_mm or 0.0
        high = reading.high_mm if reading.high_mm is not None else low + 0.05
        return (low + high) / 2.0
    return _by_card(world, point)


def _by_card(world: World, point: str) -> float:
    """Start at the wanted gap, step by 0.05 mm until it is straddled, then halve."""
    card = world.machine.gauge.card_mm or 0.1
    low, high = None, None
    guess = world.target
    for _ in range(20):
        touch = world.feel(point, world.machine.measuring_height_mm + card - guess, card)
        if touch == "drag":
            return guess
        low, high = (guess, high) if touch == "free" else (low, guess)
        if low is not None and high is not None:
            guess = (low + high) / 2.0
            if high - low <= 0.02:
                break
        else:
            guess += 0.05 if touch == "free" else -0.05
    return guess


WAYS = {"ours": ours, "corner by corner": corner_by_corner, "plane by rounds": plane_by_rounds}
