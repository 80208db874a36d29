"""The key map: which key does what, where a person wants other keys than the usual ones. Pure.

Whoever takes keys works with the usual ones: `meant` tells what a pressed key stands for, `shown` what
stands on the screen for a usual key. So a step, a list and a gauge know nothing of the map.
"""

from __future__ import annotations

import re
from collections.abc import Mapping

import msgspec

from wizard.actions import ACTIONS, Action, Place
from wizard.instructions.page import ANSWER_KEYS

FIXED = "interrupt"
"""Ctrl+C stops a job whatever the map says."""

IN_A_STEP: frozenset[Place] = frozenset({"job", "paused", "turning"})
_KEY = re.compile("[a-z]|f([1-9]|1[0-2])")


class KeyRefused(Exception):
    """`entry` is the word or letter in the map that cannot be used; the text says why."""

    def __init__(self, entry: str, why: str) -> None:
        super().__init__(why)
        self.entry = entry


class KeyMap(msgspec.Struct, frozen=True):
    """actions: the registry with the keys in force. answers: key in force by the usual key of an answer."""

    actions: tuple[Action, ...] = ACTIONS
    answers: dict[str, str] = {}

    def shown(self, key: str) -> str:
        """Return the key in force for the usual key of an answer."""
        return self.answers.get(key, key)

    def meant(self, pressed: str) -> str:
        """Return the usual key that a pressed one stands for; "" where it has lost its meaning."""
        pressed = pressed.lower() if len(pressed) == 1 else pressed  # Caps Lock changes nothing
        moved = self._moved()
        for usual, now in moved.items():
            if now == pressed:
                return usual
        return "" if pressed in moved else pressed

    def _moved(self) -> dict[str, str]:
        usual = {action.name: action.key for action in ACTIONS}
        in_a_step = (action for action in self.actions if action.places & IN_A_STEP)
        return {**self.answers, **{usual[a.name]: a.key for a in in_a_step if a.key != usual[a.name]}}


USUAL = KeyMap()


def key_map(keys: Mapping[str, str], answers: Mapping[str, str]) -> KeyMap:
    """Return the map with other keys: by the action's word, and by the usual key of an answer.

    Raises KeyRefused for the first entry that cannot be used.
    """
    named = {_action_for(word).name: _usable(word, key) for word, key in keys.items()}
    letters = {usual: _letter(usual, key) for usual, key in answers.items()}
    actions = tuple(msgspec.structs.replace(a, key=named.get(a.name, a.key)) for a in ACTIONS)
    made = KeyMap(actions, {usual: now for usual, now in letters.items() if now != usual})
    _refuse_clash(made, {_action_for(word).word: word for word in keys}, letters)
    return made


def _action_for(word: str) -> Action:
    plain = word.replace("-", " ")
    for action in ACTIONS:
        if action.word == plain and action.name != FIXED:
            return action
    known = ", ".join(a.word.replace(" ", "-") for a in ACTIONS if a.name != FIXED)
    raise KeyRefused(word, f"{word!r} is nothing that a key does; there are: {known}")


def _usable(word: str, key: str) -> str:
    plain = key.strip().lower()
    if plain == next(a.key for a in ACTIONS if a.word == word.replace("-", " ")):
        return plain
    if not plain and word == "stop":
        raise KeyRefused(word, "stop can be moved to another key, but not taken away")
    if not _KEY.fullmatch(plain):
        raise KeyRefused(word, f"{key!r} cannot be used: give one letter from a to z, or f1 to f12")
    if word == "stop" and plain in _typed_letters():
        raise KeyRefused(word, f"{key!r} is needed for typing readings, where stop has to work, too")
    return plain


def _typed_letters() -> frozenset[str]:
    """Loaded where a person has moved stop: the usual keys are no letter of a reading."""
    from wizard.readings import TYPED_LETTERS

    return TYPED_LETTERS


def _letter(usual: str, key: str) -> str:
    if usual not in ANSWER_KEYS:
        known = ", ".join(sorted(ANSWER_KEYS))
        raise KeyRefused(usual, f"{usual!r} answers no step by a letter; these do: {known}")
    plain = key.strip().lower()
    if len(plain) != 1 or not _KEY.fullmatch(plain):
        raise KeyRefused(usual, f"{key!r} cannot be used: give one letter from a to z")
    return plain


def _refuse_clash(made: KeyMap, words: Mapping[str, str], letters: Mapping[str, str]) -> None:
    """Refuse a key that would do two things at one place, and name the entry that made it so."""
    answers = {made.shown(usual): usual for usual in sorted(ANSWER_KEYS, reverse=True)}
    for usual, now in letters.items():
        for other in sorted(ANSWER_KEYS - {usual}):
            if made.shown(other) == now:
                raise KeyRefused(usual, f"key {now!r} would answer both as {usual!r} and as {other!r}")
    for action in made.actions:
        if action.places & IN_A_STEP and action.key in answers:
            entry = words.get(action.word) or answers[action.key]
            raise KeyRefused(entry, f"key {action.key!r} would do {action.word!r} and answer steps, too")
    _refuse_twice(made.actions, words)


def _refuse_twice(actions: tuple[Action, ...], words: Mapping[str, str]) -> None:
    for index, first in enumerate(actions):
        for second in actions[index + 1 :]:
            both = set(first.keys) & set(second.keys) if first.places & second.places else set()
            for key in sorted(both, key=len)[:1]:
                entry = words.get(second.word) or words.get(first.word) or second.word
                raise KeyRefused(entry, f"key {key!r} would do both {first.word!r} and {second.word!r}")
