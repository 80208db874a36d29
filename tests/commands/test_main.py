from __future__ import annotations

import importlib
import re
import subprocess
import sys
import types
from collections.abc import Callable
from typing import Any

import pytest

from drivers.errors import LinkLost
from profiles.faults import ProfileError
from wizard import exits
from wizard.__main__ import COMMANDS

HEAVY = ("textual", "rich", "numpy", "serial", "msgspec", "asyncio", "importlib.metadata", "platformdirs")
AFTER_HELP = """
import sys
sys.argv = ["tramwright", *{argv!r}]
from wizard.__main__ import main
try:
    main()
except SystemExit as left:
    print("left", left.code, *sorted(set({heavy!r}) & set(sys.modules)), file=sys.stderr)
"""


def loaded_by(*argv: str) -> str:
    script = AFTER_HELP.format(argv=argv, heavy=HEAVY)
    done = subprocess.run([sys.executable, "-c", script], capture_output=True, text=True, check=True)
    return done.stderr


@pytest.mark.parametrize("argv", [("--help",), *((name, "--help") for name in COMMANDS)])
def test_help_loads_nothing_heavy(argv: tuple[str, ...]) -> None:
    assert loaded_by(*argv) == "left 0\n"


def test_help_names_each_command_and_exit_code(run: Callable[..., Any]) -> None:
    told = run("--help").out
    for name in COMMANDS:
        assert re.search(rf"\n    {name}\s", told)
    for code in (exits.WITHIN, exits.NOT_WITHIN, exits.WRONG_INPUT, exits.MACHINE_FAULT, exits.STOPPED):
        assert f"{code} " in told[told.index("exit codes") :]


@pytest.mark.parametrize("name", sorted(COMMANDS))
def test_each_command_that_help_names_has_a_module_to_run(name: str) -> None:
    module = importlib.import_module(f"wizard.commands.{name}")
    assert callable(module.add_arguments)
    assert callable(module.run)


def test_the_version_is_the_one_installed(run: Callable[..., Any]) -> None:
    from importlib.metadata import version

    assert run("--version") == (0, f"tramwright {version('tramwright')}\n", "")


@pytest.mark.parametrize(
    "argv", [("levle",), ("solve",), ("--nonsense",), ("solve", "four-corner-220", "x", "--jsno")]
)
def test_wrong_arguments_leave_by_two_and_print_nothing_on_standard_output(
    run: Callable[..., Any], argv: tuple[str, ...]
) -> None:
    code, out, err = run(*argv)
    assert (code, out) == (exits.WRONG_INPUT, "")
    assert "tramwright" in err
    assert "Traceback" not in err


def raising(error: BaseException) -> types.SimpleNamespace:
    def run(_: object) -> int:
        raise error

    return types.SimpleNamespace(add_arguments=lambda parser: None, run=run)


@pytest.mark.parametrize(
    ("error", "code", "said"),
    [
        (KeyboardInterrupt(), exits.STOPPED, ""),
        (ProfileError("x.toml: a is 1."), exits.WRONG_INPUT, "tramwright: x.toml: a is 1.\n"),
        (exits.InputRefused("y: no."), exits.WRONG_INPUT, "tramwright: y: no.\n"),
        (LinkLost("The cable is out."), exits.MACHINE_FAULT, "tramwright: The cable is out.\n"),
    ],
)
def test_an_error_s_kind_is_its_exit_code(
    run: Callable[..., Any], monkeypatch: pytest.MonkeyPatch, error: BaseException, code: int, said: str
) -> None:
    monkeypatch.setitem(sys.modules, "wizard.commands.ports", raising(error))
    assert run("ports") == (code, "", said)


def test_an_error_of_our_own_is_not_hidden(run: Callable[..., Any], monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setitem(sys.modules, "wizard.commands.ports", raising(ZeroDivisionError()))
    with pytest.raises(ZeroDivisionError):
        run("ports")


def test_without_a_command_the_program_opens(
    run: Callable[..., Any], monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setitem(sys.modules, "wizard.apps.doors", types.SimpleNamespace(pick=lambda: 7))
    assert run() == (7, "", "")


def test_what_is_picked_is_run_as_the_command_that_does_the_same(
    run: Callable[..., Any], monkeypatch: pytest.MonkeyPatch
) -> None:
    picked = types.SimpleNamespace(argv=("profiles", "check", "four-corner-220"))
    monkeypatch.setitem(sys.modules, "wizard.apps.doors", types.SimpleNamespace(pick=lambda: picked))
    assert run() == (0, "four-corner-220: can be used.\n", "")


def test_a_reader_that_has_enough_is_no_traceback() -> None:
    call = [sys.executable, "-m", "wizard", "profiles", "list"]
    with subprocess.Popen(call, stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True) as child:
        assert child.stdout is not None
        assert child.stderr is not None
        child.stdout.close()
        assert child.stderr.read() == ""
    assert child.returncode == exits.NOT_WITHIN


def test_a_name_the_terminal_cannot_show_is_escaped() -> None:
    done = subprocess.run(
        [sys.executable, "-m", "wizard", "profiles", "show", "no\u00f6.toml"],
        capture_output=True,
        env={"PYTHONIOENCODING": "ascii", "PATH": ""},
        check=False,
    )
    assert done.returncode == exits.WRONG_INPUT
    assert b"no\\xf6.toml: there is no such file." in done.stderr
