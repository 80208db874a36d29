"""Hands at a simulated printer, one typed line each: what a person does beside a real one. Text in, text out.

Nothing here tells more than a hand would feel, but for `reveal`, which says so.
"""

from __future__ import annotations

from collections.abc import Callable

from drivers.simulated.operator import Operator
from drivers.simulated.plate import ENDSTOP
from drivers.simulated.printer import SimulatedPrinter
from drivers.simulated.record import Violation
from wizard.instructions.printing import LOOKS
from wizard.printing.pads import every_pad
from wizard.readings import ReadingError, parse_height, parse_turns

THICKEST_MM = 30.0
HELP = """\
leaf 0.15            push a feeler leaf under the nozzle: slides, drags, will not enter
card                 draw the card through: free, drag, tight
daylight 0.76        does a thick card pass?
pad NAME             measure the pad at a point with the caliper, and look at it
turn NAME 1/4        turn an adjuster; clockwise is plus, as in: turn front left -0.25
raise 0.05           change the nozzle height in the machine's own menu; minus lowers
state                what can be seen and read off the machine
record               what a careful driver never does, as far as it was done
reset                press the machine's reset button
reveal               the true gaps, which no hand could know
quit                 switch the machine off"""

FOR_A_HAND = frozenset({"leaf", "card", "daylight", "turn", "raise", "reveal", "pad"})


class VirtualBench:
    """Carries out typed lines with a virtual hand."""

    def __init__(self, printer: SimulatedPrinter, operator: Operator) -> None:
        self._printer = printer
        self._operator = operator
        self._known: dict[str, Callable[[str], str]] = {
            "leaf": self._leaf,
            "card": self._card,
            "daylight": self._daylight,
            "pad": self._pad,
            "turn": self._turn,
            "raise": self._raise,
            "state": self._state,
            "record": self._recorded,
            "reset": self._reset,
            "reveal": self._reveal,
            "help": lambda _: HELP,
        }

    def answer(self, line: str) -> str:
        """Return what the hand finds; "" for an empty line. Wrong input gets a sentence. Never raises."""
        word, _, rest = line.strip().partition(" ")
        if not word:
            return ""
        known = self._known.get(word.casefold())
        if known is None:
            return f"No such thing to do: {word!r}. Type help."
        try:
            return known(rest.strip())
        except ReadingError as error:
            return str(error)

    def aside(self, line: str) -> str | None:
        """Return what the hand finds where the line is for a hand and not for a job, else None."""
        word = line.strip().partition(" ")[0].casefold()
        return self.answer(line) if word in FOR_A_HAND else None

    def _leaf(self, text: str) -> str:
        return f"{_mm(text):g} mm leaf: {self._operator.leaf(_mm(text))}"

    def _card(self, text: str) -> str:
        card_mm = self._printer.machine.gauge.card_mm
        if not text and card_mm is None:
            return "The profile has no card: give its thickness, such as card 0.1."
        thick_mm = _mm(text) if text else float(card_mm or 0.0)
        return f"{thick_mm:g} mm card: {self._operator.feel(thick_mm)}"

    def _daylight(self, text: str) -> str:
        return "passes" if self._operator.daylight(_mm(text)) else "does not pass"

    def _pad(self, text: str) -> str:
        pads = every_pad(self._printer.machine)
        point = next((name for name in pads if name.casefold() == text.casefold()), None)
        if point is None:
            return f"No such pad: {text!r}. There are: {', '.join(pads) or 'none'}."
        look = self._operator.pad_look(pads[point])
        if look is None:
            return f"{point}: nothing was printed there"
        thick_mm = self._operator.pad_thickness(pads[point], "caliper")
        measured = f"{thick_mm:.2f} mm by caliper" if thick_mm else "nothing to measure"
        return f"{point}: {measured}; it looks like {look}, {LOOKS[look]}"

    def _turn(self, text: str) -> str:
        name = next((name for name in self._adjusters() if text.casefold().startswith(name.casefold())), None)
        if name is None:
            return f"No such adjuster: {text!r}. There are: {', '.join(self._adjusters()) or 'none'}."
        turns = parse_turns(text[len(name) :].strip(" :="))
        made = self._operator.turn(name, turns)
        stuck = abs(made) < 0.9 * abs(turns) and abs(turns - made) > 0.1
        if stuck:
            return f"{name}: turned about {made:+.1g}, then it went hard to its end"
        return f"{name}: turned about {turns:+.3g}"

    def _adjusters(self) -> list[str]:
        machine = self._printer.machine
        names = [adjuster.name for adjuster in machine.adjuster if adjuster.kind != "fixed"]
        names += [ENDSTOP] if machine.height.screw else []
        return sorted(names, key=len, reverse=True)

    def _raise(self, text: str) -> str:
        return f"nozzle height changed by {self._operator.raise_nozzle(parse_height(text)):+.2f} mm"

    def _state(self, _: str) -> str:
        printer = self._printer
        with printer.lock:
            x, y, z = printer.nozzle_mm()
            interpreter = printer.firmware.interpreter
            heat, homed = interpreter.temperatures(printer.now()), all(interpreter.motion.homed)
        met = len(printer.record.crashes)
        lines = [f"nozzle at about X{x:.1f} Y{y:.1f} Z{z:.2f}, {'homed' if homed else 'not homed'}", heat]
        lines += [f"the nozzle has met the plate {met} times: there are marks"] if met else []
        return "\n".join(lines)

    def _recorded(self, _: str) -> str:
        with self._printer.lock:
            violations = tuple(self._printer.record.violations)
        lines = [f"{each.kind}: {each.what}{_place_words(each)}" for each in violations]
        return "\n".join(lines) or "nothing recorded"

    def _reset(self, _: str) -> str:
        with self._printer.lock:
            self._printer.firmware.restart()
        return "reset"

    def _reveal(self, _: str) -> str:
        machine, plate = self._printer.machine, self._printer.plate
        with self._printer.lock:
            gaps = plate.true_gaps(machine, machine.measuring_height_mm)
            worst = plate.true_worst_deviation_mm
        told = [f"{name}: {gap:.3f} mm" for name, gap in gaps.items()]
        return "\n".join(["true gaps at the measuring height:", *told, f"worst deviation {worst:.3f} mm"])


def _place_words(violation: Violation) -> str:
    x, y, z = violation.at_mm
    deep = f", {violation.depth_mm:.2f} mm deep" if violation.depth_mm else ""
    return f" at X{x:.1f} Y{y:.1f} Z{z:.2f}{deep}"


def _mm(text: str) -> float:
    """Return a thickness. Raises ReadingError."""
    try:
        thick_mm = float(text.removesuffix("mm").replace(",", "."))
    except ValueError:
        thick_mm = 0.0
    if not 0.0 < thick_mm < THICKEST_MM:
        raise ReadingError(f"A thickness is a number of mm, more than 0, such as 0.15; not {text[:40]!r}.")
    return thick_mm
