from __future__ import annotations

import json
from collections.abc import Callable
from typing import Any, NamedTuple

import pytest

from wizard.__main__ import main


class Ran(NamedTuple):
    """What a command did."""

    code: int
    out: str
    err: str

    def json(self) -> Any:
        """Return the one object that was printed."""
        return json.loads(self.out)


@pytest.fixture
def run(capsys: pytest.CaptureFixture[str]) -> Callable[..., Ran]:
    """Run one command in this process."""

    def call(*argv: object) -> Ran:
        try:
            code = main([str(word) for word in argv])
        except SystemExit as left:
            code = int(left.code or 0)
        said = capsys.readouterr()
        return Ran(code, said.out, said.err)

    return call
