"""Two rows of live state: moving or still, in words; position; temperatures; how good the line is."""

from __future__ import annotations

import msgspec
from rich.text import Text
from textual.widgets import Static

from drivers.interface import Status, Temperatures
from wizard.requests import (
    ByPerson,
    Connect,
    Feel,
    Home,
    Lift,
    LookForDaylight,
    Lower,
    Park,
    PrintLayer,
    TakeReading,
)

HOT_C = 50.0
"""From here on a part is called hot (common practice, no source)."""

_MOVES = (Home, Park, Lower, Lift, PrintLayer)
_MEASURES = (TakeReading, Feel, LookForDaylight)


class Live(msgspec.Struct, frozen=True, kw_only=True):
    """What the two rows tell: the flow's state, the step in hand, the machine's own status."""

    state: str = "idle"
    request: object = None
    status: Status = Status()
    soak_left_s: float | None = None
    by_hand: bool = False


def moves(live: Live) -> bool:
    """Whether the machine moves or is about to."""
    if live.state in ("stopped", "faulted", "finished"):
        return live.status.moving
    waiting_for_person = isinstance(live.request, ByPerson) or live.state == "paused"
    return live.status.moving or (not waiting_for_person and isinstance(live.request, _MOVES))


def motion_words(live: Live) -> str:
    """Return moving or still in words, with what that means for the hands."""
    if moves(live):
        return "MOVING: hands clear"
    if live.state == "stopped":
        return "STOPPED"
    if live.state == "faulted":
        return "FAULT: wait before you touch anything"
    if live.state == "paused":
        return "PAUSED: nothing moves"
    if isinstance(live.request, _MEASURES):
        return "STILL: safe to measure"
    if isinstance(live.request, Connect):
        return "CONNECTING: nothing moves"
    return "STILL" if isinstance(live.request, ByPerson) or live.by_hand else "WAITING: hands clear"


def place_words(live: Live) -> str:
    """Return the position in machine coordinates, or that it is not known."""
    place = live.status.position_mm
    if place is None:
        return "moved by hand" if live.by_hand else "position not known"
    return f"X {place[0]:.1f}  Y {place[1]:.1f}  Z {place[2]:.2f}"


def heat_words(temperatures: Temperatures) -> str:
    """Return both temperatures with their targets; what is hot is called so."""
    bed = _one_heat("Bed", temperatures.bed_c, temperatures.bed_target_c)
    nozzle = _one_heat("Nozzle", temperatures.nozzle_c, temperatures.nozzle_target_c)
    return f"{bed}   {nozzle}"


def _one_heat(name: str, now_c: float | None, target_c: float | None) -> str:
    if now_c is None:
        return f"{name} ? °C"
    goal = f" of {target_c:.0f}" if target_c else ""
    hot = " HOT" if now_c >= HOT_C else ""
    return f"{name} {now_c:.0f}{goal} °C{hot}"


def link_words(live: Live) -> str:
    """Return how good the line is: how many lines had to be sent again."""
    if live.by_hand:
        return "no line"
    resends = live.status.resends
    return "line good" if resends == 0 else f"line: {resends} of {live.status.sent} sent again"


def soak_words(left_s: float | None) -> str:
    """Return the soak clock as minutes and seconds."""
    if left_s is None:
        return ""
    minutes, seconds = divmod(round(max(left_s, 0.0)), 60)
    return f"   soak {minutes}:{seconds:02d} left"


def status_rows(live: Live, columns: int) -> Text:
    """Return the two rows for a width."""
    rows = Text(no_wrap=True, end="")
    motion, place = f" {motion_words(live)} ", place_words(live)
    rows.append(motion, "bold reverse" if moves(live) else "bold")
    rows.append(place.rjust(columns - len(motion) - 1)[: columns - len(motion) - 1])
    heat = f" {heat_words(live.status.temperatures)}{soak_words(live.soak_left_s)}"
    rows.append("\n" + heat + link_words(live).rjust(max(columns - len(heat) - 1, 0)))
    return rows


class StatusLine(Static):
    """Shows a `Live` in two rows."""

    def __init__(self, *, id: str | None = None) -> None:
        super().__init__("", id=id, markup=False)
        self._live = Live()

    def show(self, live: Live) -> None:
        """Show another state; where it reads the same, nothing is drawn."""
        before, self._live = self._live, live
        columns = max(self.size.width, 20)
        if status_rows(before, columns) != status_rows(live, columns):
            self.refresh()

    def render(self) -> Text:
        """The two rows for the present width."""
        return status_rows(self._live, max(self.size.width, 20))
