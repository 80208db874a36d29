"""What a job changed and where it is kept."""

from __future__ import annotations

import msgspec
import pytest

from profiles.load import load
from wizard.facts import Facts
from wizard.instructions.stored import stored_sentences
from wizard.rounds import Round


def test_turns_of_all_rounds_are_added_and_told_with_their_way() -> None:
    machine = load("four-corner-220")
    one, two = (adjuster.name for adjuster in machine.adjuster[:2])
    rounds = (Round(turned={one: 0.5, two: 0.25}), Round(turned={one: -0.25, two: -0.25}))
    (told,) = stored_sentences(Facts(machine, rounds=rounds))
    assert told == f"Turned in all: {one} 1/4 turn clockwise."


@pytest.mark.parametrize(
    ("profile", "kept"),
    [
        ("endstop-screw-120", "set by the endstop screw"),
        ("stored-offset-140", "stored in the machine"),
        ("four-corner-220", "set by the bed's own adjusters"),
    ],
)
def test_a_changed_height_is_told_with_what_keeps_it(profile: str, kept: str) -> None:
    rounds = (Round(height_change_mm=0.05), Round(height_change_mm=-0.02))
    (told,) = stored_sentences(Facts(load(profile), rounds=rounds))
    assert told == f"Nozzle height: +0.03 mm in all, {kept}."


def test_nothing_changed_is_told_too() -> None:
    facts = Facts(load("four-corner-220"), rounds=(Round(),))
    assert stored_sentences(facts) == ("Nothing was changed.",)
    following = msgspec.structs.replace(facts, following=True)
    assert stored_sentences(following)[0].startswith("Software compensation: the machine follows")
