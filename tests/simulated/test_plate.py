"""The plate as found, turned, homed and warmed."""

from __future__ import annotations

import subprocess
import sys
from statistics import mean, stdev

import pytest

from drivers.simulated.plate import ENDSTOP, HOME_SD_MM, ROOM_C, Plate
from profiles.machine import Adjuster, Bed, Heat, Height, Motion, Point

SEEDS = range(1, 31)


def gaps_of(plate):
    return plate.true_gaps(plate.machine, plate.machine.measuring_height_mm)


def test_the_same_seed_finds_the_same_bed_and_another_seed_another(machine):
    assert gaps_of(Plate(machine, 5)) == gaps_of(Plate(machine, 5))
    assert gaps_of(Plate(machine, 5)) != gaps_of(Plate(machine, 6))


def test_the_same_seed_homes_alike_again(machine):
    one, other = Plate(machine, 5), Plate(machine, 5)
    assert [one.home() for _ in range(5)] == [other.home() for _ in range(5)]


def test_a_snugged_bed_is_found_low_and_tilted_by_tenths_but_within_reach(machine):
    gaps = [gap for seed in SEEDS for gap in gaps_of(Plate(machine, seed)).values()]
    spreads = [max(g) - min(g) for g in (gaps_of(Plate(machine, s)).values() for s in SEEDS)]
    assert min(gaps) > 0.0
    assert max(gaps) < 1.0
    assert mean(gaps) > machine.first_layer.gap_mm + 0.1
    assert 0.1 < mean(spreads) < 0.5


@pytest.mark.parametrize(
    ("start", "low", "high"), [("far", 1.2, 3.0), ("high", -1.2, -0.1), ("level", 0.08, 0.22)]
)
def test_other_starts_are_out_of_the_gauge_s_range_on_the_side_they_say_or_level(machine, start, low, high):
    gaps = [gap for seed in SEEDS for gap in gaps_of(Plate(machine, seed, start)).values()]
    assert low < min(gaps)
    assert max(gaps) < high


def test_a_bowed_bed_cannot_be_levelled_by_its_corners(machine):
    for seed in SEEDS:
        plate = Plate(machine, seed, "bowed")
        gaps = gaps_of(plate)
        corners = [gap for name, gap in gaps.items() if name != "centre"]
        assert abs(mean(corners) - gaps["centre"]) > 2 * machine.first_layer.tolerance_mm


def test_an_ordinary_bed_can_be_brought_within_tolerance_by_its_own_screws(machine):
    """By repeated exact correction of each corner with the exact truth, which no solver has."""
    for seed in SEEDS:
        plate = Plate(machine, seed)
        for _ in range(6):
            gaps = gaps_of(plate)
            corners = [gap for name, gap in gaps.items() if name != "centre"]
            middle = (mean(corners) - gaps["centre"]) / 2.0
            for adjuster in machine.adjuster:
                off = gaps[adjuster.name] - machine.first_layer.gap_mm - middle
                plate.turn(adjuster.name, -off / 0.5)
        assert plate.true_worst_deviation_mm < machine.first_layer.tolerance_mm


@pytest.mark.parametrize(("clockwise", "sign"), [("raises", -1), ("lowers", 1)])
def test_a_clockwise_turn_does_what_the_profile_says_at_a_pitch_up_to_a_tenth_off(
    make_machine, clockwise, sign
):
    machine = make_machine(
        adjuster=tuple(
            Adjuster(name=point.name, at_mm=point.at_mm, thread="M3", clockwise=clockwise)
            for point in make_machine().point[:4]
        )
    )
    pitches = []
    for seed in SEEDS:
        plate = Plate(machine, seed)
        before = gaps_of(plate)
        assert plate.turn("front left", 1.0) == 1.0
        pitches.append((gaps_of(plate)["front left"] - before["front left"]) / sign)
    assert min(pitches) > 0.44
    assert max(pitches) < 0.56
    assert max(pitches) - min(pitches) > 0.05


def test_an_unknown_direction_is_drawn_from_the_seed(make_machine):
    adjusters = tuple(Adjuster(name=p.name, at_mm=p.at_mm, thread="M3") for p in make_machine().point[:4])
    machine = make_machine(adjuster=adjusters)
    signs = set()
    for seed in SEEDS:
        plate = Plate(machine, seed)
        before = gaps_of(plate)["front left"]
        plate.turn("front left", 0.5)
        signs.add(gaps_of(plate)["front left"] > before)
    assert signs == {True, False}


