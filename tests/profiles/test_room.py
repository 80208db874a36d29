from __future__ import annotations

import msgspec
import pytest

from profiles.load import load
from profiles.machine import Bed
from profiles.room import is_free, is_free_square

FOUR = load("four-corner-220")


@pytest.mark.parametrize(
    ("start", "end", "free"),
    [
        ((5.0, 5.0), (80.0, 5.0), True),
        ((4.9, 5.0), (80.0, 5.0), False),
        ((80.0, 8.0), (140.0, 8.0), False),  # through the clip at the front
        ((80.0, 12.0), (140.0, 12.0), True),  # along its back side
        ((80.0, 20.0), (110.0, 5.0), False),
        ((110.0, 20.0), (110.0, 200.0), True),
        ((215.1, 100.0), (100.0, 100.0), False),
    ],
)
def test_a_line_is_free_inside_the_border_and_off_clips(start, end, free):
    assert is_free(FOUR, start, end) is free
    assert is_free(FOUR, end, start) is free


def test_what_reaches_beside_the_line_counts():
    assert is_free(FOUR, (60.0, 12.5), (140.0, 12.5), 0.4)
    assert not is_free(FOUR, (60.0, 12.5), (140.0, 12.5), 0.6)
    assert not is_free(FOUR, (5.2, 50.0), (5.2, 60.0), 0.3)


def test_a_round_plate_has_a_round_border():
    disc = msgspec.structs.replace(FOUR, bed=Bed(shape="round", diameter_mm=200.0, origin_mm=(110.0, 110.0)))
    assert is_free(disc, (110.0, 110.0), (204.0, 110.0))
    assert not is_free(disc, (110.0, 110.0), (206.0, 110.0))
    assert not is_free(disc, (40.0, 40.0), (110.0, 110.0))  # inside the square about it, not on it


def test_without_the_section_nothing_may_be_laid_down():
    assert not is_free(msgspec.structs.replace(FOUR, print=None), (100.0, 100.0), (110.0, 100.0))


def test_a_square_is_free_only_where_all_of_it_is():
    assert is_free_square(FOUR, (110.0, 30.0), 8.0)
    assert not is_free_square(FOUR, (110.0, 19.0), 8.0)  # its front side lies on the clip
    assert not is_free_square(FOUR, (110.0, 6.0), 80.0)  # the clip lies in the midst of it
    assert not is_free_square(FOUR, (12.0, 30.0), 8.0)
    assert not is_free_square(msgspec.structs.replace(FOUR, print=None), (110.0, 30.0), 8.0)
