"""How well touches repeat comes before any touch is believed: ISO 5725-2, repeatability conditions."""

from __future__ import annotations

import pytest

from profiles.load import load
from wizard import requests as ask
from wizard.facts import Facts
from wizard.procedures.job import Job
from wizard.procedures.repeatability import LEAST_SD_MM, TOUCHES, repeatability_mm, try_touches

STEADY = ask.Touched((0.101, 0.099, 0.100, 0.102, 0.098, 0.100, 0.101, 0.099, 0.100, 0.100))
PLASTIC = ask.Touched((0.10, 0.18, 0.14, 0.25, 0.11, 0.20, 0.16, 0.13, 0.22, 0.15))


def test_the_standard_deviation_is_that_of_a_sample() -> None:
    """Worked by hand: 2, 4, 4, 4, 5, 5, 7, 9 have a sum of squares about their mean 5 of 32; sqrt(32/7)."""
    assert repeatability_mm((2.0, 4.0, 4.0, 4.0, 5.0, 5.0, 7.0, 9.0)) == pytest.approx(2.13809, abs=1e-5)


def test_touches_that_happen_to_agree_prove_no_more_than_the_last_digit() -> None:
    assert repeatability_mm((0.1,) * TOUCHES) == LEAST_SD_MM


@pytest.mark.parametrize("kind", ["touch-probe-255", "nozzle-contact-210", "motor-levelled-300"])
def test_above_the_limit_the_person_cleans_the_tip_and_it_touches_again(kind: str) -> None:
    machine = load(kind)
    steps = try_touches(Job(Facts(machine)))
    first = next(steps)
    assert isinstance(first, ask.TouchTest)
    assert first.times == TOUCHES
    assert (first.point is None) == (machine.probe is not None and machine.probe.kind == "touch plate")
    shown = steps.send(PLASTIC)
    assert isinstance(shown, ask.ShowTouches)
    assert shown.sd_mm > shown.limit_mm
    assert steps.send(ask.Chosen(ask.TOUCH_AGAIN)) == first
    with pytest.raises(StopIteration) as end:
        steps.send(STEADY)
    assert 0.0 < end.value.value < 0.002


def test_who_does_not_touch_again_reads_by_gauge() -> None:
    steps = try_touches(Job(Facts(load("nozzle-contact-210"))))
    next(steps)
    steps.send(PLASTIC)
    with pytest.raises(StopIteration) as end:
        steps.send(ask.Chosen(ask.STOP_HERE))
    assert end.value.value is None
