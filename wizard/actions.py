"""The one registry of what keys do: it feeds the bindings, the footer and the help.

A place is a name of a screen or of a state of it. Keys that answer a step are not here: they
come with the step's own wording, which keeps off the keys of this registry.
"""

from __future__ import annotations

from typing import Literal

import msgspec

Place = Literal["home", "job", "paused", "turning", "result", "stopped", "fault", "help", "log"]
_RUNNING: frozenset[Place] = frozenset({"job", "paused", "turning"})
_ENDED: frozenset[Place] = frozenset({"result", "stopped", "fault"})
_EVERYWHERE: frozenset[Place] = _RUNNING | _ENDED | {"home", "help", "log"}


class Action(msgspec.Struct, frozen=True):
    """`name`: the app does it in `action_<name>`; `word`: how people call it; `key`: as on the keyboard.

    The word stands in the config file and is what is typed in the line-by-line mode; `label` is in the
    footer.
    """

    name: str
    word: str
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
        "stop",
        "x",
        "STOP",
        "Stops the machine at once, from every screen of a job. Heaters go off.",
        _RUNNING | {"fault", "help", "log"},
    ),
    Action(
        "interrupt", "interrupt", "ctrl+c", "", "Stops a running job; else leaves.", _EVERYWHERE, ("ctrl+q",)
    ),
    Action(
        "take_back",
        "back",
        "b",
        "back",
        "Takes the last answer back. The step before is asked again.",
        _RUNNING,
    ),
    Action(
        "pause",
        "pause",
        "p",
        "pause",
        "Holds the job after the move in hand. Nothing moves until you go on.",
        _RUNNING,
    ),
    Action("go_on", "go on", "g", "go on", "Goes on after a pause.", frozenset({"paused"})),
    Action(
        "skip",
        "leave out",
        "k",
        "leave out",
        "Leaves the step out; you are asked why.",
        frozenset({"job", "turning"}),
    ),
    Action(
        "retry",
        "try again",
        "r",
        "try again",
        "Opens the line anew, homes, and goes on at the same step.",
        frozenset({"fault"}),
    ),
    Action(
        "log",
        "log",
        "l",
        "line log",
        "Shows every line sent to the machine and received from it.",
        _RUNNING | _ENDED,
    ),
    Action(
        "help",
        "help",
        "f1",
        "help",
        "Shows these keys and the marks of the drawing.",
        _EVERYWHERE - {"help"},
        ("question_mark",),
    ),
    Action(
        "contrast",
        "contrast",
        "c",
        "light or dark",
        "Changes between a dark and a light background.",
        frozenset({"home", "help"}),
    ),
    Action(
        "keep_log",
        "keep log",
        "enter",
        "keep in a file",
        "Writes the lines found to a file, and into the clipboard where the terminal has one.",
        frozenset({"log"}),
    ),
    Action(
        "close", "close", "escape", "close", "Closes what lies over the step.", frozenset({"help", "log"})
    ),
    Action("leave", "leave", "q", "leave", "Leaves Tramwright.", frozenset({"home", *_ENDED})),
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


def key_of(name: str, actions: tuple[Action, ...]) -> str:
    """Return the shown key of an action, as it is written for a person; "" where it is not there."""
    return next((shown(action.key) for action in actions if action.name == name), "")
