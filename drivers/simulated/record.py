"""What went wrong on a simulated machine, kept for tests: a driver that keeps the rules leaves it empty."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Literal

import msgspec

Kind = Literal["crash", "low-sideways", "before-homing", "out-of-limits", "cold-extrusion"]


class Violation(msgspec.Struct, frozen=True):
    """One thing a careful driver never does. `depth_mm`: how far the nozzle went into the plate."""

    kind: Kind
    what: str
    at_mm: tuple[float, float, float]
    depth_mm: float = 0.0


@dataclass
class Record:
    """All that was noted since power-up. `blocks` counts what was carried out, by its first word."""

    violations: list[Violation] = field(default_factory=list)
    blocks: dict[str, int] = field(default_factory=dict)
    homings: int = 0
    resends: int = 0
    stops: int = 0

    def note(self, violation: Violation) -> None:
        """Keep a violation."""
        self.violations.append(violation)

    def count(self, word: str) -> None:
        """Count a block that was carried out."""
        self.blocks[word] = self.blocks.get(word, 0) + 1

    def of_kind(self, kind: Kind) -> list[Violation]:
        """Return the violations of one kind."""
        return [violation for violation in self.violations if violation.kind == kind]

    @property
    def crashes(self) -> list[Violation]:
        """The contacts deeper than a touch."""
        return self.of_kind("crash")