def test_a_held_plate_takes_nearly_all_of_a_twist_and_a_floating_one_only_part(make_machine):
    def share(mount):
        bed = Bed(size_mm=(220.0, 220.0), material="aluminium", thickness_mm=3.0, mount=mount)
        plate = Plate(make_machine(bed=bed), 3)
        before = gaps_of(plate)
        for name, turns in zip(plate.turns, (0.4, -0.4, 0.4, -0.4), strict=True):
            plate.turn(name, turns)
        moved = {name: gap - before[name] for name, gap in gaps_of(plate).items()}
        return sum(abs(moved[name]) for name in plate.turns) / (4 * 0.4 * 0.5)

    assert share("held") > 0.9
    assert 0.02 < share("floating") < 0.5


def test_a_bed_on_unknown_springs_is_held_or_floating_by_the_seed(make_machine):
    bed = Bed(size_mm=(220.0, 220.0), material="aluminium", thickness_mm=3.0)
    shares = set()
    for seed in SEEDS:
        plate = Plate(make_machine(bed=bed), seed)
        before = gaps_of(plate)["front left"]
        plate.turn("front left", 1.0)
        shares.add(gaps_of(plate)["front left"] - before > 0.44)
    assert shares == {True, False}


def test_a_screw_goes_no_further_than_its_travel(machine):
    plate = Plate(machine, 1)
    assert plate.turn("front left", 3.0) == 3.0
    assert plate.turn("front left", 3.0) == pytest.approx(1.0)
    assert plate.turn("front left", 1.0) == 0.0
    assert plate.turns["front left"] == 4.0


def test_turning_there_and_back_leaves_the_plate_as_it_was(machine):
    plate = Plate(machine, 1)
    before = gaps_of(plate)
    plate.turn("back left", 0.7)
    plate.turn("back left", -0.7)
    assert gaps_of(plate) == pytest.approx(before, abs=1e-12)


def test_a_name_that_no_adjuster_has_is_refused(machine):
    plate = Plate(machine, 1)
    with pytest.raises(KeyError):
        plate.turn("roof", 1.0)
    with pytest.raises(KeyError):
        plate.turn(ENDSTOP, 1.0)


def test_a_fixed_support_does_not_move_and_stands_about_right(make_machine):
    fixed = tuple(
        Adjuster(name=a.name, at_mm=a.at_mm, kind="fixed")
        if a.name == "back left"
        else Adjuster(name=a.name, at_mm=a.at_mm, thread="M3", clockwise="raises")
        for a in make_machine().adjuster
    )
    for seed in SEEDS:
        plate = Plate(make_machine(adjuster=fixed), seed)
        assert plate.turn("back left", 1.0) == 0.0
        assert gaps_of(plate)["back left"] == pytest.approx(0.15, abs=0.04)


def test_shims_can_only_raise_so_the_bed_is_found_low_where_they_go(make_machine):
    shims = tuple(
        Adjuster(
            name=a.name,
            at_mm=a.at_mm,
            kind="shim",
            mm_per_turn=0.05,
            clockwise="raises",
            step_turns=1,
            travel_turns=(0, 10),
        )
        for a in make_machine().adjuster
    )
    machine = make_machine(adjuster=shims, height=Height(by="operator"))
    for seed in SEEDS:
        corners = [gaps_of(Plate(machine, seed))[shim.name] for shim in shims]
        assert max(corners) - min(corners) < 0.4


def test_an_endstop_screw_counts_from_the_next_homing_on(make_machine, endstop):
    plate = Plate(make_machine(height=endstop), 1)
    before, truth = plate.gap_at(30.0, 30.0, 0.2), gaps_of(plate)["front left"]
    plate.turn(ENDSTOP, 0.5)
    assert plate.gap_at(30.0, 30.0, 0.2) == before
    assert gaps_of(plate)["front left"] == pytest.approx(truth + 0.25, abs=0.03)
    shift = plate.home_shift_mm
    plate.home()
    raised = plate.gap_at(30.0, 30.0, 0.2) - before - (plate.home_shift_mm - shift)
    assert raised == pytest.approx(0.25, abs=0.03)


def test_a_machine_whose_height_is_set_apart_is_found_too_high_as_a_whole(make_machine, endstop):
    for seed in SEEDS:
        gaps = gaps_of(Plate(make_machine(height=endstop), seed))
        assert mean(gaps.values()) == pytest.approx(0.45, abs=0.4)


