"""What to see to around a check print: heat and air, plate and filament, cooling. Pure."""

from __future__ import annotations

from wizard.facts import Facts
from wizard.instructions import cautions
from wizard.instructions.fitting import fit
from wizard.instructions.page import Page
from wizard.instructions.topics import DONE, READ, Topics, deliberate
from wizard.requests import Confirm


def _print_cautions(request: Confirm, facts: Facts) -> Page:
    body = fit(
        "The nozzle gets as hot as plastic melts: it burns at once, and so does what drips from it.",
        "Air the room: molten plastic gives off vapours.",
        "Do not leave it alone, not for a minute. STOP stops it; know the power switch.",
        "The heaters go off at the end, at a stop and at a fault.",
        cautions.MANUAL_FIRST,
    )
    return Page("A small print: heat, air, and never alone.", body, READ, cautions.simulated_label(facts))


def _print_ready(request: Confirm, facts: Facts) -> Page:
    body = fit(
        "Plate cleared and wiped, seated as for printing; clips where the profile says.",
        "Filament loaded, the tip brushed clean.",
        "Hands, hair, sleeves and leads are clear; the room is aired.",
    )
    caution = cautions.unless_simulated(facts, "It heats and moves on this key.")
    return Page(
        "Plate and hands clear? It heats and prints next.", body, deliberate("clear: heat and print"), caution
    )


def _print_anew(request: Confirm, facts: Facts) -> Page:
    body = fit(
        "The print was cut off. It is not continued in mid-layer: it begins anew.",
        "Take off whatever lies on the plate, and what hangs from the tip. Hot: tools, no fingers.",
        "Then the machine heats, homes, and prints from the start.",
    )
    caution = cautions.unless_simulated(facts, "It heats and moves on this key.")
    return Page("Plate cleared? The print begins anew.", body, deliberate("cleared: begin anew"), caution)


def _pads_cool(request: Confirm, facts: Facts) -> Page:
    body = fit(
        "The heaters are off. Wait until the plate is cold: then the pads come off without bending.",
        "Judge by look while they lie; measure once they are off.",
    )
    return Page(
        "Let it cool before you touch the pads.", body, DONE, cautions.unless_simulated(facts, cautions.HOT)
    )


TOPICS: Topics = {
    "print-cautions": _print_cautions,
    "print-ready": _print_ready,
    "print-anew": _print_anew,
    "pads-cool": _pads_cool,
}
