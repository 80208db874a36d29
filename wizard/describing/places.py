"""Where supports and points are: proposed from the plate, typed, or taught by parking there."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from profiles.keys import RANGES, Range
from profiles.machine import XY
from wizard.describing.answers import Table, own_words, thread
from wizard.describing.asking import Asker, numbers_of

INSET = 0.14  # of the plate's size: where screws often are; common practice, no source
TEACH = "t"
Teach = Callable[[str, XY], list[float] | None]
"""Drives the nozzle over a place; None where that came to nothing."""

CORNERS = {"front left": (0, 0), "front right": (1, 0), "back right": (1, 1), "back left": (0, 1)}
USUAL: dict[int, dict[str, tuple[float, float]]] = {
    3: {"front left": (0, 0), "front right": (1, 0), "back": (0.5, 1)},
    4: dict(CORNERS),
}


def supports(asker: Asker, plate: Table, teach: Teach | None) -> list[Table]:
    """Ask for what carries the plate: all of one kind; what differs is set in the file."""
    asker.tell("\nWhat carries the plate.")
    count = int(
        asker.number(
            "Supports, those that cannot be set too (0: nothing is known of them)", Range(0, 12, ""), 4
        )
    )
    if not count:
        return []
    kind = asker.choice("They are", ("screw", "shim", "motor", "fixed"), "screw")
    shared: Table = {"kind": kind, **({} if kind == "fixed" else thread(asker, "the plate", kind))}
    if kind == "motor":
        shared["move_command"] = asker.ask("Block that moves it, with {rise_mm} or {turns}", own_words)
    proposed = USUAL.get(count) or {f"support {nth}": (0.0, 0.0) for nth in range(1, count + 1)}
    return [
        {**_place(asker, nth, name, _on(plate, share), teach), **shared}
        for nth, (name, share) in enumerate(proposed.items(), 1)
    ]


def points(
    asker: Asker, plate: Table, limits: Table, carried: list[Table], teach: Teach | None
) -> list[Table]:
    """Ask where to measure; proposed are the supports' places, as far as the nozzle gets, and the middle."""
    asker.tell("\nThe points: where the nozzle is parked to measure.")
    shares = CORNERS if not carried else {}
    proposed = {name: _on(plate, share) for name, share in shares.items()}
    proposed |= {each["name"]: tuple(each["at_mm"]) for each in carried}
    proposed = {name: _reached(plate, limits, at_mm) for name, at_mm in proposed.items()}
    proposed["middle"] = _on(plate, (0.5, 0.5))
    told = "; ".join(f"{name} X{x:g} Y{y:g}" for name, (x, y) in proposed.items())
    if asker.yes(f"Proposed: {told}. Take these", usual=True):
        return [{"name": name, "at_mm": list(at_mm)} for name, at_mm in proposed.items()]
    count = int(asker.number("How many points", Range(1, 25, ""), len(proposed)))
    names = [*proposed, *(f"point {nth}" for nth in range(len(proposed) + 1, count + 1))][:count]
    middle = proposed["middle"]
    return [_place(asker, nth, name, proposed.get(name, middle), teach) for nth, name in enumerate(names, 1)]


EDGES = {
    "front middle": ("front left", "front right"),
    "right middle": ("front right", "back right"),
    "back middle": ("back right", "back left"),
}
"""Three are enough: each corner is beside one of them at least."""


def proof_points(asker: Asker, points: list[Table], carried: list[Table]) -> list[Table]:
    """Ask whether to prove it between the corners too; only of a plate on four supports that can be set.

    Three points cannot tell a corner that has dropped from another nozzle unless they stand between corners.
    """
    at = {each["name"]: each["at_mm"] for each in points}
    fixed = all(each["kind"] == "fixed" for each in carried)
    if len(carried) != len(CORNERS) or fixed or not set(CORNERS) <= at.keys() or at.keys() & EDGES.keys():
        return []
    asker.tell(
        "\nOn four supports a later recheck is done by three readings where the proving pass also reads"
        "\nthe middle of three edges. Turns are found without them."
    )
    if not asker.yes("Read these too, in the proving pass", usual=True):
        return []
    return [
        {"name": name, "at_mm": [_halfway(at[a][i], at[b][i]) for i in (0, 1)], "only": "proof"}
        for name, (a, b) in EDGES.items()
    ]


def _halfway(a: float, b: float) -> float:
    return round((a + b) / 2.0, 1)


def _place(asker: Asker, nth: int, name: str, at_mm: XY, teach: Teach | None) -> Table:
    named = asker.name(f"Name of number {nth}", name)
    by_parking = f", or {TEACH} to park there" if teach else ""
    question, usual = f"{named}, X Y in machine coordinates{by_parking}", f"{at_mm[0]:g} {at_mm[1]:g}"
    found = None
    while found is None:
        found = asker.ask(question, lambda text: _at(text, teach), usual)
        if found is None and teach:
            found = teach(named, at_mm)
    return {"name": named, "at_mm": found}


def _at(text: str, teach: Teach | None) -> list[float] | None:
    """Return a typed place, None where it is to be taught. Raises Unusable."""
    return None if teach and text == TEACH else numbers_of(text, RANGES["Motion.x_mm"], 2)


def _on(plate: Table, share: tuple[float, float]) -> XY:
    """Return a place on the plate: 0 and 1 stand a little inside its edges."""
    x, y = plate["origin_mm"]
    if plate["shape"] == "round":
        r = plate["diameter_mm"] / 2 * (1 - 2 * INSET)
        return round(x + r * (2 * share[0] - 1) * 0.7, 1), round(y + r * (2 * share[1] - 1) * 0.7, 1)
    size = plate["size_mm"]
    inside = [INSET + (1 - 2 * INSET) * each for each in share]
    return round(x + size[0] * inside[0], 1), round(y + size[1] * inside[1], 1)


def _reached(plate: Table, limits: Table, at_mm: Any) -> XY:
    """Return the place nearest to a support that the nozzle reaches and that lies over the plate."""
    low, high = _edges(plate)
    return (
        _between(at_mm[0], max(limits["x_mm"][0], low[0]), min(limits["x_mm"][1], high[0])),
        _between(at_mm[1], max(limits["y_mm"][0], low[1]), min(limits["y_mm"][1], high[1])),
    )


def _edges(plate: Table) -> tuple[XY, XY]:
    x, y = plate["origin_mm"]
    if plate["shape"] == "round":
        r = plate["diameter_mm"] / 2 * 0.7
        return (x - r, y - r), (x + r, y + r)
    width, depth = plate["size_mm"]
    return (x, y), (x + width, y + depth)


def _between(value: float, low: float, high: float) -> float:
    return min(max(value, low), high)
