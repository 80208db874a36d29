from __future__ import annotations

import re
from collections.abc import Callable

import pytest
from hypothesis import example, given, settings
from hypothesis import strategies as st

from drivers.commands import filled
from drivers.framing import check_block
from profiles import check_templates
from profiles.load import parse, shipped

OFFSET, TOUCH, CONTACT, FOUR = "stored-offset-140", "touch-probe-255", "nozzle-contact-210", "four-corner-220"
SET = 'set_command = "M171 Z{offset_mm}"'
REPLY = "reply = 'offset Z(?P<offset_mm>-?[0-9.]+)'"
Refuse = Callable[[str, str, str], str]


@pytest.mark.parametrize(
    "block",
    [
        "M171 Z{offset_mm}; M112",
        "M171\\nM112 Z{offset_mm}",
        "M171 Z{offset_mm} (x)",
        "M171 Z{offset_mm}*3",
        "M171 Z{0}",
        " ",
        " M171 Z{offset_mm}",
    ],
)
def test_a_template_is_one_block_of_letters_digits_and_named_fields(refused: Refuse, block: str) -> None:
    said = refused(OFFSET, SET, f'set_command = "{block}"')
    assert "height.set_command is " in said
    assert "one block: a letter, then at most 120 letters, digits, '.', '-', spaces, {named} fields." in said


@pytest.mark.parametrize(
    "block",
    [
        "G1 Z{offset_mm}",
        "g 1 Z{offset_mm}",
        "G92 Z{offset_mm}",
        "G91 Z{offset_mm}",
        "G20 Z{offset_mm}",
        "G{offset_mm}",
        "N5 M171 Z{offset_mm}",
        "M171 G0 Z{offset_mm}",
        "M1G01 Z{offset_mm}",
    ],
)
def test_a_template_cannot_move_an_axis_past_the_safety_envelope(refused: Refuse, block: str) -> None:
    said = refused(OFFSET, SET, f'set_command = "{block}"')
    assert "without the words G0 to G3, G20, G21, G90 to G92 and N, kept for the program itself." in said


@pytest.mark.parametrize(
    ("block", "why"),
    [
        ("Z{offset_mm}", "a command first"),
        ("X5 Z{offset_mm}", "a command first"),
        ("M{offset_mm}", "a command first"),
        ("M171 Z{offset_mm} M112", "one command only"),
        ("M171 Z{offset_mm}m 112", "one command only"),
        ("M171 M{offset_mm}", "one command only"),
    ],
)
def test_a_template_is_one_command(refused: Refuse, block: str, why: str) -> None:
    """An axis word alone repeats the last motion; a second command on a line may be carried out, too."""
    assert why in refused(OFFSET, SET, f'set_command = "{block}"')


WORDS = st.sampled_from(
    [
        "M171",
        "M112",
        "G0",
        "G28",
        "g1",
        "N5",
        "Z{offset_mm}",
        "X5",
        "Z",
        "PROBE",
        "T0",
        " ",
        ";",
        "*7",
        "(x)",
        "{x}",
        "-",
        ".",
    ]
)


@given(st.lists(WORDS, max_size=8).map(" ".join) | st.text(max_size=30))
@example("M171 Z{offset_mm}")
@settings(max_examples=300, deadline=None)
def test_whatever_template_is_let_in_makes_one_plain_command(block: str) -> None:
    """By the template as the profile gives it and as the driver fills it: one command, no motion."""
    said = list(check_templates._template(check_templates.Template("a", block, ("offset_mm",))))
    if said:
        return
    made = filled(block, offset_mm=-1.25).block
    check_block(made)
    commands = re.findall(r"(?<![A-Z])[GM] *([0-9]+)", made.upper())
    assert len(commands) <= 1
    assert re.match(r"[GMT] *[0-9]|[A-Z]{2}", made.upper())
    assert not re.match(r"G *0*[0-3](?![0-9])", made.upper())


