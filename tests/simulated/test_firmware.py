"""The controller's line, byte by byte, with time passed in."""

from __future__ import annotations

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from drivers.simulated import SimulatedPrinter

READY = ("G21", "G90", "G28", "G0 Z5 F600", "M400")
REJECTED = ["Error: line number 9 is not the next", "Resend: 1", "ok"]


def test_it_greets_with_a_start_banner_and_then_is_silent(machine):
    firmware = SimulatedPrinter(machine).firmware
    assert firmware.next_due(0.0) == 0.0
    assert firmware.poll(0.0) == b"start\n"
    assert firmware.poll(1000.0) == b""
    assert firmware.next_due(1000.0) is None


def test_each_block_gets_one_ok(talk):
    assert talk.send("G21", "G90", "M105") == ["ok", "ok", "ok T:22.0 /0.0 B:22.0 /0.0"]


@pytest.mark.parametrize("line", ["", "   ", "; a comment", "(another)"])
def test_an_empty_line_gets_no_answer(talk, line):
    assert talk.send(line) == []


def test_a_line_may_come_a_byte_at_a_time_and_end_with_cr_lf(talk):
    for byte in b"M400\r\n":
        assert talk.hear() == []
        talk.firmware.receive(bytes([byte]), talk.now)
    assert talk.hear() == ["ok"]


def test_numbered_blocks_are_taken_in_order(talk, numbered):
    talk.firmware.receive(numbered(1, "G21") + numbered(2, "G90") + numbered(3, "M400"), 0.0)
    assert talk.hear() == ["ok", "ok", "ok"]


def test_a_number_out_of_order_is_asked_for_again(talk, numbered):
    talk.firmware.receive(numbered(9, "G21"), 0.0)
    assert talk.hear() == REJECTED
    talk.firmware.receive(numbered(1, "G21"), 0.0)
    assert talk.hear() == ["ok"]
    assert talk.printer.record.resends == 1


def test_a_block_that_comes_twice_is_carried_out_once(talk, numbered):
    talk.do(*READY)
    talk.firmware.receive(numbered(1, "G91") + numbered(2, "G0 X10") + numbered(2, "G0 X10"), talk.now)
    talk.wait(60.0)
    assert talk.printer.nozzle_mm()[0] == pytest.approx(10.0)


def test_a_garbled_block_is_not_carried_out_and_asked_for_again(talk, numbered):
    talk.firmware.receive(numbered(1, "M104 S100").replace(b"S1", b"S2"), 0.0)
    assert talk.hear() == ["Error: checksum does not match", "Resend: 1", "ok"]
    assert talk.printer.firmware.interpreter.nozzle.target_c == 0.0


@pytest.mark.parametrize("block", ["M110 N41", "M110"])
def test_renumbering_sets_the_count_by_its_word_or_by_its_own_number(talk, numbered, block):
    talk.firmware.receive(numbered(41, block) + numbered(42, "G21"), 0.0)
    assert talk.hear() == ["ok", "ok"]


def test_a_number_that_stands_alone_counts(talk, numbered):
    talk.firmware.receive(numbered(1, "") + numbered(2, "G21"), 0.0)
    assert talk.hear() == ["ok", "ok"]


def test_a_word_it_does_not_know_is_echoed_and_acknowledged(talk):
    assert talk.send("M999 X1") == ["echo: unknown command: M999 X1", "ok"]
    assert talk.send("hello there") == ["echo: unknown command: hello there", "ok"]


def test_waiting_for_moves_is_acknowledged_when_they_are_done_and_busy_till_then(talk):
    talk.do(*READY)
    assert talk.send("G0 X220 F1200") == ["ok"]
    assert talk.send("M400") == []
    said = talk.wait(10.9)
    assert said == ["busy: moving"] * 5
    assert talk.wait(0.2) == ["ok"]


def test_blocks_wait_their_turn_behind_one_that_takes_time(talk):
    talk.do(*READY)
    talk.send("G0 X220 F1200")
    assert talk.send("M400", "M114", "M105") == []
    said = [line for line in talk.wait(12.0) if not line.startswith("busy")]
    assert said == ["ok", "X:220.00 Y:0.00 Z:5.000 E:0.00", "ok", "ok T:22.0 /0.0 B:22.0 /0.0"]


def test_the_queue_of_moves_is_short_and_a_full_one_holds_the_ok_back(talk):
    talk.do(*READY)
    oks = sum(talk.send(f"G0 X{x} F1200").count("ok") for x in (20, 40, 60, 80, 100))
    assert oks == 4
    assert talk.wait(1.2) == ["ok"]


def test_heating_with_waiting_reports_temperatures_and_busy_until_reached(talk):
    assert talk.send("M190 S60") == []
    said = talk.wait(600.0)
    reports = [line for line in said if line.startswith("T:")]
    assert said[-1] == "ok"
    assert len(reports) > 200
    assert "busy: heating" in said
    warmth = [float(line.split("B:")[1].split()[0]) for line in reports]
    assert warmth == sorted(warmth)
    assert warmth[0] < 25.0
    assert warmth[-1] >= 59.0


