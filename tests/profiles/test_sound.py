from __future__ import annotations

from typing import Any

from hypothesis import given, settings
from hypothesis import strategies as st

from profiles.load import load, problems_of, shipped

FOUR = "four-corner-220"


def keys(text: str) -> list[str]:
    return [sentence.partition(": ")[2].partition(" is ")[0] for sentence in problems_of(text, "mine.toml")]


def test_mistakes_of_form_and_of_sense_are_told_together_in_the_order_of_lines(text: str) -> None:
    for old, new in (
        ("thickness_mm = 3.0", "thicknes_mm = 3.0"),
        ("baud = 115200", "baud = 9"),
        ("clearance_mm = 5.0", "clearance_mm = 0.1"),
        ("card_mm = 0.10", 'card_mm = "thin"'),
        ("soak_min = 5", "soak_min = -5"),
        ("at_mm = [190, 30]\nkind", "at_mm = [400, 30]\nkind"),
        ('thread = "M3"', 'thread = "M99"'),
        ("at_mm = [110, 110]", "at_mm = [110, 221]"),
    ):
        assert old in text
        text = text.replace(old, new, 1)
    assert keys(text) == [
        "bed.thicknes_mm",
        "motion.baud",
        "motion.clearance_mm",
        "heat.soak_min",
        "gauge.card_mm",
        'adjuster 1 ("front left").thread',
        'adjuster 2 ("front right").at_mm',
        'point 5 ("centre").at_mm[2]',
        'point 5 ("centre").at_mm',
    ]


def test_a_wrong_item_hides_nothing_of_its_neighbours(text: str) -> None:
    text = text.replace('kind = "screw"', 'kind = "bolt"', 1)
    text = text.replace("at_mm = [190, 190]\nkind", "at_mm = [500, 190]\nkind", 1)
    assert keys(text) == ['adjuster 1 ("front left").kind', 'adjuster 3 ("back right").at_mm']


def test_nothing_is_told_that_a_missing_part_could_have_caused(text: str) -> None:
    without_bed = text.replace("[bed]", "[bad]")
    assert keys(without_bed) == ["bed", "bad"]


@settings(max_examples=60, deadline=None)
@given(st.data())
def test_each_mistake_told_of_a_profile_with_two_is_told_of_one_of_them_alone(data: Any) -> None:
    whole = shipped()[FOUR].read_text("utf-8").splitlines()
    told = [
        nth
        for nth, line in enumerate(whole)
        if " = " in line and not line.startswith(("#", "format", "name"))
    ]
    first, second = data.draw(st.lists(st.sampled_from(told), min_size=2, max_size=2, unique=True))

    def spoilt(*places: int) -> set[str]:
        lines = [
            line.partition(" = ")[0] + ' = {wrong = "x"}' if nth in places else line
            for nth, line in enumerate(whole)
        ]
        return set(problems_of("\n".join(lines), "mine.toml"))

    assert spoilt(first, second) == spoilt(first) | spoilt(second)
    assert load(FOUR)
