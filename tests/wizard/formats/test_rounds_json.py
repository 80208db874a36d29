from __future__ import annotations

import json
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from profiles.load import load
from wizard.formats.rounds_json import rounds_of_json
from wizard.formats.rounds_values import RoundsFault
from wizard.rounds import Reading, Round

MACHINE = load("four-corner-220")


def document(*rounds: Any) -> str:
    return json.dumps({"format": "tramwright-rounds/1", "rounds": rounds})


def refusal(text: str) -> str:
    with pytest.raises(RoundsFault) as raised:
        rounds_of_json(text, MACHINE)
    return str(raised.value)


def test_rounds_are_taken_as_they_stand() -> None:
    text = document(
        {
            "readings": {"front left": {"low": 0.10, "high": 0.15}, "back left": {"gap": 0.22}},
            "turned": {"front left": -0.25},
        },
        {"readings": {"centre": {"low": 0.5}, "back right": {"high": 0.05}}, "height_change_mm": 0.1},
    )
    assert rounds_of_json(text, MACHINE) == (
        Round(
            {"front left": Reading(0.10, 0.15), "back left": Reading(0.22, 0.22)},
            {"front left": -0.25},
        ),
        Round({"centre": Reading(0.5, None), "back right": Reading(None, 0.05)}, {}, 0.1),
    )


@pytest.mark.parametrize(
    ("readings", "sentence"),
    [
        (
            {"front lft": {"gap": 1}},
            'round 1, readings: "front lft" is no point of this machine; perhaps "front left" is meant',
        ),
        ({"centre": 0.2}, 'round 1, readings, "centre" is 0.2, but must be an object in braces'),
        ({"centre": None}, 'round 1, readings, "centre" is null, but must be an object in braces'),
        ({"centre": {}}, 'round 1, readings, "centre" has neither low nor high, but must have one at least'),
        ({"centre": {"low": None}}, '"centre", low is null, but must be a number from -20 to 20 mm'),
        ({"centre": {"low": "thin"}}, '"centre", low is "thin", but must be a number from -20 to 20 mm'),
        ({"centre": {"low": True}}, '"centre", low is true, but must be a number'),
        ({"centre": {"low": [1]}}, '"centre", low is [1], but must be a number'),
        ({"centre": {"low": {}}}, '"centre", low is an object, but must be a number'),
        ({"centre": {"gap": float("nan")}}, '"centre", gap is nan, but must be a number from -20 to 20 mm'),
        (
            {"centre": {"high": float("-inf")}},
            '"centre", high is -inf, but must be a number from -20 to 20 mm',
        ),
        ({"centre": {"gap": 150}}, '"centre", gap is 150, but must be a number from -20 to 20 mm'),
        ({"centre": {"low": 0.2, "high": 0.1}}, "has low 0.2 above high 0.1, but low must not be above high"),
        (
            {"centre": {"gap": 0.2, "low": 0.1}},
            "has gap beside low or high, but must have either gap or low and high",
        ),
        (
            {"centre": {"hihg": 0.2}},
            '"hihg" is no known key; perhaps "high" is meant; allowed are low, high, gap',
        ),
        ([], "round 1, readings is [], but must be an object in braces"),
    ],
)
def test_a_wrong_reading_is_told_with_place_value_and_what_is_allowed(readings: Any, sentence: str) -> None:
    assert sentence in refusal(document({"readings": readings}))


@pytest.mark.parametrize(
    ("turned", "sentence"),
    [
        (
            {"centre": 1},
            'round 2, turned: "centre" is no adjuster of this machine; allowed are front left, front',
        ),
        (
            {"front left": "half"},
            'round 2, turned, "front left" is "half", but must be a number from -1000 to 1000',
        ),
        (
            {"front left": 5000},
            'round 2, turned, "front left" is 5000, but must be a number from -1000 to 1000 turns',
        ),
        (3, "round 2, turned is 3, but must be an object in braces"),
    ],
)
def test_wrong_turns_are_told_in_their_round(turned: Any, sentence: str) -> None:
    assert sentence in refusal(document({"readings": {"centre": {"gap": 0.1}}}, {"turned": turned}))


def test_turns_of_a_machine_that_has_no_adjuster_are_told() -> None:
    with pytest.raises(RoundsFault, match="this machine has no adjuster to turn"):
        rounds_of_json(document({"turned": {"front left": 1}}), load("stored-offset-140"))


@pytest.mark.parametrize(
    ("text", "sentence"),
    [
        ("[]", "the document is [], but must be an object in braces"),
        ("{", "this is not JSON: Expecting property name"),
        ("[" * 100_000, "this is not JSON that can be read: it is nested too deeply"),
        ("{}", 'format is missing, but must be "tramwright-rounds/1"'),
        ('{"format": 2}', 'format is 2, but must be "tramwright-rounds/1"'),
        ('{"format": "tramwright-rounds/1"}', "rounds is missing, but must be a list of 1 to 1000 rounds"),
        (
            '{"format": "tramwright-rounds/1", "rounds": []}',
            "rounds is [], but must be a list of 1 to 1000 rounds",
        ),
        (
            '{"format": "tramwright-rounds/1", "round": []}',
            '"round" is no known key; perhaps "rounds" is meant',
        ),
        ('{"format": "tramwright-rounds/1", "rounds": [7]}', "round 1 is 7, but must be an object in braces"),
        ('{"a": 1, "a": 2}', '"a" stands twice in one object, but each name may stand once'),
        ('{"a": ' + "9" * 5000 + "}", "this is not JSON: Exceeds the limit"),
        (document({"reading": {}}), 'round 1: "reading" is no known key; perhaps "readings" is meant'),
        (
            document({"height_change_mm": 99}),
            "round 1, height_change_mm is 99, but must be a number from -20 to 20",
        ),
    ],
)
def test_a_wrong_document_is_told(text: str, sentence: str) -> None:
    assert sentence in refusal(text)


@settings(max_examples=100, deadline=None)
@given(
    st.dictionaries(st.sampled_from([p.name for p in MACHINE.point]), st.tuples(*[st.floats(-20, 20)] * 2)),
    st.dictionaries(st.sampled_from([a.name for a in MACHINE.adjuster]), st.floats(-1000, 1000)),
)
def test_every_number_comes_through_unchanged(
    gaps: dict[str, tuple[float, float]], turned: dict[str, float]
) -> None:
    brackets = {name: (min(pair), max(pair)) for name, pair in gaps.items()}
    told = {name: {"low": low, "high": high} for name, (low, high) in brackets.items()}
    (one,) = rounds_of_json(document({"readings": told, "turned": turned}), MACHINE)
    assert {name: (r.low_mm, r.high_mm) for name, r in one.readings.items()} == brackets
    assert one.turned == turned
