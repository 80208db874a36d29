"""What follows from a check print: what its pads tell of the gaps, in the terms of all other readings."""

from __future__ import annotations

from wizard.facts.changing import raised_by
from wizard.facts.fold import fold
from wizard.facts.known import Facts, add_reading, away, changed, in_round, read_so_far
from wizard.printing.judging import as_measured, averaged, by_look, by_thickness, closing_u_mm
from wizard.requests import AnyAnswer, JudgePad, PadMeasured, PadSeen, PrintLayer
from wizard.rounds import Reading

BY_PRINT = ("caliper", "micrometer", "look")


@fold.register
def _(request: PrintLayer, answer: AnyAnswer, facts: Facts) -> Facts:
    """With plastic on the plate nothing is homed over it: whatever moves next homes on a cleared plate.

    From measuring to printing the gaps close by an amount that is not quite known.
    """
    facts = changed(away(facts), homed=False, print_c=(request.bed_c, request.nozzle_c))
    if _read_by_print(facts):
        return changed(facts, readings={})
    return raised_by(facts, 0.0, closing_u_mm(facts.machine, request.bed_c, request.nozzle_c))


def _read_by_print(facts: Facts) -> bool:
    """Tell whether the newest readings are of a print, so that nothing has warmed between the two."""
    read = [each.readings for each in facts.rounds if each.readings]
    return bool(read) and all(reading.how in BY_PRINT for reading in read[-1].values())


@fold.register
def _(request: JudgePad, answer: AnyAnswer, facts: Facts) -> Facts:
    reading = pad_reading(request, answer, facts)
    if reading is None or facts.print_c is None:
        return facts
    reading = as_measured(facts.machine, reading, *facts.print_c)
    before = read_so_far(facts, request.round, request.point)
    mean = averaged(before, reading) if before is not None else None
    if mean is not None:
        return in_round(facts, request.round, request.point, mean)
    return add_reading(facts, request.round, request.point, reading)


def pad_reading(request: JudgePad, answer: AnyAnswer, facts: Facts) -> Reading | None:
    """Return what a pad tells of the gap at layer height while printing; None where it was left out."""
    if isinstance(answer, PadMeasured) and request.how != "look":
        return by_thickness(facts.machine, answer.thick_mm, request.how)
    return by_look(facts.machine, answer.look) if isinstance(answer, PadSeen) else None
