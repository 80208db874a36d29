"""A journal that the disk refused, written whole to another place at the end of the run."""

from __future__ import annotations

import os
from pathlib import Path

import msgspec

from wizard.journal.lines import AnyLine, End
from wizard.journal.writing import Journal


def write_elsewhere(journal: Journal, path: Path) -> None:
    """Write the run into a new file. Raises OSError where it cannot be written, or is there already."""
    record = journal.record
    lines: list[AnyLine] = [journal.header, *record.steps]
    lines += [End(record.outcome)] if record.outcome is not None else []
    handle = os.open(path, os.O_WRONLY | os.O_CREAT | os.O_EXCL, 0o600)
    with os.fdopen(handle, "wb") as file:
        file.writelines(msgspec.json.encode(line) + b"\n" for line in lines)
        file.flush()
        os.fsync(file.fileno())
