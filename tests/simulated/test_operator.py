"""The virtual hand: what it feels, how well it turns, and its slips."""

from __future__ import annotations

from statistics import mean, stdev

import pytest

from drivers.simulated import BareNozzle, SimulatedPrinter
from drivers.simulated.operator import STEADY, Hand, Operator
from drivers.simulated.plate import Plate

LEAVES = (0.05, 0.10, 0.15, 0.20, 0.25, 0.30, 0.40, 0.50)


class Held:
    """A nozzle held at a chosen gap."""

    def __init__(self, plate, gap=0.0):
        self.plate = plate
        self.gap = gap
        self.told = 0

    def gap_mm(self):
        return self.gap

    def turned(self):
        self.told += 1


@pytest.fixture
def held(machine):
    return Held(Plate(machine, 1))


@pytest.mark.parametrize(
    ("gap", "felt"), [(0.170, "slides"), (0.152, "drags"), (0.148, "drags"), (0.140, "will not enter")]
)
def test_a_steady_hand_feels_a_leaf_slide_drag_or_refuse(held, gap, felt):
    held.gap = gap
    assert Operator(held, 1, STEADY).leaf(0.15) == felt


@pytest.mark.parametrize(
    ("gap", "reading"),
    [
        (0.17, (0.15, 0.20)),
        (0.02, (None, 0.05)),
        (-0.3, (None, 0.05)),
        (0.9, (0.50, None)),
        (0.45, (0.40, 0.50)),
    ],
)
def test_a_steady_hand_reads_the_bracket_around_the_gap(held, gap, reading):
    held.gap = gap
    assert Operator(held, 1, STEADY).leaf_reading(LEAVES) == reading
    assert Operator(held, 1, STEADY).leaf_reading(tuple(reversed(LEAVES))) == reading


@pytest.mark.parametrize(
    ("gap", "felt"), [(0.12, "free"), (0.109, "drag"), (0.091, "drag"), (0.08, "tight"), (-1.0, "tight")]
)
def test_a_steady_hand_feels_a_card_free_dragging_or_tight(held, gap, felt):
    held.gap = gap
    assert Operator(held, 1, STEADY).feel(0.10) == felt


def test_daylight_is_seen_where_the_thick_card_passes(held):
    held.gap = 1.0
    assert Operator(held, 1).daylight(0.76)
    held.gap = 0.5
    assert not Operator(held, 1).daylight(0.76)


def test_ordinary_readings_are_right_where_no_leaf_is_within_25_thousandths_and_vary_where_one_is(held):
    held.gap = 0.2
    brackets = {Operator(held, seed).leaf_reading(LEAVES) for seed in range(200)}
    assert brackets == {(0.15, 0.20), (0.20, 0.25)}
    for gap in (0.175, 0.225):
        held.gap = gap
        low = 0.15 if gap < 0.2 else 0.20
        assert {Operator(held, seed).leaf_reading(LEAVES) for seed in range(100)} == {(low, low + 0.05)}


def test_a_leaf_keeps_its_own_error_for_a_whole_job_and_other_sets_have_others(held):
    hand = Hand(leaf_sd_mm=0.0)
    held.gap = 0.2
    feels = {seed: {Operator(held, seed, hand).leaf(0.20) for _ in range(5)} for seed in range(40)}
    assert all(len(felt) == 1 for felt in feels.values())
    assert len({next(iter(felt)) for felt in feels.values()}) == 3


def test_the_same_seed_gives_the_same_hand(machine):
    def job(seed):
        at = BareNozzle(Plate(machine, 4))
        hand = Operator(at, seed)
        told = []
        for point in machine.point[:4]:
            at.park(point, 0.2)
            told += [hand.leaf_reading(LEAVES), hand.feel(0.1), hand.turn(point.name, 0.25)]
        return told

    assert job(9) == job(9)
    assert job(9) != job(10)


def test_turns_are_about_what_was_meant_off_by_five_degrees(held):
    hand = Operator(held, 1)
    off = [hand.turn("front left", turns) - turns for turns in [0.25, -0.25] * 200]
    assert mean(off) == pytest.approx(0.0, abs=0.003)
    assert stdev(off) == pytest.approx(5.0 / 360.0, rel=0.15)
    assert held.told == 400


