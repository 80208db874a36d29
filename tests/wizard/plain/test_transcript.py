"""Events as lines, for a person and for a virtual hand."""

from __future__ import annotations

from hypothesis import given
from hypothesis import strategies as st

from drivers.interface import LineRecord, Status, Temperatures
from profiles.machine import Machine
from wizard import requests as ask
from wizard.facts import Facts
from wizard.keymap import USUAL, KeyMap
from wizard.plain import Transcript
from wizard.plain.transcript import status_words, temperature_words
from wizard.running.events import (
    Answered,
    Asked,
    Faulted,
    Finished,
    LineSeen,
    Notice,
    SoakTick,
    StatusChanged,
    Working,
)
from wizard.solver.finding import Finding, PointFinding


def hear(*events: object, keys: KeyMap | None = USUAL, log: bool = False) -> list[str]:
    """Return what is said of some events."""
    said: list[str] = []
    transcript = Transcript(said.append, keys=keys)
    transcript.show_lines = log
    for event in events:
        transcript(event)
    return said


def test_keys_are_told_only_to_whom_can_press_them(machine: Machine) -> None:
    """A virtual hand's transcript has the question and the answer, without the keys."""
    asked = Asked(ask.Feel("front left", 0.3, 0.1, 1, 1, 5, "first"), Facts(machine), False)
    answered = Answered(asked.request, ask.Felt("drag"))
    with_keys, without = hear(asked, answered), hear(asked, answered, keys=None)
    assert "  type f: free" in with_keys
    assert without == [line for line in with_keys if not line.startswith("  type ")]
    assert without[-1] == "  -> drags lightly"


def test_what_the_machine_does_is_one_line(machine: Machine) -> None:
    """Title and caution of the work; its plain end is not told."""
    said = hear(Working(ask.Home(), Facts(machine)), Answered(ask.Home(), ask.Done()))
    assert said == ["... Homing. Keep hands clear. Moving: keep hands, hair and leads clear."]


def test_a_simulated_machine_is_labelled_while_it_works(machine: Machine) -> None:
    """Each line of work carries the label, in place of the caution."""
    said = hear(Working(ask.Home(), Facts(machine, simulated=True)))
    assert said == ["... [simulated] Homing. Keep hands clear."]


def test_where_the_record_is_is_told_as_long_as_it_is_written(machine: Machine) -> None:
    finding = Finding("within", "level", points={"front left": PointFinding(0.15, 0.008, 0.0, 0.15)})
    ended = Asked(ask.ShowResult(finding, 2, True), Facts(machine), False)
    for events, told in (((ended,), True), ((Notice("no room", unrecorded=True), ended), False)):
        said: list[str] = []
        transcript = Transcript(said.append, record="/home/one/runs/a.jsonl")
        for event in events:
            transcript(event)
        assert any("/home/one/runs/a.jsonl" in line for line in said) is told


def test_an_unusual_end_of_a_work_is_told() -> None:
    """A note is kept."""
    assert hear(Answered(ask.Store(), ask.Done("twice"))) == ["  -> twice"]


def test_temperatures_are_told_in_steps() -> None:
    """Not every report is a line: ten degrees make one, and nothing is said while nothing is wanted."""
    told = [StatusChanged(Status(temperatures=Temperatures(c, 60.0, 20.0, 0.0))) for c in range(20, 61)]
    assert len(hear(*told)) == 5
    assert hear(StatusChanged(Status(temperatures=Temperatures(20.0, 0.0, 20.0, 0.0)))) == []


def test_the_soak_is_told_by_the_minute() -> None:
    """A tick a second makes a line a minute."""
    ticks = [SoakTick(left, 180.0) for left in range(180, -1, -1)]
    assert hear(*ticks) == ["    3 min left", "    2 min left", "    1 min left"]


@given(st.text(), st.text(max_size=20), st.booleans())
def test_nothing_a_machine_sends_acts_on_the_terminal(text: str, kind: str, keys: bool) -> None:
    """Lines, faults, notices, notes and identities are written out whatever is in them."""
    who = ask.Connected(text, {text: text})
    said = hear(
        LineSeen(LineRecord("<", text)),
        Faulted(kind, text, (text,)),
        Notice(text),
        Answered(ask.Connect(), who),
        Answered(ask.Store(), ask.Done(text)),
        keys=keys,
        log=True,
    )
    assert all(line.isprintable() for line in said)


def test_the_end_says_whether_it_was_proven() -> None:
    """Finished is not proven."""
    assert hear(Finished(ask.Outcome(None, 1, False))) == ["The job is finished: one round, not proven."]


def test_a_status_is_one_line() -> None:
    """Where, moving or still, how warm, what had to be sent again."""
    status = Status((1.0, 2.0, 0.2), True, Temperatures(59.6, 60.0, None, None), resends=2)
    assert status_words(status) == (
        "at X 1.0, Y 2.0, Z 0.20 mm; moving: hands clear; plate 60 of 60 degrees C; 2 sent again"
    )
    assert temperature_words(Temperatures()) == "temperatures not known"
