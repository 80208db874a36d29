"""Choices between named options: what to measure with, what happened, how to go on. Pure."""

from __future__ import annotations

from wizard.facts import Facts
from wizard.instructions import cautions
from wizard.instructions.compensating import compensation_lines
from wizard.instructions.dispatch import page_of
from wizard.instructions.figures import mm
from wizard.instructions.findings import status_sentences
from wizard.instructions.fitting import LABEL_WIDTH, fit, short
from wizard.instructions.page import Choice, Page
from wizard.instructions.suspicions import suspicion_sentence
from wizard.instructions.verdicts import verdict_sentence
from wizard.instructions.warmth import closing_sentence
from wizard.requests import (
    AS_SUSPECTED,
    BY_LOOK,
    CALIPER,
    COMPENSATE,
    GO_ON,
    GO_ON_ANYWAY,
    LEAVE_IT,
    MICROMETER,
    READ_AGAIN,
    REPEAT_READINGS,
    STOP_HERE,
    Choose,
    Chosen,
)

OPTIONS = {
    COMPENSATE: "yes: set the grid and check it elsewhere",
    LEAVE_IT: "no: leave the plate as it is",
    CALIPER: "caliper, at the middle of each pad",
    MICROMETER: "micrometer, at the middle of each pad",
    BY_LOOK: "no tool: by its look",
    "leaf": "feeler leaves: thickest that slides",
    "feel": "one card or folded paper: by its drag",
    AS_SUSPECTED: "yes, it was so: count it as that",
    READ_AGAIN: "not sure: read it again",
    GO_ON: "no: go on as it is",
    GO_ON_ANYWAY: "make the turns all the same",
    REPEAT_READINGS: "read every point again",
    STOP_HERE: "end here, with what was reached",
}
_TITLES = {
    "compensate": "Shall the machine follow the plate by software?",
    "gauge": "What do you measure with?",
    "pads": "What are the pads judged by?",
    "suspicion": "Something does not fit. What happened?",
    "stuck": "How shall it go on?",
}
_STUCK_TITLES = {
    "not-by-adjusters": "No adjuster can remove what is left. What now?",
    "out-of-travel": "An adjuster comes to its end. What now?",
    "measure-again": "The readings do not decide it. What now?",
    "underdetermined": "Too few points are known. What now?",
    "inconsistent": "The readings contradict each other. What now?",
}


@page_of.register
def _(request: Choose, facts: Facts) -> Page:
    choices = tuple(
        Choice(str(number), short(OPTIONS.get(option, option), LABEL_WIDTH), Chosen(option))
        for number, option in enumerate(request.options[:9], 1)
    )
    caution = cautions.unless_simulated(facts, cautions.MOVES_NEXT)
    return Page(_title(request), _body(request, facts), choices, caution)


def _title(request: Choose) -> str:
    title = _TITLES[request.topic]
    if request.topic == "stuck" and request.finding is not None:
        return _STUCK_TITLES.get(request.finding.status, title)
    return title


def _body(request: Choose, facts: Facts) -> tuple[str, ...]:
    if request.topic == "gauge":
        return _gauge(facts)
    if request.topic == "pads":
        return fit(
            "A thickness tells the gap that a pad was pressed into; a look tells less.",
            "Measure at the middle, where the lines are; edges are thicker.",
        )
    if request.topic == "compensate":
        return compensation_lines(facts.machine, request.finding)
    finding = request.finding or facts.finding
    if finding is None:
        return fit("Nothing is changed before you answer.")
    if request.topic == "stuck":
        return fit(*status_sentences(finding, facts.machine), suspicion_sentence(finding))
    return fit(
        suspicion_sentence(finding),
        "The readings after the turns fit this better than what was told.",
        "Nothing is corrected before you answer.",
        verdict_sentence(finding, facts.machine),
    )


def _gauge(facts: Facts) -> tuple[str, ...]:
    gauge = facts.machine.gauge
    leaves = gauge.leaves_mm
    return fit(
        f"Leaves of this machine: {mm(min(leaves))} to {mm(max(leaves))} mm." if leaves else "",
        f"Card of this machine: {mm(gauge.card_mm)} mm." if gauge.card_mm else "",
        "Leaves are quicker. With a card the nozzle comes down in steps until it drags.",
        closing_sentence(facts.machine),
    )
