"""What to see to before anything is measured: cautions, tip, plate, adjusters, hands. Pure."""

from __future__ import annotations

from wizard.facts import Facts
from wizard.instructions import cautions
from wizard.instructions.fitting import fit
from wizard.instructions.page import Page
from wizard.instructions.topics import DONE, READ, Topics, deliberate
from wizard.requests import Confirm


def _cautions(request: Confirm, facts: Facts) -> Page:
    body = fit(
        "Nozzle and plate may be hot enough to burn.",
        "The axes start without warning: keep hands, hair, sleeves and leads out.",
        "Stay with the machine. Know its power switch; STOP stops it from here.",
        cautions.MANUAL_FIRST,
    )
    return Page("Read this first: hot parts, moving axes.", body, READ, cautions.simulated_label(facts))


def _clean_tip(request: Confirm, facts: Facts) -> Page:
    body = fit(
        "Plastic on the tip is felt as a smaller gap and falsifies every reading.",
        "Pull back or unload the filament, so that none oozes.",
        "Brush the tip while warm, then look at it from below.",
    )
    caution = cautions.unless_simulated(facts, "A tip warm enough to clean burns: use a brush.")
    return Page("Clean the nozzle tip: no plastic on it.", body, DONE, caution)


def _nozzle_swap(request: Confirm, facts: Facts) -> Page:
    body = fit(
        "The maker's manual says how hot and how tight a nozzle goes in.",
        "Common practice: tighten it hot, the block held with a second spanner, by feel and not by force.",
        "No plastic at tip or thread: brush it while warm, look from below.",
        "Wait until nothing oozes, and let it cool as for measuring.",
        "If it is 2 mm longer than the old one or more: stop here, set the machine up for it by its manual.",
    )
    caution = cautions.unless_simulated(facts, "Block and nozzle burn at once: tools and gloves, no fingers.")
    return Page("New nozzle tight, its tip clean?", body, DONE, caution)


def _bed_clear(request: Confirm, facts: Facts) -> Page:
    body = fit(
        "Take everything off the plate: prints, clips in the nozzle's way, tools.",
        "Wipe the plate; crumbs under a removable plate lift it.",
        "Use the plate you print on, seated as for printing.",
    )
    return Page("Clear the plate: nothing on it, well seated.", body, DONE, cautions.simulated_label(facts))


def _snug_adjusters(request: Confirm, facts: Facts) -> Page:
    if not any(adjuster.kind == "screw" for adjuster in facts.machine.adjuster):
        return _seated(facts)
    body = fit(
        "Tighten first, then loosen to the gap.",
        f"Turn each until the plate is low, well away from the nozzle{_way_down(facts)}.",
        "Snug, not forced: some travel must be left.",
        "So nothing collides when the nozzle comes down.",
    )
    return Page("Tighten all adjusters first: plate low.", body, DONE, cautions.simulated_label(facts))


def _seated(facts: Facts) -> Page:
    """A machine without screws under its plate: nothing to tighten, but the plate must sit firm."""
    body = fit(
        "This plate has no screws to tighten.",
        "Press lightly along its edge: nothing may rock or click.",
        "All clips, magnets and mounts are in their places.",
    )
    return Page("Check that the plate sits firm.", body, DONE, cautions.simulated_label(facts))


def _hands_clear(request: Confirm, facts: Facts) -> Page:
    body = fit(
        "Nothing on the plate, nothing in the way of the axes.",
        "Hands, hair, sleeves and leads are clear.",
        "Tools and gauge are out of the machine.",
    )
    heat = facts.machine.heat
    heats = (heat.bed_c > 0 or heat.nozzle_c > 0) and not cautions.is_hot(facts)
    title = "Hands clear? It heats up and moves next." if heats else "Hands clear? The machine moves next."
    caution = "The machine heats and moves on this key." if heats else "The machine moves on this key."
    return Page(title, body, deliberate("clear: let it move"), cautions.unless_simulated(facts, caution))


def _way_down(facts: Facts) -> str:
    """Say which way lowers the plate, where all adjusters agree."""
    screws = [a for a in facts.machine.adjuster if a.kind == "screw"]
    ways = {(a.clockwise, a.seen_from) for a in screws}
    if len(ways) != 1:
        return ""
    clockwise, side = next(iter(ways))
    way = {"lowers": "clockwise", "raises": "anticlockwise"}.get(clockwise)
    return f": {way}, seen from {side}" if way else ""


TOPICS: Topics = {
    "cautions": _cautions,
    "clean-tip": _clean_tip,
    "bed-clear": _bed_clear,
    "snug-adjusters": _snug_adjusters,
    "nozzle-swap": _nozzle_swap,
    "hands-clear": _hands_clear,
}
