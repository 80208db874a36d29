from __future__ import annotations

import copy
import tomllib
from collections.abc import Callable
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from profiles.form import faults, walked
from profiles.load import ProfileError, machine_of, shipped
from profiles.machine import Machine

DOCUMENTS = {name: tomllib.loads(path.read_text("utf-8")) for name, path in shipped().items()}
FOUR = "four-corner-220"


@pytest.mark.parametrize(
    ("old", "new", "sentence"),
    [
        (
            "clearance_mm = 5.0",
            "clearence_mm = 5.0",
            'motion.clearence_mm is no key of a profile; perhaps "clearance_mm" is meant; allowed',
        ),
        (
            "[gauge]",
            "[gauges]",
            'gauges is no key of a profile; perhaps "gauge" is meant; allowed are ',
        ),
        ("baud = 115200", "zzz = 1", "allowed are link, baud, x_mm"),
        ('name = "Four', '# name = "Four', "name is missing; it must be text in quotes."),
        (
            "x_mm = [0, 220]",
            "x_mm = [0]",
            "motion.x_mm is [0], but must be a list of two: a number each.",
        ),
        ("x_mm = [0, 220]", 'x_mm = ["0", 220]', 'motion.x_mm[1] is "0", but must be a number.'),
        (
            "clearance_mm = 5.0",
            "clearance_mm = nan",
            "motion.clearance_mm is nan, but must be a number that is finite.",
        ),
        ("clearance_mm = 5.0", "clearance_mm = -inf", "motion.clearance_mm is -inf"),
        ("clearance_mm = 5.0", "clearance_mm = 1e300", "motion.clearance_mm is 1e+300, but must be between"),
        ("clearance_mm = 5.0", "clearance_mm = true", "motion.clearance_mm is true, but must be a number."),
        ("baud = 115200", "baud = 115200.5", "motion.baud is 115200.5, but must be a whole number."),
        ("baud = 115200", f"baud = {'7' * 300}", "motion.baud is 7777"),
        (
            'kind = "screw"',
            'kind = "bolt"',
            'adjuster 1 ("front left").kind is "bolt", but must be "fixed" or "motor"',
        ),
        ('kind = "screw"', "kind = 2020-01-01", "is 2020-01-01, but must be"),
        ("card_mm = 0.10", "card_mm = []", "gauge.card_mm is [], but must be a number."),
        ("leaves_mm = [0.05,", 'leaves_mm = ["thin",', 'gauge.leaves_mm[1] is "thin", but must be a number.'),
        ('by = "bed adjusters"', 'by = "magic"', 'height.by is "magic", but must be "bed adjusters" or'),
    ],
)
def test_a_wrong_form_is_told_with_file_key_value_and_what_is_allowed(
    refused: Callable[[str, str, str], str], old: str, new: str, sentence: str
) -> None:
    assert sentence in refused(FOUR, old, new)


def test_a_flag_that_is_no_flag_is_told(refused: Callable[[str, str, str], str]) -> None:
    said = refused("stored-offset-140", "needs_raft = true", 'needs_raft = "yes"')
    assert 'compensation.needs_raft is "yes", but must be true or false.' in said


def test_a_table_where_a_list_of_tables_belongs_is_told(document: dict[str, Any]) -> None:
    document["adjuster"] = document["adjuster"][0]
    said = next(faults(document)).sentence("mine.toml")
    assert said == "mine.toml: adjuster is a table, but must be tables, each headed by double brackets."


def test_a_value_where_a_table_belongs_is_told(document: dict[str, Any]) -> None:
    document["bed"] = 3
    assert [fault.sentence("f") for fault in faults(document)] == ["f: bed is 3, but must be a table."]


def test_the_shipped_profiles_have_the_right_form() -> None:
    assert [fault for document in DOCUMENTS.values() for fault in walked(document)] == []


@pytest.mark.parametrize("value", [None, (0, 220), float("nan"), 1e8, 10**30, 1.0, True, "60"])
def test_the_quick_answer_is_the_one_of_the_walk(document: dict[str, Any], value: object) -> None:
    for table, key in (("motion", "baud"), ("motion", "x_mm"), ("heat", "bed_c"), ("bed", "thickness_mm")):
        changed = copy.deepcopy(document)
        changed[table][key] = value
        assert list(faults(changed)) == list(walked(changed))


def places(value: object, path: tuple[Any, ...] = ()) -> list[tuple[Any, ...]]:
    below = value.items() if isinstance(value, dict) else enumerate(value) if isinstance(value, list) else ()
    return [path, *(place for key, item in below for place in places(item, (*path, key)))][0 if path else 1 :]


ANYTHING = st.recursive(
    st.none() | st.booleans() | st.integers() | st.floats() | st.text(max_size=20),
    lambda inner: st.lists(inner, max_size=3) | st.dictionaries(st.text(max_size=8), inner, max_size=3),
    max_leaves=5,
)


@settings(max_examples=300, deadline=None)
@given(st.data())
def test_any_value_in_any_place_gives_a_machine_or_one_sentence(data: st.DataObject) -> None:
    document = copy.deepcopy(DOCUMENTS[data.draw(st.sampled_from(sorted(DOCUMENTS)))])
    *above, last = data.draw(st.sampled_from(places(document)))
    part: Any = document
    for key in above:
        part = part[key]
    part[last] = data.draw(ANYTHING)
    assert list(faults(document)) == list(walked(document))  # the quick answer is the thorough one's
    said = ""
    try:
        assert isinstance(machine_of(document, "mine.toml"), Machine)
    except ProfileError as error:
        said = str(error)
    assert said.startswith("")
    assert said.isprintable()
    assert len(said) < 500
