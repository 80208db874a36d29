"""The registry of keys: no key does two things at one place, stop is everywhere in a job."""

from __future__ import annotations

from itertools import combinations

import pytest

from wizard.actions import ACTIONS, action_for, actions_at
from wizard.instructions.page import RESERVED_KEYS
from wizard.widgets.keys_bar import keys_words

ALLOWED = {"enter", "escape", "up", "down", "left", "right", "f1", "question_mark", "ctrl+c", "ctrl+q"}


def test_no_key_does_two_things_at_one_place() -> None:
    for first, second in combinations(ACTIONS, 2):
        if first.places & second.places:
            assert not set(first.keys) & set(second.keys), (first.name, second.name)


def test_keys_are_letters_digits_enter_escape_arrows_and_f1() -> None:
    """Ctrl+C and Ctrl+Q only repeat what a letter does."""
    for action in ACTIONS:
        for key in action.keys:
            assert key in ALLOWED or (len(key) == 1 and key.isalnum()), (action.name, key)


@pytest.mark.parametrize("place", ["job", "paused", "turning", "fault", "help", "log"])
def test_stop_is_the_same_key_wherever_a_job_runs_and_always_in_the_footer(place: str) -> None:
    action = action_for("x", place)  # type: ignore[arg-type]
    assert action is not None
    assert action.name == "stop_job"
    footer = keys_words(actions_at(place), 60).plain  # type: ignore[arg-type]
    assert footer.startswith(" x  STOP ")


def test_the_keys_of_a_job_are_kept_off_by_the_wording() -> None:
    """Wording may use any letter but those that the registry uses in a step."""
    of_steps = {a.key for place in ("job", "turning") for a in actions_at(place) if a.label}  # type: ignore[arg-type]
    assert of_steps <= RESERVED_KEYS | {"question_mark"}


def test_every_action_has_a_word_of_its_own() -> None:
    words = [action.word for action in ACTIONS]
    assert len(words) == len(set(words))
