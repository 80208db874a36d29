from __future__ import annotations

import pytest

from profiles.keys import Range
from wizard.describing.asking import Asker, Unusable, numbers_of, option_of
from wizard.exits import InputRefused

ALLOWED = Range(0.1, 50, "mm")


def test_a_question_is_asked_again_with_the_reason_until_the_answer_can_be_used():
    texts, told = iter(["", "thick", "99", "0,8 mm"]), []
    asker = Asker(lambda _: next(texts), told.append)
    assert asker.number("Thickness", ALLOWED) == 0.8
    assert told == [
        "  Give one number.",
        "  Give one number, as in 0.2.",
        "  99 is not within 0.1 to 50 mm.",
    ]


def test_an_empty_line_takes_what_is_usual():
    asker = Asker(lambda _: "", lambda _: None)
    assert asker.number("Thickness", ALLOWED, 3) == 3
    assert asker.yes("Well", usual=True)
    assert not asker.yes("Well", usual=False)


def test_the_end_of_input_is_told_in_one_sentence():
    def ended(_: str) -> str:
        raise EOFError

    with pytest.raises(InputRefused, match="nothing was written"):
        Asker(ended, print).name("Name")


@pytest.mark.parametrize(
    ("text", "numbers"),
    [("220 200", [220, 200]), ("220x200 mm", [220, 200]), ("1,5; 2", [1.5, 2]), ("1.5, 2", [1.5, 2])],
)
def test_two_numbers_may_be_written_as_people_write_them(text, numbers):
    assert numbers_of(text, ALLOWED_WIDE, 2) == numbers


ALLOWED_WIDE = Range(-2000, 2000, "mm")


@pytest.mark.parametrize("text", ["1", "1 2 3", "a b", "1 nan", "1 inf", ""])
def test_what_is_not_two_numbers_within_the_range_is_refused(text):
    with pytest.raises(Unusable):
        numbers_of(text, ALLOWED_WIDE, 2)


def test_the_beginning_of_a_word_is_enough_where_it_is_plain():
    options = ("no", "touch plate", "touch", "nozzle contact")
    assert option_of("no", options) == "no"
    assert option_of("noz", options) == "nozzle contact"
    assert option_of("touch", options) == "touch"
    for unclear in ("n", "", "x", "t"):
        with pytest.raises(Unusable, match="llowed are no, touch plate, touch, nozzle contact"):
            option_of(unclear, options)
