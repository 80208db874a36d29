"""Level, check print, correct, proven: the whole way on a simulated printer, as the demo does it."""

from __future__ import annotations

import json
import subprocess
import sys
from pathlib import Path

import pytest

from profiles.load import load
from wizard.instructions.figures import counted


def demo(*argv: str) -> subprocess.CompletedProcess[str]:
    """Run `demo` alone, with nothing typed."""
    return subprocess.run(
        [sys.executable, "-m", "wizard", "demo", *argv, "--auto", "--speed", "5000"],
        stdin=subprocess.DEVNULL,
        capture_output=True,
        text=True,
        check=False,
        timeout=100,
    )


@pytest.mark.parametrize(("profile", "seed"), [("four-corner-220", 1), ("endstop-screw-120", 3)])
def test_level_then_print_then_correct_until_a_print_proves_it(profile: str, seed: int) -> None:
    """A cold gauge leaves the gaps too narrow where nobody has told how much the nozzle grows by heat."""
    machine = load(profile)
    ran = demo(profile, "--print", "--json", "--seed", str(seed))
    told = json.loads(ran.stdout)
    assert ran.returncode == 0, ran.stderr[-2000:]
    assert told["proven"]
    assert told["print"]["verdict"] == "within"
    assert told["print"]["pads"] == len(machine.point)
    assert told["print"]["corrected"] is (machine.heat.print_nozzle_c is None)
    assert told["print"]["true_worst_deviation_mm"] <= machine.first_layer.tolerance_mm
    said = ran.stderr
    assert said.index("A small print: heat, air, and never alone.") < said.index("Printing the pads")
    assert said.count("Heaters off. It is still hot.") == said.count("Printing the pads") + 1
    assert f"Print: {counted(len(machine.point), 'pad')}, every gap within." in said


def test_without_the_option_nothing_is_printed_and_that_is_said() -> None:
    ran = demo("four-corner-220", "--json", "--seed", "7")
    assert "print" not in json.loads(ran.stdout)
    assert "Print: not done." in ran.stderr


def test_the_simulated_machine_notes_nothing_that_a_careful_driver_does_not_do(tmp_path: Path) -> None:
    """No crash, no low move without plastic, no cold filament in a whole job with prints."""
    import asyncio

    from drivers.simulated import SimulatedPrinter
    from drivers.simulated.serve import local_server
    from wizard.facts import Facts
    from wizard.journal.lines import Header
    from wizard.journal.writing import start
    from wizard.running.assembly import Assembly
    from wizard.virtual.job import do_alone

    machine = load("four-corner-220")
    printer = SimulatedPrinter(machine, seed=5, speed=5000.0)
    with local_server(printer) as server:
        journal = start(Header("level", machine, port=server.url), tmp_path)
        facts = Facts(machine, simulated=True)
        assembly = Assembly(facts=facts, journal=journal, source=server.url, speed=5000.0)
        done = asyncio.run(do_alone(printer, 5, assembly, lambda _: None, prints=True))
    assert done.checks.printed == "within"
    assert printer.record.violations == []
    assert printer.firmware.interpreter.nozzle.target_c == 0.0
    assert printer.firmware.interpreter.bed.target_c == 0.0
