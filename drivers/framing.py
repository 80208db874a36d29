"""Blocks to bytes and bytes to lines."""

from __future__ import annotations

from functools import reduce
from operator import xor

FIRST_NUMBER = 1000
LAST_NUMBER = 99999
MAX_LINE_BYTES = 4096


def check_block(block: str) -> None:
    """Raise ValueError unless `block` is one plain block: no line end, comment or checksum."""
    if not block.isascii() or not block.isprintable() or not block.strip() or set(block) & set("*;()"):
        raise ValueError(f"{block!r} is not one plain block")


def frame(number: int, block: str) -> bytes:
    """Return the bytes of one numbered block with its checksum, the exclusive or of what is before `*`."""
    body = f"N{number} {block}".encode("ascii")
    return body + b"*%d\n" % reduce(xor, body)


class Splitter:
    """Cuts a stream of bytes into lines. A line without end is cut off, so that memory stays flat."""

    def __init__(self) -> None:
        self._rest = bytearray()

    def split(self, data: bytes) -> list[bytes]:
        """Return the lines that `data` completes, without their ends."""
        self._rest += data
        *lines, rest = self._rest.split(b"\n")
        self._rest = rest[:MAX_LINE_BYTES]
        return [bytes(line).rstrip(b"\r") for line in lines]
