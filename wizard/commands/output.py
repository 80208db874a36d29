"""Where a command's text goes: standard output, or a new file."""

from __future__ import annotations

import sys

from wizard import exits


def put_out(text: str, name: str | None) -> None:
    """Print, or write to a new file. Raises InputRefused."""
    if name is None:
        sys.stdout.write(text)
        return
    try:
        with open(name, "x", encoding="utf-8", newline="") as file:
            file.write(text)
    except OSError as error:
        raise exits.InputRefused(f"{name}: cannot be written: {error.strerror}") from error
