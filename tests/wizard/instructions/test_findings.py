"""Findings in sentences: the figures they rest on, the rule, what to do."""

from __future__ import annotations

import itertools
from collections.abc import Callable
from typing import get_args

import pytest

from profiles.machine import Bed, Compensation, FirstLayer, Height, Machine, Motion
from wizard.instructions import finding_lines, result_table, suspicion_sentence, verdict_sentence
from wizard.instructions.findings import at_their_end, predicted_worst_mm
from wizard.solver.finding import (
    Finding,
    Limits,
    PointFinding,
    Status,
    Suspicion,
    SuspicionKind,
    Verdict,
    WayOut,
)

MakeFinding = Callable[..., Finding]


@pytest.mark.parametrize(("verdict", "status"), itertools.product(get_args(Verdict), get_args(Status)))
def test_every_verdict_and_status_is_told_in_sentences(
    verdict: str, status: str, machine: Machine, finding_of: MakeFinding
) -> None:
    """Each pair gives a sentence for the verdict and at least one for the status, all ended."""
    lines = finding_lines(finding_of(machine, verdict=verdict, status=status), machine)
    assert lines[0].lower().startswith(verdict)
    assert "ISO 14253-1" in lines[0]
    assert len(lines) >= 2
    assert all((line[-1] in ".?" and line[0].isupper()) or ": " in line for line in lines)


def test_a_finding_without_points_is_told(machine: Machine) -> None:
    """Nothing read yet is said as that."""
    lines = finding_lines(Finding("undecided", "underdetermined"), machine)
    assert lines[0] == "Undecided: no gap is known yet."


def points(**deviations: tuple[float, float]) -> dict[str, PointFinding]:
    """Return points by name with deviation and standard uncertainty."""
    return {name: PointFinding(0.15 + off, u, off, 0.15) for name, (off, u) in deviations.items()}


def test_outside_names_the_point_that_proves_it(machine: Machine) -> None:
    """The point with the largest deviation beyond its uncertainty, not the largest deviation."""
    finding = Finding("outside", "turn", points=points(sure=(0.09, 0.01), loose=(-0.11, 0.05)))
    assert verdict_sentence(finding, machine) == (
        "Outside: sure, 0.09 mm too wide, U=0.02 mm; even with that allowed for, it is more than the "
        "0.05 mm of tolerance (ISO 14253-1, U=2u)."
    )


def test_undecided_names_the_point_that_leaves_it_open(machine: Machine) -> None:
    """The point whose deviation and uncertainty together reach furthest."""
    finding = Finding("undecided", "measure-again", points=points(near=(0.03, 0.005), loose=(-0.02, 0.03)))
    assert "loose, 0.02 mm too narrow, U=0.06 mm" in verdict_sentence(finding, machine)


def test_measure_again_names_points_and_leaves(machine: Machine, finding_of: MakeFinding) -> None:
    """The points to read, in the solver's order, with the leaf to start with."""
    text = " ".join(finding_lines(finding_of(machine, status="measure-again"), machine))
    assert f"read again {machine.point[0].name[:37]}" in text
    assert "starting with 0.15 mm" in text


def test_what_no_adjuster_removes_comes_with_remedies(
    make_machine: Callable[..., Machine], corners: Callable[..., tuple], finding_of: MakeFinding
) -> None:
    """Figure, flatness with its standard, software compensation, shims, another plate."""
    from profiles.machine import Point

    machine = make_machine(corners(), (Point(name="middle", at_mm=(110, 110)),))
    text = " ".join(finding_lines(finding_of(machine, status="not-by-adjusters"), machine))
    assert "0.08 mm would be left at the best setting" in text
    assert "Flatness 0.11 mm (minimum zone, ISO 12781-1)" in text
    assert "if the machine has it" in text
    assert all(word in text for word in ("compensation", "Shims", "another plate"))
    able = make_machine(corners(), machine.point, compensation=Compensation(grid=(3, 4)))
    assert "over 3 x 4 points" in " ".join(finding_lines(finding_of(able, status="not-by-adjusters"), able))


def test_out_of_travel_names_the_adjuster(
    make_machine: Callable[..., Machine], corners: Callable[..., tuple], finding_of: MakeFinding
) -> None:
    """The adjuster whose turns reach the end of its travel is named."""
    from profiles.machine import Point

    machine = make_machine(corners(), (Point(name="middle", at_mm=(110, 110)),))
    finding = finding_of(machine, status="out-of-travel", turns={"front left": 4.0, "back left": 1.0})
    assert at_their_end(finding, machine) == ("front left",)
    assert "Front left would have to go beyond" in " ".join(finding_lines(finding, machine))


def test_the_way_out_of_travel_is_told(
    make_machine: Callable[..., Machine], corners: Callable[..., tuple], finding_of: MakeFinding
) -> None:
    """The turns inside the travel are named, then how far the nozzle moves, then what remains."""
    from profiles.machine import Point

    machine = make_machine(corners(), (Point(name="middle", at_mm=(110, 110)),))
    way = WayOut({"back left": -0.5}, nozzle_mm=-0.31, worst_mm=0.02)
    text = " ".join(finding_lines(finding_of(machine, status="out-of-travel", way_out=way), machine))
    assert "at another height: back left: half a turn anticlockwise" in text
    assert "then lower the nozzle by 0.31 mm at its endstop; 0.02 mm remains." in text
    other = " ".join(finding_lines(finding_of(machine, status="turn", way_out=way), machine))
    assert "another height" not in other


