"""Large letters: each readable as itself, folded between words."""

from __future__ import annotations

from hypothesis import given, settings
from hypothesis import strategies as st

from wizard.widgets import big_letters
from wizard.widgets.big_letters import draw, fold, known, width
from wizard.widgets.marks import FULL

LETTERS = "ABCDEFGHIJKLMNOPQRSTUVWXYZ0123456789.,:;-+/'?!()=%°"
WORDS = st.lists(
    st.text(st.sampled_from("ABCDEFGHIJKLMNOPQRSTUVWXYZ"), min_size=1, max_size=8), min_size=1, max_size=9
)


def test_no_two_characters_look_alike() -> None:
    drawn = {letter: tuple(draw(letter, FULL)) for letter in LETTERS}
    assert len(set(drawn.values())) == len(LETTERS)


def test_every_shape_has_five_rows_of_one_width() -> None:
    for letter, shape in big_letters._SHAPES.items():
        rows = shape.split()
        assert len(rows) == 5, letter
        assert len({len(row) for row in rows}) == 1, letter


@given(words=WORDS, columns=st.integers(30, 120))
@settings(max_examples=60, deadline=None)
def test_folding_keeps_all_words_in_order_inside_the_width(words: list[str], columns: int) -> None:
    lines = fold(" ".join(words), columns)
    if any(width(word) > columns for word in words):
        assert lines is None
    else:
        assert lines is not None
        assert " ".join(lines).split() == words
        assert all(width(line) <= columns for line in lines)
        assert all(len(row) <= columns for line in lines for row in draw(line, FULL))


def test_a_text_with_a_character_without_shape_is_not_drawn() -> None:
    assert not known("ü")
    assert fold("Küche", 100) is None
