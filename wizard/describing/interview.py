"""The whole interview: questions, what the machine tells by itself, places taught, directions learnt."""

from __future__ import annotations

from collections.abc import Callable
from contextlib import ExitStack
from typing import Any

from drivers.errors import DriverError
from drivers.teaching import Told
from profiles.load import ProfileError, machine_of
from profiles.machine import XY, Machine
from wizard.describing import answers, places
from wizard.describing.asking import Asker
from wizard.describing.bench import Bench, nothing_known
from wizard.describing.parking import teach
from wizard.describing.trial_turn import rise_by_a_turn_mm

FORMAT = "tramwright-profile/1"
CAUTION = """\
The axes will move: first all of them to their ends, then where you drive them, at clearance height.
The nozzle and the plate may be hot. Keep hands, hair and sleeves away; the plate must be clear."""


class Interview:
    """Asks for one machine. `port` is "" where there is no line to it; `key` reads a single key."""

    def __init__(self, asker: Asker, port: str, key: Callable[[str], str]) -> None:
        self._asker = asker
        self._port = port
        self._key = key
        self._baud = 115200

    def describe(self, name: str) -> dict[str, Any]:
        """Return the tables of a profile. Raises InputRefused, DriverError."""
        told = self._told()
        asker = self._asker
        document: dict[str, Any] = {
            "format": FORMAT,
            "name": name or asker.name("The machine's name", _named(told)),
        }
        link = (
            "serial"
            if self._port
            else asker.choice("Moved over a serial line, or by hand", ("serial", "hand"), "serial")
        )
        plate = answers.bed(asker)
        motion = answers.motion(asker, link, plate) | ({"baud": self._baud} if link == "serial" else {})
        document |= {"bed": plate, "motion": motion, "first_layer": answers.first_layer(asker)}
        document["heat"] = answers.heat(asker, heated_plate="B" in told.heaters if told.heaters else None)
        document["gauge"] = answers.gauge(asker)
        with ExitStack() as stack:
            where = self._teaching(stack, document)
            document["adjuster"] = places.supports(asker, plate, where)
            taken = places.points(asker, plate, motion, document["adjuster"], where)
        document["point"] = taken + places.proof_points(asker, taken, document["adjuster"])
        movable = any(each["kind"] != "fixed" for each in document["adjuster"])
        document["height"] = answers.height(asker, by_line=link == "serial", movable=movable)
        if link == "serial" and (probe := answers.probe(asker)):
            document["probe"] = probe
        self._learn_directions(document)
        return document

    def _told(self) -> Told:
        """Find the line's speed and ask the machine who it is. Nothing moves."""
        if not self._port:
            return Told()
        from drivers.speeds import find_speed

        self._asker.tell(f"Asking the machine on {self._port}. Nothing moves.")
        speed = None if "://" in self._port else find_speed(self._port)
        self._baud = speed or self._baud
        with Bench(nothing_known(self._baud), self._port) as bench:
            told = bench.told()
        for line in told_lines(told, speed):
            self._asker.tell(f"  {line}")
        return told

    def _teaching(self, stack: ExitStack, document: dict[str, Any]) -> places.Teach | None:
        """Return what teaches a place by parking there, once the machine is homed; None where not wanted."""
        if not self._port or not self._asker.yes("\nShow places by driving the nozzle there", usual=True):
            return None
        draft = self._draft(document)
        if draft is None or not self._clear():
            return None
        try:
            bench = stack.enter_context(Bench(draft, self._port))
            bench.home()
        except DriverError as error:
            self._asker.tell(f"  {error} Type the places.")
            return None
        return lambda name, start_mm: self._taught(bench, name, start_mm)

    def _taught(self, bench: Bench, name: str, start_mm: XY) -> list[float] | None:
        try:
            return teach(self._asker, bench, self._key, name, start_mm)
        except DriverError as error:
            self._asker.tell(f"  {error} Type the place.")
            return None

    def _learn_directions(self, document: dict[str, Any]) -> None:
        """Learn what clockwise does by a trial turn of the first adjuster where that is not known."""
        unknown = [each for each in document["adjuster"] if each.get("clockwise") == "unknown"]
        if not self._port or not unknown:
            return
        question = f"\nLearn what clockwise does, by one trial turn of {unknown[0]['name']}"
        if not self._asker.yes(question, usual=True):
            return
        rise_mm = self._rise_mm(document, unknown[0]["name"])
        if rise_mm is None:
            return
        way = "raises" if rise_mm > 0 else "lowers"
        self._asker.tell(f"  Clockwise {way} the plate there, by about {abs(rise_mm):.2f} mm a turn.")
        alike = len(unknown) == 1 or self._asker.yes("Are the others built the same way round", usual=True)
        for each in unknown if alike else unknown[:1]:
            each["clockwise"] = way

    def _rise_mm(self, document: dict[str, Any], name: str) -> float | None:
        draft = self._draft(document)
        if draft is None or not self._clear():
            return None
        try:
            with Bench(draft, self._port) as bench:
                bench.home()
                return rise_by_a_turn_mm(self._asker, bench, self._key, draft.adjuster_named(name))
        except DriverError as error:
            self._asker.tell(f"  {error} The direction stays unknown; the first job learns it.")
            return None

    def _clear(self) -> bool:
        self._asker.tell(CAUTION)
        return self._asker.yes("Hands clear", usual=False)

    def _draft(self, document: dict[str, Any]) -> Machine | None:
        """Return the machine as far as it is known, good to drive; None, and why, where it is not."""
        draft = {"height": {"by": "operator"}, **document}
        if not draft.get("point"):
            x, y = document["bed"]["origin_mm"]
            size = document["bed"].get("size_mm", (0, 0))
            draft["point"] = [{"name": "middle", "at_mm": [x + size[0] / 2, y + size[1] / 2]}]
        try:
            return machine_of(draft, "so far")
        except ProfileError as error:
            self._asker.tell(f"  The machine cannot be driven by this description: {error}")
            return None


def _named(told: Told) -> str | None:
    """Return the name that the machine gives itself, if it gives one that can be shown."""
    for key, value in told.facts.items():
        if key.upper().startswith("MACHINE") and value.isprintable() and 0 < len(value) <= 40:
            return value
    return None


def told_lines(told: Told, speed: int | None) -> tuple[str, ...]:
    """Return what the machine told, a line a fact, literally."""
    lines = [f"speed of the line: {speed} baud"] if speed else []
    lines += [f"{key}: {value}" for key, value in told.facts.items()]
    if told.abilities:
        lines.append("can do: " + (", ".join(name for name, able in told.abilities.items() if able) or "-"))
    if told.endstops:
        states = (f"{name} {'pressed' if hit else 'free'}" for name, hit in told.endstops.items())
        lines.append("end stops: " + ", ".join(states))
    if told.heaters:
        lines.append(f"heated plate: {'yes' if 'B' in told.heaters else 'no'}")
    return tuple(lines)
