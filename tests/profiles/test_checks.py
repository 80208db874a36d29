from __future__ import annotations

from collections.abc import Callable

import pytest

from profiles.load import parse

FOUR = "four-corner-220"
ROUND_BED = 'shape = "round"\ndiameter_mm = 400\norigin_mm = [110, 110]\n#'

Refuse = Callable[[str, str, str], str]


@pytest.mark.parametrize(
    ("old", "new", "sentence"),
    [
        (
            'name = "Four sprung corners, 220 mm square"',
            'name = "  "',
            'name is "  ", but must be 1 to 80 characters',
        ),
        ("size_mm = [220, 220]", "size_mm = [0, 220]", "bed.size_mm[1] is 0, but must be 20 to 2000 mm."),
        (
            "size_mm = [220, 220]",
            "size_mm = [22, 220000]",
            "bed.size_mm[2] is 220000, but must be 20 to 2000 mm.",
        ),
        ("size_mm = [220, 220]", "", "bed.size_mm is missing; it must be given for a rectangular bed."),
        (
            "size_mm = [220, 220]",
            "size_mm = [220, 220]\ndiameter_mm = 2",
            "bed.diameter_mm is 2, but must be left out",
        ),
        (
            'shape = "rectangle"',
            'shape = "round"',
            "bed.diameter_mm is missing; it must be given for a round bed.",
        ),
        ("thickness_mm = 3.0", "thickness_mm = 0", "bed.thickness_mm is 0, but must be 0.1 to 50 mm."),
        ("baud = 115200", "baud = 9", "motion.baud is 9, but must be 1200 to 4000000 baud."),
        (
            "x_mm = [0, 220]",
            "x_mm = [220, 0]",
            "motion.x_mm is [220, 0], but must be two limits, the lower first.",
        ),
        (
            "travel_feed_mm_min = 6000",
            "travel_feed_mm_min = -1",
            "travel_feed_mm_min is -1, but must be 60 to 60000",
        ),
        (
            "lift_feed_mm_min = 600",
            "lift_feed_mm_min = 0",
            "motion.lift_feed_mm_min is 0, but must be 10 to 6000",
        ),
        ("height_mm = 0.20 ", "height_mm = 20.0 ", "first_layer.height_mm is 20, but must be 0.02 to 2 mm."),
        (
            "gap_mm = 0.15",
            "gap_mm = 0.21",
            "first_layer.gap_mm is 0.21, but must be 0.01 mm to the layer height 0.2 mm",
        ),
        ("gap_mm = 0.15", "gap_mm = 0", "first_layer.gap_mm is 0, but must be 0.01 mm"),
        (
            "tolerance_mm = 0.05",
            "tolerance_mm = 0.15",
            "tolerance_mm is 0.15, but must be 0.005 mm to less than the gap",
        ),
        (
            "z_mm = [0.0, 240]",
            "z_mm = [0.3, 240]",
            "first_layer.height_mm is 0.2, but must be 0.3 (the floor",
        ),
        (
            "# measuring_height_mm = 0.20",
            "measuring_height_mm = -0.1",
            "first_layer.measuring_height_mm is -0.1, but must be 0 (the floor, motion.z_mm[1]) to 10 mm.",
        ),
        (
            "clearance_mm = 5.0",
            "clearance_mm = 0.2",
            "motion.clearance_mm is 0.2, but must be 3.2 (3 mm over the measuring height, as a plate may be"
            " tilted) to 240 mm (the top",
        ),
        ("clearance_mm = 5.0", "clearance_mm = 241", "motion.clearance_mm is 241, but must be 3.2"),
        ("bed_c = 60", "bed_c = 111", "heat.bed_c is 111, but must be 0 to 110 degrees C (heat.max_bed_c)."),
        ("bed_c = 60", "bed_c = -1", "heat.bed_c is -1"),
        ("nozzle_c = 0", "nozzle_c = 261", "heat.nozzle_c is 261, but must be 0 to 260 degrees C"),
        ("max_nozzle_c = 260", "max_nozzle_c = 2600", "heat.max_nozzle_c is 2600, but must be 0 to 500"),
        ("soak_min = 5", "soak_min = 300", "heat.soak_min is 300, but must be 0 to 240 minutes."),
        ("[0.05, 0.10, 0.15,", "[0.05, 0.15, 0.10,", "must be ascending, each leaf once."),
        ("[0.05, 0.10, 0.15,", "[0.05, 0.05, 0.15,", "must be ascending, each leaf once."),
        ("[0.05, 0.10, 0.15,", "[0.0, 0.10, 0.15,", "gauge.leaves_mm[1] is 0, but must be 0.01 to 5 mm."),
        ("card_mm = 0.10", "card_mm = 10", "gauge.card_mm is 10, but must be 0.02 to 2 mm."),
    ],
)
def test_a_slip_of_size_sign_or_order_is_told(refused: Refuse, old: str, new: str, sentence: str) -> None:
    assert sentence in refused(FOUR, old, new)


def test_a_machine_that_cannot_touch_needs_a_gauge(text: str, refused: Refuse) -> None:
    start, end = text.index("leaves_mm"), text.index("[[adjuster]]")
    said = refused(FOUR, text[start:end], "")
    assert "gauge is missing; it must be leaves_mm or card_mm" in said


def test_leaves_alone_must_lie_on_both_sides_of_the_gap(text: str, refused: Refuse) -> None:
    start, end = text.index("leaves_mm"), text.index("[[adjuster]]")
    said = refused(FOUR, text[start:end], "leaves_mm = [0.2, 0.3]\n")
    assert "must be leaves on both sides of the gap 0.15 mm." in said


def test_a_round_bed_is_described_by_its_diameter(text: str) -> None:
    round_bed = text.replace('shape = "rectangle"', ROUND_BED).replace("size_mm = [220, 220]", "#")
    machine = parse(round_bed.replace("origin_mm = [0, 0]", "#"), "mine.toml")
    assert machine.bed.diameter_mm == 400
