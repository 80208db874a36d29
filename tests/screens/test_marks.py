"""Characters: the plain set is ASCII, and nothing that a terminal would obey gets through."""

from __future__ import annotations

import msgspec
import pytest
from hypothesis import given
from hypothesis import strategies as st

from wizard.widgets.marks import FULL, PLAIN, harmless, marks_for, to_plain


def test_every_plain_mark_is_ascii_and_every_full_one_a_single_character() -> None:
    for name, mark in msgspec.structs.asdict(PLAIN).items():
        assert name == "plain" or mark.isascii(), name
    for name, mark in msgspec.structs.asdict(FULL).items():
        assert name in ("plain", "corners") or len(mark) == 1, name


@pytest.mark.parametrize(
    ("environ", "encoding", "expected"),
    [
        ({"TERM": "xterm-256color"}, "UTF-8", FULL),
        ({"TERM": "screen"}, "utf8", FULL),
        ({"TERM": "xterm"}, "latin-1", PLAIN),
        ({"TERM": "xterm"}, None, PLAIN),
        ({"TERM": "linux"}, "utf-8", PLAIN),
        ({"TERM": "vt100"}, "utf-8", PLAIN),
        ({"TERM": "xterm", "TRAMWRIGHT_PLAIN_MARKS": "1"}, "utf-8", PLAIN),
    ],
)
def test_the_set_follows_encoding_and_terminal(
    environ: dict[str, str], encoding: str, expected: object
) -> None:
    assert marks_for(environ, encoding) is expected


@given(st.text())
def test_plain_text_is_ascii_and_keeps_its_length(text: str) -> None:
    plain = to_plain(text)
    assert plain.isascii()
    assert len(plain) == len(text)


@given(st.text())
def test_harmless_text_holds_no_code_that_a_terminal_obeys(text: str) -> None:
    shown = harmless(text)
    assert len(shown) == len(text)
    assert not any(ord(c) < 32 or 127 <= ord(c) < 160 for c in shown)


def test_harmless_text_leaves_ordinary_text_alone() -> None:
    assert harmless("ok T:22.0 /0.0 °±●") == "ok T:22.0 /0.0 °±●"
