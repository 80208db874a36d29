"""Wording for a machine without a line: the person moves and heats it, told exactly how. Pure.

The nozzle is lifted before every sideways move; it comes down slowly, in steps, over a point.
"""

from __future__ import annotations

from collections.abc import Callable

from wizard.facts import Facts
from wizard.instructions import cautions
from wizard.instructions.dispatch import page_of
from wizard.instructions.figures import mm
from wizard.instructions.fitting import fit, headline
from wizard.instructions.page import Page
from wizard.instructions.topics import deliberate
from wizard.requests import MoveByHand


def _home(request: MoveByHand, facts: Facts) -> Page:
    body = fit(
        "In the machine's own menu choose homing of all axes, and wait until it stands still.",
        f"Then lift the nozzle to Z {facts.machine.motion.clearance_mm:g} mm or more.",
    )
    return Page("Home all axes in the machine's menu.", body, deliberate("homed and lifted"))


def _park(request: MoveByHand, facts: Facts) -> Page:
    machine = facts.machine
    name, z = request.point or "the point", mm(_z_mm(request, facts))
    place = next(
        (f"X {p.at_mm[0]:g}, Y {p.at_mm[1]:g}" for p in machine.point if p.name == name), "the point"
    )
    body = fit(
        f"1. Lift first: Z {machine.motion.clearance_mm:g} mm or more, by menu.",
        f"2. Only then sideways, to {place}: by menu, or with the motors off push head and plate by hand.",
        f"3. By menu down to Z {z} mm; the last millimetre in small steps.",
        "If Z sinks with the motors off, use the menu for all of it.",
    )
    return Page(headline("Lift, go over ", name, f", down to Z {z}."), body, deliberate("it stands there"))


def _lower(request: MoveByHand, facts: Facts) -> Page:
    z = mm(_z_mm(request, facts))
    body = fit(
        f"In the machine's menu move Z to {z} mm, in small steps, always from above.",
        "Gone past it? Lift by 1 mm and come down again.",
    )
    return Page(f"Bring the nozzle to Z {z} mm, from above.", body, deliberate("it stands there"))


def _lift(request: MoveByHand, facts: Facts) -> Page:
    z = f"{max(facts.machine.motion.clearance_mm, request.z_mm or 0.0):g}"
    body = fit(
        f"In the machine's menu move Z up to {z} mm or more; nothing sideways before that.",
        "Take leaf or card out first.",
    )
    return Page(f"Lift the nozzle to Z {z} mm or more.", body, deliberate("lifted"))


def _heat(request: MoveByHand, facts: Facts) -> Page:
    wanted = ", ".join(
        f"{what} to {celsius:g} degrees C"
        for what, celsius in (("the plate", request.bed_c), ("the nozzle", request.nozzle_c))
        if celsius
    )
    if not wanted:
        return _cool(request, facts)
    body = fit(
        f"In the machine's menu set {wanted}.",
        "Wait until its display shows that it is reached.",
        "A plate changes its shape as it warms: measure it as you print on it.",
    )
    return Page(f"Heat {wanted}.", body, deliberate("it is reached"))


def _cool(request: MoveByHand, facts: Facts) -> Page:
    body = fit(
        "In the machine's menu set plate and nozzle to 0, or choose cooling down.",
        "They stay hot for many minutes.",
    )
    return Page("Switch both heaters off.", body, deliberate("both are off"))


def _z_mm(request: MoveByHand, facts: Facts) -> float:
    return facts.machine.measuring_height_mm if request.z_mm is None else request.z_mm


_WHAT: dict[str, tuple[Callable[[MoveByHand, Facts], Page], str]] = {
    "home": (_home, cautions.MOVING),
    "park": (_park, cautions.CRUSH),
    "lower": (_lower, cautions.CRUSH),
    "lift": (_lift, cautions.MOVING),
    "heat": (_heat, cautions.HEATING),
    "cool": (_cool, cautions.HOT),
}


@page_of.register
def _(request: MoveByHand, facts: Facts) -> Page:
    wording, caution = _WHAT[request.what]
    page = wording(request, facts)
    if request.what == "park" and cautions.is_hot(facts):
        caution = cautions.BY_HAND_HOT
    return Page(page.title, page.body, page.choices, cautions.unless_simulated(facts, caution))
