"""Widgets draw anew only what changed, and never cut a text that wraps."""

from __future__ import annotations

from typing import Any

import pytest
from rich.text import Text
from textual.app import App, ComposeResult

from wizard.widgets.marks import FULL, PLAIN
from wizard.widgets.page_words import Words, body_words, caution_words, flowing_keys
from wizard.widgets.title import title_rows


class _Page(App[None]):
    CSS = "Words { height: auto; width: 20; }"

    def compose(self) -> ComposeResult:
        yield Words(id="words")


@pytest.mark.parametrize(
    ("words", "rows"),
    [
        ("one", 1),
        ("one\ntwo", 2),
        ("far more than what ever fits in one row right here", 3),
        ("a row that is too wide", 2),
    ],
)
async def test_words_are_as_high_as_they_need_after_any_other_words(words: str, rows: int) -> None:
    app = _Page()
    async with app.run_test() as pilot:
        shown = app.query_one(Words)
        for before in ("x", "x\ny", "much more than what fits in one row"):
            shown.show(Text(before))
            await pilot.pause()
            shown.show(Text(words))
            await pilot.pause()
            assert shown.size.height == rows


async def test_the_same_words_again_are_not_drawn_again(monkeypatch: pytest.MonkeyPatch) -> None:
    app = _Page()
    async with app.run_test():
        shown = app.query_one(Words)
        shown.show(Text("one", "bold"))
        drawn: list[Any] = []
        monkeypatch.setattr(shown, "update", lambda *args, **_: drawn.append(args))
        shown.show(Text("one", "bold"))
        assert drawn == []
        shown.show(Text("one"))
        assert len(drawn) == 1


def test_wrapped_lines_of_a_body_are_joined_again_before_they_are_wrapped_anew() -> None:
    body = ("Leaf flat on the plate, no force: it slides,", "  the next thicker will not enter.", "Type it.")
    assert body_words(body, 90).plain.split("\n") == [
        "Leaf flat on the plate, no force: it slides, the next thicker will not enter.",
        "Type it.",
    ]
    assert max(map(len, body_words(body, 30).plain.split("\n"))) <= 30


def test_a_caution_is_called_so_and_fits() -> None:
    words = caution_words("Hot plate or nozzle. It moves on your answer: hands off first.", 30).plain
    assert words.startswith("CAUTION Hot plate")
    assert max(map(len, words.split("\n"))) <= 30
    assert not caution_words("", 30)


def test_keys_flow_into_as_few_rows_as_fit() -> None:
    keys = [("y", "turned as told"), ("n", "turned nothing"), ("o", "another amount")]
    assert flowing_keys(keys, 80).plain.count("\n") == 0
    narrow = flowing_keys(keys, 24).plain
    assert narrow.count("\n") == 2
    assert max(len(line.rstrip()) for line in narrow.split("\n")) <= 24


@pytest.mark.parametrize("marks", [FULL, PLAIN])
@pytest.mark.parametrize("rows", [3, 5, 9])
@pytest.mark.parametrize("moving", [False, True])
def test_the_band_is_filled_to_its_size_and_hatched_only_while_moving(
    marks: Any, rows: int, moving: bool
) -> None:
    drawn = title_rows("Going over centre. Keep hands clear.", 76, rows, moving, marks)
    assert [len(row) for row in drawn] == [76] * rows
    assert ("/ /" in "".join(drawn)) == moving
