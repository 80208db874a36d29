"""A virtual gauge and a virtual hand, one key each, for a simulated printer; always labelled so."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Literal, Protocol

import msgspec
from rich.text import Text

from profiles.grid import GridValue
from wizard.requests import Look, Tool, Touch
from wizard.widgets.marks import Marks

LABEL = "SIMULATED gauge and hand"


LeafWord = Literal["slides", "drags", "will not enter"]
"""A leaf that drags has still entered: it counts as one that slides."""


class VirtualBench(Protocol):
    """What a person can do at a simulated printer. It acts where the nozzle truly stands now."""

    def try_leaf(self, mm: float) -> LeafWord:
        """Push one leaf under the nozzle; return what the hand feels."""

    def feel(self) -> Touch:
        """Push the single card under the nozzle."""

    def daylight(self, thick_mm: float) -> bool:
        """Push a thick card under the raised nozzle; whether it passes."""

    def pad_thickness(self, point: str, tool: Tool) -> float | None:
        """Measure a point's pad, mm; None where there is none to measure."""

    def pad_look(self, point: str) -> Look | None:
        """Look at a point's pad; None where nothing was laid down."""

    def turn(self, name: str, turns: float) -> float:
        """Turn an adjuster (clockwise positive); return what was really turned."""

    def raise_nozzle(self, change_mm: float) -> float:
        """Change the nozzle height in the machine's menu (+ raises); return what was really changed."""

    def type_grid(self, values: Sequence[GridValue]) -> None:
        """Type the numbers of the compensation into the machine's menu."""


class LeafTable(msgspec.Struct, frozen=True):
    """The leaves of the gauge, which one is in hand, and what each said at this point."""

    leaves_mm: tuple[float, ...]
    index: int = 0
    felt: dict[float, LeafWord] = {}

    @classmethod
    def begin(cls, leaves_mm: Sequence[float], start_mm: float | None) -> LeafTable:
        """Return a table with the leaf nearest to `start_mm` in hand (the middle one, not knowing)."""
        leaves = tuple(leaves_mm)
        if not leaves:
            return cls(())
        wanted = leaves[len(leaves) // 2] if start_mm is None else start_mm
        return cls(leaves, min(range(len(leaves)), key=lambda i: abs(leaves[i] - wanted)))

    @property
    def in_hand_mm(self) -> float | None:
        """The leaf in hand."""
        return self.leaves_mm[self.index] if self.leaves_mm else None

    def thicker(self, step: int) -> LeafTable:
        """Return the table with a thicker (+1) or thinner (-1) leaf in hand."""
        return msgspec.structs.replace(self, index=min(max(self.index + step, 0), len(self.leaves_mm) - 1))

    def with_word(self, word: LeafWord) -> LeafTable:
        """Return the table once the leaf in hand has been tried; the next one to try is taken up."""
        felt = {**self.felt, self.leaves_mm[self.index]: word}
        tried = msgspec.structs.replace(self, felt=felt)
        beside = tried.thicker(-1 if word == "will not enter" else 1)
        return tried if beside.in_hand_mm in felt else beside

    @property
    def told(self) -> str:
        """The reading as it would be typed, once two neighbours (or an end) tell it; else ""."""
        enters = [leaf for leaf in self.leaves_mm if self.felt.get(leaf) in ("slides", "drags")]
        stops = [leaf for leaf in self.leaves_mm if self.felt.get(leaf) == "will not enter"]
        if enters and max(enters) == self.leaves_mm[-1]:
            return f">{max(enters):.2f}"
        if stops and min(stops) == self.leaves_mm[0]:
            return f"<{min(stops):.2f}"
        if not enters or not stops:
            return ""
        low, high = self.leaves_mm.index(max(enters)), self.leaves_mm.index(min(stops))
        return f"{max(enters):.2f}-{min(stops):.2f}" if high == low + 1 else ""


_FELT = {"slides": "slides", "drags": "drags", "will not enter": "stops"}


def leaf_rows(table: LeafTable, marks: Marks, key: str) -> Text:
    """Return the panel for leaves: the ones around the one in hand, each with its word, then the keys."""
    rows = _headed()
    rows.append("\n")
    for index in _near(table):
        leaf = table.leaves_mm[index]
        here = index == table.index
        arrow = marks.here_left if here else " "
        rows.append(
            f"{arrow}{leaf:.2f} {_FELT.get(table.felt.get(leaf, ''), '?')} ", "bold reverse" if here else ""
        )
        rows.append(" ")
    return _keyed(rows, ((key, "push it in"), ("Up", "thicker"), ("Down", "thinner")))


def _near(table: LeafTable) -> range:
    """Return the three leaves around the one in hand, so that the panel stays small."""
    first = min(max(table.index - 1, 0), max(len(table.leaves_mm) - 3, 0))
    return range(first, min(first + 3, len(table.leaves_mm)))


def one_key_rows(key: str, does: str, said: str) -> Text:
    """Return the panel for what one key does: push a card, make a turn."""
    rows = _headed()
    if said:
        rows.append(f"\n{said}", "bold")
    return _keyed(rows, ((key, does),))


def _headed() -> Text:
    rows = Text()
    rows.append(f" {LABEL} ", "reverse")
    return rows


def _keyed(rows: Text, keys: tuple[tuple[str, str], ...]) -> Text:
    rows.append("\n")
    for key, does in keys:
        rows.append(f" {key} ", "bold reverse")
        rows.append(f" {does} ")
    return rows
