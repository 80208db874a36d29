"""The nozzle height as a number that the machine keeps."""

from __future__ import annotations

import msgspec
import pytest

from drivers.errors import MoveRefused, PrinterFault
from profiles.machine import Height

ADDS = Height(by="stored offset", set_command="M171 S{change_mm}", store_command="M172")
SETS = Height(
    by="stored offset",
    set_command="M171 Z{offset_mm}",
    read_command="M173",
    reply=r"offset Z(?P<offset_mm>\S+)",
)


@pytest.fixture
def change(bench, fakes, machine):
    """Change the height on a machine that answers M173 with `kept`; return the blocks it carried out."""

    def run(height, change_mm, kept="offset Z-1.25\nok\n"):
        async def job(printer, line):
            await printer.connect()
            before = len(line.done)
            try:
                await printer.set_height(change_mm)
            finally:
                blocks.extend(line.done[before:])

        blocks = []
        try:
            bench(
                job, fakes.obedient({"M173": kept}), machine=msgspec.structs.replace(machine, height=height)
            )
        except (MoveRefused, PrinterFault) as error:
            return blocks, str(error)
        return blocks, ""

    return run


def test_what_is_added_is_written_as_it_is(change):
    assert change(ADDS, -0.04) == (["M171 S-0.04"], "")


def test_a_whole_number_is_the_one_kept_now_and_the_change(change):
    assert change(SETS, 0.04) == (["M173", "M171 Z-1.21"], "")


@pytest.mark.parametrize("kept", ["ok\n", "offset Zx\nok\n", "offset Zinf\nok\n", "echo: M173\nok\n"])
def test_where_the_machine_does_not_tell_its_number_nothing_is_changed(change, kept):
    blocks, said = change(SETS, 0.04, kept)
    assert blocks == ["M173"]
    assert said.startswith("Asked for the nozzle height it keeps, the machine says ")


@pytest.mark.parametrize(
    "height",
    [Height(by="operator"), Height(by="stored offset", set_command="M171 Z{offset_mm}")],
)
def test_without_a_command_nothing_is_sent(change, height):
    blocks, said = change(height, 0.04)
    assert blocks == []
    assert said.startswith("The profile has no command that ")
