"""What is kept of a simulated machine's life."""

from __future__ import annotations

from drivers.simulated.record import Record, Violation


def test_violations_are_kept_in_order_and_told_by_kind():
    record = Record()
    crash = Violation("crash", "nozzle into plate", (1.0, 2.0, 3.0), 0.4)
    low = Violation("low-sideways", "at Z1.00", (1.0, 2.0, 1.0))
    record.note(low)
    record.note(crash)
    assert record.violations == [low, crash]
    assert record.crashes == [crash]
    assert record.of_kind("before-homing") == []


def test_blocks_are_counted_by_their_word():
    record = Record()
    for word in ("G28", "G0", "G0"):
        record.count(word)
    assert record.blocks == {"G28": 1, "G0": 2}
