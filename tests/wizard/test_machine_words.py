from __future__ import annotations

import pytest

from profiles.load import load, parse, shipped
from wizard.machine_words import machine_lines


@pytest.mark.parametrize("name", sorted(shipped()))
def test_a_machine_in_words_names_every_adjuster_and_point_and_fits_a_terminal(name: str) -> None:
    machine = load(name)
    lines = machine_lines(machine)
    for part in (*machine.adjuster, *machine.point):
        assert any(line.strip().startswith(part.name) for line in lines)
    assert max(map(len, lines)) <= 80


def test_direction_always_names_the_side_it_is_seen_from() -> None:
    lines = machine_lines(load("four-corner-220"))
    assert lines.count(" " * 15 + "M3, 0.5 mm a turn") == 4
    assert lines.count(" " * 15 + "clockwise, seen from below, lowers the plate") == 4
    unknown = shipped()["four-corner-220"].read_text("utf-8").replace('"lowers"', '"unknown"')
    assert " " * 15 + "what clockwise does is not known" in machine_lines(parse(unknown, "x"))


def test_what_only_some_machines_have_is_told() -> None:
    told = "\n".join(machine_lines(load("stored-offset-140")))
    assert "compensation over 3 x 3 points, needs a raft" in told
    assert "height by      stored offset" in told
    assert "gauge          card of 0.10 mm" in told
    assert "probe          touch plate" in "\n".join(machine_lines(load("touch-probe-255")))
    assert " " * 15 + "clockwise, seen from above, raises the nozzle" in machine_lines(
        load("endstop-screw-120")
    )
