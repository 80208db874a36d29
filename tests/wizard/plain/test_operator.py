"""The whole job as typed lines, and what a person can type at any time."""

from __future__ import annotations

import asyncio
from collections.abc import Callable
from typing import Any

import pytest

from drivers.errors import NoReply
from profiles.load import load
from profiles.machine import Machine
from wizard import requests as ask
from wizard.running.session import Stopped


@pytest.mark.parametrize("gauge", ["leaf", "feel"])
async def test_a_whole_job_is_done_by_typed_words(
    machine: Machine, make_plate: Callable[..., Any], make_bench: Any, gauge: str
) -> None:
    """Cautions to result, each answer typed as a person would, the plate within tolerance at the end."""
    bench = make_bench(make_plate(machine, 2), gauge)
    outcome = await bench.run()
    assert outcome.proven
    assert bench.plate.worst_mm() <= machine.first_layer.tolerance_mm
    assert bench.plate.touched == []
    assert "Within tolerance, proven by a whole pass." in bench.text
    assert "The job is finished" in bench.said[-1]
    assert bench.printer.done[-1] == "closed"


async def test_no_line_has_a_control_character(bench: Any) -> None:
    """What the machine sends is shown with its control characters written out, the log included."""
    bench.instead[ask.Confirm] = ["log", "ok"]
    await bench.run()
    assert "start \\x1b[2J" in bench.text
    assert all(line.isprintable() for said in bench.said for line in said.split("\n"))


async def test_a_simulated_printer_is_labelled_from_the_moment_it_says_so(bench: Any) -> None:
    """Every question after the connection carries the label."""
    await bench.run()
    connected = next(n for n, line in enumerate(bench.said) if "simulated printer: made up" in line)
    titles = [line for line in bench.said[connected:] if line.endswith("?") and not line.startswith(" ")]
    assert titles
    assert all(title.startswith("[simulated] ") for title in titles)


@pytest.mark.parametrize("word", ["stop", "x", "STOP", "quit"])
async def test_stop_ends_the_job_at_a_question(bench: Any, word: str) -> None:
    """The printer is told first; nothing is asked afterwards."""
    bench.instead[ask.TakeReading] = [word]
    with pytest.raises(Stopped):
        await bench.run()
    assert bench.printer.done[-3:] == ["stop", "made safe", "closed"]
    assert isinstance(bench.asked[-1], ask.TakeReading)
    assert "Stopped." in bench.text


async def test_stop_does_not_wait_for_a_move_to_end(bench: Any) -> None:
    """While the machine homes, and would for ever, the word stops it."""
    bench.printer.hold = asyncio.Event()
    job = asyncio.ensure_future(bench.run())
    await bench.until_said("Homing.")
    bench.type("stop")
    with pytest.raises(Stopped):
        await job
    assert "stop" in bench.printer.done


async def test_the_end_of_typing_leaves_the_machine_safe(bench: Any) -> None:
    """Nobody is there any more: no stop block, after which the nozzle could not be lifted."""
    bench.instead[ask.TakeReading] = [None]
    with pytest.raises(Stopped):
        await bench.run()
    assert bench.printer.done[-2:] == ["made safe", "closed"]
    assert "stop" not in bench.printer.done
    assert "The typed lines have ended." in bench.text


async def test_being_cancelled_stops_the_machine(bench: Any) -> None:
    """An interrupt from outside is a stop."""
    bench.printer.hold = asyncio.Event()
    job = asyncio.ensure_future(bench.run())
    await bench.until_said("Homing.")
    job.cancel()
    with pytest.raises(Stopped):
        await job
    assert bench.printer.done[-3:] == ["stop", "made safe", "closed"]


async def test_back_asks_the_step_before_again(bench: Any) -> None:
    """The answer taken back is asked for once more, after hands clear, and the job goes on to its end."""
    bench.instead[ask.Turn] = ["back"]
    outcome = await bench.run()
    first = next(n for n, request in enumerate(bench.asked) if isinstance(request, ask.Turn))
    assert bench.asked[first + 1 : first + 3] == [ask.Confirm("hands-clear"), bench.asked[first - 1]]
    assert outcome.proven


async def test_back_with_nothing_to_take_back_is_refused(bench: Any) -> None:
    """The refusal says so and the question stands."""
    bench.instead[ask.Confirm] = ["back", "ok"]
    assert (await bench.run()).proven
    assert "Not now: there is no answer that could be taken back now." in bench.text


async def test_a_pause_holds_answers_until_it_is_over(bench: Any) -> None:
    """While paused no answer is taken; afterwards the same question is answered."""
    bench.instead[ask.TakeReading] = ["pause", "0.15", "go on", ">1.0"]
    await bench.run()
    assert "Paused: nothing new begins." in bench.text
    assert "Not now: the job is paused; go on first." in bench.text
    assert "Going on." in bench.text


async def test_a_step_is_left_out_only_with_a_reason(bench: Any) -> None:
    """Without one the reasons are listed; with one the job goes on, not proven by this pass."""
    bench.instead[ask.TakeReading] = ["skip", "skip 1"]
    await bench.run()
    assert "Why? Type skip and a reason, or its number: 1 a clip is in the way" in bench.text
    assert "left out: a clip is in the way" in bench.text


async def test_what_is_not_understood_is_refused_in_place(bench: Any) -> None:
    """A wrong word leaves the question standing; help and status can be had meanwhile."""
    bench.instead[ask.Confirm] = ["whatever", "", "help", "status", "skip"]
    bench.instead[ask.TakeReading] = ["tight", "1-2", "hundredths", "skip 2"]
    await bench.run()
    assert '"whatever" is no answer here: type ok.' in bench.text
    assert "This step cannot be left out." in bench.text or "Not now" in bench.text
    assert '"tight" is no reading' in bench.text
    assert '"1-2" could be millimetres or hundredths' in bench.text
    assert "15-20 is 0.15-0.20" in bench.text
    assert "stop the machine at once" in bench.text
    assert "position not known; still" in bench.text


async def test_after_a_fault_the_job_goes_on_where_it_was(bench: Any) -> None:
    """The fault is told with its last lines and what to do; retry connects and homes again."""
    bench.printer.fault = NoReply("No answer to homing within 60 s.", ("> N4 G28*17",))
    job = asyncio.ensure_future(bench.run())
    await bench.until_said("does not answer")
    bench.type("0.15")
    bench.type("retry")
    assert (await job).proven
    assert "Nothing is asked now." in bench.text
    assert "  > N4 G28*17" in bench.said
    assert bench.printer.done.count("connect") == 2


async def test_the_soak_can_be_cut_short(make_plate: Callable[..., Any], make_bench: Any) -> None:
    """Its key is on the page while it lasts."""
    bench = make_bench(make_plate(load("four-corner-220"), 1))
    bench.session._hands.clock._speed = 1e-3
    job = asyncio.ensure_future(bench.run())
    await bench.until_said("min left")
    bench.type("y")
    assert (await job).proven
    assert "-> cut short" in bench.text
