from __future__ import annotations

from collections.abc import Callable
from typing import Any

import pytest

import drivers.ports
from drivers.ports import Port

TWO = [
    Port("/dev/one", "board", "1a2b:3c4d:5", ""),
    Port("/dev/two", "", "", "it is in use by other (process 7)"),
]
Run = Callable[..., Any]


def found(monkeypatch: pytest.MonkeyPatch, ports: list[Port]) -> None:
    monkeypatch.setattr(drivers.ports, "find_ports", lambda: ports)


def test_each_port_is_a_line_that_says_whether_it_can_be_opened(
    run: Run, monkeypatch: pytest.MonkeyPatch
) -> None:
    found(monkeypatch, TWO)
    assert run("ports") == (
        0,
        "/dev/one  can be opened  (board, USB 1a2b:3c4d:5)\n/dev/two  it is in use by other (process 7)\n",
        "",
    )


def test_no_port_is_said_in_words(run: Run, monkeypatch: pytest.MonkeyPatch) -> None:
    found(monkeypatch, [])
    assert run("ports").out.startswith("No serial port was found.")
    assert run("ports", "--json").json() == {"format": "tramwright-ports/1", "ports": []}


def test_ports_as_json_are_one_object(run: Run, monkeypatch: pytest.MonkeyPatch) -> None:
    found(monkeypatch, TWO)
    assert run("ports", "--json").json()["ports"] == [
        {
            "device": "/dev/one",
            "description": "board",
            "usb": "1a2b:3c4d:5",
            "can_be_opened": True,
            "why_not": "",
        },
        {
            "device": "/dev/two",
            "description": "",
            "usb": "",
            "can_be_opened": False,
            "why_not": "it is in use by other (process 7)",
        },
    ]


def test_a_port_s_own_words_cannot_act_on_the_terminal(run: Run, monkeypatch: pytest.MonkeyPatch) -> None:
    found(monkeypatch, [Port("/dev/one", "\x1b[2Jboard", "", "")])
    assert run("ports").out == "/dev/one  can be opened  (\\x1b[2Jboard)\n"


def test_the_ports_of_this_computer_are_listed_as_they_are(run: Run) -> None:
    assert run("ports", "--json").json()["format"] == "tramwright-ports/1"
