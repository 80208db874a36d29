from __future__ import annotations

import re
import tomllib
from collections.abc import Callable
from typing import Any

import pytest

from profiles.load import ProfileError, parse, problems_of, shipped


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
    """Change `old` to `new` (first place only) in a shipped profile; return the sentences that refuse it.

    The place in the file is cut off: each begins with its key.
    """

    def refuse(profile: str, old: str, new: str) -> str:
        text = _text(profile)
        assert old in text
        changed = text.replace(old, new, 1)
        with pytest.raises(ProfileError) as raised:
            parse(changed, "mine.toml")
        told = problems_of(changed, "mine.toml")
        assert str(raised.value) == told[0]
        return "\n".join(re.sub(r"^mine\.toml(, line \d+)?: ", "", sentence) for sentence in told)

    return refuse
