"""A person at a plain terminal: hears a session's events as text and drives it by typed lines."""

from __future__ import annotations

import asyncio
from collections.abc import AsyncIterator, Callable
from contextlib import suppress

from drivers.interface import Status
from wizard.instructions import Page, page, working
from wizard.keymap import USUAL, KeyMap
from wizard.plain.answers import Order, help_lines, read_answer, read_order, read_skip
from wizard.plain.transcript import Transcript, status_words
from wizard.requests import Outcome
from wizard.running.events import Asked, Event, StatusChanged, Working
from wizard.running.flow import FlowError
from wizard.running.session import Session

NOTHING_ASKED = "Nothing is asked now. Type help for what can be typed."


class PlainOperator:
    """Give `listen` to the session as its listener, then `await drive(session, lines)`."""

    def __init__(self, say: Callable[[str], None], keys: KeyMap = USUAL, record: str = "") -> None:
        self._say = say
        self._keys = keys
        self._transcript = Transcript(say, keys=keys, record=record)
        self._page: Page | None = None
        self._status = Status()
        self._hundredths = False

    def listen(self, event: Event) -> None:
        """Say an event, and keep in mind what can be answered now."""
        if isinstance(event, Asked):
            self._page = page(event.request, event.facts)
        elif isinstance(event, Working):
            self._page = working(event.request, event.facts)
        elif isinstance(event, StatusChanged):
            self._status = event.status
        self._transcript(event)

    async def drive(self, session: Session, lines: AsyncIterator[str]) -> Outcome:
        """Run the session on typed lines until it ends; their end hangs up, being cancelled stops it.

        Raises what `Session.run` raises.
        """
        job = asyncio.ensure_future(session.run())
        typing = asyncio.ensure_future(self._read(session, lines))
        try:
            return await asyncio.shield(job)
        except asyncio.CancelledError:
            session.stop()
            return await job
        finally:
            self._transcript.end()
            typing.cancel()
            with suppress(asyncio.CancelledError):
                await typing

    async def _read(self, session: Session, lines: AsyncIterator[str]) -> None:
        async for line in lines:
            self.take(session, line)
        self._say("The typed lines have ended.")
        session.hang_up()

    def take(self, session: Session, line: str) -> None:
        """Do what one typed line wants, or say why not."""
        order = read_order(line, self._keys)
        try:
            if order is None:
                self._answer(session, line)
            else:
                self._obey(session, order)
        except (ValueError, FlowError) as error:
            self._say(f"Not now: {error}.")

    def _answer(self, session: Session, line: str) -> None:
        if self._page is None or not (self._page.choices or self._page.entry):
            if line.strip():
                self._say(NOTHING_ASKED)
            return
        answer = read_answer(self._page, line, hundredths=self._hundredths, keys=self._keys)
        if isinstance(answer, str):
            self._say(answer)
        else:
            session.reply(answer)

    def _obey(self, session: Session, order: Order) -> None:
        plain: dict[str, Callable[[], None]] = {
            "stop": session.stop,
            "quit": session.stop,
            "back": session.back,
            "pause": session.pause,
            "go on": session.go_on,
            "retry": session.retry,
            "help": lambda: self._say("\n".join(help_lines(self._keys))),
            "status": lambda: self._say(status_words(self._status)),
            "log": self._log,
            "hundredths": self._read_hundredths,
        }
        if order.word == "skip":
            self._skip(session, order.rest)
        else:
            plain[order.word]()

    def _skip(self, session: Session, reason: str) -> None:
        skipped = read_skip(self._page or Page(""), reason)
        if isinstance(skipped, str):
            self._say(skipped)
        else:
            session.reply(skipped)

    def _log(self) -> None:
        self._transcript.show_lines = not self._transcript.show_lines
        self._say("Lines are shown." if self._transcript.show_lines else "Lines are no longer shown.")

    def _read_hundredths(self) -> None:
        self._hundredths = True
        self._say("Whole numbers are hundredths of a mm from now on: 15-20 is 0.15-0.20.")