def test_step_gauge_and_tolerance_that_do_not_go_together_are_told(
    machine: Machine, finding_of: MakeFinding
) -> None:
    """All three figures are in the sentence; without them nothing is said."""
    limits = Limits(step_mm=0.04, reading_mm=0.03, tolerance_mm=0.05)
    text = " ".join(finding_lines(finding_of(machine, status="turn", limits=limits), machine))
    assert "tolerance of 0.05 mm" in text
    assert "may leave 0.04 mm" in text
    assert "to 0.03 mm (U=2u)" in text
    assert "counted on" not in " ".join(finding_lines(finding_of(machine, status="turn"), machine))


@pytest.mark.parametrize("kind", get_args(SuspicionKind))
def test_a_suspicion_is_asked_with_its_odds(kind: SuspicionKind) -> None:
    """Each story is a question, never a statement, and names whom it is about."""
    story = Suspicion(kind, 8.2, adjuster="front left", point="centre")
    text = suspicion_sentence(Finding("undecided", "inconsistent", suspicion=story))
    assert "?" in text
    assert text.endswith("The odds are about 8 to 1.")
    if kind != "home-shifted":
        assert "front left" in text or "centre" in text


@pytest.mark.parametrize(
    ("story", "question"),
    [
        (Suspicion("turned-other-way", 8.0, "front left"), "Was front left turned the other way?"),
        (Suspicion("turned-other-way", 8.0), "Were all of them turned the other way?"),
        (Suspicion("not-turned", 8.0, "front left"), "Was front left not turned at all?"),
        (
            Suspicion("other-adjuster", 8.0, "front left"),
            "Was another adjuster turned in place of front left?",
        ),
    ],
)
def test_a_suspicion_names_the_adjuster_that_was_told(story: Suspicion, question: str) -> None:
    """The adjuster of a story is the one that was asked for; none stands for all that were."""
    assert suspicion_sentence(Finding("undecided", "turn", suspicion=story)).startswith(question)


@pytest.mark.parametrize(
    ("odds", "words"),
    [(1e9, "over 1000 to 1"), (1.0, "about 1 to 1"), (0.25, "about 1 to 4"), (0.0, "less than 1 to 1000")],
)
def test_odds_are_whole_numbers(odds: float, words: str) -> None:
    """Odds read as odds, in whole numbers, and never divide by nothing."""
    text = suspicion_sentence(Finding("undecided", "turn", suspicion=Suspicion("home-shifted", odds)))
    assert words in text


def test_the_spread_is_told_where_the_height_is_set_apart(machine: Machine, finding_of: MakeFinding) -> None:
    """With a height still to be set, only half the spread is expected of the turns."""
    wide = {"a": PointFinding(0.5, 0.01, 0.35, 0.40), "b": PointFinding(0.6, 0.01, 0.45, 0.44)}
    assert predicted_worst_mm(finding_of(machine, points=wide, height_change_mm=-0.25), machine) == (
        pytest.approx(0.02)
    )
    assert predicted_worst_mm(finding_of(machine, points=wide), machine) == pytest.approx(0.29)


def test_the_result_is_a_table_by_sign(machine: Machine) -> None:
    """A line a point: gap, uncertainty, deviation with its sign and in a word."""
    table = result_table(Finding("within", "level", points=points(wide=(0.03, 0.014), narrow=(-0.02, 0.014))))
    assert [line.split() for line in table] == [
        ["point", "gap", "u", "off", "mm"],
        ["wide", "0.18", "0.014", "+0.03", "wide"],
        ["narrow", "0.13", "0.014", "-0.02", "narrow"],
    ]


@pytest.mark.parametrize(("left_mm", "said"), [(0.02, False), (0.04, True), (0.06, False)])
def test_no_room_between_the_plates_form_and_the_gauge_is_said_with_the_figures(
    left_mm: float, said: bool
) -> None:
    machine = Machine(
        name="made up",
        bed=Bed(size_mm=(220.0, 220.0)),
        motion=Motion(x_mm=(0.0, 220.0), y_mm=(0.0, 220.0), z_mm=(0.0, 200.0)),
        first_layer=FirstLayer(height_mm=0.20, gap_mm=0.15, tolerance_mm=0.05),
        height=Height(by="bed adjusters"),
    )
    known = {"a": PointFinding(0.19, 0.009, 0.04, 0.19), "b": PointFinding(0.11, 0.012, -0.04, 0.11)}
    finding = Finding("undecided", "measure-again", points=known, best_possible_mm=left_mm)
    words = " ".join(finding_lines(finding, machine))
    assert ("cannot be proven" in words) == said
    if said:
        assert "0.04 mm" in words
        assert "0.018 mm" in words
