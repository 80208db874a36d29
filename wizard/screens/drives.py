"""What the screens use of a session, which a test may stand in for."""

from __future__ import annotations

from collections.abc import Callable
from typing import Protocol

from wizard.requests import AnyAnswer, Outcome
from wizard.running.events import Event


class Drives(Protocol):
    """What the screen uses of a session; `wizard.running.session.Session` is one."""

    async def run(self) -> Outcome:
        """Do the job."""

    def reply(self, answer: AnyAnswer) -> None:
        """Answer what is asked. Raises ValueError, saying why not."""

    def back(self) -> None:
        """Take the last answer back."""

    def pause(self) -> None:
        """Begin no further step."""

    def go_on(self) -> None:
        """End the pause."""

    def retry(self) -> None:
        """After a fault: try again."""

    def stop(self) -> None:
        """Stop at once."""

    def hang_up(self) -> None:
        """End the job without a stop block: nobody is there any more."""


MakeSession = Callable[[Callable[[Event], None]], Drives]
