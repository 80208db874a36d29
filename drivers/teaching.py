"""What a machine tells of itself, and standing over places that no profile knows yet.

Sideways only at clearance height and inside the limits, as everywhere: the envelope plans and admits.
"""

from __future__ import annotations

import msgspec

from drivers import commands as c
from drivers.conversation import Conversation, free_texts
from drivers.envelope import Envelope
from drivers.errors import MoveRefused
from drivers.own_words import Working
from drivers.replies import Capability, Endstop, Ok, Reply, Temperature, identity_facts
from profiles.machine import XY


class Told(msgspec.Struct, frozen=True):
    """What a machine says when it is asked, literally; empty where it says nothing.

    facts: by key, as in MACHINE. abilities: what it says it can and cannot do. endstops: whether each is
    pressed. heaters: letters, T nozzle, B plate. position_mm: where it says it stands, homed or not.
    """

    facts: dict[str, str] = {}
    abilities: dict[str, bool] = {}
    endstops: dict[str, bool] = {}
    heaters: tuple[str, ...] = ()
    position_mm: tuple[float, float, float] | None = None


class Teaching:
    """Asks and moves over a line, inside the envelope."""

    def __init__(self, talk: Conversation, envelope: Envelope, working: Working) -> None:
        self._talk = talk
        self._envelope = envelope
        self._working = working

    async def told(self) -> Told:
        """Ask the machine for all it tells by itself. Nothing moves."""
        async with self._working():
            about = await self._talk.ask(c.TELL_IDENTITY)
            ends = await self._talk.ask(c.TELL_ENDSTOPS)
            heat = await self._talk.ask(c.TELL_TEMPERATURES)
            position_mm = await self._talk.position()
        facts = {key: value for text in free_texts(about) for key, value in identity_facts(text).items()}
        heaters = [each for each in _plain(heat) if isinstance(each, Temperature)]
        return Told(
            facts=facts,
            abilities={each.name: each.able for each in about if isinstance(each, Capability)},
            endstops={each.name: each.triggered for each in ends if isinstance(each, Endstop)},
            heaters=tuple(heaters[0].heaters) if heaters else (),
            position_mm=position_mm,
        )

    async def over(self, at_mm: XY) -> None:
        """Lift, and go sideways over a place at clearance height. Raises MoveRefused outside the limits."""
        async with self._working(moving=True):
            await self._talk.run(self._envelope.plan_over(at_mm))

    def at_mm(self) -> tuple[float, float, float]:
        """Return where the nozzle stands. Raises MoveRefused where that is not known."""
        position_mm = self._envelope.position_mm()
        if position_mm is None:
            raise MoveRefused("Where the nozzle stands is not known; home first.")
        return position_mm


def _plain(replies: tuple[Reply, ...]) -> list[Reply]:
    """Return the replies, with what stands beside an acknowledgement taken out of it."""
    return [each.rest if isinstance(each, Ok) and each.rest is not None else each for each in replies]
