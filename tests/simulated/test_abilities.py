"""Words of a machine's own, made from its profile's templates."""

from __future__ import annotations

import re
from statistics import stdev

import msgspec
import pytest

from drivers.simulated.abilities import OFF_MM, TOUCH_SD_MM, Touch
from profiles.machine import Height, Motion, Probe

BY_NUMBER = Height(
    by="stored offset",
    set_command="M71 Z{offset_mm}",
    store_command="M72",
    read_command="M73",
    reply=r"offset Z(?P<offset_mm>-?[0-9.]+)",
)
BY_CHANGE = Height(by="stored offset", set_command="M71  S{change_mm}", store_command="M72")


def number_told(talk):
    return float(re.fullmatch(BY_NUMBER.reply, talk.send("M73")[0])["offset_mm"])


@pytest.mark.parametrize("change", [0.05, -0.12])
def test_a_change_of_the_stored_offset_moves_the_nozzle_by_as_much(make_machine, talk_to, change):
    talk = talk_to(make_machine(height=BY_CHANGE))
    before = talk.printer.plate.gap_at(110.0, 110.0, 0.2)
    assert talk.send(f"M71 S{change}") == ["ok"]
    assert talk.printer.plate.gap_at(110.0, 110.0, 0.2) - before == pytest.approx(change)


def test_a_whole_number_sets_the_offset_and_is_told_in_the_profile_s_own_form(make_machine, talk_to):
    talk = talk_to(make_machine(height=BY_NUMBER))
    found, before = number_told(talk), talk.printer.plate.gap_at(110.0, 110.0, 0.2)
    assert -2.0 <= found <= -0.5
    assert talk.send(f"m71  z{found + 0.2:.2f}") == ["ok"]
    assert number_told(talk) == pytest.approx(found + 0.2)
    assert talk.printer.plate.gap_at(110.0, 110.0, 0.2) - before == pytest.approx(0.2)


def test_what_was_not_stored_is_lost_at_a_restart(make_machine, talk_to):
    talk = talk_to(make_machine(height=BY_CHANGE))
    talk.send("M71 S0.1", "M72", "M71 S0.2")
    assert talk.printer.plate.offset_mm == pytest.approx(0.3)
    talk.firmware.restart()
    assert talk.printer.plate.offset_mm == pytest.approx(0.1)


def test_another_block_is_not_taken_for_one_of_these(make_machine, talk_to):
    talk = talk_to(make_machine(height=BY_CHANGE))
    for block in ("M71", "M71 Sx", "M71 S1 S2", "M711 S1", "M73"):
        assert talk.send(block)[0].startswith("echo: unknown command")


def deep(make_machine, touching):
    return make_machine(probe=touching, motion=Motion(x_mm=(0, 220), y_mm=(0, 230), z_mm=(-3.0, 240)))


def test_a_touch_goes_there_takes_time_and_tells_the_height_of_the_plate(make_machine, talk_to, touching):
    talk = talk_to(deep(make_machine, touching))
    talk.do("G28", "G0 Z5", "M400")
    assert talk.send("G30 X110 Y60") == []
    told = talk.do("M400")
    z_mm = float(re.search(touching.reply, "\n".join(told))["z_mm"])
    assert talk.printer.plate.gap_at(110.0, 60.0, z_mm) == pytest.approx(0.0, abs=OFF_MM + 0.015)
    assert talk.printer.nozzle_mm() == pytest.approx((110.0, 60.0, 5.0))
    assert talk.printer.record.violations == []


def test_touches_scatter_a_little(make_machine, talk_to, touching):
    talk = talk_to(deep(make_machine, touching))
    talk.do("G28", "G0 Z5", "M400")
    told = [talk.do("G30 X110 Y60")[-2] for _ in range(60)]
    heights = [float(re.search(touching.reply, line)["z_mm"]) for line in told]
    assert stdev(heights) == pytest.approx(TOUCH_SD_MM, rel=0.4)


