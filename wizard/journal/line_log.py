"""The line log as a file: what went out and came in, for whoever has to look into a fault later."""

from __future__ import annotations

import os
from collections.abc import Sequence
from datetime import datetime
from pathlib import Path

from wizard.journal.files import private, private_folder
from wizard.journal.runs import runs_folder

CLIPBOARD_BYTES = 60_000
"""What terminals take into their clipboard at once is limited; so much passes most of them."""


def logs_folder() -> Path:
    """Return where line logs are kept: beside the journals."""
    return runs_folder().parent / "logs"


def keep(lines: Sequence[str], now: datetime) -> Path:
    """Write lines into a new file of their own and return its path. Raises OSError."""
    folder = logs_folder()
    private_folder(folder)
    for nth in range(1, 1000):
        path = folder / f"line-{now:%Y%m%d-%H%M%S}{'' if nth == 1 else f'-{nth}'}.txt"
        try:
            with open(path, "x", encoding="utf-8", errors="backslashreplace", opener=private) as stream:
                stream.write("".join(f"{line}\n" for line in lines))
                stream.flush()
                os.fsync(stream.fileno())
        except FileExistsError:
            continue
        return path
    raise FileExistsError(f"{folder} has too many logs of this second")


def for_clipboard(lines: Sequence[str]) -> str:
    """Return the newest lines, as many whole ones as a clipboard surely takes."""
    kept: list[str] = []
    room = CLIPBOARD_BYTES
    for line in reversed(lines):
        room -= len(line.encode("utf-8", "replace")) + 1
        if room < 0:
            break
        kept.append(line)
    return "\n".join(reversed(kept))
