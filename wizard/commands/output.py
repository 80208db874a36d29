"""Where a command's text goes: standard output, or a new file."""

from __future__ import annotations

import os
import sys
from contextlib import suppress
from typing import TextIO

from wizard import exits


def put_out(text: str, name: str | None) -> None:
    """Print, or write to a new file that nobody else on this host may read. Raises InputRefused.

    A file that cannot be written whole does not stay.
    """
    if name is None:
        sys.stdout.write(text)
        return
    from wizard.journal.files import private

    try:
        with open(name, "x", encoding="utf-8", newline="", opener=private) as file:
            _write_whole(file, name, text)
    except FileExistsError as error:
        raise exits.InputRefused(
            f"{name}: is there already, and is left as it is; name a new file"
        ) from error
    except OSError as error:
        raise exits.InputRefused(f"{name}: cannot be written: {error.strerror}") from error


def _write_whole(file: TextIO, name: str, text: str) -> None:
    try:
        file.write(text)
        file.flush()
    except OSError:
        with suppress(OSError):
            os.unlink(name)
        raise
