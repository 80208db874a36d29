"""The drawing of the bed as a widget, with the legend of its marks under it."""

from __future__ import annotations

from rich.text import Text
from textual.widget import Widget

from wizard.widgets.bed_drawing import draw_bed, frame_for
from wizard.widgets.marks import FULL, Marks
from wizard.widgets.scene import Scene
from wizard.widgets.theme import ink_for


class BedMap(Widget):
    """Shows one `Scene`, as large as there is room, true to scale."""

    def __init__(self, marks: Marks = FULL, *, id: str | None = None) -> None:
        super().__init__(id=id)
        self._marks = marks
        self._scene: Scene | None = None

    def show(self, scene: Scene) -> None:
        """Draw another scene; the same one again costs nothing."""
        if scene != self._scene:
            self._scene = scene
            self.refresh()

    def render(self) -> Text:
        """The drawing and its legend for the present size."""
        if self._scene is None:
            return Text("")
        columns, rows = self.size
        legend = legend_words(self._scene, columns, self._marks)
        drawn = Text(no_wrap=True, end="")
        if self._scene.caption:
            drawn.append(self._scene.caption.center(columns).rstrip() + "\n", "bold")
            rows -= 1
        room = rows - len(legend)
        needed = frame_for(self._scene.machine, columns - 2, room - 2).rows + 2
        drawn.append_text(draw_bed(self._scene, columns, min(needed, room), self._marks).text(ink_for(self)))
        for line in legend:
            drawn.append("\n" + line.center(columns).rstrip())
        return drawn


def legend_words(scene: Scene, columns: int, marks: Marks) -> list[str]:
    """Return the lines that say what the marks mean: one for places, one for judgements."""
    places = [f"{marks.read} read", f"{marks.unread} to read"]
    if scene.nozzle_mm is not None:
        places.insert(0, f"{marks.nozzle} nozzle")
    if scene.machine.adjuster:
        places.append(f"{marks.ring_left} {marks.ring_right} adjuster")
    lines = [_joined(places, columns), ""]  # always two, so that the drawing keeps its size
    if scene.notes:
        lines[1] = _joined(
            [f"{marks.wide} wide", f"{marks.narrow} narrow", f"{marks.within} in", "? open"], columns
        )
    return lines


def _joined(words: list[str], columns: int) -> str:
    while words and len("  ".join(words)) > columns:
        words = words[:-1]
    return "  ".join(words)
