"""Lines from a stream."""

from __future__ import annotations

import io

from wizard.plain import typed_lines
from wizard.plain.lines import LONGEST_LINE


async def read(stream: io.TextIOBase) -> list[str]:
    """Return all lines of a stream."""
    return [line async for line in typed_lines(stream)]


async def test_lines_come_until_the_stream_ends() -> None:
    """Line ends of every kind are taken off; a last line without one counts."""
    assert await read(io.StringIO("one\r\ntwo\n\nlast", newline="")) == ["one", "two", "", "last"]


async def test_an_endless_line_comes_in_parts() -> None:
    """Nobody fills the memory by never ending a line."""
    lines = await read(io.StringIO("a" * (2 * LONGEST_LINE + 5)))
    assert [len(line) for line in lines] == [LONGEST_LINE, LONGEST_LINE, 5]


async def test_what_is_not_text_spoils_its_line_only() -> None:
    """Bytes that are no letters are replaced; the lines after them are read as ever."""
    stream = io.TextIOWrapper(io.BytesIO(b"one\n\xff0.15\ntwo\n"), "utf-8")
    assert await read(stream) == ["one", "\ufffd0.15", "two"]


async def test_a_closed_stream_is_the_end_of_typing() -> None:
    """A terminal that goes away ends the lines."""
    stream = io.StringIO("one\n")
    stream.close()
    assert await read(stream) == []
