"""One line -> one reply: the shapes met in the field, and text that is out to do harm."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from drivers import replies as r
from drivers.replies import Heater, decode, identity_facts, parse

FIELD = [
    ("ok", r.Ok("ok")),
    ("OK", r.Ok("OK")),
    ("ok N1001 P15 B3", r.Ok("ok N1001 P15 B3", 1001, r.Other("N1001 P15 B3"))),
    (
        "ok T:21.5 /0.0 B:60.1 /60.0",
        r.Ok(
            "ok T:21.5 /0.0 B:60.1 /60.0",
            None,
            r.Temperature("T:21.5 /0.0 B:60.1 /60.0", {"T": Heater(21.5, 0.0), "B": Heater(60.1, 60.0)}),
        ),
    ),
    ("Resend: 1001", r.Resend("Resend: 1001", 1001)),
    ("resend:1001", r.Resend("resend:1001", 1001)),
    ("Resend: N1001", r.Resend("Resend: N1001", 1001)),
    ("rs 7", r.Resend("rs 7", 7)),
    ("rs N7 Expected checksum 67", r.Resend("rs N7 Expected checksum 67", 7)),
    ("busy: processing", r.Busy("busy: processing", "processing")),
    ("echo:busy: paused for user", r.Busy("echo:busy: paused for user", "paused for user")),
    ("start", r.Started("start")),
    ("Start", r.Started("Start")),
    ("echo: External Reset", r.Started("echo: External Reset")),
    ("PowerUp", r.Started("PowerUp")),
    ("Error:Heating failed", r.Failure("Error:Heating failed", "Heating failed")),
    ("error: no", r.Failure("error: no", "no")),
    ("!!", r.Failure("!!", "", fatal=True)),
    ("!! stopped", r.Failure("!! stopped", "stopped", fatal=True)),
    ('echo:Unknown command: "M400"', r.UnknownCommand('echo:Unknown command: "M400"', '"M400"')),
    ("T:21.5 B:60", r.Temperature("T:21.5 B:60", {"T": Heater(21.5), "B": Heater(60.0)})),
    (
        "T:21.5 /200.0 B:60.0 /60.0 T0:21.5 /200.0 T1:30.0 /0.0 @:127 B@:0",
        r.Temperature(
            "T:21.5 /200.0 B:60.0 /60.0 T0:21.5 /200.0 T1:30.0 /0.0 @:127 B@:0",
            {"T": Heater(21.5, 200), "B": Heater(60, 60), "T0": Heater(21.5, 200), "T1": Heater(30, 0)},
        ),
    ),
    ("B:-5.0/0.0 T0:.5/0", r.Temperature("B:-5.0/0.0 T0:.5/0", {"B": Heater(-5, 0), "T0": Heater(0.5, 0)})),
    (
        "X:10.00 Y:-20.50 Z:0.15 E:0.00 Count X:800 Y:0 Z:60",
        r.Position("X:10.00 Y:-20.50 Z:0.15 E:0.00 Count X:800 Y:0 Z:60", 10, -20.5, 0.15),
    ),
    ("X:10.0Y:20.0Z:0.15E:0", r.Position("X:10.0Y:20.0Z:0.15E:0", 10, 20, 0.15)),
    ("C: X:1 Y:2 Z:3 E:0", r.Position("C: X:1 Y:2 Z:3 E:0", 1, 2, 3)),
    ("Bed X: 30.0 Y: 30.0 Z: -0.125", r.Probed("Bed X: 30.0 Y: 30.0 Z: -0.125", 30, 30, -0.125)),
    ("x_min: open", r.Endstop("x_min: open", "x_min", False)),
    ("z_probe: TRIGGERED", r.Endstop("z_probe: TRIGGERED", "z_probe", True)),
    ("Cap:AUTOREPORT_TEMP:1", r.Capability("Cap:AUTOREPORT_TEMP:1", "AUTOREPORT_TEMP", True)),
    ("Cap:EEPROM:0", r.Capability("Cap:EEPROM:0", "EEPROM", False)),
    ("echo:hello", r.Echo("echo:hello", "hello")),
    ("// note", r.Echo("// note", "note")),
    ("", r.Blank("")),
    ("M400", r.Other("M400")),
    ("okay then", r.Other("okay then")),
    ("Resend: 1 34", r.Other("Resend: 1 34")),
    ("X:1.0.2 Y:0 Z:0.5.5", r.Other("X:1.0.2 Y:0 Z:0.5.5")),
    ("starting up", r.Other("starting up")),
]


@pytest.mark.parametrize(("text", "reply"), FIELD, ids=[text or "blank" for text, _ in FIELD])
def test_each_shape_met_in_the_field_is_read(text, reply):
    assert parse(text) == reply


@pytest.mark.parametrize(
    ("text", "of_line"),
    [
        ("Error:checksum mismatch, Last Line: 5", True),
        ("Error:Line Number is not Last Line Number+1, Last Line: 5", True),
        ("Error:Heating failed", False),
    ],
)
def test_errors_about_the_line_are_told_from_errors_of_the_machine(text, of_line):
    assert parse(text).of_line is of_line


@given(st.text(max_size=200))
def test_every_text_has_a_reply_that_keeps_it(text):
    assert parse(text).text == text


@given(st.binary(max_size=3000))
def test_decoded_text_is_printable_short_and_on_one_line(line):
    text = decode(line)
    assert len(text) <= r.MAX_TEXT
    assert text.isprintable()


@pytest.mark.parametrize(
    "line",
    [
        b"\x1b[2J\x1b]0;title\x07",
        b"\x00\x00ok\x00",
        b"a\xc2\x9b31mred",
        "right to left \u202e override".encode(),
        b"line\x0bfeed\x0cform\x85next\xe2\x80\xa8sep",
        b"\xff\xfe" * 10,
    ],
)
def test_nothing_that_a_terminal_would_act_on_is_left(line):
    text = decode(line)
    assert all(character.isprintable() for character in text)
    assert not {"\x1b", "\x9b", "\u202e", "\x00"} & set(text)


def test_a_line_of_a_megabyte_is_cut_and_says_so():
    text = decode(b"x" * 1_000_000)
    assert len(text) == r.MAX_TEXT
    assert text.endswith("…")


def test_degrees_and_umlauts_are_kept():
    assert decode("21 °C, Düse".encode()) == "21 °C, Düse"


@pytest.mark.parametrize(
    ("text", "facts"),
    [
        (
            "FIRMWARE_NAME:Our own 1.2 SOURCE_URL:https://example.org/x AXES:3",
            {"FIRMWARE_NAME": "Our own 1.2", "SOURCE_URL": "https://example.org/x", "AXES": "3"},
        ),
        ("just text", {}),
        ("", {}),
    ],
)  # fmt: skip
def test_an_identity_line_is_taken_apart(text, facts):
    assert identity_facts(text) == facts


@given(st.text(alphabet="ABZ_:/. x1", max_size=40))
def test_any_identity_line_can_be_taken_apart(text):
    for key, value in identity_facts(text).items():
        assert key in text
        assert value in text
