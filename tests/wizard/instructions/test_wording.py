"""What single pages must say."""

from __future__ import annotations

from collections.abc import Callable

import pytest

from profiles.machine import Machine, Point
from wizard import requests as ask
from wizard.facts import Facts
from wizard.instructions import Page, answer_words, finding_lines, page, typed_answer
from wizard.instructions.figures import bracket, counted, listed, mm, signed_mm
from wizard.readings import ReadingError
from wizard.requests import Turned
from wizard.rounds import Reading
from wizard.solver.finding import Finding


def text(shown: object) -> str:
    """Return a page's body as one text."""
    return " ".join(line.strip() for line in shown.body)


@pytest.fixture
def four(make_machine: Callable[..., Machine], corners: Callable[..., tuple]) -> Facts:
    """Return the facts of a machine with four corners, cold."""
    return Facts(make_machine(corners(), (Point(name="front left", at_mm=(30, 30)),)))


def test_every_turn_asked_for_is_on_its_page(facts: Facts, finding_of: Callable[..., Finding]) -> None:
    """However many adjusters, each turn is in the body or in the table, whole."""
    finding = finding_of(facts.machine)
    shown = page(ask.Turn(finding.turns, 1, False, finding), facts)
    lines = " ".join(line.strip() for line in (*shown.body, *shown.table))
    for name, turns in finding.turns.items():
        assert name[:24] in lines
        if facts.machine.adjuster_named(name).kind == "screw":
            assert f"{abs(turns) * 360:g} degrees" in lines


def test_turning_nothing_is_reported_as_nothing(four: Facts, finding_of: Callable[..., Finding]) -> None:
    """One key says that all was done as told, another that none of it was."""
    told = {"front left": 0.25, "back left": -0.5}
    shown = page(ask.Turn(told, 1, False, finding_of(four.machine)), four)
    assert {choice.key: choice.answer for choice in shown.choices} == {
        "y": Turned(told),
        "n": Turned({"front left": 0.0, "back left": 0.0}),
    }


def test_parking_by_hand_lifts_first(four: Facts) -> None:
    """The nozzle is lifted before it goes sideways and comes down in steps last; the place is told."""
    steps = text(page(ask.MoveByHand("park", "front left", 0.2), four))
    assert steps.index("Lift first: Z 5 mm") < steps.index("X 30, Y 30") < steps.index("down to Z 0.20")
    assert "motors off" in steps


def test_lifting_by_hand_is_never_told_lower_than_clearance(four: Facts) -> None:
    """A lift to a height below clearance is told as clearance."""
    assert "Z 5 mm" in page(ask.MoveByHand("lift", z_mm=0.2), four).title


def test_tightening_says_which_way(
    four: Facts, make_machine: Callable[..., Machine], corners: Callable[..., tuple]
) -> None:
    """Where all screws agree, the way that lowers the plate is told; without screws none is asked for."""
    assert "nozzle: clockwise, seen from below" in text(page(ask.Confirm("snug-adjusters"), four))
    raising = make_machine(corners(clockwise="raises", seen_from="above"), four.machine.point)
    told = text(page(ask.Confirm("snug-adjusters"), Facts(raising)))
    assert "nozzle: anticlockwise, seen from above" in told
    bare = make_machine((), four.machine.point)
    assert page(ask.Confirm("snug-adjusters"), Facts(bare)).title == "Check that the plate sits firm."


def keys(shown: Page) -> dict[str, ask.AnyAnswer]:
    """Return what each key of a page sends."""
    return {choice.key: choice.answer for choice in shown.choices}


def test_the_keys_of_a_measurement_send_what_they_say(four: Facts) -> None:
    """Free, drags, tight; daylight or none; beyond either end of the gauge."""
    felt = page(ask.Feel("front left", 0.3, 0.1, 1, 1, 1, "first"), four)
    assert keys(felt) == {"f": ask.Felt("free"), "d": ask.Felt("drag"), "t": ask.Felt("tight")}
    seen = page(ask.LookForDaylight("front left", 0.8, 0.76), four)
    assert keys(seen) == {"u": ask.Seen(True), "n": ask.Seen(False)}
    assert not keys(seen).keys() & keys(felt).keys()
    two = page(ask.LookForDaylight("front left", 1.87, 1.52), four)
    assert "two bank cards (1.52 mm)" in two.title
    assert "one card is tried" in " ".join(two.body)
    assert keys(two) == {**keys(seen), "o": ask.Skipped(ask.ONE_CARD)}
    read = page(ask.TakeReading("front left", 0.2, 1, 1, 1, "first"), four)
    assert keys(read) == {
        "w": ask.ReadingTaken(Reading(0.30, None, "leaf")),
        "z": ask.ReadingTaken(Reading(None, 0.05, "leaf")),
    }


