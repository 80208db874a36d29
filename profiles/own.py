"""A person's own profiles: TOML files in the configuration folder, known by the file's name.

The folder is that of the XDG Base Directory Specification (`$XDG_CONFIG_HOME/tramwright/profiles`, usually
`~/.config/...`), or `profiles` in the folder that the variable TRAMWRIGHT_HOME names.
"""

from __future__ import annotations

import os
import re
import unicodedata
from errno import ENOTDIR
from pathlib import Path

from profiles.faults import ProfileError, printable

LONGEST_STEM = 60


def folder() -> Path:
    """Return the folder of the person's own profiles; it need not be there."""
    home = os.environ.get("TRAMWRIGHT_HOME")
    if home:
        return Path(home) / "profiles"
    from platformdirs import user_config_path

    return user_config_path("tramwright") / "profiles"


def files() -> dict[str, Path]:
    """Return the person's own profiles by name; none where the folder is not there or cannot be read."""
    try:
        return {path.stem: path for path in sorted(folder().glob("*.toml"))}
    except OSError:
        return {}


def file_for(name: str) -> Path:
    """Return the file in which a machine of that name is kept: "The one" is kept in the-one.toml."""
    plain = unicodedata.normalize("NFKD", name).encode("ascii", "ignore").decode().casefold()
    stem = re.sub(r"[^a-z0-9]+", "-", plain).strip("-")[:LONGEST_STEM].strip("-")
    return folder() / f"{stem or 'machine'}.toml"


def write(path: Path, text: str, *, over: bool = False) -> None:
    """Write a profile whole or not at all; over another file only where told. Raises ProfileError."""
    file = printable(str(path))
    try:
        if path.parent == folder():
            _make_folder(path.parent)
        _write(path, text, over)
    except FileExistsError:
        raise ProfileError(f"{file}: it is there already, and nothing is written over it.") from None
    except OSError as error:
        raise ProfileError(f"{file}: it cannot be written: {error.strerror}.") from None


def _make_folder(path: Path) -> None:
    try:
        path.mkdir(parents=True, exist_ok=True)
    except FileExistsError:
        raise NotADirectoryError(ENOTDIR, "its folder is a file") from None


def _write(path: Path, text: str, over: bool) -> None:
    """Write beside, then give it its name in one step."""
    beside = path.with_name(f".{path.name}.{os.urandom(4).hex()}")
    try:
        with beside.open("x", encoding="utf-8") as stream:
            stream.write(text)
            stream.flush()
            os.fsync(stream.fileno())
        if not over:
            _claim(beside, path)
        beside.replace(path)
    finally:
        beside.unlink(missing_ok=True)


def _claim(beside: Path, path: Path) -> None:
    """Give `path` to the whole file in one step. Raises FileExistsError where the name is taken."""
    try:
        os.link(beside, path)
    except FileExistsError:
        raise
    except OSError:  # a file system without links: an empty file holds the name for the moment between
        path.open("x").close()
