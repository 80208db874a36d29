"""Which nozzle is in: given, asked for at a terminal, or left out; the last one is proposed."""

from __future__ import annotations

from argparse import Namespace
from collections.abc import Callable
from pathlib import Path

import pytest

from profiles.load import load
from wizard.commands import nozzle
from wizard.commands.nozzle import Nozzle, ask, last_nozzle, nozzle_of
from wizard.journal.lines import Header
from wizard.journal.writing import start

MACHINE = load("four-corner-220")
NOTHING = Namespace(nozzle=None, nozzle_mm=None)


@pytest.fixture(autouse=True)
def home(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> Path:
    monkeypatch.setenv("TRAMWRIGHT_HOME", str(tmp_path))
    return tmp_path


@pytest.fixture
def typed(monkeypatch: pytest.MonkeyPatch) -> Callable[..., list[str]]:
    """Sit somebody down at the terminal who types these lines; return the questions."""

    def sit(*lines: str) -> list[str]:
        left, asked = list(lines), list[str]()

        def answer(prompt: str) -> str:
            asked.append(prompt)
            if not left:
                raise EOFError
            return left.pop(0)

        monkeypatch.setattr("builtins.input", answer)
        monkeypatch.setattr(nozzle, "_someone_is_there", lambda: True)
        return asked

    return sit


def used(home: Path, name: str, size_mm: float | None, created: str) -> None:
    """File a run with a nozzle."""
    start(Header("level", MACHINE, nozzle=name, nozzle_mm=size_mm, created=created), home / "runs").close()


def test_what_is_given_is_not_asked(typed: Callable[..., list[str]]) -> None:
    asked = typed("never")
    assert nozzle_of(Namespace(nozzle="steel", nozzle_mm=None), MACHINE.name) == Nozzle("steel")
    assert nozzle_of(Namespace(nozzle="", nozzle_mm=None), MACHINE.name) == Nozzle()
    assert nozzle_of(Namespace(nozzle=None, nozzle_mm=0.6), MACHINE.name) == Nozzle("", 0.6)
    assert nozzle_of(Namespace(nozzle=None, nozzle_mm=None, unattended=True), MACHINE.name) == Nozzle()
    assert asked == []


def test_without_a_terminal_nobody_is_asked() -> None:
    assert nozzle_of(NOTHING, MACHINE.name) == Nozzle()


def test_name_and_bore_are_asked_until_the_bore_can_be_one(
    typed: Callable[..., list[str]], capsys: pytest.CaptureFixture[str]
) -> None:
    typed("steel", "wide", "40", "0,6")
    assert nozzle_of(NOTHING, MACHINE.name) == Nozzle("steel", 0.6)
    assert capsys.readouterr().out.count("give a bore in mm, from 0.05 to 5") == 2


def test_enter_takes_the_nozzle_of_the_newest_run_of_that_machine(
    home: Path, typed: Callable[..., list[str]]
) -> None:
    used(home, "brass", 0.4, "2026-03-01T10:00:00.000000+00:00")
    used(home, "steel", 0.6, "2026-03-02T10:00:00.000000+00:00")
    assert last_nozzle("another machine") == Nozzle()
    asked = typed("", "")
    assert nozzle_of(NOTHING, MACHINE.name) == Nozzle("steel", 0.6)
    assert "[steel, - for none]" in asked[0]
    assert "[0.6, - for none]" in asked[1]


def test_another_name_does_not_take_the_old_bore_along(typed: Callable[..., list[str]]) -> None:
    typed("brass", "")
    assert ask(Nozzle("steel", 0.6)) == Nozzle("brass", None)


def test_none_is_said_by_a_dash_and_leaving_off_keeps_the_last(typed: Callable[..., list[str]]) -> None:
    typed("-")
    assert ask(Nozzle("steel", 0.6)) == Nozzle()
    typed()
    assert ask(Nozzle("steel", 0.6)) == Nozzle("steel", 0.6)
