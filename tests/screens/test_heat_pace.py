"""How long a heat-up still takes: seen temperatures in, an estimate out."""

from __future__ import annotations

import pytest

from drivers.interface import Temperatures
from wizard.screens.heat_pace import HeatPace, left_words


def _seen(*seen: tuple[float, float | None]) -> HeatPace:
    pace = HeatPace()
    for now_s, bed_c in seen:
        pace.see(now_s, Temperatures(bed_c=bed_c, nozzle_c=25.0))
    return pace


def test_a_steady_rise_is_carried_on() -> None:
    assert _seen((0.0, 20.0), (10.0, 22.0)).left_s(60.0, 0.0) == pytest.approx(190.0)


def test_only_the_last_half_minute_counts() -> None:
    """A plate that heats more and more slowly is not judged by its first minute."""
    pace = _seen(
        *((float(s), 20.0 + min(s, 60.0) * 0.5 + max(s - 60.0, 0.0) * 0.1) for s in range(0, 121, 2))
    )
    assert pace.left_s(60.0, 0.0) == pytest.approx((60.0 - 56.0) / 0.1)


@pytest.mark.parametrize("seen", [(), ((0.0, 20.0),), ((0.0, 20.0), (2.0, 21.0)), ((0.0, None), (9.0, 30.0))])
def test_too_little_is_no_estimate(seen: tuple[tuple[float, float | None], ...]) -> None:
    assert _seen(*seen).left_s(60.0, 0.0) is None


def test_what_does_not_rise_gets_no_estimate_and_what_is_reached_needs_none() -> None:
    assert _seen((0.0, 30.0), (20.0, 30.0)).left_s(60.0, 0.0) is None
    assert _seen((0.0, 30.0), (20.0, 59.5)).left_s(60.0, 0.0) == 0.0


def test_it_is_said_in_whole_minutes() -> None:
    assert left_words(130.0) == "about 2 min left"
    assert left_words(20.0) == "less than a minute left"
    assert left_words(None) == left_words(0.0) == ""
