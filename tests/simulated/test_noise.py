"""A bad cable: what arrives, and that the host's end still gets its job done over it."""

from __future__ import annotations

from contextlib import suppress

import pytest

from drivers.errors import DriverError
from drivers.exchange_events import Patience
from drivers.printer import LinePrinter
from drivers.simulated import SimulatedPrinter
from drivers.simulated.noise import Noise
from drivers.simulated.serve import PtyServer, TcpServer

TEXT = b"N12 G1 X10 Y20 F6000*71\n" * 200


def test_a_good_cable_changes_nothing():
    assert Noise(0.0).on_blocks(TEXT) == TEXT


def test_a_bad_one_spoils_as_many_bytes_as_asked_and_the_same_ones_for_a_seed():
    noise = Noise(0.02, 3)
    arrived = noise.on_blocks(TEXT)
    assert arrived == Noise(0.02, 3).on_blocks(TEXT) != Noise(0.02, 4).on_blocks(TEXT)
    assert 60 < noise.spoilt < 140
    assert len(TEXT) - noise.spoilt < len(arrived) < len(TEXT)


def test_answers_are_spoilt_only_where_both_ways_are():
    assert Noise(0.02, 3).on_answers(TEXT) != TEXT
    assert Noise(0.02, 3, both_ways=False).on_answers(TEXT) == TEXT


async def park_everywhere(server):
    """Park at every point, checking where the nozzle truly is; return how many blocks were repeated."""
    simulated, machine = server.printer, server.printer.machine
    patience = Patience(grace_s=0.1, margin_s=2.0, settle_s=0.01)
    printer = LinePrinter(machine, server.url, patience=patience)
    try:
        await printer.connect()
        await printer.home()
        for point in machine.point:
            await printer.park(point, 0.2)
            assert simulated.nozzle_mm() == pytest.approx((*point.at_mm, 0.2), abs=1e-6)
    finally:
        await printer.close()
    return printer.status.resends


@pytest.mark.parametrize(("kind", "both_ways"), [(PtyServer, False), (TcpServer, False), (PtyServer, True)])
async def test_over_a_bad_cable_a_job_is_done_truly_or_ends_with_what_is_wrong(kind, both_ways, machine):
    repeated = 0
    for seed in (1, 2):
        noise, simulated = Noise(0.004, seed, both_ways), SimulatedPrinter(machine, 1, speed=200.0)
        with kind(simulated, noise=noise) as server, suppress(DriverError):
            repeated += await park_everywhere(server)
        assert simulated.record.violations == []
        assert noise.spoilt > 0
    assert repeated > 0
