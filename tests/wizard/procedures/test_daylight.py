"""Coming down over a point of which little is known."""

from __future__ import annotations

import msgspec
import pytest

from profiles.machine import Gauge, Machine
from wizard import requests as ask
from wizard.facts import Facts
from wizard.procedures.approach import Visit
from wizard.procedures.daylight import DAYLIGHT_MM, TWO_CARDS_MM, come_down
from wizard.procedures.job import Job, Steps


def looks(
    machine: Machine, gap_mm: float, left_out: bool = False, cards: int = 2
) -> list[tuple[float, float, bool]]:
    """Come down over the first point, the true gap at the measuring height given; return what was tried.

    Each is how far above the measuring height the nozzle stood, what was tried, and whether it passed.
    """
    job, tried = Job(Facts(machine)), []
    visit = Visit("centre", 1, 1, 5, "first")

    def whole() -> Steps[None]:
        assert (yield from come_down(job, visit)) is not left_out

    steps = whole()
    request, z_mm = next(steps), 0.0
    while request is not None:
        answer: ask.AnyAnswer = ask.Done()
        if isinstance(request, ask.LookForDaylight):
            passes = gap_mm + z_mm - machine.measuring_height_mm > request.thick_mm
            tried.append((round(z_mm - machine.measuring_height_mm, 3), request.thick_mm, passes))
            answer = ask.Skipped("no") if left_out else ask.Seen(passes)
            if cards == 1 and request.thick_mm == TWO_CARDS_MM:
                answer = ask.Skipped(ask.ONE_CARD)
        else:
            z_mm = request.z_mm
            assert gap_mm + z_mm - machine.measuring_height_mm > 0.0
        try:
            request = steps.send(answer)
        except StopIteration:
            request = None
    return tried


def test_over_a_snugged_plate_two_cards_pass_at_once_from_high_above(machine: Machine) -> None:
    """And leaves that are long enough are read next, with no other card."""
    (first,) = looks(machine, 0.4)
    assert first[1:] == (TWO_CARDS_MM, True)


def test_where_two_cards_do_not_pass_one_is_tried_at_the_same_height(machine: Machine) -> None:
    two, one, *_ = looks(machine, -0.5)
    assert two == (one[0], TWO_CARDS_MM, False)
    assert one[1:] == (DAYLIGHT_MM, True)


def test_where_not_even_one_passes_no_other_card_is_tried(machine: Machine) -> None:
    """The gauge looks from there on, higher."""
    assert [one[1:] for one in looks(machine, -1.2)] == [(TWO_CARDS_MM, False), (DAYLIGHT_MM, False)]


def test_without_leaves_one_card_is_tried_near_the_measuring_height(machine: Machine) -> None:
    bare = msgspec.structs.replace(machine, gauge=Gauge(card_mm=0.1))
    high, near = looks(bare, 0.4)
    assert high[1:] == (TWO_CARDS_MM, True)
    assert near == (pytest.approx(0.6), DAYLIGHT_MM, True)


def test_a_point_that_is_left_out_is_left_at_once(machine: Machine) -> None:
    assert len(looks(machine, 0.4, left_out=True)) == 1


def test_whoever_has_one_card_only_tries_it_at_the_same_height_and_is_not_asked_for_two_again(
    machine: Machine,
) -> None:
    """The point is not left out for it."""
    (at_mm, thick_mm, _), *others = looks(machine, 0.4, cards=1)
    assert thick_mm == TWO_CARDS_MM
    assert others[0][:2] == (at_mm, DAYLIGHT_MM)
    assert {thick for _, thick, _ in others} == {DAYLIGHT_MM}
