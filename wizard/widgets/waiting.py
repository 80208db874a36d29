"""How far a wait has come: heat-up, soak and print as bars with figures."""

from __future__ import annotations

import msgspec
from rich.text import Text

from drivers.interface import Temperatures
from wizard.requests import PrintLayer, Soak, Warm
from wizard.running.events import PrintTick, SoakTick
from wizard.widgets.marks import Marks

_ROOM_C = 20.0
"""Where a heat-up is taken to begin (an ordinary room)."""

LONGEST_BAR = 30


class Wait(msgspec.Struct, frozen=True):
    """What is being waited for."""

    request: object
    temperatures: Temperatures
    soak: SoakTick | None
    layer: PrintTick | None = None
    heating_left: str = ""


def waiting_words(wait: Wait, columns: int, marks: Marks) -> Text:
    """Return a bar for each thing that is waited for; empty where nothing is."""
    rows: list[str] = []
    if isinstance(wait.request, Warm):
        now = wait.temperatures
        for name, celsius, goal in (
            ("Bed", now.bed_c, wait.request.bed_c),
            ("Nozzle", now.nozzle_c, wait.request.nozzle_c),
        ):
            if goal > 0 and celsius is not None:
                share = (celsius - _ROOM_C) / max(goal - _ROOM_C, 1.0)
                rows.append(_bar(f"{name} {celsius:.0f} of {goal:.0f} °C", share, columns, marks))
        rows += [wait.heating_left] if wait.heating_left else []
    if isinstance(wait.request, Soak) and wait.soak is not None and wait.soak.total_s > 0:
        minutes, seconds = divmod(round(wait.soak.left_s), 60)
        share = 1.0 - wait.soak.left_s / wait.soak.total_s
        rows.append(_bar(f"{minutes}:{seconds:02d} min left", share, columns, marks))
    if isinstance(wait.request, PrintLayer) and wait.layer is not None:
        minutes, seconds = divmod(round(wait.layer.left_s), 60)
        share = wait.layer.done / max(wait.layer.total, 1)
        told = f"{100 * share:.0f} % printed, {minutes}:{seconds:02d} min left"
        rows.append(_bar(told, share, columns, marks))
    return Text("\n".join(rows), "bold", no_wrap=True)


def _bar(label: str, share: float, columns: int, marks: Marks) -> str:
    room = max(min(columns, LONGEST_BAR), 8)
    done = round(min(max(share, 0.0), 1.0) * room)
    return f"{label}\n{marks.full * done}{marks.to_do_bar * (room - done)}"
