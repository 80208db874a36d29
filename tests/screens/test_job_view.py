"""From what is known to what is shown."""

from __future__ import annotations

from typing import Any, get_args

import msgspec
import pytest

from drivers.interface import Status
from profiles.grid import GridValue
from profiles.machine import Machine
from wizard import requests
from wizard.actions import ACTIONS
from wizard.facts import Facts
from wizard.instructions.dispatch import page_of
from wizard.requests import Feel, MoveByHand, ShowResult, TakeReading, Turn
from wizard.running.events import Asked, StateChanged, StatusChanged
from wizard.screens import job_view
from wizard.screens.job_state import JobState
from wizard.screens.sheets import Room
from wizard.screens.step_desk import StepDesk
from wizard.solver.finding import Finding
from wizard.widgets.marks import FULL

READING = TakeReading("front right", 0.2, 1, 4, 5, "first", 0.15)


def _at(request: Any, facts: Facts, *events: Any) -> tuple[JobState, StepDesk]:
    state = JobState(facts)
    for event in (*events, Asked(request, facts, True)):
        state.take(event)
    return state, StepDesk(request, page_of(request, facts))


def test_the_title_says_where_as_well_as_what(facts: Facts) -> None:
    state, desk = _at(READING, facts)
    assert (
        job_view.title_of(state, desk, ACTIONS)
        == "Front right: which leaf is the thickest that slides under?"
    )


def test_the_title_of_a_turn_is_the_turn_to_make_now(facts: Facts, finding: Finding) -> None:
    state, desk = _at(Turn(finding.turns, 1, False, finding), facts)
    assert job_view.title_of(state, desk, ACTIONS) == "Turn front left: 1/4 turn clockwise."
    desk.press("enter", "\r")
    assert job_view.title_of(state, desk, ACTIONS) == "Turn back left: 7/16 turn anticlockwise."


def test_paused_goes_before_every_other_title(facts: Facts) -> None:
    state, desk = _at(READING, facts, StateChanged("asking", "paused"))
    assert job_view.title_of(state, desk, ACTIONS) == "Paused. Press g to go on."


@pytest.mark.parametrize("by_hand", [False, True])
def test_with_a_line_the_nozzle_is_drawn_only_where_the_machine_says(facts: Facts, by_hand: bool) -> None:
    """After a break the answers still tell a point, but the machine does not know its position."""
    facts = msgspec.structs.replace(facts, by_hand=by_hand)
    state, desk = _at(READING, facts)
    assert job_view.scene_of(state, desk).nozzle_mm == ((190, 30) if by_hand else None)
    state, desk = _at(READING, facts, StatusChanged(Status(position_mm=(50.0, 60.0, 5.0))))
    assert job_view.scene_of(state, desk).nozzle_mm == (50.0, 60.0)


def test_by_hand_the_nozzle_is_nowhere_while_the_person_moves_it(facts: Facts) -> None:
    facts = msgspec.structs.replace(facts, by_hand=True)
    state, desk = _at(MoveByHand("park", "centre", 0.2), facts)
    assert job_view.scene_of(state, desk).nozzle_mm is None


def test_the_step_before_can_be_taken_back_only_where_there_is_one(facts: Facts) -> None:
    state, desk = _at(READING, facts)
    names = [a.name for a in job_view.actions_of(state, desk, ACTIONS)]
    assert "take_back" in names
    state.can_go_back = False
    assert "take_back" not in [a.name for a in job_view.actions_of(state, desk, ACTIONS)]


def test_what_does_not_fit_beside_the_map_goes_on_sheets(turned: Facts, finding: Finding) -> None:
    """Verdict, what was stored, record and table on one where it is high; else sheets, the first map last."""
    state, desk = _at(ShowResult(finding, 2, False), turned)
    (high,) = job_view.sheets_now(state, desk.page, FULL, Room(44, 40, roomy=True), "/runs/a.jsonl")
    assert "±U" in high.words.plain
    assert "/runs/a.jsonl" in high.words.plain
    low = job_view.sheets_now(state, desk.page, FULL, Room(44, 14), "/runs/a.jsonl")
    assert "±U" in low[1].words.plain
    assert [sheet.before for sheet in low] == [False, False, True]
    assert "sheet 3 of 3" in low[2].words.plain


def test_the_bed_before_is_as_the_first_round_read_it(turned: Facts) -> None:
    scene = job_view.scene_before(turned)
    assert scene is not None
    assert set(scene.notes) == {"front left", "back left", "centre"}
    assert job_view.scene_before(msgspec.structs.replace(turned, rounds=())) is None


