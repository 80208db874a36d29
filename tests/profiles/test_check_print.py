from __future__ import annotations

from collections.abc import Callable

import pytest

from profiles.load import load, parse, shipped

FOUR = "four-corner-220"
Refuse = Callable[[str, str, str], str]


@pytest.mark.parametrize(
    ("old", "new", "sentence"),
    [
        (
            "line_width_mm = 0.44",
            "line_width_mm = 0.9",
            "print.line_width_mm is 0.9, but must be 0.32 to 0.8 mm",
        ),
        ("nozzle_mm = 0.4", "nozzle_mm = 0.2\n#", "print.nozzle_mm is 0.2, but must be a bore to which"),
        ("\nnozzle_c = 205", "\nnozzle_c = 270", "print.nozzle_c is 270, but must be 150 to 260 degrees C"),
        ("\nnozzle_c = 205", "\nnozzle_c = 100", "print.nozzle_c is 100, but must be 150 to 260 degrees C"),
        ("\nnozzle_c = 205", "\n", "print.nozzle_c is missing; it must be the nozzle's temperature"),
        ("bed_c = 60\nfeed", "bed_c = 111\nfeed", "print.bed_c is 111, but must be 0 to 110 degrees C"),
        (
            "x_mm = [95, 125]",
            "x_mm = [125, 95]",
            "print.keep_out 1.x_mm is [125, 95], but must be two limits",
        ),
        ("filament_mm = 1.75", "filament_mm = 17.5", "print.filament_mm is 17.5, but must be 1 to 4 mm"),
        ("pad_mm = 16", "pad_mm = 4", "print.pad_mm is 4, but must be 8 to 40 mm"),
    ],
)
def test_what_cannot_be_laid_down_so_is_refused(refused: Refuse, old: str, new: str, sentence: str) -> None:
    assert sentence in refused(FOUR, old, new)


@pytest.mark.parametrize("name", sorted(shipped()))
def test_every_shipped_machine_can_print_its_check(name: str) -> None:
    assert load(name).print is not None


def test_a_profile_without_the_section_is_as_good_as_before(text: str) -> None:
    head, _, rest = text.partition("[print]")
    assert parse(head + "[height]" + rest.partition("[height]")[2], "mine.toml").print is None
