"""Which gap is felt for next."""

from __future__ import annotations

import msgspec
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from profiles.load import load
from profiles.machine import Heat, Machine
from wizard import requests as ask
from wizard.facts import Facts, after
from wizard.procedures.approach import KEEP_MM, Visit
from wizard.procedures.feel import ENOUGH_MM, TURNED_BY_MM, by_feel, can_narrow, is_enough, next_gap_mm
from wizard.procedures.job import Job
from wizard.rounds import Reading, Round

CARD_MM = 0.10


def job_knowing(machine: Machine, reading: Reading) -> Job:
    """Return a job that knows something of the centre, the nozzle standing where that was found."""
    facts = Facts(machine, rounds=(Round({"centre": reading}),), readings={"centre": reading}, gauge="feel")
    return Job(msgspec.structs.replace(facts, parked_at="centre", z_mm=0.8))


VISIT = Visit("centre", 1, 1, 5, "first")


def test_a_bracket_is_halved_until_a_visit_needs_no_more(four_corners: Machine) -> None:
    assert next_gap_mm(job_knowing(four_corners, Reading(0.20, 0.25)), VISIT) == pytest.approx(
        0.225, abs=0.001
    )
    assert next_gap_mm(job_knowing(four_corners, Reading(0.20, 0.22)), VISIT) is None
    assert can_narrow(Reading(0.20, 0.23), ENOUGH_MM)
    assert not can_narrow(Reading(0.20, 0.20 + ENOUGH_MM), ENOUGH_MM)
    assert can_narrow(Reading(0.20, None), ENOUGH_MM)


@pytest.mark.parametrize(("touch", "low", "high"), [("free", 0.21, 0.22), ("drag", 0.20, 0.21)])
def test_felt_once_more_the_edge_of_the_zone_of_drag_halves_what_it_left(
    four_corners: Machine, touch: ask.Touch, low: float, high: float
) -> None:
    job = job_knowing(four_corners, Reading(0.20, 0.22, "feel"))
    course = by_feel(job, VISIT, at_least=1)
    assert next(course) == ask.Lower("centre", pytest.approx(0.10))  # 0.20 + 0.10 - (0.21 - DRAG_MM)
    assert isinstance(course.send(ask.Done()), ask.Feel)
    with pytest.raises(StopIteration):
        course.send(ask.Felt(touch))
    assert job.facts.readings["centre"] == Reading(low, high, "feel")


def test_one_step_down_is_never_more_than_what_is_known_to_be_free(four_corners: Machine) -> None:
    wide = next_gap_mm(job_knowing(four_corners, Reading(0.08, 0.90)), VISIT)
    assert wide == pytest.approx(0.08 + CARD_MM - KEEP_MM)


def test_at_the_floor_a_card_still_free_leaves_the_gap_open(four_corners: Machine) -> None:
    deepest = four_corners.measuring_height_mm + CARD_MM - four_corners.motion.z_mm[0]
    assert next_gap_mm(job_knowing(four_corners, Reading(deepest - 0.05, None)), VISIT) == pytest.approx(
        deepest
    )
    assert next_gap_mm(job_knowing(four_corners, Reading(deepest + 0.01, None)), VISIT) is None


@pytest.mark.parametrize(
    ("reading", "enough"),
    [
        (Reading(0.12, 0.15), True),  # provably within
        (Reading(0.17, 0.20), False),  # undecided, and a feel can tell more
        (Reading(0.19, 0.20), True),  # undecided, but as narrow as can be
        (Reading(0.30, 0.36), True),  # surely outside: enough to turn by
        (Reading(0.30, 0.40), False),
        (Reading(0.10, None), False),
    ],
)
def test_a_verification_needs_to_know_whether_a_point_is_within(
    four_corners: Machine, reading: Reading, enough: bool
) -> None:
    cold = msgspec.structs.replace(four_corners, heat=Heat())  # the wanted gap is 0.15 mm
    assert is_enough(job_knowing(cold, reading), Visit("centre", 1, 1, 5, "verify")) == enough


@settings(max_examples=40, deadline=None)
@given(gap_mm=st.floats(-0.1, 0.6))
def test_from_the_first_stop_a_truthful_hand_finds_the_gap_without_touching(gap_mm: float) -> None:
    machine = load("four-corner-220")
    facts = after(Facts(machine, gauge="feel"), ask.Park("centre", 0.8), ask.Done())
    clear = gap_mm + 0.6 > 0.76
    facts = after(facts, ask.LookForDaylight("centre", 0.8, 0.76), ask.Seen(clear))
    job = Job(facts)
    course = by_feel(job, VISIT)
    answer: ask.AnyAnswer | None = None
    under_mm = 0.6 + gap_mm
    try:
        while True:
            request = course.send(answer)  # type: ignore[arg-type]
            if isinstance(request, ask.Lower):
                under_mm = gap_mm + request.z_mm - machine.measuring_height_mm
                assert under_mm >= 0.0
                answer = ask.Done()
            else:
                over = under_mm - CARD_MM
                answer = ask.Felt("drag" if abs(over) <= 0.01 else "free" if over > 0 else "tight")
    except StopIteration:
        pass
    found = job.facts.readings["centre"]
    assert found.low_mm is not None
    assert found.low_mm - 1e-6 <= gap_mm
    if found.high_mm is None:
        assert gap_mm > machine.measuring_height_mm + CARD_MM
    else:
        assert gap_mm <= found.high_mm + 1e-6
        assert is_enough(job, VISIT)
        assert found.high_mm - found.low_mm <= TURNED_BY_MM + 1e-6
