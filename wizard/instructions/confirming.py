"""What to read, do and confirm. Pure.

The keys: Enter where nothing moves or heats on the answer, "y" where something may.
"""

from __future__ import annotations

from collections.abc import Callable

from wizard.facts import Facts
from wizard.instructions import cautions
from wizard.instructions.dispatch import page_of
from wizard.instructions.figures import mm
from wizard.instructions.findings import limits_sentence, remedies
from wizard.instructions.fitting import fit
from wizard.instructions.page import Choice, Page
from wizard.instructions.verdicts import verdict_sentence
from wizard.requests import Confirm, Confirmed

READ = (Choice("enter", "read, go on", Confirmed()),)
DONE = (Choice("enter", "done, go on", Confirmed()),)


def sure(label: str) -> tuple[Choice, ...]:
    """Return the deliberate key for what leads to motion or heat."""
    return (Choice("y", label, Confirmed()),)


def _cautions(request: Confirm, facts: Facts) -> Page:
    body = fit(
        "Nozzle and plate may be hot enough to burn.",
        "The axes start without warning: keep hands, hair, sleeves and leads out.",
        "Stay with the machine. Know its power switch; STOP stops it from here.",
        cautions.MANUAL_FIRST,
    )
    return Page("Read this first: hot parts, moving axes.", body, READ, _label(facts))


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
    )
    caution = cautions.unless_simulated(facts, "Block and nozzle burn at once: tools and gloves, no fingers.")
    return Page("New nozzle tight, its tip clean?", body, DONE, caution)


def _bed_clear(request: Confirm, facts: Facts) -> Page:
    body = fit(
        "Take everything off the plate: prints, clips in the nozzle's way, tools.",
        "Wipe the plate; crumbs under a removable plate lift it.",
        "Use the plate you print on, seated as for printing.",
    )
    return Page("Clear the plate: nothing on it, well seated.", body, DONE, _label(facts))


def _snug_adjusters(request: Confirm, facts: Facts) -> Page:
    if not any(adjuster.kind == "screw" for adjuster in facts.machine.adjuster):
        return _seated(facts)
    body = fit(
        "Tighten first, then loosen to the gap.",
        f"Turn each until the plate is low, well away from the nozzle{_way_down(facts)}.",
        "Snug, not forced: some travel must be left.",
        "So nothing collides when the nozzle comes down.",
    )
    return Page("Tighten all adjusters first: plate low.", body, DONE, _label(facts))


def _seated(facts: Facts) -> Page:
    """A machine without screws under its plate: nothing to tighten, but the plate must sit firm."""
    body = fit(
        "This plate has no screws to tighten.",
        "Press lightly along its edge: nothing may rock or click.",
        "All clips, magnets and mounts are in their places.",
    )
    return Page("Check that the plate sits firm.", body, DONE, _label(facts))


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
    return Page(title, body, sure("clear: let it move"), cautions.unless_simulated(facts, caution))


def _not_by_adjusters(request: Confirm, facts: Facts) -> Page:
    finding = request.finding or facts.finding
    if finding is None:
        body = fit("What is left cannot be removed by turning any adjuster.")
    else:
        left = finding.best_possible_mm
        at_best = f"At the best setting {mm(left)} mm would be left." if left is not None else ""
        body = fit(at_best, *remedies(finding, facts.machine))
    choices = sure("read: go on without turning")
    return Page("No adjuster can remove what is left.", body, choices, _moves(facts))


def _tolerance_too_fine(request: Confirm, facts: Facts) -> Page:
    finding = request.finding or facts.finding
    body = fit(
        limits_sentence(finding) if finding else "",
        "It can go on like this; the job then may end without a proof.",
    )
    return Page("Step, gauge and tolerance do not go together.", body, READ, _label(facts))


def _verify_next(request: Confirm, facts: Facts) -> Page:
    finding = request.finding or facts.finding
    body = fit(
        "Adjusting is done. Now every point is read once more, in another order, nothing turned.",
        "Only this pass proves the result.",
        verdict_sentence(finding, facts.machine) if finding else "",
    )
    return Page("Next: read every point again, to prove it.", body, sure("clear: go on"), _moves(facts))


def _restore_next(request: Confirm, facts: Facts) -> Page:
    body = fit(
        "The job was interrupted; where the nozzle stands is not known.",
        "All readings are kept. The machine homes again, then parks where the job stood.",
        "Take gauge and tools out; check that the nozzle's way is free.",
    )
    return Page("Hands clear? It homes again first.", body, sure("clear: home and go on"), _moves(facts))


