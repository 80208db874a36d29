"""Which runs a recheck may compare with."""

from __future__ import annotations

import msgspec
import pytest

from profiles.load import load
from profiles.machine import Point
from wizard.records.bases import last_proven, same_bed
from wizard.records.run import Run


def run(number: int, procedure: str) -> Run:
    """Return a proven run."""
    at = f"2026-01-0{number}T10:00:00+00:00"
    return Run(str(number), procedure, "a machine", at, at, "proven", "within")


@pytest.mark.parametrize("procedure", ["survey", "unattended"])
def test_what_no_person_has_levelled_by_gauge_is_no_base(procedure: str) -> None:
    newest_first = [run(3, procedure), run(2, "level"), run(1, "recheck")]
    found = last_proven(newest_first)
    assert found is not None
    assert found.id == "2"
    assert last_proven([run(1, procedure)]) is None


def test_a_run_counts_as_long_as_all_its_points_are_where_they_were() -> None:
    machine = load("four-corner-220")
    fewer = msgspec.structs.replace(machine, point=machine.levelling_points)
    assert same_bed(fewer, machine)
    assert not same_bed(machine, fewer)
    away = Point(name="centre", at_mm=(111.0, 110.0))
    moved = msgspec.structs.replace(machine, point=(*machine.point[:4], away, *machine.point[5:]))
    assert not same_bed(machine, moved)


def test_practice_on_a_simulated_printer_is_no_base_for_the_real_one() -> None:
    """Though where nothing else was proven, it is one for more practice."""
    practice = msgspec.structs.replace(run(3, "level"), simulated=True)
    for runs, found in (([practice, run(2, "level")], "2"), ([practice], "3")):
        last = last_proven(runs)
        assert last is not None
        assert last.id == found
