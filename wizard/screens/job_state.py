"""What the job's screen knows, folded from the session's events. No drawing, no I/O."""

from __future__ import annotations

from collections import deque

from drivers.interface import LineRecord, Status
from wizard.facts import Facts
from wizard.requests import Soak, Warm
from wizard.running.events import (
    Asked,
    Event,
    Faulted,
    Finished,
    LineSeen,
    Notice,
    PrintTick,
    SoakTick,
    StateChanged,
    Working,
)
from wizard.running.events import StatusChanged as StatusSeen
from wizard.screens.heat_pace import HeatPace, left_words
from wizard.widgets.status_line import Live

KEPT_LINES = 5000
"""So many lines of the exchange are kept for the log; older ones are in no one's way."""


class JobState:
    """The newest of everything. `take` is called by the screen's message handler and nowhere else."""

    def __init__(self, facts: Facts) -> None:
        self.facts = facts
        self.request: object = None
        self.can_go_back = False
        self.flow = "idle"
        self.status = Status()
        self.soak: SoakTick | None = None
        self.layer: PrintTick | None = None
        self.pace = HeatPace()
        self.notice = ""
        self.unrecorded = False
        self.refusal = ""
        self.fault: Faulted | None = None
        self.finished: Finished | None = None
        self.lines: deque[LineRecord] = deque(maxlen=KEPT_LINES)

    def take(self, event: Event, now_s: float = 0.0) -> bool:
        """Fold one event in; return whether it began another step. `now_s`: any clock that goes on."""
        if isinstance(event, Asked | Working):
            self.request, self.facts = event.request, event.facts
            self.can_go_back = isinstance(event, Asked) and event.can_go_back
            self.soak = self.layer = None
            self.pace = HeatPace()
            return True
        if isinstance(event, LineSeen):
            self.lines.append(event.record)
        elif isinstance(event, StatusSeen):
            self.status = event.status
            self.pace.see(now_s, event.status.temperatures)
        else:
            self._take_rest(event)
        return False

    def _take_rest(self, event: Event) -> None:
        if isinstance(event, StateChanged):
            self.flow = event.after
        elif isinstance(event, SoakTick):
            self.soak = event
        elif isinstance(event, PrintTick):
            self.layer = event
        elif isinstance(event, Notice):
            self.notice = event.text
            self.unrecorded |= event.unrecorded
        elif isinstance(event, Faulted):
            self.fault = event
        elif isinstance(event, Finished):
            self.finished = event

    @property
    def heating_left(self) -> str:
        """How long a heat-up still takes, in words; "" where it is not known or nothing heats."""
        if not isinstance(self.request, Warm):
            return ""
        return left_words(self.pace.left_s(self.request.bed_c, self.request.nozzle_c))

    @property
    def live(self) -> Live:
        """What the status rows tell."""
        soaking = self.soak is not None and isinstance(self.request, Soak)
        return Live(
            state=self.flow,
            request=self.request,
            status=self.status,
            soak_left_s=self.soak.left_s if soaking and self.soak else None,
            by_hand=self.facts.by_hand,
        )
