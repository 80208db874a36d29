"""What is drawn for a bed as found."""

from __future__ import annotations

import numpy as np
import pytest

from drivers.simulated.found import RIGID_N_MM, SOFT_N_MM, draw
from drivers.simulated.sheet import term
from profiles.machine import Adjuster, Bed, Height

SEEDS = range(1, 41)


def drawn(machine, seed, start="snugged"):
    return draw(machine, start, np.random.default_rng(seed))


def test_no_error_is_drawn_that_the_screws_could_not_mend(make_machine):
    short = tuple(
        Adjuster(name=a.name, at_mm=a.at_mm, thread="M3", clockwise="lowers", travel_turns=(-1.0, 0.5))
        for a in make_machine().adjuster
    )
    machine = make_machine(adjuster=short)
    for start in ("snugged", "far", "high"):
        for seed in SEEDS:
            errors = drawn(machine, seed, start).gap_error_mm
            assert all(-0.25 < error < 0.5 for error in errors)


def test_only_screws_float_and_only_on_springs_of_one_to_ten_newtons(make_machine):
    mixed = (
        Adjuster(name="screw", at_mm=(30, 30), thread="M3", clockwise="raises"),
        Adjuster(name="motor", at_mm=(190, 30), kind="motor", mm_per_turn=4.0, clockwise="raises"),
        Adjuster(name="fixed", at_mm=(110, 190), kind="fixed"),
    )
    machine = make_machine(adjuster=mixed, bed=Bed(size_mm=(220, 220), mount="floating"))
    for seed in SEEDS:
        soft, *rigid = drawn(machine, seed).stiffness_n_mm
        assert 0.95 * SOFT_N_MM[0] <= soft <= 1.05 * SOFT_N_MM[1]
        assert rigid == [RIGID_N_MM, RIGID_N_MM]


def test_where_height_is_set_apart_its_error_is_the_nozzle_s_and_not_the_supports(make_machine):
    machine = make_machine(height=Height(by="operator"))
    found = [drawn(machine, seed) for seed in SEEDS]
    assert all(0.15 <= f.height_error_mm <= 0.45 for f in found)
    assert np.mean([f.gap_error_mm for f in found]) == pytest.approx(0.0, abs=0.05)
    assert all(drawn(make_machine(), seed).height_error_mm == 0.0 for seed in SEEDS)


def test_an_ordinary_plate_is_flat_within_a_tenth_and_a_bowed_one_is_not(machine):
    for seed in SEEDS:
        plain, bowed = drawn(machine, seed).shape, drawn(machine, seed, "bowed").shape
        assert abs(plain[term(2, 0)]) + abs(plain[term(0, 2)]) <= 0.04
        assert min(abs(bowed[term(2, 0)]), abs(bowed[term(0, 2)])) >= 0.12


def test_a_tilted_plate_is_tilted_by_two_millimetres_as_far_as_its_screws_can_mend(machine):
    """Some way, and only where screws can turn it level again; the height in the middle stays what it is."""
    for seed in SEEDS:
        errors = drawn(machine, seed, "tilted").gap_error_mm
        assert 0.9 <= max(errors) - min(errors) <= 2.15
        assert drawn(machine, seed).gap_error_mm == drawn(machine, seed, "snugged").gap_error_mm
