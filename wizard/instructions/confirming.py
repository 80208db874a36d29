"""The page of whatever only wants to be confirmed, and what is told on the way to a proof. Pure."""

from __future__ import annotations

from wizard.facts import Facts
from wizard.instructions import before_print, cautions, preparing
from wizard.instructions.dispatch import page_of
from wizard.instructions.figures import mm
from wizard.instructions.findings import limits_sentence, remedies
from wizard.instructions.fitting import fit
from wizard.instructions.page import Page
from wizard.instructions.topics import DONE, READ, Topics, deliberate
from wizard.instructions.verdicts import verdict_sentence
from wizard.requests import Confirm


def _not_by_adjusters(request: Confirm, facts: Facts) -> Page:
    finding = request.finding or facts.finding
    if finding is None:
        body = fit("What is left cannot be removed by turning any adjuster.")
    else:
        left = finding.best_possible_mm
        at_best = f"At the best setting {mm(left)} mm would be left." if left is not None else ""
        body = fit(at_best, *remedies(finding, facts.machine))
    choices = deliberate("read: go on without turning")
    return Page("No adjuster can remove what is left.", body, choices, cautions.moves_on_this_key(facts))


def _tolerance_too_fine(request: Confirm, facts: Facts) -> Page:
    finding = request.finding or facts.finding
    body = fit(
        limits_sentence(finding) if finding else "",
        "It can go on like this; the job then may end without a proof.",
    )
    return Page("Step, gauge and tolerance do not go together.", body, READ, cautions.simulated_label(facts))


def _verify_next(request: Confirm, facts: Facts) -> Page:
    finding = request.finding or facts.finding
    body = fit(
        "Adjusting is done. Now every point is read once more, in another order, nothing turned.",
        "Only this pass proves the result.",
        verdict_sentence(finding, facts.machine) if finding else "",
    )
    return Page(
        "Next: read every point again, to prove it.",
        body,
        deliberate("clear: go on"),
        cautions.moves_on_this_key(facts),
    )


def _restore_next(request: Confirm, facts: Facts) -> Page:
    body = fit(
        "The job was interrupted; where the nozzle stands is not known.",
        "All readings are kept. The machine homes again, then parks where the job stood.",
        "Take gauge and tools out; check that the nozzle's way is free.",
    )
    return Page(
        "Hands clear? It homes again first.",
        body,
        deliberate("clear: home and go on"),
        cautions.moves_on_this_key(facts),
    )


def _restart_machine(request: Confirm, facts: Facts) -> Page:
    body = fit(
        "A number that was set may still be lost when the machine is switched off.",
        "Switch it off, count to ten, switch it on; wait until it has started. Leave its cable in.",
        "Then the number that it kept is read and compared. Nothing moves.",
    )
    return Page("Switch the machine off and on again.", body, DONE, cautions.simulated_label(facts))


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
        "Hands clear? The motors move the plate next.",
        body,
        deliberate("clear: let it move"),
        cautions.moves_on_this_key(facts),
    )


def _gauge_next(request: Confirm, facts: Facts) -> Page:
    body = fit(
        "A touch tells how the points differ; how far the tip stands above the plate, only a gauge does.",
        "One point is read by hand now. What touch and gauge differ by is the probe offset, counted in.",
        "Take leaf or card; the tip must be clean.",
    )
    return Page(
        "Next: one point by gauge, to check the touch.",
        body,
        deliberate("clear: go on"),
        cautions.moves_on_this_key(facts),
    )


_TOPICS: Topics = {
    **preparing.TOPICS,
    **before_print.TOPICS,
    "not-by-adjusters": _not_by_adjusters,
    "tolerance-too-fine": _tolerance_too_fine,
    "verify-next": _verify_next,
    "restore-next": _restore_next,
    "restart-machine": _restart_machine,
    "motors-next": _motors_next,
    "gauge-next": _gauge_next,
}


@page_of.register
def _(request: Confirm, facts: Facts) -> Page:
    return _TOPICS[request.topic](request, facts)
