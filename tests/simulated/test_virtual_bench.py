"""The hand that is lent at a simulated printer: one typed line each."""

from __future__ import annotations

import pytest

from drivers.simulated import SimulatedPrinter
from drivers.simulated.operator import STEADY, Operator
from profiles.load import load
from wizard.commands.virtual_bench import VirtualBench


@pytest.fixture
def printer(machine):
    printer = SimulatedPrinter(machine, 1)
    printer.firmware.receive(b"G28\nG0 Z5\nG0 X30 Y30\nG1 Z0.2 F60\n", 0.0)
    printer.let_pass(60.0)
    return printer


@pytest.fixture
def bench(printer):
    return VirtualBench(printer, Operator(printer, 1, STEADY))


@pytest.mark.parametrize(
    ("typed", "found"),
    [
        ("leaf 0.15", "0.15 mm leaf: slides"),
        ("LEAF 0,5 mm", "0.5 mm leaf: will not enter"),
        ("card", "0.1 mm card: free"),
        ("card 0.3", "0.3 mm card: tight"),
        ("daylight 0.76", "does not pass"),
        ("turn front left 1/4", "front left: turned about +0.25"),
        ("turn Back Right -90 deg", "back right: turned about -0.25"),
        ("turn front left 9", "front left: turned about +4, then it went hard to its end"),
        ("raise 0.05", "nozzle height changed by +0.05 mm"),
        ("raise -0.02", "nozzle height changed by -0.02 mm"),
        ("reset", "reset"),
        ("", ""),
    ],
)
def test_a_typed_line_does_what_a_hand_would(bench, typed, found):
    assert bench.answer(typed) == found


@pytest.mark.parametrize(
    "typed",
    [
        "leaf",
        "leaf x",
        "leaf -1",
        "leaf nan",
        "leaf 1e9",
        "turn",
        "turn roof 1/4",
        "turn front left",
        "turn front left 1/0",
        "dance",
        "daylight",
        "raise a lot",
    ],
)
def test_what_cannot_be_done_gets_one_sentence_and_changes_nothing(bench, printer, typed):
    before = printer.plate.true_gaps(printer.machine, 0.2)
    told = bench.answer(typed)
    assert told.endswith(".")
    assert "\n" not in told
    assert printer.plate.true_gaps(printer.machine, 0.2) == before


def test_state_tells_what_can_be_seen_and_no_gap(bench, printer):
    assert bench.answer("state") == "nozzle at about X30.0 Y30.0 Z0.20, homed\nT:22.0 /0.0 B:22.0 /0.0"
    bench.answer("turn front left -2")
    assert "met the plate 1 times" in bench.answer("state")


def test_reveal_tells_the_truth_and_only_reveal_does(bench, printer):
    truth = printer.plate.true_gaps(printer.machine, 0.2)["centre"]
    assert f"centre: {truth:.3f} mm" in bench.answer("reveal")


def test_help_names_every_word(bench):
    for word in ("leaf", "card", "daylight", "turn", "raise", "state", "reset", "reveal", "quit"):
        assert word in bench.answer("help")


def test_without_a_card_in_the_profile_its_thickness_is_asked_for(make_machine):
    from profiles.machine import Gauge

    printer = SimulatedPrinter(make_machine(gauge=Gauge(leaves_mm=(0.1,))), 1)
    assert VirtualBench(printer, Operator(printer, 1)).answer("card").endswith("such as card 0.1.")


@pytest.mark.parametrize(
    ("line", "told"), [("leaf 0.15", "0.15 mm leaf: slides"), ("0.15", None), ("free", None)]
)
def test_beside_a_job_only_lines_for_a_hand_are_answered(bench, line, told):
    assert bench.aside(line) == told


def test_a_pad_is_measured_and_looked_at_once_there_is_one():
    printer = SimulatedPrinter(load("four-corner-220"), 1)
    bench = VirtualBench(printer, Operator(printer, 1, STEADY))
    assert bench.answer("pad centre") == "centre: nothing was printed there"
    assert bench.answer("pad nowhere").startswith("No such pad: 'nowhere'. There are: front left")
    for nth in range(-10, 11):
        y = 110.0 + 0.5 * nth
        gap = printer.plate.gap_at(110.0, y, 0.2)
        printer.plate.plastic.lay(printer.plate, (102.0, y, 0.35 - gap), (118.0, y, 0.35 - gap), 0.5)
    assert bench.answer("pad Centre").startswith("centre: 0.15 mm by caliper; it looks like 3, closed")
    assert bench.aside("pad centre") is not None
