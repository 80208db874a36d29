"""Wording for the check print: cautions, filament, progress, pads, what they tell, the triple check. Pure."""

from __future__ import annotations

from wizard.facts import Facts
from wizard.instructions import cautions
from wizard.instructions.dispatch import page_of
from wizard.instructions.figures import counted, mm
from wizard.instructions.findings import finding_lines
from wizard.instructions.fitting import fit, short
from wizard.instructions.measuring import NAME_WIDTH, skips
from wizard.instructions.page import Choice, Page
from wizard.printing.estimate import estimate
from wizard.printing.plan import NoPrint, plan
from wizard.requests import (
    CLOSE,
    CORRECT,
    PRINT_AGAIN,
    AskFilament,
    Checks,
    Chosen,
    Filament,
    JudgePad,
    Look,
    PadSeen,
    PrintLayer,
    ShowPrint,
)

LOOKS: dict[Look, str] = {
    1: "lines apart, not stuck",
    2: "lines stick, with gaps between",
    3: "closed and even",
    4: "ridges, lines pressed over each other",
    5: "scraped, rough, no plastic in the middle",
}
PICTURES: dict[Look, tuple[str, str, str]] = {
    1: ("(  ) ( ", " )  ( )", "( )  ( "),
    2: ("| | | |", "| | | |", "| | | |"),
    3: ("|||||||", "|||||||", "|||||||"),
    4: ("|#|#|#|", "|#|#|#|", "|#|#|#|"),
    5: ("##:  :#", "#:    :", "##:  :#"),
}
GAP = "  "
AT_A_PAD = ("it came off in pieces", "it did not come off", "not sure")
_OPTIONS = {
    CORRECT: "correct it as told, then print again",
    PRINT_AGAIN: "clear the plate and print again",
    CLOSE: "leave it at that",
}
_VERDICTS = {"within": "every gap within", "outside": "outside", "undecided": "undecided"}


def looks_pictured() -> tuple[str, ...]:
    """Return the five looks side by side, seen from above, with their numbers under them."""
    rows = [GAP.join(PICTURES[look][row] for look in LOOKS) for row in range(3)]
    return (*rows, GAP.join(f"{look:^7}" for look in LOOKS))


@page_of.register
def _(request: AskFilament, facts: Facts) -> Page:
    heat = facts.machine.heat
    body = fit(
        "What the filament's maker says holds; it stands on the spool.",
        f"This profile: plate {request.bed_c:g}, nozzle {request.nozzle_c:g} degrees C.",
        f"Never more than plate {heat.max_bed_c:g}, nozzle {heat.max_nozzle_c:g}, this machine's limits.",
        "Others: type plate and nozzle, such as 60 205.",
    )
    choices = (Choice("enter", "these are right", Filament(request.bed_c, request.nozzle_c)),)
    return Page(
        "Which temperatures does the filament want?",
        body,
        choices,
        cautions.unless_simulated(facts, "Nothing heats before you say so."),
        entry="filament",
        entry_key="o",
        hint="plate and nozzle, degrees C",
    )


@page_of.register
def _(request: PrintLayer, facts: Facts) -> Page:
    body = fit(
        *_size(request, facts),
        "Pause lifts the nozzle and holds; going on goes on at the same line. STOP stops at once.",
        "Stay with it, air the room, hands away.",
    )
    return Page("Printing the pads. Stay with it.", body, caution=cautions.while_moving(facts))


def _size(request: PrintLayer, facts: Facts) -> tuple[str, ...]:
    """Return how much is printed."""
    machine = facts.machine
    try:
        planned = plan(machine, request.bed_c, request.nozzle_c)
    except NoPrint:
        return ()
    takes = estimate(
        planned.blocks, (machine.motion.x_mm[0], machine.motion.y_mm[0], machine.motion.clearance_mm)
    )
    without = ", ".join(short(name, NAME_WIDTH) for name in planned.layout.without)
    return (
        f"{counted(len(planned.layout.pads), 'pad').capitalize()}, one layer of "
        f"{mm(machine.first_layer.height_mm)} mm; {takes.filament_mm:.0f} mm of filament.",
        f"No room for a pad at {without}." if without else "",
    )


@page_of.register
def _(request: JudgePad, facts: Facts) -> Page:
    if request.how == "look":
        return _by_look(request, facts)
    body = fit(
        f"{short(request.point, NAME_WIDTH)}: pad {request.nth} of {request.total}.",
        f"Peel it off cold and flat; measure it at its middle with the {request.how}, jaws flat, no force.",
        f"Right is {mm(facts.machine.first_layer.gap_mm)} mm, the gap it was pressed into.",
    )
    choices = (
        Choice("w", LOOKS[1], PadSeen(1)),
        Choice("z", "no plastic in the middle", PadSeen(5)),
    )
    once_more = "Once more: how" if request.again else "How"
    return Page(
        f"{once_more} thick is the pad, by {request.how}?",
        body,
        choices,
        cautions.unless_simulated(facts, cautions.STILL_HOT),
        entry="pad",
        hint="thickness, mm",
        skip_reasons=skips(*AT_A_PAD),
    )


def _by_look(request: JudgePad, facts: Facts) -> Page:
    body = fit(
        f"{short(request.point, NAME_WIDTH)}: pad {request.nth} of {request.total}.",
        "Look at its middle from above, in good light.",
    )
    choices = tuple(Choice(str(look), words, PadSeen(look)) for look, words in LOOKS.items())
    return Page(
        "Which one does the pad look like?",
        body,
        choices,
        cautions.unless_simulated(facts, cautions.STILL_HOT),
        skip_reasons=skips(*AT_A_PAD),
        picture=looks_pictured(),
    )


@page_of.register
def _(request: ShowPrint, facts: Facts) -> Page:
    finding = request.finding
    within = finding.verdict == "within"
    title = "The print says: right at every point." if within else "The print says: not yet right."
    judged = f"{counted(request.pads, 'pad').capitalize()} judged, together with all that was read before."
    body = fit(
        judged if request.pads else "No pad was judged: nothing new is known.",
        *finding_lines(finding, facts.machine),
    )
    choices = tuple(
        Choice(str(n), _OPTIONS[option], Chosen(option)) for n, option in enumerate(request.options, 1)
    )
    return Page(title, body, choices, cautions.unless_simulated(facts, cautions.STILL_HOT))


def why_no_print(facts: Facts) -> str:
    """Return what keeps a check print from being made here; "" where nothing does."""
    if facts.machine.print is None:
        return "the description has no [print] part"
    return "there is no line to print over" if facts.by_hand else ""


def triple(checks: Checks, rounds: int, why_not: str = "") -> tuple[str, ...]:
    """Return the three checks, a line each, and of each that was not done that it was not.

    why_not: what keeps a print from being made.
    """
    gauge = f"Gauge: {counted(checks.gauge, 'point')}, {counted(rounds, 'round')}." if checks.gauge else ""
    return (gauge or "Gauge: not done.", _pass(checks), _print(checks, why_not))


def _pass(checks: Checks) -> str:
    if not checks.passed:
        return "Proving pass: not done, or it has not proven it."
    if checks.changed:
        return "Proving pass: done before the print's corrections, not after."
    return "Proving pass: every point within, nothing turned since."


def _print(checks: Checks, why_not: str) -> str:
    if not checks.printed:
        return f"Print: not done{': ' if why_not else ''}{why_not}."
    return f"Print: {counted(checks.pads, 'pad')}, {_VERDICTS[checks.printed]}."