def test_where_nothing_was_changed_there_is_no_before_and_no_now(
    facts: Facts, turned: Facts, finding: Finding
) -> None:
    """As at the end of a survey: one map without a caption, and the readings on a sheet as all others."""
    result = ShowResult(finding, 1, False, measured_only=True)
    for known, caption in ((facts, ""), (turned, "now")):
        state, desk = _at(result, known)
        low = job_view.sheets_now(state, desk.page, FULL, Room(44, 14), "")
        assert job_view.scene_of(state, desk, beside=True).caption == caption
        assert job_view.scene_of(state, desk).caption == ""
        assert (job_view.scene_before(known) is None) == (caption == "")
        assert any(sheet.before for sheet in low) == (caption == "now")
        assert any("round " in sheet.words.plain for sheet in low)


def test_a_result_without_points_has_no_head_of_a_table(facts: Facts, finding: Finding) -> None:
    bare = msgspec.structs.replace(finding, points={}, verdict="undecided")
    state, desk = _at(ShowResult(bare, 0, False), msgspec.structs.replace(facts, rounds=(), readings={}))
    (sheet,) = job_view.sheets_now(state, desk.page, FULL, Room(60, 60, roomy=True), "")
    assert "±U" not in sheet.words.plain


def test_a_caution_is_shown_on_a_real_machine_and_left_to_the_label_on_a_simulated_one(facts: Facts) -> None:
    state, desk = _at(Feel("centre", 0.2, 0.1, 1, 1, 5, "first"), facts)
    assert "hands off" in job_view.caution_of(state, desk.page).lower()
    state.facts = msgspec.structs.replace(facts, simulated=True)
    assert job_view.caution_of(state, desk.page) == ""


def test_shims_are_not_turned_and_a_screw_is(machine: Machine) -> None:
    change = msgspec.structs.replace
    adjusters = tuple(change(each, kind="shim", mm_per_turn=0.1) for each in machine.adjuster)
    shims = change(machine, adjuster=adjusters)
    assert job_view.turn_title(shims, "front left", 2.0) == "front left: add 2 sheets."
    assert job_view.turn_title(machine, "front left", -0.25) == "Turn front left: 1/4 turn anticlockwise."
    assert job_view.turn_title(machine, "endstop screw", 0.5) == "Turn the endstop screw: 1/2 turn clockwise."


def test_every_kind_of_request_has_a_screen(samples: Any) -> None:
    """Its title fits the band, its words the column, and there is always a way to answer."""
    machine = samples.made(
        samples.four(), tuple(samples.Point(name=a.name, at_mm=a.at_mm) for a in samples.four())
    )
    requests_ = samples.all_requests(machine)
    assert {type(each) for each in requests_} == set(get_args(requests.AnyRequest))
    for request in requests_:
        state, desk = _at(request, Facts(machine))
        assert len(job_view.title_of(state, desk, ACTIONS)) <= 76
        assert job_view.scene_of(state, desk).machine is machine
        for sheet in job_view.sheets_now(state, desk.page, FULL, Room(44, 17), "/home/one/runs/a.jsonl"):
            rows = sheet.words.plain.split("\n")
            assert len(rows) <= 17
            assert max(map(len, rows)) <= 44
        keys = job_view.keys_of(desk, 44, has_bench=False, shown=str)
        assert keys or desk.typing.open or not isinstance(request, requests.ByPerson)


@pytest.mark.parametrize("columns", [3, 9])
def test_every_number_of_a_grid_that_is_typed_by_hand_is_shown(facts: Facts, columns: int) -> None:
    values = tuple(GridValue(i, j, (i, j), 0.01 * (i + 10 * j + 1)) for j in range(3) for i in range(columns))
    state, desk = _at(requests.EnterGrid(values), facts)
    told = "\n".join(s.words.plain for s in job_view.sheets_now(state, desk.page, FULL, Room(44, 12), ""))
    assert all(f"{value.offset_mm:+.2f}" in told for value in values)
    assert max(map(len, told.split("\n"))) <= 44


def test_no_key_of_a_step_is_one_of_the_common_keys(facts: Facts) -> None:
    """The wording keeps off them; were it not so, a key would do other than it says."""
    for topic in get_args(requests.Topic):
        page = page_of(requests.Confirm(topic), facts)
        assert not {choice.key for choice in page.choices} & {"x", "b", "p", "k", "l", "f1"}