def test_how_well_it_turns_can_be_set_and_no_turn_is_no_turn(held):
    assert Operator(held, 1, STEADY).turn("front left", 0.25) == 0.25
    assert Operator(held, 1).turn("front right", 0.0) == 0.0


def test_the_turn_returned_is_what_moved_the_plate(held):
    made = Operator(held, 1).turn("front left", 0.5)
    assert held.plate.turns["front left"] == made != 0.5


def test_an_unknown_adjuster_is_refused(held):
    with pytest.raises(KeyError):
        Operator(held, 1).turn("roof", 0.5)


def test_shims_are_put_in_as_whole_sheets(make_machine):
    from profiles.machine import Adjuster

    shim = Adjuster(
        name="shim", at_mm=(30, 30), kind="shim", mm_per_turn=0.05, clockwise="raises", travel_turns=(0, 10)
    )
    held = Held(Plate(make_machine(adjuster=(shim,)), 1))
    assert Operator(held, 1).turn("shim", 2.0) == 2.0


def test_the_endstop_screw_is_turned_by_its_name(make_machine, endstop):
    held = Held(Plate(make_machine(height=endstop), 1))
    assert Operator(held, 1).turn("endstop screw", 0.5) == pytest.approx(0.5, abs=0.06)


def test_the_machine_s_menu_counts_in_hundredths(held):
    assert Operator(held, 1).raise_nozzle(0.123) == 0.12
    assert held.plate.offset_mm == 0.12


def test_slips_happen_as_often_as_asked_and_are_listed(held):
    held.gap = 0.17
    hand = Operator(held, 1, Hand(slip_reading=0.3))
    wrong = sum(hand.leaf_reading(LEAVES) != (0.15, 0.20) for _ in range(500))
    assert wrong == len(hand.slips)
    assert 100 < wrong < 200
    assert hand.slips[0] == ("reading", "8 leaves")


@pytest.mark.parametrize(
    ("hand", "slip", "moved"),
    [(Hand(slip_other_way=1.0), "turn-other-way", -0.25), (Hand(slip_forgotten=1.0), "turn-forgotten", 0.0)],
)
def test_turns_can_slip_the_other_way_or_be_forgotten(held, hand, slip, moved):
    operator = Operator(held, 1, hand)
    assert operator.turn("front left", 0.25) == pytest.approx(moved, abs=0.06)
    assert operator.slips == [(slip, "front left")]


def test_a_slipped_feel_is_told_as_another(held):
    held.gap = 0.2
    assert Operator(held, 1, Hand(slip_reading=1.0)).feel(0.1) == "tight"
    held.gap = 0.05
    assert Operator(held, 1, Hand(slip_reading=1.0)).feel(0.1) == "free"


def test_a_plate_turned_into_a_low_nozzle_is_recorded_as_a_crash(machine):
    printer = SimulatedPrinter(machine, 1)
    printer.firmware.receive(b"G28\nG0 Z5\nG0 X30 Y30\nG0 Z0.2\n", 0.0)
    printer.let_pass(60.0)
    Operator(printer, 1, STEADY).turn("front left", -0.2)
    assert printer.record.crashes == []
    Operator(printer, 1, STEADY).turn("front left", -1.0)
    assert [crash.what for crash in printer.record.crashes] == ["plate turned into the nozzle"]
    assert printer.record.crashes[0].depth_mm == pytest.approx(-printer.gap_mm())


def test_it_feels_at_the_nozzle_s_true_place_now(machine):
    printer = SimulatedPrinter(machine, 1)
    hand = Operator(printer, 1)
    assert hand.leaf_reading(LEAVES) == (0.50, None)
    printer.firmware.receive(b"G28\nG0 Z5\nG0 X30 Y30\nG1 Z0.2 F60\n", 0.0)
    printer.let_pass(60.0)
    assert hand.leaf_reading(LEAVES) == (0.25, 0.30)