def test_a_touch_beside_the_plate_meets_the_touch_plate_at_nozzle_zero(make_machine, talk_to, touching):
    talk = talk_to(deep(make_machine, touching))
    talk.do("G28", "G0 Z5", "M400")
    z_mm = float(re.search(touching.reply, talk.do("G30 X110 Y228")[-2])["z_mm"])
    assert z_mm + talk.printer.plate.nozzle_above_mm == pytest.approx(0.0, abs=OFF_MM + 0.015)


def test_a_touch_by_the_nozzle_itself_is_not_off(make_machine, talk_to, touching):
    nozzle = msgspec.structs.replace(touching, kind="nozzle contact")
    talk = talk_to(deep(make_machine, nozzle))
    talk.do("G28", "G0 Z5", "M400")
    z_mm = float(re.search(touching.reply, talk.do("G30 X110 Y60")[-2])["z_mm"])
    assert talk.printer.plate.gap_at(110.0, 60.0, z_mm) == pytest.approx(0.0, abs=0.015)


def test_a_touch_beside_the_nozzle_is_off_by_the_same_everywhere(make_machine, talk_to, touching):
    talk = talk_to(deep(make_machine, touching))
    talk.do("G28", "G0 Z5", "M400")
    offs = []
    for x, y in ((30, 30), (190, 60), (110, 200)):
        z_mm = float(re.search(touching.reply, talk.do(f"G30 X{x} Y{y}")[-2])["z_mm"])
        offs.append(talk.printer.plate.gap_at(x, y, z_mm))
    assert max(offs) - min(offs) < 6.0 * TOUCH_SD_MM


@pytest.mark.parametrize(("kind", "feels"), [("touch", False), ("nozzle contact", True)])
def test_only_the_nozzle_itself_feels_that_another_one_is_in(make_machine, talk_to, kind, feels):
    probe = Probe(kind=kind, command="G30 X{x_mm} Y{y_mm}", reply=r"Z: ?(?P<z_mm>-?[0-9.]+)")
    talk = talk_to(deep(make_machine, probe))
    talk.do("G28", "G0 Z5", "M400")
    touched = lambda: float(re.search(probe.reply, talk.do("G30 X110 Y60")[-2])["z_mm"])  # noqa: E731
    before = touched()
    higher_mm = talk.printer.plate.swap_nozzle(1)
    assert abs(higher_mm) >= 0.05
    assert touched() - before == pytest.approx(-higher_mm if feels else 0.0, abs=6.0 * TOUCH_SD_MM)


def test_plastic_on_the_tip_makes_touches_scatter(make_machine, talk_to, touching):
    talk = talk_to(deep(make_machine, touching))
    talk.do("G28", "G0 Z5", "M400")
    touch = next(one for one in talk.printer.firmware.interpreter.abilities if isinstance(one, Touch))
    touch.plastic_mm = 0.2
    heights = [float(re.search(touching.reply, talk.do("G30 X110 Y60")[-2])["z_mm"]) for _ in range(20)]
    assert stdev(heights) > 5.0 * TOUCH_SD_MM


@pytest.mark.parametrize(("before", "block"), [((), "G30 X10 Y10"), (("G28",), "G30 X500 Y10")])
def test_a_touch_before_homing_or_outside_the_limits_is_refused(
    make_machine, talk_to, touching, before, block
):
    talk = talk_to(deep(make_machine, touching))
    talk.do(*before)
    assert talk.do(block)[0].startswith("Error: ")


def test_an_odd_reply_pattern_still_gets_an_answer_with_the_number(make_machine, talk_to):
    odd = Probe(kind="touch", command="G30 X{x_mm} Y{y_mm}", reply=r"(?!Z)Z(?P<z_mm>.+)")
    talk = talk_to(deep(make_machine, odd))
    talk.do("G28", "G0 Z5", "M400")
    assert talk.do("G30 X110 Y60")[-2].startswith("z_mm ")
