"""The history of the run: what each round read at each point, and what was turned after it. Pure."""

from __future__ import annotations

from wizard.facts import Facts
from wizard.rounds import Round
from wizard.widgets.marks import Marks
from wizard.widgets.scene import note_of_reading
from wizard.widgets.turn_words import fraction_words

CELL = 10
LEAST_NAME, MOST_NAME = 8, 20


def run_table(facts: Facts, columns: int, marks: Marks) -> list[str]:
    """Return a row a point and a row an adjuster, a column a round: the newest ones that find room."""
    rounds = list(enumerate(facts.rounds, 1))
    if not rounds:
        return []
    names = [point.name for point in facts.machine.point]
    wide = min(max(map(len, names), default=LEAST_NAME), MOST_NAME)
    shown = rounds[-max((columns - wide) // CELL, 1) :]
    made = [name for _, each in shown for name, turns in each.turned.items() if turns]
    turned = list(dict.fromkeys(made))
    rows = [f"{'round':<{wide}}" + "".join(f"{number:>{CELL}}" for number, _ in shown)]
    rows += [_row(n, wide, [_read(each, n, facts, marks) for _, each in shown]) for n in names]
    if turned:
        rows.append("turned after it")
        rows += [_row(name, wide, [_turns(each, name, marks) for _, each in shown]) for name in turned]
    if any(each.height_change_mm for _, each in shown):
        rows.append(_row("nozzle up", wide, [_raised(each, marks) for _, each in shown]))
    return rows


def _row(name: str, wide: int, cells: list[str]) -> str:
    return f"{name[:wide]:<{wide}}" + "".join(f"{cell:>{CELL}}" for cell in cells)


def _read(each: Round, name: str, facts: Facts, marks: Marks) -> str:
    reading = each.readings.get(name)
    if reading is None:
        return marks.dash
    note = note_of_reading(reading, facts.machine)
    mark = {"wide": marks.wide, "narrow": marks.narrow, "within": marks.within}.get(note.judged, "?")
    return f"{note.short} {mark}"


def _turns(each: Round, name: str, marks: Marks) -> str:
    turns = each.turned.get(name, 0.0)
    if not turns:
        return marks.dash
    return f"{marks.clockwise if turns > 0 else marks.counter} {fraction_words(turns)}"


def _raised(each: Round, marks: Marks) -> str:
    return f"{each.height_change_mm:+.2f} mm" if each.height_change_mm else marks.dash
