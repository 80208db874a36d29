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
from wizard.events import Asked, StateChanged, StatusChanged
from wizard.facts import Facts
from wizard.instructions.dispatch import page_of
from wizard.requests import Feel, MoveByHand, ShowResult, TakeReading, Turn
from wizard.screens import job_view
from wizard.screens.job_state import JobState
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


def test_the_table_gives_way_to_the_keys_where_rows_are_few(facts: Facts, finding: Finding) -> None:
    request = ShowResult(finding, 2, False)
    state, desk = _at(request, facts)
    assert "±U" in job_view.words_of(state, desk.page, FULL, 40, 44).plain
    assert "±U" not in job_view.words_of(state, desk.page, FULL, 17, 44).plain


def test_the_bed_before_is_as_the_first_round_read_it(facts: Facts) -> None:
    scene = job_view.scene_before(facts)
    assert scene is not None
    assert set(scene.notes) == {"front left", "back left", "centre"}
    assert job_view.scene_before(msgspec.structs.replace(facts, rounds=())) is None


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


GRID = tuple(GridValue(i, j, (50.0 * i, 50.0 * j), 0.02 * i) for j in range(3) for i in range(3))


def test_every_kind_of_request_has_a_screen(facts: Facts, finding: Finding) -> None:
    """Its title fits the band, its words the column, and there is always a way to answer."""
    samples: dict[type, Any] = {
        requests.Confirm: requests.Confirm("cautions"),
        requests.Choose: requests.Choose("gauge", ("leaf", "feel")),
        requests.LookForDaylight: requests.LookForDaylight("centre", 0.8, 0.76),
        TakeReading: READING,
        Feel: Feel("centre", 0.2, 0.1, 1, 1, 5, "first"),
        Turn: Turn(finding.turns, 1, False, finding),
        requests.TurnEndstop: requests.TurnEndstop(0.5, 0.1, finding),
        requests.AskSheet: requests.AskSheet(0.1),
        requests.ChangeHeightByMenu: requests.ChangeHeightByMenu(0.1, finding),
        MoveByHand: MoveByHand("home"),
        ShowResult: ShowResult(finding, 2, False),
        requests.Connect: requests.Connect(),
        requests.Warm: requests.Warm(60, 0),
        requests.Soak: requests.Soak(5),
        requests.Home: requests.Home(),
        requests.Park: requests.Park("centre", 0.2),
        requests.Lower: requests.Lower("centre", 0.1),
        requests.Lift: requests.Lift(),
        requests.SetHeight: requests.SetHeight(0.1),
        requests.Store: requests.Store(),
        requests.ReadHeight: requests.ReadHeight(-1.2),
        requests.Reconnect: requests.Reconnect(),
        requests.SetGrid: requests.SetGrid(GRID),
        requests.TouchGrid: requests.TouchGrid(GRID),
        requests.FollowGrid: requests.FollowGrid(GRID),
        requests.EnterGrid: requests.EnterGrid(GRID),
        requests.ShowTouches: requests.ShowTouches(0.04, 10, 0.02),
        requests.TouchTest: requests.TouchTest("centre", 10),
        requests.TouchPoint: requests.TouchPoint("centre", 1, 1, 5, "first", 2, 0.0, 0.01),
        requests.MoveMotors: requests.MoveMotors(finding.turns, 1, finding),
        requests.CoolDown: requests.CoolDown(),
    }
    shown_by_the_recheck = {requests.ShowChange}
    assert set(samples) | shown_by_the_recheck == set(get_args(requests.AnyRequest))
    for request in samples.values():
        state, desk = _at(request, facts)
        assert len(job_view.title_of(state, desk, ACTIONS)) <= 76
        assert job_view.scene_of(state, desk).machine is facts.machine
        assert max(map(len, job_view.words_of(state, desk.page, FULL, 17, 44).plain.split("\n"))) <= 44
        by_person = isinstance(request, requests.ByPerson)
        assert (
            bool(job_view.keys_of(desk, 44, has_bench=False, shown=str)) or desk.typing.open or not by_person
        )


def test_no_key_of_a_step_is_one_of_the_common_keys(facts: Facts) -> None:
    """The wording keeps off them; were it not so, a key would do other than it says."""
    for topic in get_args(requests.Topic):
        page = page_of(requests.Confirm(topic), facts)
        assert not {choice.key for choice in page.choices} & {"x", "b", "p", "k", "l", "f1"}
