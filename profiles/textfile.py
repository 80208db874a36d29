"""Reading a small text file that a person named, or one sentence that says why it cannot be read."""

from __future__ import annotations

import stat
from os import stat_result
from pathlib import Path

from profiles.faults import printable


class FileRefused(Exception):
    """The file cannot be used; the text is one sentence that names it."""


def read_text(path: Path, largest_bytes: int, wanted: str) -> str:
    """Return the text of an ordinary UTF-8 file; nothing is read of one that is too large.

    wanted: what it should be, as in "a profile is one TOML file". Raises FileRefused.
    """
    file = printable(str(path))
    try:
        _refuse_by_kind(file, path.stat(), largest_bytes, wanted)
        with path.open("rb") as stream:
            return decoded(stream.read(largest_bytes + 1), file, largest_bytes, wanted)
    except FileNotFoundError:
        raise FileRefused(f"{file}: there is no such file.") from None
    except (OSError, ValueError) as error:
        reason = getattr(error, "strerror", None) or str(error)
        raise FileRefused(f"{file}: the file cannot be read: {printable(reason)}.") from None


def decoded(data: bytes, file: str, largest_bytes: int, wanted: str) -> str:
    """Return `data` as text; a mark of the byte order in front is dropped. Raises FileRefused."""
    if len(data) > largest_bytes:
        raise FileRefused(f"{file}: more than {largest_bytes} bytes, which is the most; {wanted}.")
    try:
        return data.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        raise FileRefused(f"{file}: byte {error.start + 1} is not UTF-8 text; {wanted}.") from None


def _refuse_by_kind(file: str, about: stat_result, largest_bytes: int, wanted: str) -> None:
    if stat.S_ISDIR(about.st_mode):
        raise FileRefused(f"{file}: this is a folder; {wanted}.")
    if not stat.S_ISREG(about.st_mode):
        raise FileRefused(f"{file}: this is not an ordinary file; {wanted}.")
    if about.st_size > largest_bytes:
        raise FileRefused(f"{file}: {about.st_size} bytes, but {largest_bytes} are the most; {wanted}.")
