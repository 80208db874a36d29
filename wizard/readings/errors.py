"""Why a typed text was not taken, and how texts are made ready for reading."""

from __future__ import annotations

import re

from profiles.faults import shown

LONGEST_TYPED = 120
_DASHES = dict.fromkeys(map(ord, "‐‑‒–—−"), "-")
_SPACES = re.compile(r"\s+")


class ReadingError(ValueError):
    """A typed text cannot be taken; the text is one sentence that says why and what to type."""


def refused(text: str, why: str) -> ReadingError:
    """Return the refusal of `text`: "TEXT" WHY."""
    return ReadingError(f"{shown(text.strip())} {why}.")


def tidy(text: str, wanted: str) -> str:
    """Return `text` in one form: lower case, plain dashes, single spaces.

    Raises ReadingError where nothing is left or the text is longer than any answer could be.
    """
    plain = _SPACES.sub(" ", text.translate(_DASHES)).strip().lower()
    if not plain:
        raise ReadingError(f"Nothing was typed: {wanted}.")
    if len(plain) > LONGEST_TYPED:
        raise ReadingError(f"That is longer than {LONGEST_TYPED} characters: {wanted}.")
    return plain


def with_points(plain: str) -> str:
    """Return `plain` with decimal commas as points; a comma that only can be a separator becomes ";".

    It separates where a space follows, or where the text has decimal points besides.
    """
    plain = re.sub(r",(?= |$)", ";", plain)
    return plain.replace(",", ";" if "." in plain else ".")
