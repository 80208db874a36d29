"""The README's commands, links and tables are the program's own."""

from __future__ import annotations

import re
import shlex
import subprocess
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

from profiles.load import load
from wizard.__main__ import COMMANDS, parser
from wizard.formats.rounds_file import parse
from wizard.running.flow import diagram

ROOT = Path(__file__).resolve().parents[2]
README = (ROOT / "README.md").read_text("utf-8")
CALLS = sorted({call.split("#")[0].strip() for call in re.findall(r"^tramwright .*$", README, re.MULTILINE)})


@pytest.mark.parametrize("name", ["README.md", "DEVELOPERS.md"])
def test_every_link_leads_to_a_file(name: str) -> None:
    text = (ROOT / name).read_text("utf-8")
    targets = [target for target in re.findall(r"\]\(([^)#]+)", text) if "://" not in target]
    assert targets
    assert [target for target in targets if not (ROOT / target).exists()] == []


def test_the_states_are_drawn_from_the_table() -> None:
    drawn = "\n".join(line.rstrip() for line in diagram().splitlines())
    assert f"```\n{drawn}\n```" in (ROOT / "DEVELOPERS.md").read_text("utf-8")


def test_every_file_that_developers_are_sent_to_is_there() -> None:
    text = (ROOT / "DEVELOPERS.md").read_text("utf-8")
    named = set(re.findall(r"`((?:wizard|drivers|profiles|tests)/[\w/]+(?:\.py|/))`", text))
    assert len(named) > 10
    assert [name for name in sorted(named) if not (ROOT / name).exists()] == []


@pytest.mark.parametrize("call", CALLS)
def test_every_call_in_the_readme_is_one_the_program_takes(call: str) -> None:
    argv = shlex.split(call)[1:]
    assert parser(argv).parse_args(argv).command == argv[0]


def test_the_table_names_every_command_and_no_other() -> None:
    table = README[README.index("## Commands") : README.index("PROFILE is the name")]
    told = re.findall(r"^\| `tramwright (\w+)", table, re.MULTILINE)
    assert told == list(COMMANDS)


def test_the_table_of_exit_codes_is_the_help_s(run: Callable[..., Any]) -> None:
    told = re.findall(r"^\| (\d+) \| (.*) \|$", README, re.MULTILINE)
    helped = re.sub(r"\s+", " ", run("--help").out.replace(",", ""))
    assert [code for code, _ in told] == ["0", "1", "2", "3", "130"]
    for code, means in told:
        assert f"{code} {means.replace(',', '').replace('but ', '')}" in helped


def test_the_rounds_of_the_readme_can_be_solved() -> None:
    text = re.search(r"```json\n(.*?)```", README, re.DOTALL)
    assert text
    assert len(parse(text[1], "README.md", load("four-corner-220"))[0].readings) == 4


@pytest.mark.parametrize(
    ("name", "ends"), [("demo", ".venv/bin/tramwright demo"), ("tests", ".venv/bin/pytest")]
)
def test_the_checks_run_the_readme_s_own_command(name: str, ends: str) -> None:
    script = (ROOT / ".ci" / "run").read_text("utf-8")
    function = script[script.index("readme_command()") : script.index("missing=()")]
    done = subprocess.run(
        ["bash", "-c", f"{function}\nreadme_command {name}"],
        capture_output=True,
        text=True,
        check=True,
        cwd=ROOT,
    )
    assert done.stdout.count("\n") == 1
    assert done.stdout.startswith("python3 -m venv .venv && .venv/bin/pip install ")
    assert done.stdout.endswith(ends + "\n")
