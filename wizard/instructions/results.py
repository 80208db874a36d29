"""The end of a job in words: verdict, how it was proven, the table of points, what comes next. Pure."""

from __future__ import annotations

from wizard.facts import Facts
from wizard.instructions import cautions
from wizard.instructions.compensating import only_with_raft
from wizard.instructions.dispatch import page_of
from wizard.instructions.figures import counted, signed_mm
from wizard.instructions.findings import status_sentences
from wizard.instructions.fitting import fit
from wizard.instructions.page import Choice, Page
from wizard.instructions.surveying import survey_page
from wizard.instructions.tables import result_table
from wizard.instructions.verdicts import verdict_sentence
from wizard.instructions.warmth import closing_sentence, early_sentence
from wizard.requests import Confirmed, ShowResult

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
    title = "Within tolerance, proven by a whole pass." if proven else _TITLES[finding.verdict]
    body = fit(
        verdict_sentence(finding, machine),
        *(() if proven else status_sentences(finding, machine)[:2]),
        f"{counted(request.rounds, 'round').capitalize()}; {_passed(request)}.",
        early_sentence(facts),
        closing_sentence(machine),
        _probe_offset(facts),
        *only_with_raft(facts),
        thumb_wheels(facts) if proven else "",
        *_next(proven),
    )
    choices = (Choice("enter", "close the job", Confirmed()),)
    caution = cautions.unless_simulated(facts, cautions.HOT if cautions.is_hot(facts) else "")
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


def _passed(request: ShowResult) -> str:
    return "the last pass read every point with nothing turned" if request.proven else "no pass has proven it"


def _next(proven: bool) -> tuple[str, ...]:
    """Common practice, no source: a small print shows what no gauge does."""
    if not proven:
        return ("Print nothing large on it yet.",)
    return ("Print something small before something large.",)
