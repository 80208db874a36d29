from __future__ import annotations

import tomllib
from collections.abc import Callable
from typing import Any

import pytest

from profiles.load import ProfileError, parse, shipped


def _text(name: str) -> str:
    return shipped()[name].read_text("utf-8")


@pytest.fixture
def text() -> str:
    """A profile that can be used, as TOML."""
    return _text("four-corner-220")


@pytest.fixture
def document(text: str) -> dict[str, Any]:
    """The same profile as tables."""
    return tomllib.loads(text)


@pytest.fixture
def refused() -> Callable[[str, str, str], str]:
    """Change `old` to `new` (first place only) in a shipped profile; return the sentence that refuses it."""

    def refuse(profile: str, old: str, new: str) -> str:
        text = _text(profile)
        assert old in text
        with pytest.raises(ProfileError) as raised:
            parse(text.replace(old, new, 1), "mine.toml")
        return str(raised.value)

    return refuse
