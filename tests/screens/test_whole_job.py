"""A whole job by keys alone: real session, real line, simulated printer, virtual gauge and hand."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest

from drivers.simulated import SimulatedPrinter
from drivers.simulated.operator import Operator
from drivers.simulated.serve import local_server
from profiles.load import load
from wizard import exits
from wizard.apps.job import JobApp
from wizard.facts import Facts
from wizard.journal.lines import Header
from wizard.journal.writing import start
from wizard.requests import ByPerson, Choose, Confirm, LookForDaylight, ShowResult, TakeReading, Turn
from wizard.running.assembly import Assembly
from wizard.virtual.bench import OperatorBench
from wizard.widgets.keys_bar import KeysBar

SPEED = 600.0


async def _answer(app: Any, pilot: Any) -> None:
    """Answer the step that is shown, as a person would by what the screen says."""
    request, desk = app.job.state.request, app.job.desk
    if isinstance(request, TakeReading):
        while not desk.typing.offer:
            await pilot.press("v")
        await pilot.press("enter")
    elif isinstance(request, LookForDaylight):
        await pilot.press("v")
        passes = "passes" in app.job._bench.words().plain
        await pilot.press(desk.page.choices[0 if passes else 1].key)
    elif isinstance(request, Turn):
        await pilot.press(*["enter"] * (len(request.turns) + 1))
    else:
        assert isinstance(request, Confirm | Choose | ShowResult)
        await pilot.press(desk.page.choices[0].key)


@pytest.mark.parametrize("profile", ["three-point-225"])
async def test_a_person_gets_from_the_cautions_to_a_proven_result(profile: str, tmp_path: Path) -> None:
    """In 80 x 24; the footer shows the stop key all along; the plate is truly level at the end."""
    machine = load(profile)
    printer = SimulatedPrinter(machine, 3, SPEED)
    with local_server(printer) as server:
        journal = start(Header("level", machine, port=server.url), tmp_path)
        facts = Facts(machine, simulated=True)
        assembly = Assembly(facts=facts, journal=journal, source=server.url, speed=SPEED)
        bench = OperatorBench(Operator(printer, 3), machine.gauge.card_mm)
        app: Any = JobApp(assembly.session, assembly.facts, bench)
        async with app.run_test(size=(80, 24)) as pilot:
            answered: object = None
            while app.return_value is None:
                state = app.job.state
                asked = isinstance(state.request, ByPerson) and state.flow == "asking"
                if asked and state.request is not answered and app.screen is app.job:
                    answered = state.request
                    assert app.job.query_one(KeysBar).render().plain.startswith(" x  STOP ")
                    await _answer(app, pilot)
                else:
                    assert app.screen is app.job, app.job.state.fault
                    await pilot.pause(0.01)
        assert app.return_value == exits.WITHIN
        assert printer.plate.true_worst_deviation_mm <= machine.first_layer.tolerance_mm
