from __future__ import annotations

from collections.abc import Callable

import msgspec
import pytest

from profiles.check_supports import faults, outside_plate_mm, plate_words
from profiles.load import load, parse
from profiles.machine import Bed

FOUR, SHIMS = "four-corner-220", "endstop-screw-120"
FIRST = 'adjuster 1 ("front left").'
Refuse = Callable[[str, str, str], str]


@pytest.mark.parametrize(
    ("old", "new", "sentence"),
    [
        (
            'name = "front left"',
            'name = ""',
            'adjuster 1.name is "", but must be 1 to 80 characters',
        ),
        (
            'name = "front right"',
            'name = "front left"',
            'adjuster 2 ("front left").name is "front left", but must be another name: each adjuster has',
        ),
        ("at_mm = [190, 30]", "at_mm = [30, 30]", "elsewhere: adjuster 'front left' stands there."),
        (
            "at_mm = [30, 30]",
            "at_mm = [-60, 30]",
            FIRST + "at_mm is [-60, 30], but must be no more than 50 mm beside",
        ),
        (
            'name = "front left"',
            'name = "endstop screw"',
            "another name: this one is kept for [height.screw].",
        ),
        ('thread = "M3"', 'thread = "M3.7"', FIRST + 'thread is "M3.7", but must be one of M2, M2.5, M3'),
        ('thread = "M3"', "", FIRST + 'thread is missing; it must be a designation such as "M3"'),
        (
            'thread = "M3"',
            'thread = "M3"\nmm_per_turn = 0.5',
            "mm_per_turn is 0.5, but must be left out: thread tells",
        ),
        ('thread = "M3"', "mm_per_turn = 0", FIRST + "mm_per_turn is 0, but must be 0.005 to 20 mm."),
        ("step_turns = 0.0625", "step_turns = 0", FIRST + "step_turns is 0, but must be more than 0"),
        (
            "step_turns = 0.0625",
            "step_turns = 0.25",
            FIRST + "step_turns is 0.25, but must be at most 0.2, as half",
        ),
        (
            "travel_turns = [-4, 4]",
            "travel_turns = [1, 4]",
            FIRST + "travel_turns is [1, 4], but must be the turns left",
        ),
        ("travel_turns = [-4, 4]", "travel_turns = [0, 0]", FIRST + "travel_turns is [0, 0]"),
        ('by = "bed adjusters"', 'by = "endstop screw"', "height.screw is missing; it must be given"),
        ("[height]", '[height]\nscrew = {thread = "M3"}', "height.screw is a table, but must be left out"),
    ],
)
def test_a_support_that_cannot_be_is_told(refused: Refuse, old: str, new: str, sentence: str) -> None:
    assert sentence in refused(FOUR, old, new)


def in_points(refused: Refuse, old: str, new: str, text: str) -> str:
    head, points = text[: text.index("[[point]]")], text[text.index("[[point]]") :]
    assert old in points
    return refused(FOUR, head + points, head + points.replace(old, new, 1))


@pytest.mark.parametrize(
    ("old", "new", "sentence"),
    [
        (
            "at_mm = [110, 110]",
            "at_mm = [221, 110]",
            "at_mm[1] is 221, but must be 0 to 220 mm (the axis limits).",
        ),
        (
            "at_mm = [110, 110]",
            "at_mm = [110, -0.5]",
            "at_mm[2] is -0.5, but must be 0 to 220 mm (the axis limits).",
        ),
        ("at_mm = [110, 110]", "at_mm = [30, 190]", "elsewhere: point 'back left' stands there."),
        ('"centre"', '"back left"', "another name: each point has its own."),
        ('"centre"', '"a\\u001bb"', '"a\\x1bb", but must be 1 to 80 characters that can be shown'),
    ],
)
def test_a_point_where_the_nozzle_cannot_measure_is_told(
    refused: Refuse, text: str, old: str, new: str, sentence: str
) -> None:
    assert sentence in in_points(refused, old, new, text)


def test_a_point_beside_the_plate_is_told(refused: Refuse) -> None:
    said = refused(FOUR, "size_mm = [220, 220]", "size_mm = [220, 180]")
    assert (
        'point 3 ("back right").at_mm is [190, 190], but must be over the plate, which is X0 to X220, Y0'
        in said
    )


def test_a_machine_without_points_is_told(refused: Refuse, text: str) -> None:
    points = text[text.index("[[point]]") : text.index("[height]")]
    assert "point is missing; it must be given at least once" in refused(FOUR, points, "")


def test_the_bed_cannot_set_the_height_where_nothing_moves(refused: Refuse, text: str) -> None:
    said = refused(FOUR, text, text.replace('kind = "screw"', 'kind = "fixed"'))
    assert (
        'height.by is "bed adjusters", but must be another way, as no adjuster of this machine can move.'
        in said
    )


def test_a_shim_has_a_thickness_and_no_thread(refused: Refuse) -> None:
    assert "a shim has mm_per_turn" in refused(SHIMS, "mm_per_turn = 0.05", 'thread = "M3"')
    assert "must be at most 1, as half a step may not pass" in refused(
        SHIMS, 'mm_per_turn = 0.05\nclockwise = "raises"\nstep_turns = 1', "mm_per_turn = 0.1\nstep_turns = 2"
    )


def test_an_endstop_screw_is_checked_like_any_other(refused: Refuse) -> None:
    said = refused(SHIMS, 'thread = "M3"', 'thread = "M7"')
    assert 'height.screw.thread is "M7", but must be one of' in said


def test_a_fine_thread_and_an_unknown_direction_are_allowed(text: str) -> None:
    fine = text.replace('thread = "M3"', 'thread = "M3x0.35"').replace(
        'clockwise = "lowers"', 'clockwise = "unknown"'
    )
    assert parse(fine, "mine.toml").adjuster[0].thread == "M3x0.35"


def test_the_plate_is_found_where_its_origin_says() -> None:
    square = Bed(size_mm=(100, 50), origin_mm=(10, -5))
    assert outside_plate_mm(square, (10, -5)) == 0
    assert outside_plate_mm(square, (115, 0)) == 5
    assert outside_plate_mm(square, (60, 20)) < 0
    assert plate_words(square) == "X10 to X110, Y-5 to Y45"
    disc = Bed(shape="round", diameter_mm=100, origin_mm=(0, 0))
    assert outside_plate_mm(disc, (30, 40)) == 0
    assert outside_plate_mm(disc, (36, 48)) == 10
    assert plate_words(disc) == "100 mm round X0 Y0"


def test_of_a_point_that_only_proves_another_word_is_refused(refused: Refuse) -> None:
    told = refused(FOUR, 'only = "proof"', 'only = "recheck"')
    assert 'point 6 ("front middle").only' in told


@pytest.mark.parametrize(
    ("changes", "said"),
    [
        ({}, "must be left out: the points are the grid's"),
        ({"compensation": None}, "must be left out: no point is left to level by"),
    ],
)
def test_some_points_are_read_every_time(changes: dict[str, None], said: str) -> None:
    machine = msgspec.structs.replace(load("stored-offset-140"), **changes)
    only = msgspec.structs.replace(machine.point[0], only="proof")
    told = [fault.said for fault in faults(msgspec.structs.replace(machine, point=(only,)))]
    assert any(said in sentence for sentence in told)
