"""The person's own settings: `config.toml` in the configuration folder, or in the one TRAMWRIGHT_HOME names.

[show] thousandths = true tells lengths in thousandths of an inch, too.
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
SHOW = "show"
THOU = "thousandths"


def config_file() -> Path:
    """Return where the settings are kept; the file need not be there."""
    home = os.environ.get("TRAMWRIGHT_HOME")
    if home:
        return Path(home) / "config.toml"
    from platformdirs import user_config_path

    return user_config_path("tramwright") / "config.toml"


def keys_in_force() -> KeyMap:
    """Return the key map of the person's settings. Raises InputRefused with file, line and reason."""
    text = _text()
    return USUAL if text is None else keys_of(text, printable(str(config_file())))


def thou_wanted() -> bool:
    """Tell whether the settings want thousandths of an inch beside mm. Raises InputRefused."""
    text, file = _text(), printable(str(config_file()))
    if text is None:
        return False
    keys_of(text, file)  # whatever else is wrong in the file is told first
    return bool(_document(text, file).get(SHOW, {}).get(THOU, False))


def _text() -> str | None:
    """Return the settings as they are written, None where there are none. Raises InputRefused."""
    path = config_file()
    if not path.exists():
        return None
    try:
        return read_text(path, LARGEST_FILE_BYTES, "the settings are one TOML file")
    except FileRefused as error:
        raise InputRefused(str(error)) from None


def _document(text: str, file: str) -> dict[str, Any]:
    try:
        return tomllib.loads(text)
    except tomllib.TOMLDecodeError as error:
        raise InputRefused(f"{file}: this is no TOML: {printable(str(error))}.") from None


def keys_of(text: str, file: str) -> KeyMap:
    """Return the key map of a settings file's text. Raises InputRefused."""
    document = _document(text, file)
    try:
        tables = [_table(document, name) for name in TABLES]
        _refuse_unknown(document)
        _check_show(document.get(SHOW, {}))
        return key_map(*tables)
    except KeyRefused as why:
        raise InputRefused(f"{file}{_line(text, document, why.entry)}: {printable(str(why))}.") from None


def _check_show(table: object) -> None:
    if not isinstance(table, dict):
        raise KeyRefused(SHOW, f"{SHOW} is a table of its own: write [{SHOW}]")
    for entry, value in table.items():
        if entry != THOU:
            raise KeyRefused(entry, f"[{SHOW}] has no {entry!r}; there is {THOU}")
        if not isinstance(value, bool):
            raise KeyRefused(entry, f"{THOU} is true or false")


def settings_text(keys: KeyMap, *, thou: bool = False) -> str:
    """Return a settings file that says the keys in force, each with what it does."""
    lines = ["# Keys: one letter from a to z, or f1 to f12. Leave out what stays as it is.", "[keys]"]
    lines += [
        f"{action.word.replace(' ', '-'):<12}= {_quoted(action.key):<10}# {action.help}"
        for action in keys.actions
        if action.name != FIXED
    ]
    lines += ["", "# Letters that answer a step; one meaning in each step.", "[answers]"]
    lines += [f"{usual} = {_quoted(keys.shown(usual))}" for usual in sorted(ANSWER_KEYS)]
    lines += ["", "# Lengths in thousandths of an inch, too: true or false."]
    lines += [f"[{SHOW}]", f"{THOU} = {str(thou).lower()}"]
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
        if name not in (*TABLES, SHOW):
            known = " and ".join(f"[{table}]" for table in (*TABLES, SHOW))
            raise KeyRefused(name, f"there is no table {name!r}; there are {known}")


def _line(text: str, document: dict[str, Any], entry: str) -> str:
    """Return ", line N" for an entry, "" where it cannot be told."""
    lines = lines_of(text, document)
    found = (
        line_of(key, lines)
        for key in (*(f"{table}.{entry}" for table in (*TABLES, SHOW)), entry)
        if key in lines
    )
    line = next(found, None)
    return "" if line is None else f", line {line}"
