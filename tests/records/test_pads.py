"""Pads of a check print in a run's tables."""

from __future__ import annotations

from types import SimpleNamespace

import pytest

from profiles.load import load
from wizard.journal.lines import Step
from wizard.records.details import readings
from wizard.requests import JudgePad, PadMeasured, PadSeen, Skipped

FOUR = load("four-corner-220")


def rows(*steps: tuple[JudgePad, object]) -> list:
    whole = SimpleNamespace(
        header=SimpleNamespace(profile=FOUR),
        steps=[Step(request, answer, "now") for request, answer in steps],
    )
    return readings(whole)


def test_a_pad_is_a_row_with_what_it_tells_of_the_gap_at_layer_height() -> None:
    (row,) = rows((JudgePad("centre", "caliper", 4, 5, 5), PadMeasured(0.16)))
    assert (row.round, row.point, row.z_mm, row.how) == (4, "centre", 0.2, "pad: caliper, 0.16 mm")
    assert (row.low_mm + row.high_mm) / 2 == pytest.approx(0.16)


def test_a_look_is_a_row_in_words_and_what_was_left_out_is_none() -> None:
    pad = JudgePad("centre", "look", 4, 5, 5)
    (row,) = rows((pad, PadSeen(1)), (pad, Skipped("not sure")))
    assert row.how == "pad: lines apart, not stuck"
    assert row.low_mm == pytest.approx(0.225)
    assert row.high_mm is None
