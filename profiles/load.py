"""A TOML file -> a Machine that has been checked, or one sentence that says what is wrong."""

from __future__ import annotations

import tomllib
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import msgspec

from profiles import checks, form, own, sound
from profiles.faults import Fault, ProfileError, nearest, printable, shown
from profiles.lines import line_of, lines_of
from profiles.machine import Machine
from profiles.textfile import FileRefused, read_text

__all__ = [
    "ProfileError",
    "file_of",
    "found",
    "load",
    "machine_of",
    "parse",
    "problems",
    "problems_of",
    "shipped",
]

LARGEST_FILE_BYTES = 256 * 1024


def shipped() -> dict[str, Path]:
    """Return the machine files that come with the program, by name, in alphabetical order."""
    return {path.stem: path for path in sorted(Path(__file__).parent.glob("*.toml"))}


def found() -> dict[str, Path]:
    """Return all machine files known by name; a person's own one stands in place of a shipped one."""
    return {**shipped(), **own.files()}


def load(name_or_path: str) -> Machine:
    """Return the machine of a profile known by name, or of a file.

    A name means the person's own profile before a shipped one; "./NAME" always means a file. Raises
    ProfileError with one sentence.
    """
    path = file_of(name_or_path)
    return parse(_text(path), str(path))


def problems(name_or_path: str) -> tuple[str, ...]:
    """Return one sentence for each thing that is wrong; empty where the profile can be used."""
    try:
        path = file_of(name_or_path)
        text = _text(path)
    except ProfileError as error:
        return (str(error),)
    return problems_of(text, str(path))


def problems_of(text: str, file: str) -> tuple[str, ...]:
    """Return one sentence for each thing that is wrong in a profile's text, in the order of its lines."""
    try:
        document = _document(text, file)
    except ProfileError as error:
        return (str(error),)
    return _sentences(document, text, file)


def parse(text: str, file: str) -> Machine:
    """Return the machine told by `text`; `file` names it in a sentence. Raises ProfileError."""
    document = _document(text, file)
    for sentence in _sentences(document, text, file):
        raise ProfileError(sentence)
    return msgspec.convert(document, Machine)


def machine_of(document: dict[str, Any], file: str) -> Machine:
    """Return the machine told by the tables of a TOML document. Raises ProfileError."""
    for fault in _faults(document):
        raise ProfileError(fault.sentence(file))
    return msgspec.convert(document, Machine)


def _sentences(document: dict[str, Any], text: str, file: str) -> tuple[str, ...]:
    """Return a sentence for each fault, in the order of the file's lines."""
    found = tuple(dict.fromkeys(_faults(document)))
    if not found:
        return ()
    lines = lines_of(text, document)
    placed = [(line_of(fault.key, lines), fault) for fault in found]
    placed.sort(key=lambda each: each[0] or 0)
    return tuple(fault.sentence(file, line) for line, fault in placed)


def _faults(document: dict[str, Any]) -> Iterator[Fault]:
    of_form = tuple(form.faults(document))
    yield from of_form
    if of_form:
        yield from sound.faults(document, of_form)
    else:
        yield from checks.faults(msgspec.convert(document, Machine))


def _document(text: str, file: str) -> dict[str, Any]:
    try:
        document = tomllib.loads(text)
    except (ValueError, RecursionError) as error:
        reason = printable(str(error)).rstrip(".") or "it is nested too deeply"
        raise ProfileError(f"{printable(file)}: this is not TOML: {reason}.") from None
    wanted = "tramwright-profile/1"
    if document.get("format") != wanted:
        said = shown(document["format"]) if "format" in document else "missing"
        raise ProfileError(f'{printable(file)}: format is {said}, but must be "{wanted}".')
    return document


def file_of(name_or_path: str) -> Path:
    """Return the file of a profile known by name, or the path itself. Raises ProfileError."""
    known = found()
    if name_or_path in known:
        return known[name_or_path]
    path = Path(name_or_path)
    if "/" in name_or_path or "\\" in name_or_path or path.suffix == ".toml" or _is_there(path):
        return path
    raise ProfileError(
        f"no profile is called {shown(name_or_path)}; {nearest(name_or_path, tuple(known))}"
        ", or the path of a TOML file."
    )


def _is_there(path: Path) -> bool:
    try:
        return path.exists()
    except (OSError, ValueError):
        return False


def _text(path: Path) -> str:
    try:
        return read_text(path, LARGEST_FILE_BYTES, "a profile is one TOML file of UTF-8 text")
    except FileRefused as error:
        raise ProfileError(str(error)) from None