def _restart_machine(request: Confirm, facts: Facts) -> Page:
    body = fit(
        "A number that was set may still be lost when the machine is switched off.",
        "Switch it off, count to ten, switch it on; wait until it has started. Leave its cable in.",
        "Then the number that it kept is read and compared. Nothing moves.",
    )
    return Page("Switch the machine off and on again.", body, DONE, _label(facts))


def _motors_next(request: Confirm, facts: Facts) -> Page:
    finding = request.finding or facts.finding
    bow = finding.shape.flatness_minimum_zone_mm if finding and finding.shape else None
    body = fit(
        "The plate's own motors take the tilt out; nobody turns anything.",
        "That beats following the plate by software: every layer stays straight, and parallel to the plate.",
        ""
        if bow is None
        else f"What remains is the plate's own form: flatness {mm(bow)} mm, which no motor removes.",
    )
    return Page(
        "Hands clear? The motors move the plate next.", body, sure("clear: let it move"), _moves(facts)
    )


def _gauge_next(request: Confirm, facts: Facts) -> Page:
    body = fit(
        "A touch tells how the points differ; how far the tip stands above the plate, only a gauge does.",
        "One point is read by hand now. What touch and gauge differ by is the probe offset, counted in.",
        "Take leaf or card; the tip must be clean.",
    )
    return Page("Next: one point by gauge, to check the touch.", body, sure("clear: go on"), _moves(facts))


def _print_cautions(request: Confirm, facts: Facts) -> Page:
    body = fit(
        "The nozzle gets as hot as plastic melts: it burns at once, and so does what drips from it.",
        "Air the room: molten plastic gives off vapours.",
        "Do not leave it alone, not for a minute. STOP stops it; know the power switch.",
        "The heaters go off at the end, at a stop and at a fault.",
        cautions.MANUAL_FIRST,
    )
    return Page("A small print: heat, air, and never alone.", body, READ, _label(facts))


def _print_ready(request: Confirm, facts: Facts) -> Page:
    body = fit(
        "Plate cleared and wiped, seated as for printing; clips where the profile says.",
        "Filament loaded, the tip brushed clean.",
        "Hands, hair, sleeves and leads are clear; the room is aired.",
    )
    caution = cautions.unless_simulated(facts, "It heats and moves on this key.")
    return Page(
        "Plate and hands clear? It heats and prints next.", body, sure("clear: heat and print"), caution
    )


def _print_anew(request: Confirm, facts: Facts) -> Page:
    body = fit(
        "The print was cut off. It is not continued in mid-layer: it begins anew.",
        "Take off whatever lies on the plate, and what hangs from the tip. Hot: tools, no fingers.",
        "Then the machine heats, homes, and prints from the start.",
    )
    caution = cautions.unless_simulated(facts, "It heats and moves on this key.")
    return Page("Plate cleared? The print begins anew.", body, sure("cleared: begin anew"), caution)


def _pads_cool(request: Confirm, facts: Facts) -> Page:
    body = fit(
        "The heaters are off. Wait until the plate is cold: then the pads come off without bending.",
        "Judge by look while they lie; measure once they are off.",
    )
    return Page(
        "Let it cool before you touch the pads.", body, DONE, cautions.unless_simulated(facts, cautions.HOT)
    )


def _way_down(facts: Facts) -> str:
    """Say which way lowers the plate, where all adjusters agree."""
    screws = [a for a in facts.machine.adjuster if a.kind == "screw"]
    ways = {(a.clockwise, a.seen_from) for a in screws}
    if len(ways) != 1:
        return ""
    clockwise, side = next(iter(ways))
    way = {"lowers": "clockwise", "raises": "anticlockwise"}.get(clockwise)
    return f": {way}, seen from {side}" if way else ""


def _label(facts: Facts) -> str:
    return cautions.unless_simulated(facts, "")


def _moves(facts: Facts) -> str:
    return cautions.unless_simulated(facts, "The machine moves on this key.")


_TOPICS: dict[str, Callable[[Confirm, Facts], Page]] = {
    "cautions": _cautions,
    "clean-tip": _clean_tip,
    "bed-clear": _bed_clear,
    "snug-adjusters": _snug_adjusters,
    "nozzle-swap": _nozzle_swap,
    "hands-clear": _hands_clear,
    "not-by-adjusters": _not_by_adjusters,
    "verify-next": _verify_next,
    "restore-next": _restore_next,
    "restart-machine": _restart_machine,
    "motors-next": _motors_next,
    "tolerance-too-fine": _tolerance_too_fine,
    "print-cautions": _print_cautions,
    "print-ready": _print_ready,
    "print-anew": _print_anew,
    "pads-cool": _pads_cool,
    "gauge-next": _gauge_next,
}


@page_of.register
def _(request: Confirm, facts: Facts) -> Page:
    return _TOPICS[request.topic](request, facts)
