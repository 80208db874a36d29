"""The folder of journals: where it is, and which of its runs is not at its end."""

from __future__ import annotations

import os
from pathlib import Path

from wizard.journal.files import JournalError, header_of, read_lines
from wizard.journal.lines import Break, add_all, met_the_machine, open_fault, silent_end


def runs_folder() -> Path:
    """Return where journals are kept: TRAMWRIGHT_HOME/runs, else the user's data folder."""
    home = os.environ.get("TRAMWRIGHT_HOME")
    if home:
        return Path(home) / "runs"
    from platformdirs import user_data_path

    return user_data_path("tramwright") / "runs"


def newest_unfinished(profile_name: str, procedure: str = "level", folder: Path | None = None) -> Path | None:
    """Return the newest run of this profile that has not come to its end, None where there is none."""
    folder = runs_folder() if folder is None else folder
    for path in sorted(folder.glob("*.jsonl"), reverse=True):
        if _is_unfinished(path, profile_name, procedure):
            return path
    return None


def last_fault(profile_name: str, folder: Path | None = None) -> tuple[Path, Break] | None:
    """Return the fault in which the last run of this profile ended and at which nobody has looked, if any.

    A run that was cut off without a word counts as one (its `fault` is False), and so does one still under
    way. A run that ended before the machine did anything says nothing of it.
    """
    folder = runs_folder() if folder is None else folder
    for path in sorted(folder.glob("*.jsonl"), reverse=True):
        try:
            lines = read_lines(path)
        except JournalError:
            continue
        if header_of(lines, path).profile.name != profile_name:
            continue
        fault = open_fault(lines) or silent_end(lines)
        if fault is not None or met_the_machine(lines):
            return None if fault is None else (path, fault)
    return None


def _is_unfinished(path: Path, profile_name: str, procedure: str) -> bool:
    try:
        lines = read_lines(path)
        header = header_of(lines, path)
    except JournalError:
        return False
    wanted = (header.profile.name, header.procedure) == (profile_name, procedure)
    return wanted and add_all(lines[1:]).outcome is None
