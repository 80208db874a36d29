"""The stop in words: whether it went out, and whether the machine has shown that it obeyed. Pure."""

from __future__ import annotations

from drivers.interface import Stopped

_POWER = "Look at the machine. If anything still moves or heats, switch its power off."
_HOT = "Plate and nozzle stay hot for many minutes."
_KEPT = "Every answer is kept. To go on later: the same command with --resume."
_CLOSED = (
    "The line is closed. Where the machine is does not count any more: it is homed before it moves again."
)

_GOING: dict[Stopped, tuple[str, str]] = {
    "": ("Stopping.", "Nothing is known yet of a stop over a line."),
    "written": (
        "Stopping: not confirmed yet.",
        "The stop went out at once. The machine has not confirmed it yet.",
    ),
    "confirmed": (
        "Stopping: the machine has confirmed.",
        "The stop went out at once. The machine has confirmed it.",
    ),
    "not written": (
        "The stop could NOT be sent.",
        "The line is gone or not open. Should it come back in the next seconds, the stop is sent then.",
    ),
}
_DONE: dict[Stopped, tuple[str, str]] = {
    "": ("Stopped.", "No stop went out over a line."),
    "written": (
        "Stopped, but NOT confirmed by the machine.",
        "The stop went out several times; the machine did not show that it obeyed.",
    ),
    "confirmed": ("Stopped: the machine has confirmed.", "The machine has confirmed the stop."),
    "not written": (
        "The stop could NOT be sent.",
        "The line was gone or not open: the machine was not told.",
    ),
}


def stop_title(stopped: Stopped, *, ended: bool) -> str:
    """Return one sentence: how far the stop has got. `ended`: the job is over, nothing more is tried."""
    return (_DONE if ended else _GOING)[stopped][0]


def stop_body(stopped: Stopped, *, ended: bool, resumes: bool = True) -> tuple[str, ...]:
    """Return what is known of the stop and what to look at. `resumes`: whether the job can be taken up."""
    known = (_DONE if ended else _GOING)[stopped][1]
    if not ended:
        return (known, _POWER)
    closed = (_CLOSED,) if stopped else ()
    return (known, _POWER, _HOT, *closed, *((_KEPT,) if resumes else ()))