@pytest.mark.parametrize(
    "block", ["M17{offset_mm}", "M171 Z-{offset_mm}", "M171 {offset_mm}", "M171 Z  {offset_mm}"]
)
def test_a_field_joins_no_other_digits(refused: Refuse, block: str) -> None:
    assert "with each field right after a letter, as in X{x_mm}" in refused(
        OFFSET, SET, f'set_command = "{block}"'
    )


@pytest.mark.parametrize(
    ("profile", "old", "new", "sentence"),
    [
        (OFFSET, SET, "", "height.set_command is missing"),
        (OFFSET, SET, 'set_command = "M171"', "with one of {offset_mm} and {change_mm}."),
        (
            OFFSET,
            SET,
            'set_command = "M171 Z{speed}"',
            "with no other fields than these: {offset_mm} {change_mm}.",
        ),
        (
            OFFSET,
            'store_command = "M172"',
            'store_command = "M172 Z{z_mm}"',
            "no other fields than these: no field.",
        ),
        (
            OFFSET,
            'read_command = "M173"',
            "",
            "height.read_command is missing; it must be given where set_command has",
        ),
        (OFFSET, REPLY, "", "height.reply is missing; it must be given where read_command is."),
        (
            OFFSET,
            REPLY,
            "reply = '(?P<offset_mm>'",
            'height.reply is "(?P<offset_mm>", but must be a regular',
        ),
        (OFFSET, REPLY, "reply = 'Z(?P<z>.*)'", "with the group (?P<offset_mm>...)."),
        (OFFSET, REPLY, f"reply = '(?P<offset_mm>.){'x' * 200}'", "a pattern of at most 120 characters"),
        (
            OFFSET,
            'link = "serial"',
            'link = "hand"',
            'height.by is "stored offset", but must be by = "operator"',
        ),
        (OFFSET, "grid = [3, 3]", "grid = [1, 3]", "compensation.grid[1] is 1, but must be 2 to 50 points."),
        (
            OFFSET,
            "{row}",
            "{z_mm}",
            "with no other fields than these: {column} {row} {x_mm} {y_mm} {offset_mm}.",
        ),
        (
            FOUR,
            "[height]",
            '[height]\nstore_command = "M172"',
            'height.store_command is "M172", but must be left out',
        ),
        (
            TOUCH,
            "at_mm = [127.5, 265]",
            "at_mm = [127.5, 275]",
            "probe.at_mm[2] is 275, but must be 0 to 270 mm",
        ),
        (
            TOUCH,
            "at_mm = [127.5, 265]",
            "#",
            'probe.at_mm is missing; it must be given where kind = "touch plate".',
        ),
        (
            CONTACT,
            "limit_mm = 0.01",
            "limit_mm = 1",
            "probe.repeatability_limit_mm is 1, but must be 0.0005 to 0.5 mm.",
        ),
        (CONTACT, "(?P<z_mm>", "(?P<z>", "probe.reply is "),
        (CONTACT, "G30 X", "G30 A{z_mm} X", "probe.command is "),
        (TOUCH, "fade_height_mm = 5.0", "fade_height_mm = 0", "compensation.fade_height_mm is 0"),
    ],
)
def test_what_a_template_needs_is_told(
    refused: Refuse, profile: str, old: str, new: str, sentence: str
) -> None:
    assert sentence in refused(profile, old, new)


def test_a_probe_needs_a_line(refused: Refuse, text: str) -> None:
    by_hand = text.replace('link = "serial"', 'link = "hand"')
    probe = '[probe]\nkind = "touch"\ncommand = "G30"\nreply = \'(?P<z_mm>.*)\'\n'
    assert 'probe is a table, but must be left out: motion.link is "hand"' in refused(
        FOUR, text, by_hand + probe
    )


def test_a_machine_moved_by_hand_needs_no_template(text: str) -> None:
    assert parse(text.replace('link = "serial"', 'link = "hand"'), "mine.toml").motion.link == "hand"


def test_an_added_change_needs_no_reading_back() -> None:
    text = shipped()[OFFSET].read_text("utf-8")
    changed = text.replace(SET, 'set_command = "M171 S{change_mm}"').replace('read_command = "M173"', "")
    assert parse(changed.replace(REPLY, ""), "mine.toml").height.set_command == "M171 S{change_mm}"
