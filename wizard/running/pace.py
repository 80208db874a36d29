"""Where a session stands in its flow, told to the listener; and the pause, which holds back new steps."""

from __future__ import annotations

import asyncio
from collections.abc import Callable

from wizard.running.events import Event, StateChanged
from wizard.running.flow import Event as Happens
from wizard.running.flow import Flow, State


class Pace:
    """The flow of one session. Every change goes through `happens`."""

    def __init__(self, tell: Callable[[Event], None]) -> None:
        self._flow = Flow()
        self._tell = tell
        self._going = asyncio.Event()
        self._going.set()

    @property
    def state(self) -> State:
        """The state now."""
        return self._flow.state

    def is_in(self, state: State) -> bool:
        """Tell whether the session is in `state` now."""
        return self._flow.state is state

    def takes(self, event: Happens) -> bool:
        """Tell whether `event` is legal now."""
        return self._flow.takes(event)

    def happens(self, event: Happens) -> None:
        """Go on to the next state and tell it. Raises FlowError where the flow has no such step."""
        before, self._flow = self._flow.state, self._flow.after(event)
        if self._flow.state is State.PAUSED:
            self._going.clear()
        else:
            self._going.set()
        if before is not self._flow.state:
            self._tell(StateChanged(before.value, self._flow.state.value))

    async def not_paused(self) -> None:
        """Wait until a pause is over."""
        await self._going.wait()
