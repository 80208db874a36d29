"""What brackets tell, alone and together."""

from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from wizard.rounds import Reading
from wizard.solver.brackets import seen, together, truncated


@pytest.mark.parametrize(
    "reading",
    [
        Reading(),
        Reading(0.3, 0.2),
        Reading(math.nan, 0.2),
        Reading(0.1, math.nan),
        Reading(math.inf, math.inf),
        Reading(-math.inf, math.inf),
        Reading(500.0, 600.0),
        Reading(-math.inf, -500.0),
    ],
)
def test_a_reading_that_tells_nothing_or_cannot_be_is_not_used(reading: Reading):
    assert seen(reading) is None


def test_an_open_side_is_open():
    more = seen(Reading(1.0, None, "leaf"))
    assert more is not None
    assert not more.closed
    assert (more.low, more.high) == (1.0, math.inf)


def test_two_brackets_that_overlap_leave_what_they_have_in_common():
    first, second = seen(Reading(0.10, 0.15, "leaf")), seen(Reading(0.13, 0.18, "leaf"))
    assert first is not None
    assert second is not None
    both = together(first, second)
    assert (both.low, both.high, both.clash) == (0.13, 0.15, False)
    assert both.hand == pytest.approx(first.hand / math.sqrt(2.0))


def test_the_same_leaves_twice_tell_hardly_more_than_once():
    one = seen(Reading(0.10, 0.15, "leaf"))
    assert one is not None
    assert together(one, one).u > 0.9 * one.u


def test_brackets_that_miss_each_other_widely_clash():
    first, second = seen(Reading(0.10, 0.12, "feel")), seen(Reading(0.25, 0.27, "feel"))
    assert first is not None
    assert second is not None
    both = together(first, second)
    assert both.clash
    assert both.low <= both.high


@given(st.floats(-1e6, 1e6), st.floats(1e-6, 1e4), st.floats(-100.0, 100.0))
def test_a_cut_off_distribution_always_has_finite_mean_inside_and_no_more_spread(mean, u, low):
    m, s = truncated(mean, u, low, math.inf)
    assert math.isfinite(m)
    assert m >= low - 1e-6 * max(1.0, abs(low), abs(mean))
    assert 0.0 < s <= u * (1.0 + 1e-12)