def test_a_dead_heater_is_waited_for_without_end_and_shown_cold(talk):
    talk.firmware.interpreter.bed.dead = True
    talk.send("M190 S60")
    said = talk.wait(3600.0)
    assert "ok" not in said
    assert said[-1].startswith(("T:22.0 /0.0 B:22.0 /60.0", "busy"))


def test_next_due_is_when_the_next_byte_will_be_said(talk):
    talk.do(*READY)
    talk.send("G0 X220 F1200", "M400")
    for _ in range(8):
        due = talk.firmware.next_due(talk.now)
        if due is None:
            break
        assert talk.wait(due - talk.now - 1e-6) == []
        assert talk.wait(2e-6) != []
    assert talk.firmware.next_due(talk.now) is None


def test_how_often_it_is_polled_does_not_change_what_it_says(machine):
    def said(step):
        firmware = SimulatedPrinter(machine, 3).firmware
        firmware.receive(b"G28\nG0 Z5\nG0 X100 Y100\nM190 S30\nG1 Z0.2 F60\nM400\nM114\n", 0.0)
        out, now = b"", 0.0
        while now < 200.0:
            now += step
            out += firmware.poll(now)
        return out

    assert said(0.01) == said(7.0) == said(200.0)


def test_the_stop_word_is_honoured_at_once_past_everything_that_waits(talk):
    talk.do(*READY)
    talk.send("M104 S200", "M140 S60", "G0 X200 F600", "M400", "G0 X0")
    talk.wait(5.0)
    assert talk.send("M112") == ["Error: stopped by M112, heaters off"]
    x, _, z = talk.printer.nozzle_mm()
    assert (x, z) == (pytest.approx(50.0, abs=1.0), 5.0)
    talk.wait(1.0)
    assert talk.printer.nozzle_mm()[0] == x
    assert talk.firmware.interpreter.nozzle.target_c == talk.firmware.interpreter.bed.target_c == 0.0
    assert talk.printer.record.stops == 1


@pytest.mark.parametrize(
    "line", [b"M112\n", b"\nM112\n", b"N3 M112*99\n", b"G1 X4\x00\xffM112\n", b"m0112\n"]
)
def test_the_stop_word_is_honoured_with_any_number_checksum_or_rubbish_before_it(talk, line):
    talk.firmware.receive(line, 0.0)
    assert talk.firmware.halted


@pytest.mark.parametrize("line", [b"M1120\n", b"M11\n", b"M1 12\n"])
def test_what_only_looks_like_the_stop_word_does_not_stop(talk, line):
    talk.firmware.receive(line, 0.0)
    assert not talk.firmware.halted


def test_a_stopped_machine_refuses_blocks_then_starts_anew_with_nothing_homed(talk):
    talk.do(*READY)
    talk.send("M112")
    assert talk.send("G28") == ["Error: stopped; restart to go on"]
    assert talk.wait(2.1) == ["start"]
    assert talk.send("M105") == ["ok T:22.0 /0.0 B:22.0 /0.0"]
    assert talk.firmware.interpreter.motion.homed == [False, False, False]


def test_a_restart_forgets_numbers_units_and_what_waited(talk, numbered):
    talk.firmware.receive(numbered(1, "G20") + numbered(2, "G91") + numbered(3, "M190 S60"), 0.0)
    talk.hear()
    talk.firmware.restart()
    assert talk.hear() == ["start"]
    assert talk.wait(1000.0) == []
    talk.firmware.receive(numbered(1, "G21"), talk.now)
    assert talk.hear() == ["ok"]


def test_an_endless_line_does_not_fill_the_memory(talk):
    for _ in range(50):
        talk.firmware.receive(b"X" * 1000, 0.0)
    talk.firmware.receive(b"\n", 0.0)
    assert talk.hear() == ["Error: line too long", "Resend: 1", "ok"]


@settings(max_examples=80, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(
    st.lists(
        st.one_of(
            st.binary(max_size=30),
            st.from_regex(rb"[GM][0-9]{1,3}( [XYZFSPRE]-?[0-9]{1,4}(\.[0-9]{1,2})?){0,4}\n", fullmatch=True),
        ),
        max_size=12,
    )
)
def test_no_bytes_break_it_and_it_always_comes_to_rest(machine, chunks):
    firmware = SimulatedPrinter(machine, 1).firmware
    for nth, chunk in enumerate(chunks):
        firmware.receive(chunk, float(nth))
    firmware.receive(b"\nM112\n", 1000.0)
    out = firmware.poll(1100.0)
    assert out.startswith(b"start\n")
    assert out.isascii()
    assert out.endswith(b"\nstart\n")
