"""A scripted person: each question, by its beginning, has its answer; one that was not expected fails."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import pytest

from wizard.describing.asking import Asker


class Person:
    """Answers by the beginning of the question; an empty line where none is given."""

    def __init__(self, answers: dict[str, str | list[str]]) -> None:
        self.left = {
            question: [text] if isinstance(text, str) else list(text) for question, text in answers.items()
        }
        self.told: list[str] = []
        self.asked: list[str] = []
        self.asker = Asker(self._read, self.told.append)

    def _read(self, prompt: str) -> str:
        self.asked.append(prompt)
        for question, texts in self.left.items():
            if prompt.strip().startswith(question) and texts:
                return texts.pop(0)
        return ""

    @property
    def unused(self) -> list[str]:
        return [question for question, texts in self.left.items() if texts]


@pytest.fixture
def person() -> Callable[[dict[str, Any]], Person]:
    return Person
