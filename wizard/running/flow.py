"""The states of a session and the one table that says how they follow each other. No I/O.

The rules, all of them in `TABLE`:

1. `stop` is legal in every state and leads to stopped; nothing but another stop leads on from there.
2. Nothing moves, heats or is asked while the session is paused, stopped, faulted or finished.
3. Idle goes on to asking or connecting, never straight to moving: a job begins with its cautions, and
   a job taken up again begins with the line.
4. A pause interrupts asking, moving, waiting or connecting; `go-on` leads back to what it interrupted
   (`BACK`). A move that was under way when the pause came is completed; no new step begins.
5. A fault is possible wherever the machine or the record of the job is in use; from faulted only
   `retry` leads on, and it begins with the line.
6. `finish` ends a job in order: after the last answer or the last move.

A pair of state and event that is not in the table is refused with `FlowError`, which names both;
nothing changes then.
"""

from __future__ import annotations

from enum import StrEnum

import msgspec


class State(StrEnum):
    """What a session is doing."""

    IDLE = "idle"
    CONNECTING = "connecting"
    ASKING = "asking"
    MOVING = "moving"
    WAITING = "waiting"
    PAUSED = "paused"
    STOPPED = "stopped"
    FAULTED = "faulted"
    FINISHED = "finished"


class Event(StrEnum):
    """What can happen to a session."""

    CONNECT = "connect"
    ASK = "ask"
    MOVE = "move"
    WAIT = "wait"
    PAUSE = "pause"
    GO_ON = "go-on"
    FAULT = "fault"
    RETRY = "retry"
    STOP = "stop"
    FINISH = "finish"


class FlowError(Exception):
    """An event that the present state does not take. Names both; the state is as it was."""

    def __init__(self, state: State, event: Event) -> None:
        super().__init__(f"the session is {state.value}: {event.value!r} is not possible now")
        self.state = state
        self.event = event


BACK = "back"  # stands for the state that the pause interrupted

_BUSY: dict[Event, State | str] = {
    Event.CONNECT: State.CONNECTING,
    Event.ASK: State.ASKING,
    Event.MOVE: State.MOVING,
    Event.WAIT: State.WAITING,
    Event.PAUSE: State.PAUSED,
    Event.FAULT: State.FAULTED,
    Event.FINISH: State.FINISHED,
    Event.STOP: State.STOPPED,
}

TABLE: dict[State, dict[Event, State | str]] = {
    State.IDLE: {
        Event.CONNECT: State.CONNECTING,
        Event.ASK: State.ASKING,
        Event.FAULT: State.FAULTED,
        Event.FINISH: State.FINISHED,
        Event.STOP: State.STOPPED,
    },
    State.CONNECTING: _BUSY,
    State.ASKING: _BUSY,
    State.MOVING: _BUSY,
    State.WAITING: _BUSY,
    State.PAUSED: {Event.GO_ON: BACK, Event.FAULT: State.FAULTED, Event.STOP: State.STOPPED},
    State.FAULTED: {
        Event.RETRY: State.CONNECTING,
        Event.FAULT: State.FAULTED,
        Event.STOP: State.STOPPED,
    },
    State.STOPPED: {Event.STOP: State.STOPPED},
    State.FINISHED: {Event.STOP: State.STOPPED},
}


class Flow(msgspec.Struct, frozen=True):
    """Where a session stands; `interrupted` is the state that a pause will lead back to."""

    state: State = State.IDLE
    interrupted: State | None = None

    def after(self, event: Event) -> Flow:
        """Return the flow after `event`. Raises FlowError where the table has no such pair."""
        target = TABLE[self.state].get(event)
        if target is None:
            raise FlowError(self.state, event)
        if isinstance(target, State):
            return Flow(target, self.state if event is Event.PAUSE else None)
        return Flow(self.interrupted or State.ASKING)

    def takes(self, event: Event) -> bool:
        """Tell whether `event` is legal now."""
        return event in TABLE[self.state]


def diagram() -> str:
    """Draw the table as text: a line for each state, what can happen in it and where that leads."""
    width = max(len(state.value) for state in State)
    return "\n".join(_row(state, width) for state in State)


def _row(state: State, width: int) -> str:
    """Draw the transitions out of one state, events that lead to the same state together."""
    leads: dict[str, list[str]] = {}
    for event, target in TABLE[state].items():
        name = target.value if isinstance(target, State) else "the state before the pause"
        leads.setdefault(name, []).append(event.value)
    arms = [f"--{', '.join(events)}--> {name}" for name, events in leads.items()]
    indent = "\n" + " " * (width + 1)
    return f"{state.value:<{width}} " + indent.join(arms)
