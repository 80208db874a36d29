"""What every page has that only wants to be confirmed: its keys, and the form of its wording. Pure.

The keys: Enter where nothing moves or heats on the answer, "y" where something may.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping

from wizard.facts import Facts
from wizard.instructions.page import Choice, Page
from wizard.requests import Confirm, Confirmed, Topic

Topics = Mapping[Topic, Callable[[Confirm, Facts], Page]]
"""The page of each topic that can be confirmed."""

READ = (Choice("enter", "read, go on", Confirmed()),)
DONE = (Choice("enter", "done, go on", Confirmed()),)


def deliberate(label: str) -> tuple[Choice, ...]:
    """Return the deliberate key for what leads to motion or heat."""
    return (Choice("y", label, Confirmed()),)
