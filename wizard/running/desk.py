"""Where one request lies until the person has answered it. One at a time; belongs to the event loop."""

from __future__ import annotations

import asyncio

from profiles.machine import Machine
from wizard.requests import AnyAnswer, AnyRequest
from wizard.running.answers import check


class TakenBack(Exception):
    """The person wants to take the last answer back instead of answering."""


class Desk:
    """Holds what is being asked, refuses what does not fit, and hands the answer over."""

    def __init__(self, machine: Machine) -> None:
        self._machine = machine
        self._waiting: asyncio.Future[AnyAnswer] | None = None
        self._request: AnyRequest | None = None

    @property
    def request(self) -> AnyRequest | None:
        """What is being asked now, None where nothing is."""
        return self._request

    async def ask(self, request: AnyRequest) -> AnyAnswer:
        """Wait for the answer to `request`. Raises TakenBack."""
        self._request = request
        self._waiting = asyncio.get_running_loop().create_future()
        try:
            return await self._waiting
        finally:
            self._request = self._waiting = None

    def answer(self, answer: AnyAnswer) -> None:
        """Hand over an answer. Raises ValueError where nothing is asked or the answer does not fit."""
        waiting, request = self._open()
        check(request, answer, self._machine)
        waiting.set_result(answer)

    def take_back(self) -> None:
        """End the asking with TakenBack. Raises ValueError where nothing is asked."""
        self._open()[0].set_exception(TakenBack())

    def _open(self) -> tuple[asyncio.Future[AnyAnswer], AnyRequest]:
        if self._waiting is None or self._request is None or self._waiting.done():
            raise ValueError("nothing is being asked now")
        return self._waiting, self._request
