"""What is told before anything moves."""

from __future__ import annotations

import msgspec

from profiles.machine import Machine
from wizard import requests as ask
from wizard.facts import Facts
from wizard.instructions import page
from wizard.procedures.level import level


def asked_until_connect(machine: Machine) -> list[ask.AnyRequest]:
    course = level(Facts(machine))
    requests = [next(course)]
    while not isinstance(requests[-1], ask.Connect):
        requests.append(course.send(ask.Confirmed()))
    return requests


def with_step(machine: Machine, step_turns: float) -> Machine:
    coarse = tuple(msgspec.structs.replace(a, step_turns=step_turns) for a in machine.adjuster)
    return msgspec.structs.replace(machine, adjuster=coarse)


def test_a_step_too_coarse_for_the_tolerance_is_told_with_its_figures_before_anything_moves(
    four_corners: Machine,
) -> None:
    coarse = with_step(four_corners, 0.5)
    confirms = [r for r in asked_until_connect(coarse) if isinstance(r, ask.Confirm)]
    told = [r for r in confirms if r.topic == "tolerance-too-fine"]
    assert len(told) == 1
    finding = told[0].finding
    assert finding is not None
    limits = finding.limits
    assert limits is not None
    assert limits.step_mm + limits.reading_mm > limits.tolerance_mm
    words = " ".join(page(told[0], Facts(coarse)).body)
    assert "0.05 mm" in words
    assert f"{limits.step_mm:.3g}"[:5] in words or f"{limits.step_mm:.2f}" in words


def test_nothing_is_said_where_they_go_together(machine: Machine) -> None:
    topics = [r.topic for r in asked_until_connect(machine) if isinstance(r, ask.Confirm)]
    assert "tolerance-too-fine" not in topics
