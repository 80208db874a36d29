"""Laying a layer down over a line: all blocks once and in order, progress, pause, heat, stop, loss."""

from __future__ import annotations

import asyncio

import pytest

from drivers.commands import RELATIVE_FILAMENT, Draw, Move, Push, encode
from drivers.errors import LinkLost, MoveRefused, PrinterFault, Stopped
from profiles.load import load

FOUR = load("four-corner-220")
FEED = 1200.0


def layer(lines=20):
    """A short layer: over a place, down, some lines, back up."""
    blocks = [
        Move(z_mm=5.0, feed_mm_min=600.0),
        RELATIVE_FILAMENT,
        Move(x_mm=100.0, y_mm=100.0, feed_mm_min=6000.0, rapid=True),
        Move(z_mm=1.2, feed_mm_min=600.0),
        *(Move(z_mm=z, feed_mm_min=120.0) for z in (0.95, 0.7, 0.45, 0.2)),
    ]
    for nth in range(lines):
        x = 110.0 if nth % 2 == 0 else 100.0
        blocks.append(Draw(x_mm=x, y_mm=100.0 + nth * 0.5, extrude_mm=0.36, feed_mm_min=FEED))
    return [
        *blocks,
        Push(extrude_mm=-1.0, feed_mm_min=1800.0),
        Move(z_mm=5.0, feed_mm_min=600.0),
    ]


class Onlooker:
    """Writes down what it is told; holds the layer when a line count is reached, until let go."""

    def __init__(self, hold_at=None):
        self.progress = []
        self.hold_at = hold_at
        self.held_lines = None
        self.go = asyncio.Event()
        self.waiting = asyncio.Event()

    def told(self, progress):
        self.progress.append(progress)

    @property
    def held(self):
        return self.hold_at is not None and self.hold_at()

    async def released(self):
        self.waiting.set()
        await self.go.wait()
        self.hold_at = None


def obedient(fakes, **lasts_s):
    machine = fakes.obedient()
    machine.lasts_s = lasts_s
    return machine


async def ready(printer):
    await printer.connect()
    await printer.warm(0, 205)
    await printer.home()


def moves_of(line, blocks):
    """What of these blocks' kind was carried out since the first of them."""
    done = [text for text in line.done if text.startswith(("G0", "G1", "M83"))]
    return done[-len(blocks) :]


def test_every_block_is_carried_out_once_and_in_order(bench, fakes):
    blocks = layer()

    async def job(printer, line):
        await ready(printer)
        looker = Onlooker()
        await printer.laying().run(blocks, 205.0, looker)
        assert moves_of(line, blocks) == [encode(block) for block in blocks]
        assert looker.progress[-1].done == looker.progress[-1].total == len(blocks)
        assert printer.status.position_mm == (100.0, 109.5, 5.0)

    bench(job, obedient(fakes), machine=FOUR)


def test_progress_only_grows_and_the_time_left_comes_down_to_nothing(bench, fakes):
    async def job(printer, line):
        await ready(printer)
        looker = Onlooker()
        await printer.laying().run(layer(60), 205.0, looker)
        done = [each.done for each in looker.progress]
        assert len(done) > 10
        assert done == sorted(done)
        left = [each.left_s for each in looker.progress]
        assert left[-1] == 0.0
        # 40 lines of 10 mm at 20 mm/s, half a second each, are still to come at the third of the way
        third = next(each for each in looker.progress if each.done >= 28)
        assert third.left_s == pytest.approx(0.5 * (len(layer(60)) - third.done), rel=0.25)

    bench(job, obedient(fakes, G1=0.5), machine=FOUR)


def test_temperatures_are_asked_for_meanwhile(bench, fakes):
    async def job(printer, line):
        await ready(printer)
        before = line.done.count("M105")
        await printer.laying().run(layer(60), 205.0, Onlooker())
        assert 20 <= line.done.count("M105") - before <= 40

    bench(job, obedient(fakes, G1=0.5), machine=FOUR)


def test_a_pause_lifts_and_waits_and_goes_on_with_the_very_next_block(bench, fakes):
    blocks = layer()

    async def job(printer, line):
        await ready(printer)
        begun = len(line.done)
        drawn = lambda: sum(" E0" in text for text in line.done) >= 7  # noqa: E731
        looker = Onlooker(drawn)
        laying = asyncio.create_task(printer.laying().run(blocks, 205.0, looker))
        await looker.waiting.wait()
        assert line.position["Z"] == 5.0
        assert [t for t in line.done if "E" in t][-1] == "G1 E-1 F1800"
        looks = line.done.count("M105")
        await asyncio.sleep(30.0)
        assert line.done.count("M105") > looks + 5  # the heat is looked after while it waits
        looker.go.set()
        await laying
        texts = [text for text in line.done[begun:] if text.startswith(("G0", "G1", "M83"))]
        lines = [text for text in texts if " E0" in text]
        assert lines == [encode(block) for block in blocks if isinstance(block, Draw)]
        at = texts.index(lines[7])
        assert texts[at - 9 : at] == [
            "G1 E-1 F1800",
            "G1 Z5 F600",
            "G0 X110 Y103 F6000",
            "G1 Z1.2 F600",
            "G1 Z0.95 F120",
            "G1 Z0.7 F120",
            "G1 Z0.45 F120",
            "G1 Z0.2 F120",
            "G1 E1 F1800",
        ]

    bench(job, obedient(fakes), machine=FOUR)


