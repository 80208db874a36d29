"""The end of a job in words: verdict, how it was proven, the table of points, what comes next. Pure."""

from __future__ import annotations

from wizard.facts import Facts
from wizard.instructions import cautions
from wizard.instructions.compensating import only_with_raft
from wizard.instructions.dispatch import page_of
from wizard.instructions.figures import signed_mm
from wizard.instructions.findings import status_sentences
from wizard.instructions.fitting import fit
from wizard.instructions.page import Choice, Page
from wizard.instructions.printing import triple, why_no_print
from wizard.instructions.surveying import survey_page
from wizard.instructions.tables import result_table
from wizard.instructions.verdicts import verdict_sentence
from wizard.instructions.warmth import closing_sentence, early_sentence
from wizard.requests import CHECK_PRINT, Chosen, Confirmed, ShowResult

_TITLES = {
    "within": "Within tolerance so far, but not proven.",
    "outside": "Outside tolerance.",
    "undecided": "Undecided: not proven either way.",
}


@page_of.register
def _(request: ShowResult, facts: Facts) -> Page:
    if request.measured_only:
        return survey_page(request, facts)
    finding, machine = request.finding, facts.machine
    proven = request.proven and finding.verdict == "within"
    title = f"Within tolerance, proven by a {_proof(request)}." if proven else _TITLES[finding.verdict]
    body = fit(
        verdict_sentence(finding, machine),
        *(() if proven else status_sentences(finding, machine)[:2]),
        *triple(request.checks, request.rounds, why_no_print(facts)),
        early_sentence(facts),
        closing_sentence(machine),
        _probe_offset(facts),
        *only_with_raft(facts),
        thumb_wheels(facts) if proven else "",
        *_next(proven and not request.checks.printed, proven=proven),
    )
    choices = (Choice("enter", "close the job", Confirmed()), *_print(request))
    still = cautions.STILL_HOT if request.can_print else ""
    caution = cautions.unless_simulated(facts, cautions.HOT if cautions.is_hot(facts) else still)
    return Page(title, body, choices, caution, table=result_table(finding))


def _probe_offset(facts: Facts) -> str:
    """Return what touch and gauge differ by, where points were touched."""
    if facts.probe_offset_mm is None:
        return ""
    return f"Gauge and touch differ by {signed_mm(facts.probe_offset_mm)} mm: the probe offset, counted in."


def thumb_wheels(facts: Facts) -> str:
    """A remark for wing nuts: common practice, no source."""
    wings = any(a.kind == "screw" and a.head == "wing nut" for a in facts.machine.adjuster)
    return (
        "Thumb wheels in place of the wing nuts would turn more finely; nothing here needs them."
        if wings
        else ""
    )


def _proof(request: ShowResult) -> str:
    """Return what proved it: the pass that read every point, or a print after it."""
    checks = request.checks
    return "print" if checks.printed and (checks.changed or not checks.passed) else "whole pass"


def _print(request: ShowResult) -> tuple[Choice, ...]:
    """Return the key that checks it by a small print, where that can be."""
    return (Choice("c", "check it by a small print", Chosen(CHECK_PRINT)),) if request.can_print else ()


def _next(to_print: bool, *, proven: bool) -> tuple[str, ...]:
    """Common practice, no source: a small print shows what no gauge does."""
    if not proven:
        return ("Print nothing large on it yet.",)
    return ("Print something small before something large.",) if to_print else ()
