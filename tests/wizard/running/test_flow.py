"""Every pair of state and event, and the picture drawn from the table."""

from __future__ import annotations

import itertools

import pytest

from wizard.running.flow import BACK, TABLE, Event, Flow, FlowError, State, diagram

PAIRS = list(itertools.product(State, Event))
BUSY = {State.CONNECTING, State.ASKING, State.MOVING, State.WAITING}
ALLOWED = {
    State.IDLE: {Event.CONNECT, Event.ASK, Event.FAULT, Event.FINISH, Event.STOP},
    **dict.fromkeys(BUSY, set(Event) - {Event.GO_ON, Event.RETRY}),
    State.PAUSED: {Event.GO_ON, Event.FAULT, Event.STOP},
    State.FAULTED: {Event.RETRY, Event.FAULT, Event.STOP},
    State.STOPPED: {Event.STOP},
    State.FINISHED: {Event.STOP},
}
LEADS_TO = {
    Event.CONNECT: State.CONNECTING,
    Event.ASK: State.ASKING,
    Event.MOVE: State.MOVING,
    Event.WAIT: State.WAITING,
    Event.PAUSE: State.PAUSED,
    Event.FAULT: State.FAULTED,
    Event.RETRY: State.CONNECTING,
    Event.STOP: State.STOPPED,
    Event.FINISH: State.FINISHED,
}


@pytest.mark.parametrize(("state", "event"), PAIRS)
def test_each_pair_leads_on_or_is_refused_with_both_named(state: State, event: Event) -> None:
    flow = Flow(state, State.MOVING if state is State.PAUSED else None)
    if event not in ALLOWED[state]:
        with pytest.raises(FlowError) as refused:
            flow.after(event)
        assert state.value in str(refused.value)
        assert event.value in str(refused.value)
        assert flow.state is state
        assert not flow.takes(event)
    else:
        assert flow.takes(event)
        assert flow.after(event).state is (State.MOVING if event is Event.GO_ON else LEADS_TO[event])


@pytest.mark.parametrize("state", sorted(BUSY))
def test_going_on_leads_back_to_what_the_pause_interrupted(state: State) -> None:
    assert Flow(state).after(Event.PAUSE).after(Event.GO_ON) == Flow(state)


@pytest.mark.parametrize("state", State)
def test_stop_is_legal_in_every_state(state: State) -> None:
    assert Flow(state).after(Event.STOP) == Flow(State.STOPPED)


@pytest.mark.parametrize("state", [State.PAUSED, State.STOPPED, State.FAULTED, State.FINISHED])
@pytest.mark.parametrize("event", [Event.MOVE, Event.WAIT, Event.ASK])
def test_nothing_moves_heats_or_is_asked_while_the_job_stands_still(state: State, event: Event) -> None:
    with pytest.raises(FlowError):
        Flow(state, State.ASKING).after(event)


def test_the_diagram_shows_every_transition_of_the_table_and_no_other() -> None:
    drawn: set[tuple[str, str, str]] = set()
    state = ""
    for line in diagram().splitlines():
        state = line.split()[0] if not line.startswith(" ") else state
        events, target = line[line.index("--") + 2 :].split("--> ")
        drawn |= {(state, event, target) for event in events.split(", ")}
    name = {BACK: "the state before the pause"}
    table = {
        (state.value, event.value, name.get(target, target))
        for state, events in TABLE.items()
        for event, target in events.items()
    }
    assert drawn == table
