"""The one registry of what keys do: it feeds the bindings, the footer and the help.

A place is a name of a screen or of a state of it. Keys that answer a step are not here: they
come with the step's own wording, which keeps off the keys of this registry.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import Literal

import msgspec

Place = Literal["home", "job", "paused", "turning", "result", "stopped", "fault", "help", "log"]
_RUNNING: frozenset[Place] = frozenset({"job", "paused", "turning"})
_ENDED: frozenset[Place] = frozenset({"result", "stopped", "fault"})
_EVERYWHERE: frozenset[Place] = _RUNNING | _ENDED | {"home", "help", "log"}


class Action(msgspec.Struct, frozen=True):
    """`name`: the app does it in `action_<name>`; `key`: as on the keyboard; `label`: in the footer."""

    name: str
    key: str
    label: str
    help: str
    places: frozenset[Place]
    also: tuple[str, ...] = ()

    @property
    def keys(self) -> tuple[str, ...]:
        """All keys that do it, the shown one first; with Caps Lock on a letter does the same."""
        capital = (self.key.upper(),) if len(self.key) == 1 and self.key.isalpha() else ()
        return (self.key, *capital, *self.also)


ACTIONS: tuple[Action, ...] = (
    Action(
        "stop_job",
        "x",
        "STOP",
        "Stops the machine at once, from every screen of a job. Heaters go off.",
        _RUNNING | {"fault", "help", "log"},
    ),
    Action("interrupt", "ctrl+c", "", "Stops a running job; else leaves.", _EVERYWHERE, ("ctrl+q",)),
    Action("take_back", "b", "back", "Takes the last answer back. The step before is asked again.", _RUNNING),
    Action(
        "pause",
        "p",
        "pause",
        "Holds the job after the move in hand. Nothing moves until you go on.",
        _RUNNING,
    ),
    Action("go_on", "g", "go on", "Goes on after a pause.", frozenset({"paused"})),
    Action(
        "skip", "k", "leave out", "Leaves the step out; you are asked why.", frozenset({"job", "turning"})
    ),
    Action(
        "retry",
        "r",
        "try again",
        "Opens the line anew, homes, and goes on at the same step.",
        frozenset({"fault"}),
    ),
    Action(
        "log",
        "l",
        "line log",
        "Shows every line sent to the machine and received from it.",
        _RUNNING | _ENDED,
    ),
    Action(
        "help",
        "f1",
        "help",
        "Shows these keys and the marks of the drawing.",
        _EVERYWHERE - {"help"},
        ("question_mark",),
    ),
    Action(
        "contrast",
        "c",
        "light or dark",
        "Changes between a dark and a light background.",
        frozenset({"home", "help"}),
    ),
    Action("close", "escape", "close", "Closes what lies over the step.", frozenset({"help", "log"})),
    Action("leave", "q", "leave", "Leaves Tramwright.", frozenset({"home", *_ENDED})),
)
_SHOWN: dict[str, str] = {
    "enter": "Enter",
    "escape": "Esc",
    "f1": "F1",
    "up": "Up",
    "down": "Down",
    "left": "Left",
    "right": "Right",
    "question_mark": "?",
    "full_stop": ".",
    "comma": ",",
    "space": "Space",
}


def shown(key: str) -> str:
    """Return the key as it is written for a person."""
    return _SHOWN.get(key, key)


def actions_at(place: Place, actions: tuple[Action, ...] = ACTIONS) -> tuple[Action, ...]:
    """Return what can be done at a place, in the order of the registry."""
    return tuple(action for action in actions if place in action.places)


def action_for(key: str, place: Place, actions: tuple[Action, ...] = ACTIONS) -> Action | None:
    """Return the action that a key does at a place; None where it does nothing."""
    return next((action for action in actions_at(place, actions) if key in action.keys), None)


def remapped(keys: Mapping[str, str], actions: tuple[Action, ...] = ACTIONS) -> tuple[Action, ...]:
    """Return the registry with other keys by action name. Raises ValueError, saying what clashes."""
    unknown = sorted(set(keys) - {action.name for action in actions})
    if unknown:
        known = ", ".join(action.name for action in actions)
        raise ValueError(f"no action is called {unknown[0]!r}; the actions are {known}")
    changed = tuple(
        msgspec.structs.replace(action, key=keys[action.name]) if action.name in keys else action
        for action in actions
    )
    for clash in _clashes(changed):
        raise ValueError(clash)
    return changed


def _clashes(actions: tuple[Action, ...]) -> list[str]:
    """Return a sentence for every key that would do two things at one place."""
    return [
        f"key {shown(key)!r} would do both {first.name!r} and {second.name!r}"
        for index, first in enumerate(actions)
        for second in actions[index + 1 :]
        for key in first.keys
        if key in second.keys and first.places & second.places
    ]
