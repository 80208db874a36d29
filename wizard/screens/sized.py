"""What all screens share: classes by size, and what is shown where there is too little room."""

from __future__ import annotations

from textual import events
from textual.screen import Screen
from textual.widgets import Static

from wizard.actions import ACTIONS, Action, key_of

LEAST = (60, 20)
NORMAL = (80, 24)
ROOMY = (110, 36)
VAST = (160, 45)


class SizedScreen(Screen[None]):
    """A screen that gets the class -too-small, -narrow, -roomy or -vast, live, as the window changes."""

    def __init__(self, actions: tuple[Action, ...] = ACTIONS) -> None:
        super().__init__()
        self._actions = actions

    def too_small(self) -> Static:
        """Return the widget that says so, hidden while there is room."""
        return Static("", id="small", markup=False)

    def on_resize(self, event: events.Resize) -> None:
        """Set the classes for the new size."""
        columns, rows = event.size
        self.set_class(columns < LEAST[0] or rows < LEAST[1], "-too-small")
        self.set_class(columns < NORMAL[0] or rows < NORMAL[1], "-narrow")
        self.set_class(columns >= ROOMY[0] and rows >= ROOMY[1], "-roomy")
        self.set_class(columns >= VAST[0] and rows >= VAST[1], "-vast")
        told = f"The window has {columns} x {rows} characters. Tramwright needs {LEAST[0]} x {LEAST[1]}."
        self.query_one("#small", Static).update(f"{told}\nMake it larger.{self._still_stops()}")
        self.resized()

    def _still_stops(self) -> str:
        key = key_of("stop_job", self._actions)
        return f" {key} still stops a running job." if key else ""

    def resized(self) -> None:
        """Fill the screen anew after its size changed."""
