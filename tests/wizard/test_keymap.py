"""The key map: keys move by word, answers by letter, and nothing ever does two things at one place."""

from __future__ import annotations

from string import ascii_lowercase

import pytest
from hypothesis import given
from hypothesis import strategies as st

from wizard.actions import ACTIONS, action_for, actions_at
from wizard.instructions.page import ANSWER_KEYS
from wizard.keymap import FIXED, USUAL, KeyMap, KeyRefused, key_map
from wizard.readings import TYPED_LETTERS

WORDS = [action.word for action in ACTIONS if action.name != FIXED]
KEYS = [*ascii_lowercase, "f5", "f9"]


def test_a_moved_key_does_it_and_the_usual_one_does_nothing_any_more() -> None:
    keys = key_map({"pause": "s"}, {"y": "j"})
    assert action_for("s", "job", keys.actions).name == "pause"  # type: ignore[union-attr]
    assert action_for("p", "job", keys.actions) is None
    assert (keys.meant("s"), keys.meant("p")) == ("p", "")
    assert (keys.meant("j"), keys.meant("J"), keys.meant("y")) == ("y", "y", "")
    assert (keys.shown("y"), keys.shown("n")) == ("j", "n")


def test_two_keys_can_change_places() -> None:
    keys = key_map({"back": "p", "pause": "b"}, {"y": "n", "n": "y"})
    assert (keys.meant("p"), keys.meant("b")) == ("b", "p")
    assert (keys.meant("y"), keys.meant("n")) == ("n", "y")


@pytest.mark.parametrize("key", ["enter", "up", "4", "f1", "escape", "7"])
def test_what_is_no_letter_means_itself(key: str) -> None:
    assert USUAL.meant(key) == key


@pytest.mark.parametrize(
    ("keys", "answers", "entry", "why"),
    [
        ({"stop": ""}, {}, "stop", "not taken away"),
        ({"stop": "enter"}, {}, "stop", "one letter from a to z"),
        ({"stop": "s"}, {}, "stop", "needed for typing readings"),
        ({"pause": "x"}, {}, "pause", "both 'stop' and 'pause'"),
        ({"stop": "b"}, {}, "stop", "both 'stop' and 'back'"),
        ({"pause": "w"}, {}, "pause", "answer steps, too"),
        ({"pause": "space"}, {}, "pause", "one letter from a to z"),
        ({"interrupt": "j"}, {}, "interrupt", "nothing that a key does"),
        ({"fly": "j"}, {}, "fly", "nothing that a key does"),
        ({}, {"q": "j"}, "q", "answers no step"),
        ({}, {"y": "1"}, "y", "one letter from a to z"),
        ({}, {"y": "n"}, "y", "both as 'y' and as 'n'"),
        ({}, {"y": "b"}, "y", "'back' and answer steps, too"),
    ],
)
def test_what_cannot_be_is_refused_by_its_entry(
    keys: dict[str, str], answers: dict[str, str], entry: str, why: str
) -> None:
    with pytest.raises(KeyRefused, match=why) as refused:
        key_map(keys, answers)
    assert refused.value.entry == entry


@given(
    st.dictionaries(st.sampled_from(WORDS), st.sampled_from(KEYS), max_size=4),
    st.dictionaries(st.sampled_from(sorted(ANSWER_KEYS)), st.sampled_from(KEYS), max_size=4),
)
def test_whatever_is_not_refused_is_without_a_clash(keys: dict[str, str], answers: dict[str, str]) -> None:
    """Stop is always there, by a key that no reading needs; each answer has a key that nothing else uses."""
    try:
        made = key_map(keys, answers)
    except KeyRefused as refused:
        _assert_told(refused.entry, keys, answers)
        return
    _assert_sound(made)


def _assert_told(entry: str, keys: dict[str, str], answers: dict[str, str]) -> None:
    assert entry in {*keys, *answers}


def _assert_sound(made: KeyMap) -> None:
    shown = [made.shown(usual) for usual in ANSWER_KEYS]
    assert len(set(shown)) == len(shown)
    for place in ("job", "paused", "turning", "fault", "help", "log"):
        held = [key for action in actions_at(place, made.actions) for key in action.keys]  # type: ignore[arg-type]
        assert len(set(held)) == len(held)
        stop = next(a for a in actions_at(place, made.actions) if a.name == "stop_job")  # type: ignore[arg-type]
        assert stop.key not in TYPED_LETTERS
        assert made.meant(stop.key) == "x"
        if place in ("job", "paused", "turning"):
            assert not set(held) & set(shown)
    assert all(made.meant(made.shown(usual)) == usual for usual in ANSWER_KEYS)
