"""A ROUNDS file, JSON or CSV -> rounds for the solver, or one sentence that says what is wrong.

Each sentence names the file, the place in it, the value and what is allowed there.
"""

from __future__ import annotations

import sys
from pathlib import Path

from profiles.faults import printable
from profiles.machine import Machine
from profiles.textfile import FileRefused, decoded, read_text
from wizard.exits import InputRefused
from wizard.formats.rounds_csv import rounds_of_csv
from wizard.formats.rounds_json import rounds_of_json
from wizard.formats.rounds_values import RoundsFault
from wizard.rounds import Round

LARGEST_FILE_BYTES = 1_000_000
WANTED = "readings are JSON or CSV in UTF-8 text"


def read_rounds(name: str, machine: Machine) -> tuple[Round, ...]:
    """Return the rounds of the file `name` ("-" is standard input). Raises InputRefused."""
    try:
        if name == "-":
            data = sys.stdin.buffer.read(LARGEST_FILE_BYTES + 1)
            return parse(
                decoded(data, "standard input", LARGEST_FILE_BYTES, WANTED), "standard input", machine
            )
        return parse(read_text(Path(name), LARGEST_FILE_BYTES, WANTED), name, machine)
    except FileRefused as error:
        raise InputRefused(str(error)) from None


def parse(text: str, file: str, machine: Machine) -> tuple[Round, ...]:
    """Return the rounds told by `text`; `file` names it in a sentence. Raises InputRefused."""
    try:
        if not text.strip():
            raise RoundsFault("the file is empty; " + WANTED)
        rounds = rounds_of_json(text, machine) if _is_json(text, file) else rounds_of_csv(text, machine)
        if not any(one.readings for one in rounds):
            raise RoundsFault("there is no reading in it; at least one round needs readings")
        return rounds
    except RoundsFault as fault:
        raise InputRefused(f"{printable(file)}: {fault}.") from None


def _is_json(text: str, file: str) -> bool:
    return text.lstrip()[0] in "{[" or file.lower().endswith(".json")
