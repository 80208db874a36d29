"""The records on the screen: moved through by keys, a run and a drift laid over the list and closed again."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import msgspec
import pytest

from wizard.apps.history import HistoryApp
from wizard.drift import Visit, courses, due
from wizard.history.drifting import LEGEND, chart, due_sentence
from wizard.records.opening import RecordsError
from wizard.records.run import Run
from wizard.screens.history_desk import ALONE, NOT_HERE, Book, HistoryDesk
from wizard.widgets.marks import PLAIN

RUNS = [
    Run(
        f"{n:016x}",
        "level",
        f"Machine {n % 9}",
        f"2026-03-{n:02d}T10:00:00",
        "",
        "proven",
        "within",
        0.01 * n,
    )
    for n in range(28, 0, -1)
]
LONG = "a sentence that is longer than a window is wide, and the end of which is wanted: " * 2


def desk_of(runs: list[Run]) -> HistoryDesk:
    return HistoryDesk(
        runs,
        Book(
            one=lambda run: [f"all of {run}", LONG, *map(str, range(60))],
            drift=lambda name, columns: [f"drift of {name} in {columns}"],
            compared=lambda one, other: [f"{one} and {other}"],
            remark=lambda run, text: msgspec.structs.replace(
                next(r for r in runs if r.id == run), remark=text
            ),
        ),
    )


def after(runs: list[Run], *keys: str) -> HistoryDesk:
    """Return a desk at which these keys were pressed."""
    desk = desk_of(runs)
    for key in keys:
        desk.press(key)
    return desk


def test_the_list_keeps_to_its_ends() -> None:
    desk = desk_of(RUNS)
    desk.text.rows = 11
    for key, at in (("up", 0), ("end", 27), ("down", 27), ("pageup", 17), ("home", 0)):
        assert desk.press(key)
        assert desk.at == at
    assert not desk.press("escape")
    assert not desk.press("z")


def test_enter_shows_the_run_and_escape_the_list_again() -> None:
    desk = after(RUNS, "down", "enter")
    assert (desk.shown, desk.at, desk.lines[0]) == ("run", None, f"all of {RUNS[1].id}")
    desk.press("down")
    assert desk.first == 1
    desk.press("escape")
    assert (desk.shown, desk.at) == ("list", 1)
    desk.press("D")
    assert desk.lines == ["drift of Machine 0 in 80"]


def test_a_text_is_broken_at_the_window_and_moves_to_its_last_line_only() -> None:
    """Nothing of it is cut off, and the end leaves a full window."""
    desk = after(RUNS, "enter")
    desk.text.columns, desk.text.rows = 60, 10
    assert max(map(len, desk.lines)) <= 60
    assert " ".join(" ".join(desk.lines).split()).count("the end of which is wanted") == 2
    desk.press("end")
    assert desk.first == len(desk.lines) - 10
    assert desk.about.endswith(f"of {len(desk.lines)}.")


def test_the_runs_of_one_machine_are_listed_and_all_again() -> None:
    desk = after(RUNS, "down", "m")
    assert [line.split()[-1] for line in desk.lines] == ["0", "0", "0", "0"][: len(desk.lines)]
    assert desk.at == 0
    assert "of Machine 0." in desk.title
    desk.press("escape")
    assert (len(desk.lines), desk.at) == (28, 1)


def test_two_runs_of_one_machine_are_compared() -> None:
    desk = after(RUNS, "v")
    assert "with which?" in desk.title
    assert desk.marked == 0
    desk.press("down")
    desk.press("enter")
    assert (desk.shown, desk.lines) == ("compared", [f"{RUNS[0].id} and {RUNS[9].id}"])
    desk.press("escape")
    assert (desk.shown, desk.marked) == ("list", None)


def test_a_run_without_another_of_its_machine_is_said_to_be_the_only_one() -> None:
    desk = after(RUNS[:3], "v")
    assert (desk.marked, desk.about) == (None, ALONE)
    desk.press("down")
    assert desk.about.startswith("Run ")


def test_words_are_added_to_the_chosen_run() -> None:
    """Letters that are keys elsewhere are letters while something is typed."""
    desk = after(RUNS, "down", "r")
    assert "Type the remark" in desk.title
    for key in "dmvQ x":
        assert desk.press(key, key)
    desk.press("backspace")
    assert desk.about == "dmvQ _"
    assert not desk.press("up", None)
    desk.press("enter")
    assert desk.typed is None
    assert desk.about.endswith("; dmvQ")
    assert after(RUNS, "r", "escape").typed is None


def test_what_the_records_refuse_is_told_in_place() -> None:
    def refuse(*_: object) -> Any:
        raise RecordsError("the disk is full")

    desk = HistoryDesk(RUNS, Book(refuse, refuse, refuse))
    for key in ("enter", "d"):
        assert desk.press(key)
        assert (desk.shown, desk.about) == ("list", "the disk is full")
    desk.press("r")
    assert desk.about == NOT_HERE


def test_without_runs_nothing_can_be_opened() -> None:
    desk = desk_of([])
    assert desk.at is None
    assert not desk.press("enter")
    assert "No runs" in desk.lines[0]
    assert "Enter" not in desk.hint


@pytest.mark.parametrize("size", [(80, 24), (60, 20)])
async def test_the_chosen_run_stays_in_sight(size: tuple[int, int]) -> None:
    app = HistoryApp(desk_of(RUNS), marks=PLAIN)
    async with app.run_test(size=size) as pilot:
        await pilot.press("end")
        await pilot.pause()
        shown = app.export_screenshot().replace("&#160;", " ")
        assert "2026-03-01 10:00" in shown
        assert "2026-03-28" not in shown
        await pilot.press("enter")
        await pilot.pause()
        assert "all of 0" in app.export_screenshot().replace("&#160;", " ")
        await pilot.press("escape", "q")
    assert app.return_code == 0


async def test_text_of_a_machine_is_shown_as_it_is() -> None:
    name = "[bold]x[/] \x1b[31m"
    run: Any = Run("a" * 16, "level", name, "2026-03-01T10:00:00", "", "proven")
    app = HistoryApp(desk_of([run]))
    async with app.run_test(size=(100, 24)) as pilot:
        await pilot.pause()
        shown = app.export_screenshot().replace("&#160;", " ")
        assert "[bold]x[/]" in shown
        assert "\x1b" not in shown


def drift_of(_: str, columns: int) -> list[str]:
    """Return the drift of a made-up machine, at which the front sinks."""
    visits = [Visit(7.0 * n, {"front": 0.16, "back": 0.15}, {"front": 0.15, "back": 0.15}) for n in range(6)]
    told = courses(visits)
    charts = (line for course in told for line in ("", *chart(course, columns)))
    return [due_sentence(due(visits, 0.05, 0.15)), LEGEND, *charts]


@pytest.mark.parametrize("size", [(80, 24), (120, 40)], ids=["80x24", "120x40"])
@pytest.mark.parametrize("keys", [("down",), ("v", "down"), ("d",)], ids=["list", "compare", "drift"])
def test_the_records_look_as_they_did(
    snap_compare: Callable[..., bool], keys: tuple[str, ...], size: tuple[int, int]
) -> None:
    runs = [msgspec.structs.replace(run, remark="after a move", simulated=True) for run in RUNS]
    app = HistoryApp(HistoryDesk(runs, desk_of(runs).book._replace(drift=drift_of)))
    assert snap_compare(app, terminal_size=size, press=keys)
