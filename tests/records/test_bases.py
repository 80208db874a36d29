"""Which runs a recheck may compare with."""

from __future__ import annotations

import pytest

from wizard.records.bases import last_proven
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
