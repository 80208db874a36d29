"""The person's own settings: `config.toml` in the configuration folder, or in the one TRAMWRIGHT_HOME names.

[keys] moves what works in every step, by its word; [answers] moves the letters that answer steps. A file
that is not there means the usual keys; one that cannot be used is refused with its line.
"""

from __future__ import annotations

import os
import tomllib
from pathlib import Path
from typing import Any

from profiles.faults import printable
from profiles.lines import line_of, lines_of
from profiles.textfile import FileRefused, read_text
from wizard.exits import InputRefused
from wizard.instructions.page import ANSWER_KEYS
from wizard.keymap import FIXED, USUAL, KeyMap, KeyRefused, key_map

LARGEST_FILE_BYTES = 64 * 1024
TABLES = ("keys", "answers")


def config_file() -> Path:
    """Return where the settings are kept; the file need not be there."""
    home = os.environ.get("TRAMWRIGHT_HOME")
    if home:
        return Path(home) / "config.toml"
    from platformdirs import user_config_path

    return user_config_path("tramwright") / "config.toml"


def keys_in_force() -> KeyMap:
    """Return the key map of the person's settings. Raises InputRefused with file, line and reason."""
    path = config_file()
    if not path.exists():
        return USUAL
    try:
        text = read_text(path, LARGEST_FILE_BYTES, "the settings are one TOML file")
    except FileRefused as error:
        raise InputRefused(str(error)) from None
    return keys_of(text, printable(str(path)))


def keys_of(text: str, file: str) -> KeyMap:
    """Return the key map of a settings file's text. Raises InputRefused."""
    try:
        document = tomllib.loads(text)
    except tomllib.TOMLDecodeError as error:
        raise InputRefused(f"{file}: this is no TOML: {printable(str(error))}.") from None
    try:
        tables = [_table(document, name) for name in TABLES]
        _refuse_unknown(document)
        return key_map(*tables)
    except KeyRefused as why:
        raise InputRefused(f"{file}{_line(text, document, why.entry)}: {printable(str(why))}.") from None


def settings_text(keys: KeyMap) -> str:
    """Return a settings file that says the keys in force, each with what it does."""
    lines = ["# Keys: one letter from a to z, or f1 to f12. Leave out what stays as it is.", "[keys]"]
    lines += [
        f"{action.word.replace(' ', '-'):<12}= {_quoted(action.key):<10}# {action.help}"
        for action in keys.actions
        if action.name != FIXED
    ]
    lines += ["", "# Letters that answer a step; one meaning in each step.", "[answers]"]
    lines += [f"{usual} = {_quoted(keys.shown(usual))}" for usual in sorted(ANSWER_KEYS)]
    return "\n".join(lines)


def _quoted(key: str) -> str:
    return f'"{key}"'


def _table(document: dict[str, Any], name: str) -> dict[str, str]:
    table = document.get(name, {})
    if not isinstance(table, dict):
        raise KeyRefused(name, f"{name} is a table of its own: write [{name}]")
    for entry, key in table.items():
        if not isinstance(key, str):
            raise KeyRefused(entry, f"{entry} needs a key in quotation marks, such as {_quoted('s')}")
    return table


def _refuse_unknown(document: dict[str, Any]) -> None:
    for name in document:
        if name not in TABLES:
            known = " and ".join(f"[{table}]" for table in TABLES)
            raise KeyRefused(name, f"there is no table {name!r}; there are {known}")


def _line(text: str, document: dict[str, Any], entry: str) -> str:
    """Return ", line N" for an entry, "" where it cannot be told."""
    lines = lines_of(text, document)
    found = (
        line_of(key, lines) for key in (*(f"{table}.{entry}" for table in TABLES), entry) if key in lines
    )
    line = next(found, None)
    return "" if line is None else f", line {line}"
