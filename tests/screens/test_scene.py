"""Notes at the points: readings as they were read, findings with U = 2u, judged as the standard judges."""

from __future__ import annotations

import pytest

from profiles.machine import Machine
from wizard.facts import Facts
from wizard.rounds import Reading
from wizard.solver.finding import Finding, PointFinding
from wizard.widgets.scene import note_of_finding, note_of_reading, notes_of


@pytest.mark.parametrize(
    ("reading", "long", "judged"),
    [
        (Reading(0.15, 0.20), "0.15-.20", "within"),
        (Reading(0.10, 0.15), "0.10-.15", "within"),
        (Reading(0.05, 0.15), "0.05-.15", "open"),
        (Reading(0.30, 0.40), "0.30-.40", "wide"),
        (Reading(0.50, None), ">0.50", "wide"),
        (Reading(None, 0.05), "<0.05", "narrow"),
        (Reading(0.15, None), ">0.15", "open"),
        (Reading(None, None), "?", "open"),
        (Reading(-0.58, None), "?", "open"),
        (Reading(0.17, 0.17), "0.17", "within"),
    ],
)
def test_a_reading_is_shown_as_read_and_judged_only_where_it_is_certain(
    machine: Machine, reading: Reading, long: str, judged: str
) -> None:
    """Target 0.15 mm, tolerance 0.05 mm."""
    note = note_of_reading(reading, machine)
    assert (note.long, note.judged) == (long, judged)


@pytest.mark.parametrize(
    ("deviation", "u", "judged"),
    [
        (0.02, 0.01, "within"),
        (0.04, 0.01, "open"),
        (0.08, 0.01, "wide"),
        (-0.08, 0.01, "narrow"),
        (0.08, 0.02, "open"),
    ],
)
def test_a_computed_gap_is_judged_with_twice_its_uncertainty(
    machine: Machine, deviation: float, u: float, judged: str
) -> None:
    """ISO 14253-1: within where |deviation| + U <= tolerance, outside where |deviation| - U > tolerance."""
    note = note_of_finding(PointFinding(0.15 + deviation, u, deviation, 0.15), machine)
    assert note.judged == judged
    assert note.long == f"{0.15 + deviation:.2f}±{2 * u:.2f}".replace("±0.", "±.")


def test_a_finding_tells_more_than_the_readings_and_goes_before_them(facts: Facts, finding: Finding) -> None:
    assert set(notes_of(facts, None)) == {"front left", "back left", "centre"}
    assert set(notes_of(facts, finding)) == set(finding.points)
