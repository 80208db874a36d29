"""What a survey found, in words: the plate's form, what turns would do about it, what none can. Pure."""

from __future__ import annotations

from profiles.machine import Machine
from wizard.facts import Facts
from wizard.instructions import cautions
from wizard.instructions.figures import counted, listed, mm
from wizard.instructions.findings import at_their_end, bow_sentence, predicted_worst_mm
from wizard.instructions.fitting import fit, short
from wizard.instructions.page import Choice, Page
from wizard.instructions.tables import result_table
from wizard.instructions.verdicts import NAME_WIDTH, verdict_sentence
from wizard.instructions.warmth import closing_sentence, early_sentence
from wizard.requests import Confirmed, ShowResult
from wizard.solver.finding import Finding, Shape

TITLES = {
    "within": "Surveyed: within tolerance at every point.",
    "outside": "Surveyed: outside tolerance.",
    "undecided": "Surveyed: not decided either way.",
}
LEAST_TILT_MM_PER_M = 0.05


def survey_page(request: ShowResult, facts: Facts) -> Page:
    """Return the page that ends a survey."""
    finding, machine = request.finding, facts.machine
    title = TITLES[finding.verdict]
    if finding.verdict == "within" and not request.proven:
        title = "Surveyed: within tolerance where it was read."
    body = fit(*survey_sentences(finding, machine), early_sentence(facts), closing_sentence(machine))
    choices = (Choice("enter", "close the survey", Confirmed()),)
    caution = cautions.unless_simulated(facts, cautions.HOT if cautions.is_hot(facts) else "")
    return Page(title, body, choices, caution, table=result_table(finding))


def survey_sentences(finding: Finding, machine: Machine) -> tuple[str, ...]:
    """Return verdict, form, what would mend it, and that nothing was turned."""
    lines = (
        verdict_sentence(finding, machine),
        form_sentence(finding.shape),
        bow_sentence(finding, machine),
        mending_sentence(finding, machine),
        "Read with the machine's software compensation as it stood." if machine.compensation else "",
    )
    return tuple(line for line in lines if line)


def form_sentence(shape: Shape | None) -> str:
    """Return the plate's form: which way it rises, twist, flatness; "" where too little is known of it."""
    if shape is None:
        return ""
    rises = [
        f"{abs(tilt):.2f} mm/m to the {sides[tilt > 0]}"
        for tilt, sides in (
            (shape.tilt_x_mm_per_m, ("left", "right")),
            (shape.tilt_y_mm_per_m, ("front", "back")),
        )
        if abs(tilt) >= LEAST_TILT_MM_PER_M
    ]
    tilt = f"The plate rises {listed(rises)}" if rises else "The plate does not tilt"
    flatness = f"flatness {shape.flatness_minimum_zone_mm:.2f} mm (ISO 12781-1)"
    return f"{tilt}; twist {abs(shape.twist_mm):.2f}, bow {abs(shape.bow_mm):.2f}, {flatness}."


def mending_sentence(finding: Finding, machine: Machine) -> str:
    """Return what levelling would do; nothing was done now."""
    if finding.status == "level":
        return "Nothing needs to be turned."
    if finding.status == "out-of-travel":
        ends = [short(name, NAME_WIDTH) for name in at_their_end(finding, machine)]
        return f"Levelling it would need more travel than {listed(ends) if ends else 'an adjuster'} has left."
    if finding.status in ("underdetermined", "inconsistent", "measure-again"):
        return "Nothing was turned; it was not read well enough to say what to turn."
    if finding.status == "not-by-adjusters":
        left = finding.best_possible_mm
        how = "" if left is None else f": {mm(left)} mm would be left at the best setting"
        return f"Nothing was turned; no adjuster can bring it within tolerance{how}."
    return f"Nothing was turned; levelling would {_would(finding, machine)}."


def _would(finding: Finding, machine: Machine) -> str:
    parts = [f"turn {counted(len(finding.turns), 'adjuster')}"] if finding.turns else []
    change_mm = finding.height_change_mm
    if change_mm is not None and round(change_mm, 2):
        parts.append(
            f"{'raise' if change_mm > 0 else 'lower'} the nozzle by {mm(abs(round(change_mm, 2)))} mm"
        )
    left_mm = None if finding.coarse else predicted_worst_mm(finding, machine)
    left = "" if left_mm is None else f" and leave the worst gap {mm(left_mm)} mm off"
    return (listed(parts) if parts else "change nothing") + left
