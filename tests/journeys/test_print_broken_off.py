"""A check print as a person runs it, line by line; killed in mid-layer, and taken up again."""

from __future__ import annotations

import re
import signal
from collections.abc import Callable
from functools import partial
from typing import Any

from tests.journeys.bed import Bed
from tests.journeys.person import Person
from tests.journeys.program import Page, Program
from wizard.printing.pads import every_pad

PROFILE = "four-corner-220"
LINES_LAID = 100


class Printing:
    """A person who also prints: clears the plate, measures pads with the caliper."""

    def __init__(self, person: Person, bed: Bed) -> None:
        self.person, self.bed = person, bed
        self.pads = every_pad(bed.printer.machine)
        self.titles: list[str] = []
        self.printed = False

    def answer(self, page: Page) -> str:
        self.titles.append(page.title)
        key = page.key("check it by a small print")
        if key and not self.printed:
            self.printed = True
            return key
        if page.key("heat and print") or page.key("begin anew"):
            with self.bed.printer.lock:
                self.bed.hands.clear_plate()
        if "thick is the pad" in page.title:
            return self.measured(page)
        choice = page.key("caliper, at the middle")
        return choice or self.person.answer(page)

    def measured(self, page: Page) -> str:
        found = re.match(r"(.+?): pad \d+ of \d+", page.body)
        assert found, page.body
        thick_mm = self.bed.hands.pad_thickness(self.pads[found[1]], "caliper")
        assert thick_mm
        return f"{thick_mm:.2f}"

    def do(self, program: Program) -> int:
        while (page := program.question()) is not None:
            program.type(self.answer(page))
        return program.ends()


def kill_in_mid_layer(bed: Bed, act: Callable[[], None]) -> None:
    """Act once, when so many moves of a layer have begun."""
    moves: list[int] = []

    def look(block: str) -> None:
        if block == "M83":
            moves.append(0)
        elif block == "G1" and len(moves) == 1:
            moves[0] += 1
            if moves[0] == LINES_LAID:
                act()

    bed.watch.append(look)


def test_a_print_killed_in_mid_layer_begins_anew_on_a_cleared_plate_and_ends_well(
    job: Callable[..., Any], person: Callable[..., Any]
) -> None:
    this = job(PROFILE, 7)
    bed = this.bed
    program = this.taken_up(None)
    somebody = Printing(person(PROFILE, bed.hands, "card"), bed)
    kill_in_mid_layer(bed, partial(program.signal, signal.SIGKILL))
    assert somebody.do(program) == -signal.SIGKILL
    cut = this.stands()
    assert type(cut.pending).__name__ == "PrintLayer"
    asked = len(somebody.titles)
    program = this.taken_up(cut)
    assert somebody.do(program) == 0
    assert somebody.titles[asked] == "Plate cleared? The print begins anew."
    this.kept_all(cut)
    assert any("Print: " in line and "every gap within" in line for line in program.said)
    assert bed.blocks.count("M83") >= 2
    assert bed.is_cold_and_lifted() == (True, True)
    assert bed.printer.record.violations == []
    with bed.printer.lock:
        part = bed.printer.machine.print
        assert bed.printer.plate.worst_at_mm(part.bed_c, part.nozzle_c) <= bed.tolerance_mm