@pytest.mark.parametrize(
    ("change_mm", "way", "then", "nozzle"),
    [(0.03, "Raise", "wider", "rises"), (-0.03, "Lower", "narrower", "comes down")],
)
def test_a_height_goes_the_way_its_sign_says(
    four: Facts, finding_of: Callable[..., Finding], change_mm: float, way: str, then: str, nozzle: str
) -> None:
    """Plus raises the nozzle, which makes every gap wider."""
    finding = finding_of(four.machine, height_change_mm=change_mm)
    menu = page(ask.ChangeHeightByMenu(change_mm, finding), four)
    assert menu.title == f"{way} the nozzle by 0.03 mm in its menu."
    assert f"the gap must be {then};" in text(menu)
    assert keys(menu)["y"] == ask.HeightChanged(change_mm)
    assert f"The nozzle then {nozzle} 0.03 mm" in text(page(ask.TurnEndstop(0.06, change_mm, finding), four))
    assert f"{way} the nozzle by 0.03 mm." in finding_lines(finding, four.machine)


def test_a_heated_machine_is_announced_before_it_heats(four: Facts) -> None:
    """The first hands-clear says that it heats; once warm it only says that it moves."""
    assert "heats" in page(ask.Confirm("hands-clear"), four).title
    warm = Facts(four.machine, bed_c=60.0)
    assert "heats" not in page(ask.Confirm("hands-clear"), warm).title


def test_only_a_pass_that_proved_it_is_called_proven(four: Facts, finding_of: Callable[..., Finding]) -> None:
    """Within without a whole pass is not called proven, nor is anything else."""
    for verdict in ("within", "outside", "undecided"):
        for proven in (True, False):
            shown = page(ask.ShowResult(finding_of(four.machine, verdict=verdict), 2, proven), four)
            assert ("proven by a whole pass" in shown.title) == (proven and verdict == "within")


def test_typed_text_becomes_the_answer_of_its_page(four: Facts, finding_of: Callable[..., Finding]) -> None:
    """A reading, turns and a height are each read as what the page asks for."""
    reading = page(ask.TakeReading("front left", 0.2, 1, 1, 1, "first"), four)
    assert typed_answer(reading, "0,15") == ask.ReadingTaken(Reading(0.15, 0.20, "leaf"))
    turn = page(ask.Turn({"front left": -0.5}, 1, False, finding_of(four.machine)), four)
    assert typed_answer(turn, "1/4") == Turned({"front left": -0.25})
    menu = page(ask.ChangeHeightByMenu(0.03, finding_of(four.machine)), four)
    assert typed_answer(menu, "-0.02") == ask.HeightChanged(-0.02)
    with pytest.raises(ReadingError, match="choose one of the keys"):
        typed_answer(page(ask.Confirm("cautions"), four), "0.15")


@pytest.mark.parametrize(
    ("answer", "words"),
    [
        (ask.Done(), "done"),
        (ask.Done("cut short"), "cut short"),
        (ask.Connected("pty", {"name": "x"}, True), "simulated printer: pty (name x)"),
        (ask.Confirmed(), "done"),
        (ask.Chosen("leaf"), "leaf"),
        (ask.Seen(False), "it does not pass"),
        (ask.ReadingTaken(Reading(0.15, 0.2)), "gap 0.15 to 0.20 mm"),
        (ask.Felt("drag"), "drags lightly"),
        (Turned({"front left": -0.25, "back": 0.0}), "turned front left -0.25 (clockwise is +)"),
        (Turned({}), "turned nothing"),
        (ask.HeightChanged(0.03), "nozzle +0.03 mm"),
        (ask.Skipped("a clip"), "left out: a clip"),
    ],
)
def test_every_answer_has_words(answer: ask.AnyAnswer, words: str) -> None:
    """Answers are told in a few words."""
    assert answer_words(answer) == words


def test_figures_are_written_in_one_way() -> None:
    """Two decimals, a third where it says something, no minus before nothing."""
    assert [mm(value) for value in (0.15, 0.025, -0.0001, 1.0)] == ["0.15", "0.025", "0.00", "1.00"]
    assert [signed_mm(value) for value in (0.03, -0.03, 0.001)] == ["+0.03", "-0.03", "0.00"]
    assert (counted(1, "turn"), counted(3, "turn"), counted(12, "turn")) == (
        "one turn",
        "three turns",
        "12 turns",
    )
    assert (listed(["a"]), listed(["a", "b", "c"]), listed([])) == ("a", "a, b and c", "none")
    assert bracket(Reading(0.15, None)) == "more than 0.15 mm"
    assert bracket(Reading(None, 0.05)) == "less than 0.05 mm"
    assert (bracket(Reading()), bracket(Reading(0.1, 0.1))) == ("not known", "0.10 mm")