def test_homing_scatters_by_about_a_hundredth(machine):
    plate = Plate(machine, 1)
    shifts = [plate.home() for _ in range(400)]
    assert mean(shifts) == pytest.approx(0.0, abs=0.002)
    assert stdev(shifts) == pytest.approx(HOME_SD_MM, rel=0.15)


def test_the_gap_under_the_nozzle_is_the_truth_but_for_the_homing_shift(machine):
    plate = Plate(machine, 1)
    plate.bed_c = machine.heat.bed_c
    for point in machine.point:
        here = plate.gap_at(*point.at_mm, 0.2)
        assert here - plate.home_shift_mm == pytest.approx(gaps_of(plate)[point.name], abs=1e-12)


def test_the_gap_grows_as_the_nozzle_rises_and_is_endless_beside_the_plate(machine):
    plate = Plate(machine, 1)
    assert plate.gap_at(50.0, 60.0, 1.2) - plate.gap_at(50.0, 60.0, 0.2) == pytest.approx(1.0)
    assert plate.gap_at(-1.0, 60.0, 0.2) == float("inf")


def test_truth_is_told_at_the_profile_s_temperatures_whatever_they_are_now(make_machine):
    machine = make_machine(heat=Heat(bed_c=80.0, nozzle_c=200.0))
    plate = Plate(machine, 1)
    cold = gaps_of(plate)
    plate.bed_c, plate.nozzle_c = 80.0, 200.0
    assert gaps_of(plate) == cold


def test_a_hot_nozzle_is_longer_and_a_warm_plate_higher(machine):
    plate = Plate(machine, 1)
    cold = plate.gap_at(110.0, 110.0, 1.0)
    plate.nozzle_c = ROOM_C + 200.0
    hot = plate.gap_at(110.0, 110.0, 1.0)
    assert cold - hot == pytest.approx(0.07, abs=0.001)
    plate.bed_c = 100.0
    assert abs(plate.gap_at(110.0, 110.0, 1.0) - hot) > 0.001


@pytest.mark.parametrize("count", range(9))
def test_a_plate_can_stand_on_any_number_of_supports(make_machine, count):
    places = [(30, 30), (190, 190), (190, 30), (30, 190), (110, 20), (110, 200), (20, 110), (200, 110)]
    adjusters = tuple(
        Adjuster(name=f"screw {nth}", at_mm=at, thread="M4", clockwise="raises")
        for nth, at in enumerate(places[:count])
    )
    height = Height(by="bed adjusters" if count else "operator")
    plate = Plate(make_machine(adjuster=adjusters, height=height), 1)
    assert all(-0.2 < gap < 1.2 for gap in gaps_of(plate).values())
    before = gaps_of(plate)
    for adjuster in adjusters:
        plate.turn(adjuster.name, -0.2)
    moved = [gaps_of(plate)[name] - before[name] for name in before]
    assert max(moved, default=0.0) > 0.05 or count == 0


def test_a_round_bed_on_three_screws_works_the_same(make_machine):
    rim = {"front": (0.0, -85.0), "right": (73.6, 42.5), "left": (-73.6, 42.5)}
    machine = make_machine(
        bed=Bed(shape="round", diameter_mm=200.0, thickness_mm=4.0, material="glass", mount="held"),
        motion=Motion(x_mm=(-100.0, 100.0), y_mm=(-100.0, 100.0), z_mm=(0.0, 200.0)),
        adjuster=tuple(Adjuster(name=n, at_mm=at, thread="M3", clockwise="raises") for n, at in rim.items()),
        point=tuple(Point(name=n, at_mm=at) for n, at in {**rim, "centre": (0.0, 0.0)}.items()),
    )
    plate = Plate(machine, 2)
    before = gaps_of(plate)
    for name in rim:
        plate.turn(name, 0.2)
    moved = [before[name] - gap for name, gap in gaps_of(plate).items()]
    assert moved == pytest.approx([0.1] * 4, abs=0.03)


def test_the_physics_loads_nothing_of_the_wizard():
    code = (
        "import sys, drivers.simulated.serve, drivers.simulated.operator;"
        "print([name for name in sys.modules if name.startswith(('wizard', 'textual', 'serial'))])"
    )
    told = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True).stdout
    assert told.strip() == "[]"
