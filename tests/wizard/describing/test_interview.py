from __future__ import annotations

import pytest

from drivers.errors import PrinterFault
from drivers.teaching import Told
from profiles.load import machine_of, parse
from profiles.threads import mm_per_turn
from profiles.write import toml_of
from wizard.describing import interview
from wizard.describing.interview import Interview

CORNER_NAMES = ("front left", "front right", "back left")


def described(person, answers):
    someone = person({"Size along X": "220 220", **answers})
    document = Interview(someone.asker, "", lambda _: "").describe("Mine")
    assert someone.unused == []
    return machine_of(document, "mine.toml"), document


def test_with_little_more_than_the_size_told_a_machine_can_be_used(person):
    machine, document = described(person, {})
    assert machine.bed.size_mm == (220, 220)
    assert [adjuster.name for adjuster in machine.adjuster] == [
        "front left",
        "front right",
        "back right",
        "back left",
    ]
    assert [point.name for point in machine.levelling_points][-1] == "middle"
    assert {adjuster.clockwise for adjuster in machine.adjuster} == {"unknown"}
    assert parse(toml_of(document), "mine.toml") == machine


def test_on_four_supports_points_that_only_prove_stand_between_the_corners(person):
    machine, document = described(person, {})
    proof = {point.name: point.at_mm for point in machine.point if point.only}
    (left, front), (right, _), (_, back) = (machine.point_named(name).at_mm for name in CORNER_NAMES)
    middle, half = (left + right) / 2, (front + back) / 2
    assert proof == {
        "front middle": (middle, front),
        "right middle": (right, half),
        "back middle": (middle, back),
    }
    assert toml_of(document).count('only = "proof"') == 3


@pytest.mark.parametrize("answers", [{"Read these too": "no"}, {"They are": "fixed", "How it": "operator"}])
def test_elsewhere_every_point_is_read_each_time(person, answers):
    machine, _ = described(person, answers)
    assert machine.levelling_points == machine.point


def test_three_supports_by_thread_of_which_each_place_is_typed(person):
    machine, _ = described(
        person,
        {
            "Supports": "3",
            "Thread": "M4x0.5",
            "Clockwise: what": "raises",
            "Clockwise is seen": "below",
            "Name of number 3": "rear",
            "rear, X Y": "110 205",
            "What is gripped": "hex",
        },
    )
    assert machine.adjuster_named("rear").at_mm == (110, 205)
    assert machine.point_named("rear").at_mm == (110, 205)
    assert machine.adjuster[0].thread == "M4x0.5"
    assert machine.adjuster[0].head == "hex"
    assert machine.adjuster[0].clockwise == "raises"


def test_a_fixed_plate_by_hand_with_an_endstop_screw(person):
    machine, _ = described(
        person,
        {
            "Moved over": "hand",
            "They are": "fixed",
            "How it is changed": "endstop",
            "Thread": "0.7",
            "Clockwise: what does the nozzle": "lowers",
        },
    )
    assert machine.motion.link == "hand"
    assert machine.height.screw is not None
    assert machine.height.screw.mm_per_turn == 0.7
    assert machine.height.screw.clockwise == "lowers"


def test_a_stored_offset_and_a_probe_by_the_machine_s_own_words(person):
    machine, document = described(
        person,
        {
            "How it is changed": "stored",
            "Block that sets it": "M171 Z{offset_mm}",
            "Block that keeps": "M172",
            "Block that tells": "M173",
            "Pattern of its answer, with (?P<offset_mm>...)": r"offset Z(?P<offset_mm>-?[0-9.]+)",
            "Does the machine touch": "touch plate",
            "Its own block": "G30",
            "Pattern of its answer, with (?P<z_mm>...)": r"Z: ?(?P<z_mm>-?\d+)",
            "Where the touch plate": "110 215",
        },
    )
    assert machine.height.read_command == "M173"
    assert machine.probe is not None
    assert machine.probe.at_mm == (110, 215)
    assert parse(toml_of(document), "mine.toml") == machine


def test_a_round_plate_has_its_proposed_places_on_it(person):
    someone = person({"Shape": "round", "Diameter": "200", "Supports": "3"})
    machine = machine_of(Interview(someone.asker, "", lambda _: "").describe("Round"), "round.toml")
    assert machine.bed.diameter_mm == 200
    assert len(machine.point) == 4


def test_shims_are_asked_for_by_the_sheet(person):
    machine, _ = described(
        person,
        {
            "They are": "shim",
            "Thickness of one sheet": "0.05",
            "Sheets that fit": "6",
            "How it is changed": "operator",
        },
    )
    assert machine.adjuster[0].mm_per_turn == 0.05
    assert machine.adjuster[0].travel_turns == (0, 6)


def test_other_points_than_those_proposed_are_typed_one_by_one(person):
    machine, _ = described(person, {"Proposed": "no", "How many points": "6", "point 6, X Y": "50 60"})
    assert machine.point[5].at_mm == (50, 60)


def test_threads_and_leaves_may_be_told_in_inches(person):
    machine, document = described(
        person, {"Thread": "20 tpi", "Leaves": "2 4 6 8 10 thou", "Thickness of one card": "4 thou"}
    )
    assert mm_per_turn(machine.adjuster[0]) == pytest.approx(25.4 / 20)
    assert machine.gauge.leaves_mm == pytest.approx([0.0508, 0.1016, 0.1524, 0.2032, 0.254])
    assert document["gauge"] == {"leaves_thou": [2, 4, 6, 8, 10], "card_thou": 4}


def test_without_leaves_and_card_the_gauge_is_asked_for_again(person):
    machine, _ = described(person, {"Leaves": ["-", "-"], "Thickness of one card": ["-", "0.08"]})
    assert machine.gauge.leaves_mm == ()
    assert machine.gauge.card_mm == 0.08


class NoHome:
    """A machine that answers and does not home."""

    def __init__(self, machine, source):
        self.machine = machine

    def __enter__(self):
        return self

    def __exit__(self, *_):
        return None

    def told(self):
        return Told(facts={"MACHINE": "Bench", "KIND": "made up"}, heaters=("T",))

    def home(self):
        raise PrinterFault("An end stop was not found.")


def test_what_the_machine_tells_is_proposed_and_where_it_does_not_home_the_places_are_typed(
    person, monkeypatch
):
    """No heated plate is asked for where the machine tells of none; what was answered is not lost."""
    monkeypatch.setattr(interview, "Bench", NoHome)
    someone = person({"Size along X": "220 220", "Hands clear": ["yes", "yes"]})
    document = Interview(someone.asker, "socket://nowhere:1", lambda _: "").describe("")
    machine = machine_of(document, "mine.toml")
    assert machine.name == "Bench"
    assert machine.heat.max_bed_c == 0
    assert not any(question.startswith("Plate: never") for question in someone.asked)
    assert sum("An end stop was not found." in line for line in someone.told) == 2
    assert {adjuster.clockwise for adjuster in machine.adjuster} == {"unknown"}
    assert not any("to park there" in question for question in someone.asked)


def test_nothing_moves_unless_hands_are_said_to_be_clear(person, monkeypatch):
    monkeypatch.setattr(interview, "Bench", NoHome)
    someone = person({"Size along X": "220 220"})
    Interview(someone.asker, "socket://nowhere:1", lambda _: "").describe("")
    assert not any("An end stop" in line for line in someone.told)
