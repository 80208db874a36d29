"""A bare application with as many widgets as the screen of a job, for comparison: text, and one line to type.

Run as a program of its own by `screen.py`. numpy is loaded after the first paint, as there.
"""

from __future__ import annotations

import os

from textual import events
from textual.app import App, ComposeResult
from textual.containers import Horizontal, Vertical
from textual.widgets import Static

TEXTS = {
    "top": " BARE" + " " * 60 + "Round 1",
    "title": "\n  The one sentence that says what to do.\n",
    "map": "\n".join("|" + " " * 30 + "|" for _ in range(16)),
    "body": "Some lines of text that stand beside a drawing.\n" * 3,
    "choices": " w   wide: more than the thickest\n z   zero: less than the thinnest",
    "status": " STILL\n line good",
    "keys": " x  STOP    b  back   p  pause",
}


class BareApp(App[None]):
    """The same rows and columns as the screen of a job, and nothing behind them."""

    ENABLE_COMMAND_PALETTE = False
    CSS = """
    Screen { layout: vertical; overflow: hidden hidden; }
    #small, #before, #turns, #bench, #more, #beside { display: none; }
    #top { height: 1; } #title { height: 3; } #middle { height: 1fr; } #map { width: 34; height: 100%; }
    #side { width: 1fr; height: 100%; padding: 0 1; } #caution, #body, #entry, #choices { height: auto; }
    #status { height: 2; } #keys { height: 1; }
    """

    def compose(self) -> ComposeResult:
        """Seventeen widgets, of which twelve are seen while a figure is typed, as there."""
        yield self._text("small")
        yield self._text("top")
        yield self._text("title")
        with Horizontal(id="middle"):
            yield self._text("before")
            yield self._text("map")
            with Vertical(id="side"):
                for name in ("caution", "body", "turns", "entry", "choices", "bench", "more"):
                    yield self._text(name)
            yield self._text("beside")
        yield self._text("status")
        yield self._text("keys")

    def _text(self, name: str) -> Static:
        return Static(TEXTS.get(name, ""), id=name, markup=False)

    def on_mount(self) -> None:
        """Load what is heavy once all is painted."""
        self.typed = ""
        self.call_after_refresh(self._load)

    def _load(self) -> None:
        import numpy as np

        np.linalg.lstsq(np.eye(3), np.ones(3), rcond=None)

    def on_key(self, event: events.Key) -> None:
        """Type into the one line; q leaves."""
        if event.key == "q":
            self.exit()
        self.typed = self.typed[:-1] if event.key == "backspace" else self.typed + (event.character or "")
        self.query_one("#entry", Static).update(f"to be typed  {self.typed}_", layout=False)


if __name__ == "__main__":
    os.environ.pop("TEXTUAL", None)
    BareApp().run(mouse=False)
