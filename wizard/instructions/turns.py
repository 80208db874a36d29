"""A turn in words: fraction, degrees, flats, way, the side it is seen from, and what it does. Pure."""

from __future__ import annotations

import msgspec

from profiles.machine import Adjuster, Thread
from profiles.threads import mm_per_turn, raise_per_clockwise_turn_mm
from wizard.instructions.figures import fraction_figure, fraction_words, near_fraction

FLATS_OF_HEX = 6
LEAST_TURNS = 1e-6
ENDSTOP = "endstop screw"


class TurnWords(msgspec.Struct, frozen=True):
    """One turn told in words. Parts that do not apply are empty.

    fraction: figure with noun, "1/4 turn", "2 sheets", "0.12 mm". in_words: "a quarter turn".
    degrees: "90 degrees". flats: "1 and 1/2 flats", of a hex. direction: "clockwise",
    "anticlockwise", "add", "take out", "up", "down". side: "above" and so on. effect: "plate goes
    down here". effect_mm: signed rise of what it carries, None where not known. sentence: all of it.
    """

    name: str
    turns: float
    fraction: str
    in_words: str
    degrees: str
    flats: str
    direction: str
    side: str
    effect: str
    effect_mm: float | None
    sentence: str


def turn_words(thread: Thread, turns: float) -> TurnWords:
    """Return the words for `turns` (clockwise positive) of an adjuster, or of the endstop screw."""
    if abs(turns) < LEAST_TURNS:
        return _still(thread)
    if isinstance(thread, Adjuster) and thread.kind == "shim":
        return _sheets(thread, turns)
    if isinstance(thread, Adjuster) and thread.kind == "motor":
        return _motor(thread, turns)
    return _screw(thread, turns)


def short_turn(words: TurnWords) -> str:
    """Return a turn without its name: "1/4 turn clockwise", "add 2 sheets", "0.12 mm up"."""
    if words.direction in ("add", "take out"):
        return f"{words.direction} {words.fraction}"
    return f"{words.fraction} {words.direction}".strip()


def _name(thread: Thread) -> str:
    return thread.name if isinstance(thread, Adjuster) else ENDSTOP


def _effect_mm(thread: Thread, turns: float) -> float | None:
    try:
        each = raise_per_clockwise_turn_mm(thread)
    except ValueError:
        return None
    return None if each is None else each * turns


def _effect(thread: Thread, rise_mm: float | None) -> str:
    at_bed = isinstance(thread, Adjuster)
    what, here = ("plate", " here") if at_bed else ("nozzle", "")
    if rise_mm is None:
        return f"which way the {what} moves{here} is learnt from this turn"
    return f"{what} {'rises' if rise_mm > 0 else 'goes down'}{here}"


def _still(thread: Thread) -> TurnWords:
    name = _name(thread)
    return TurnWords(name, 0.0, "no turn", "no turn", "", "", "", "", "", 0.0, f"{name}: leave it as it is")


def _screw(thread: Thread, turns: float) -> TurnWords:
    amount, exact = near_fraction(abs(turns), thread.step_turns)
    noun = "turns" if amount > 1 else "turn"
    about = "" if exact else "about "
    fraction, in_words = f"{about}{fraction_figure(amount)} {noun}", about + fraction_words(amount)
    degrees = f"{abs(turns) * 360:.2f}".rstrip("0").rstrip(".") + " degrees"
    flats = _flats(abs(turns)) if thread.head == "hex" else ""
    direction = "clockwise" if turns > 0 else "anticlockwise"
    rise_mm = _effect_mm(thread, turns)
    effect = _effect(thread, rise_mm)
    angle = f"{degrees}, {flats}" if flats else degrees
    sentence = (
        f"{_name(thread)}: {in_words} {direction}, seen from {_seen_from(thread)} ({angle}): {_the(effect)}"
    )
    return TurnWords(
        _name(thread),
        turns,
        fraction,
        in_words,
        degrees,
        flats,
        direction,
        thread.seen_from,
        effect,
        rise_mm,
        sentence,
    )


def _flats(turns: float) -> str:
    amount, exact = near_fraction(turns * FLATS_OF_HEX, 0.125)
    noun = "flats" if amount > 1 else "flat"
    return f"{'' if exact else 'about '}{fraction_figure(amount)} {noun}"


def _seen_from(thread: Thread) -> str:
    return thread.seen_from if thread.seen_from in ("above", "below") else f"the {thread.seen_from}"


def _the(effect: str) -> str:
    return effect if effect.startswith("which") else f"the {effect}"


def _sheets(shim: Adjuster, turns: float) -> TurnWords:
    count = f"{abs(turns):.2f}".rstrip("0").rstrip(".")
    fraction = f"{count} sheet" if abs(turns) <= 1 else f"{count} sheets"
    direction = "add" if turns > 0 else "take out"
    rise_mm = _effect_mm(shim, turns)
    effect = _effect(shim, rise_mm)
    thick = f" ({abs(turns) * mm_per_turn(shim):.2f} mm)" if shim.mm_per_turn else ""
    sentence = f"{shim.name}: {direction} {fraction}{thick}: {_the(effect)}"
    return TurnWords(shim.name, turns, fraction, fraction, "", "", direction, "", effect, rise_mm, sentence)


def _motor(motor: Adjuster, turns: float) -> TurnWords:
    rise_mm = _effect_mm(motor, turns)
    effect = _effect(motor, rise_mm)
    if rise_mm is None:
        fraction, direction = f"{abs(turns):.3f} turns", "forward" if turns > 0 else "back"
    else:
        fraction, direction = f"{abs(rise_mm):.3f} mm", "up" if rise_mm > 0 else "down"
    sentence = f"{motor.name}: move the motor {fraction} {direction}: {_the(effect)}"
    return TurnWords(motor.name, turns, fraction, fraction, "", "", direction, "", effect, rise_mm, sentence)
