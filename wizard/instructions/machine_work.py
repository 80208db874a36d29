"""Wording for while the machine works: what it does now and what that means for hands. Pure."""

from __future__ import annotations

from wizard.facts import Facts
from wizard.instructions import cautions
from wizard.instructions.dispatch import page_of
from wizard.instructions.figures import mm, signed_mm
from wizard.instructions.fitting import fit, headline
from wizard.instructions.page import Choice, Page
from wizard.instructions.warmth import bow_sentence
from wizard.requests import (
    Connect,
    CoolDown,
    Done,
    Home,
    Lift,
    Lower,
    Park,
    SetHeight,
    Soak,
    Store,
    Warm,
)


@page_of.register
def _(request: Connect, facts: Facts) -> Page:
    body = fit(
        "Opening the line and asking the machine who it is. It may start anew; that takes some seconds.",
        "At another speed than its profile's it is looked for, up to a minute.",
        "Nothing moves and nothing heats.",
    )
    return Page("Connecting. Nothing moves yet.", body, caution=cautions.unless_simulated(facts, ""))


@page_of.register
def _(request: Warm, facts: Facts) -> Page:
    wanted = [
        f"{what} to {celsius:g}"
        for what, celsius in (("plate", request.bed_c), ("nozzle", request.nozzle_c))
        if celsius > 0
    ]
    title = f"Heating {' and '.join(wanted)} degrees C." if wanted else "Heaters are off."
    body = fit(
        "A plate changes its shape as it warms, so it is measured as it prints.",
        "Wait until the temperature is reached. Nothing moves.",
    )
    return Page(title, body, caution=cautions.unless_simulated(facts, cautions.HEATING))


@page_of.register
def _(request: Soak, facts: Facts) -> Page:
    body = fit(
        f"{request.minutes:g} minutes at temperature, until the plate has its shape.",
        bow_sentence(facts.machine.bed),
        "Whatever is read before its end is marked as such.",
    )
    choices = (Choice("y", "long enough: go on now", Done("cut short by the person")),)
    caution = cautions.unless_simulated(facts, cautions.HOT)
    return Page("Waiting for the plate to come to rest.", body, choices, caution)


@page_of.register
def _(request: Home, facts: Facts) -> Page:
    body = fit("All axes look for their origin, then the nozzle lifts.", "STOP stops it at once.")
    return Page("Homing. Keep hands clear.", body, caution=cautions.while_moving(facts))


@page_of.register
def _(request: Park, facts: Facts) -> Page:
    clearance = f"{facts.machine.motion.clearance_mm:g}"
    body = fit(
        f"Up to {clearance} mm, sideways, then down to Z {mm(request.z_mm)} mm; slowly at the end.",
        "Wait until it stands still before you reach in.",
    )
    title = headline("Going over ", request.point, ". Keep hands clear.")
    return Page(title, body, caution=cautions.while_moving(facts))


@page_of.register
def _(request: Lower, facts: Facts) -> Page:
    body = fit("Slowly, from above.", "Wait until it stands still before you reach in.")
    title = f"Going to Z {mm(request.z_mm)} mm. Keep hands clear."
    return Page(title, body, caution=cautions.while_moving(facts))


@page_of.register
def _(request: Lift, facts: Facts) -> Page:
    body = fit(f"The nozzle goes up to {facts.machine.motion.clearance_mm:g} mm.")
    return Page("Lifting the nozzle. Keep hands clear.", body, caution=cautions.while_moving(facts))


@page_of.register
def _(request: SetHeight, facts: Facts) -> Page:
    change = signed_mm(request.change_mm)
    body = fit(f"The stored nozzle height changes by {change} mm; + is up, away from the plate.")
    title = f"Setting the nozzle height: {change} mm."
    return Page(title, body, caution=cautions.unless_simulated(facts, ""))


@page_of.register
def _(request: Store, facts: Facts) -> Page:
    body = fit("The machine keeps its settings, so that they outlive switching off.")
    return Page("Storing the settings in the machine.", body, caution=cautions.unless_simulated(facts, ""))


@page_of.register
def _(request: CoolDown, facts: Facts) -> Page:
    body = fit("Plate and nozzle stay hot for many minutes.")
    return Page("Heaters off. It is still hot.", body, caution=cautions.unless_simulated(facts, cautions.HOT))
