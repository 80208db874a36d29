"""Every request that a procedure can make, on the screen, in characters: 80 x 24 and 120 x 40.

A request that is new to the samples of the wording has to get its picture here, or this fails. After a
wanted change: TRAMWRIGHT_NEW_PICTURE=1 pytest tests/screens/test_every_page.py, then look at each one.
"""

from __future__ import annotations

import os
from collections.abc import AsyncIterator, Callable, Iterator
from pathlib import Path
from typing import Any, get_args

import pytest

from wizard.facts import Facts
from wizard.requests import AnyRequest, ShowResult, Soak
from wizard.running.events import SoakTick
from wizard.widgets.page_words import Words

PICTURES = Path(__file__).parent / "pages"
SIZES = ((80, 24), (120, 40))
Play = Callable[..., Any]


def _names(requests: tuple[Any, ...]) -> Iterator[tuple[str, Any]]:
    """Give each request a name: its kind, what it is about, and which of these it is."""
    counts: dict[str, int] = {}
    for request in requests:
        about = (getattr(request, part, None) for part in ("topic", "what", "phase"))
        kind = "-".join([type(request).__name__, *(each for each in about if each)])
        counts[kind] = counts.get(kind, 0) + 1
        yield f"{kind}-{counts[kind]}", request


def _drawn(app: Any) -> str:
    """Return the screen's characters."""
    strips = app.screen._compositor.render_strips()
    return "\n".join(strip.text.rstrip() for strip in strips) + "\n"


async def _each(
    job: Any, requests: tuple[Any, ...], facts: Facts, at_the_end: Facts | None = None
) -> AsyncIterator[tuple[str, Any]]:
    """Bring the job to each request; to a result that followed turns with the facts of the end."""
    for name, request in _names(requests):
        after_turns = isinstance(request, ShowResult) and not request.measured_only
        job.session.step(request, (at_the_end or facts) if after_turns else facts)
        if isinstance(request, Soak):
            job.session.listener(SoakTick(134.0, 300.0))
        await job.pilot.pause()
        yield name, request


@pytest.mark.parametrize("size", SIZES, ids=lambda size: f"{size[0]}x{size[1]}")
async def test_every_page_looks_as_its_picture(
    play: Play, samples: Any, machine: Any, facts: Facts, turned: Facts, size: tuple[int, int]
) -> None:
    requests = samples.all_requests(machine)
    assert {type(each) for each in requests} == set(get_args(AnyRequest))
    drawn = {}
    async with play(size=size) as job:
        async for name, _ in _each(job, requests, facts, turned):
            drawn[name] = _drawn(job.app)
    folder = PICTURES / f"{size[0]}x{size[1]}"
    if os.environ.get("TRAMWRIGHT_NEW_PICTURE"):
        _write(folder, drawn)
    kept = {path.stem: path.read_text(encoding="utf-8") for path in folder.glob("*.txt")}
    assert kept.keys() == drawn.keys()
    assert [name for name in drawn if drawn[name] != kept[name]] == []


def _write(folder: Path, drawn: dict[str, str]) -> None:
    folder.mkdir(parents=True, exist_ok=True)
    for path in folder.glob("*.txt"):
        path.unlink()
    for name, text in drawn.items():
        (folder / f"{name}.txt").write_text(text, encoding="utf-8")


@pytest.mark.parametrize(("size", "played"), [((80, 24), True), ((60, 20), False)], ids=["80x24", "60x20"])
async def test_no_page_is_cut(
    play: Play, samples: Any, size: tuple[int, int], played: bool, bench: Any
) -> None:
    """With names as long as they may be: each row of words and keys is on the screen.

    The larger window holds the virtual gauge and hand, too, the smaller one the cautions.
    """
    points = tuple(samples.Point(name=each.name, at_mm=each.at_mm) for each in samples.mixed())
    machine = samples.made(samples.mixed(), points)
    facts = Facts(machine, simulated=played, bed_c=60.0)
    cut = []
    async with play(size=size, bench=bench if played else None, told=facts) as job:
        async for name, _ in _each(job, samples.all_requests(machine), facts):
            cut += [f"{name}: {each}" for each in _cut(job.screen)]
    assert cut == [], "\n".join(cut)


def _cut(screen: Any) -> list[str]:
    """Return what does not find its room beside the map."""
    side = screen.query_one("#side")
    found = []
    for child in (
        each for each in side.children if each.display and each.region.height and each.id != "more"
    ):
        rows, shown = _rows(child), child.size.height
        if child.region.bottom > side.content_region.bottom or rows > shown:
            found.append(f"{child.id} ends at {child.region.bottom}, {rows} rows in {shown}")
    return found


def _rows(child: Any) -> int:
    """Return how many rows the words of a widget take, those that wrap counted whole."""
    if not isinstance(child, Words) or not child._words:
        return 0
    columns = max(child.size.width, 1)
    return sum(-(-max(len(line), 1) // columns) for line in child._words.plain.split("\n"))