def test_a_pause_between_strokes_does_not_go_down(bench, fakes):
    blocks = layer(2)

    async def job(printer, line):
        await ready(printer)
        looker = Onlooker(lambda: True)
        laying = asyncio.create_task(printer.laying().run(blocks, 205.0, looker))
        await looker.waiting.wait()
        assert not any("E" in text for text in line.done)
        looker.go.set()
        await laying
        assert moves_of(line, blocks) == [encode(block) for block in blocks]

    bench(job, obedient(fakes), machine=FOUR)


def test_nothing_is_sent_before_homing_or_with_a_cold_nozzle(bench, fakes):
    async def job(printer, line):
        await printer.connect()
        with pytest.raises(MoveRefused, match="home first"):
            await printer.laying().run(layer(), 205.0, Onlooker())
        await printer.home()
        before = [text for text in line.done if text.startswith("G1")]
        with pytest.raises(PrinterFault, match="the filament needs 205"):
            await printer.laying().run(layer(), 205.0, Onlooker())
        with pytest.raises(MoveRefused, match="150 to 260"):
            await printer.laying().run(layer(), 300.0, Onlooker())
        assert [text for text in line.done if text.startswith("G1")] == before

    bench(job, obedient(fakes), machine=FOUR)


def test_a_nozzle_that_cools_down_meanwhile_is_a_fault(bench, fakes):
    async def job(printer, line):
        await ready(printer)
        laying = asyncio.create_task(printer.laying().run(layer(60), 205.0, Onlooker()))
        await asyncio.sleep(12.0)
        line.heats, line.now_c["T"] = False, 180.0
        with pytest.raises(PrinterFault, match="take off what was laid down"):
            await laying
        assert sum(" E0" in text for text in line.done) < 60
        with pytest.raises(MoveRefused, match="only in a check print"):
            await printer._talk.ask(Push(extrude_mm=-1.0, feed_mm_min=1800.0))
        await printer.make_safe()
        assert line.position["Z"] == 5.0
        assert line.targets == {"B": 0.0, "T": 0.0}

    bench(job, obedient(fakes, G1=0.5), machine=FOUR)


def test_a_machine_that_tells_no_temperature_prints_nothing(bench, fakes):
    async def job(printer, line):
        await ready(printer)
        line.answers["M105"] = "ok\n"
        with pytest.raises(PrinterFault, match="does not tell how hot"):
            await printer.laying().run(layer(), 205.0, Onlooker())
        assert not any("E" in text for text in line.done)

    bench(job, obedient(fakes), machine=FOUR)


def test_an_answer_that_the_line_has_spoilt_is_asked_for_again(bench, fakes):
    class Spoilt(fakes.obedient):
        spoil = 0

        def _report(self, code):
            if code == "M105" and self.spoil:
                self.spoil -= 1
                return ""
            return super()._report(code)

    async def job(printer, line):
        await ready(printer)
        line.spoil = 2
        await printer.laying().run(layer(), 205.0, Onlooker())
        assert sum(" E0" in text for text in line.done) == 20

    bench(job, Spoilt(), machine=FOUR)


def test_a_word_for_relative_lengths_that_is_not_known_is_a_fault(bench, fakes):
    async def job(printer, line):
        await ready(printer)
        line.answers["M83"] = "echo:Unknown command: M83\nok\n"
        with pytest.raises(PrinterFault, match="M83"):
            await printer.laying().run(layer(), 205.0, Onlooker())
        assert not any(" E" in text for text in line.done)

    bench(job, obedient(fakes), machine=FOUR)


def test_a_stop_ends_it_at_once(bench, fakes):
    async def job(printer, line):
        await ready(printer)
        laying = asyncio.create_task(printer.laying().run(layer(60), 205.0, Onlooker()))
        await asyncio.sleep(12.0)
        printer.stop()
        with pytest.raises(Stopped):
            await laying
        assert line.halted
        assert not [text for text in line.lines()[line.lines().index("M112") :] if " E" in text]

    bench(job, obedient(fakes, G1=0.5), machine=FOUR)


def test_a_lost_line_ends_it_and_nothing_more_is_laid_down(bench, fakes):
    async def job(printer, line):
        await ready(printer)
        laying = asyncio.create_task(printer.laying().run(layer(60), 205.0, Onlooker()))
        await asyncio.sleep(12.0)
        line.unplug()
        with pytest.raises(LinkLost):
            await laying
        assert printer.status.position_mm is None

    bench(job, obedient(fakes, G1=0.5), machine=FOUR)


def test_a_restart_of_the_board_ends_it(bench, fakes):
    async def job(printer, line):
        await ready(printer)
        laying = asyncio.create_task(printer.laying().run(layer(60), 205.0, Onlooker()))
        await asyncio.sleep(12.0)
        line.restart()
        with pytest.raises(PrinterFault):
            await laying
        drawn = sum(" E0" in text for text in line.done)
        with pytest.raises(PrinterFault):
            await printer.laying().run(layer(), 205.0, Onlooker())
        assert sum(" E0" in text for text in line.done) == drawn

    bench(job, obedient(fakes, G1=0.5), machine=FOUR)
