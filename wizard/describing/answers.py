"""The questions about a machine, part by part: answers in, tables of a profile out.

Every number is asked within the range that the check holds it to; how they fit together is checked later.
"""

from __future__ import annotations

from typing import Any

from profiles.keys import RANGES, Range
from profiles.threads import COARSE_PITCH_MM, pitch_mm
from wizard.describing.asking import NOTHING, Asker, Unusable, number_of, numbers_of

Table = dict[str, Any]
LEAVES = "0.05 0.10 0.15 0.20 0.25 0.30 0.40 0.50"


def bed(asker: Asker) -> Table:
    """Ask for the plate."""
    asker.tell("\nThe plate. Lengths in mm; Enter takes what stands in brackets.")
    shape = asker.choice("Shape", ("rectangle", "round"), "rectangle")
    table: Table = {"shape": shape}
    if shape == "round":
        table["diameter_mm"] = asker.number("Diameter", RANGES["Bed.diameter_mm"])
        usual, words = [0, 0], "Its centre, X Y in machine coordinates"
    else:
        table["size_mm"] = asker.pair("Size along X and along Y, as in 220 220", RANGES["Bed.size_mm"])
        usual, words = [0, 0], "Its front left corner, X Y in machine coordinates"
    table["origin_mm"] = asker.pair(words, RANGES["Bed.origin_mm"], usual)
    table["material"] = asker.name("Material", "aluminium")
    table["thickness_mm"] = asker.number("Thickness", RANGES["Bed.thickness_mm"], 3)
    table["mount"] = asker.choice(
        "Held hard against its screws, or floating on soft springs or foam",
        ("held", "floating", "unknown"),
        "unknown",
    )
    return table


def motion(asker: Asker, link: str, plate: Table) -> Table:
    """Ask how far the axes go."""
    asker.tell("\nThe axes: how far the nozzle can go. No move ever leaves these limits.")
    (x_mm, y_mm) = _reach(plate)
    allowed = RANGES["Motion.z_mm"]
    return {
        "link": link,
        "x_mm": asker.pair("X, least and most", allowed, x_mm),
        "y_mm": asker.pair("Y, least and most", allowed, y_mm),
        "z_mm": asker.pair("Z, floor and top: never below the first", allowed, (0, 200)),
        "clearance_mm": asker.number(
            "Clearance height: nothing on the plate, clips too, may reach up to it", allowed, 5
        ),
        "travel_feed_mm_min": asker.number(
            "Speed of sideways moves, mm/min", RANGES["Motion.travel_feed_mm_min"], 6000
        ),
        "lift_feed_mm_min": asker.number("Speed up and down, mm/min", RANGES["Motion.lift_feed_mm_min"], 600),
    }


def _reach(plate: Table) -> tuple[tuple[float, float], tuple[float, float]]:
    """Return the limits of X and Y that just hold the plate."""
    x, y = plate["origin_mm"]
    if plate["shape"] == "round":
        r = plate["diameter_mm"] / 2
        return (x - r, x + r), (y - r, y + r)
    width, depth = plate["size_mm"]
    return (x, x + width), (y, y + depth)


def first_layer(asker: Asker) -> Table:
    """Ask what the first layer wants."""
    asker.tell("\nThe first layer.")
    height = asker.number("Layer height", RANGES["FirstLayer.height_mm"], 0.2)
    gap = asker.number(
        "Gap wanted, nozzle to plate (three quarters of the layer is common practice)",
        Range(0.01, height, "mm"),
        round(0.75 * height, 3),
    )
    tolerance = asker.number(
        "Tolerance: how far a gap may be off", Range(0.005, gap, "mm"), round(gap / 3, 3)
    )
    return {"height_mm": height, "gap_mm": gap, "tolerance_mm": tolerance}


def heat(asker: Asker, *, heated_plate: bool | None) -> Table:
    """Ask for temperatures; a machine that says it has no heated plate is not asked for that."""
    asker.tell("\nHeat. 0 is cold: not heated.")
    table: Table = {"bed_c": 0, "max_bed_c": 0}
    if heated_plate is not False:
        table["max_bed_c"] = asker.number("Plate: never hotter than", RANGES["Heat.max_bed_c"], 110)
        most = Range(0, table["max_bed_c"], "degrees C")
        table["bed_c"] = asker.number("Plate: temperature for measuring", most, min(60, most.high))
    table["max_nozzle_c"] = asker.number("Nozzle: never hotter than", RANGES["Heat.max_nozzle_c"], 260)
    most = Range(0, table["max_nozzle_c"], "degrees C")
    table["nozzle_c"] = asker.number("Nozzle: temperature for measuring", most, 0)
    if table["bed_c"]:
        table["soak_min"] = asker.number(
            "Minutes for the warm plate to come to rest", RANGES["Heat.soak_min"], 5
        )
    return table


def gauge(asker: Asker) -> Table:
    """Ask for feeler leaves and card. At least one of them."""
    asker.tell(
        f"\nThe feeler gauge; {NOTHING} where there is none. Thousandths of an inch as in: 2 4 6 thou."
    )
    while True:
        table: Table = asker.ask("Leaves, mm", lambda text: _thicknesses("leaves", text), LEAVES)
        table |= asker.ask(
            "Thickness of one card or folded paper, mm", lambda text: _thicknesses("card", text), "0.10"
        )
        if table:
            return table
        asker.tell("  One of the two is needed.")


def _thicknesses(what: str, text: str) -> Table:
    """Return one key with its number, or its numbers ascending; none for nothing. Raises Unusable."""
    if text == NOTHING:
        return {}
    number, _, unit = text.rpartition(" ")
    key, text = (f"{what}_thou", number) if unit == "thou" else (f"{what}_mm", text)
    found = numbers_of(text, RANGES[f"Gauge.{key}"], 1 if what == "card" else None)
    if not found:
        raise Unusable(f"Give numbers, or {NOTHING}.")
    return {key: found[0] if what == "card" else sorted(set(found))}


def thread(asker: Asker, what: str, kind: str = "screw") -> Table:
    """Ask how a screw, or a stack of sheets, moves what it carries."""
    if kind == "shim":
        sheet = asker.number("Thickness of one sheet", RANGES["Thread.mm_per_turn"], 0.1)
        most = asker.number("Sheets that fit under at most", Range(1, 100, "sheets"), 8)
        clockwise = {"clockwise": "raises", "step_turns": 1, "travel_turns": [0, most]}
        return {"mm_per_turn": sheet, **clockwise}
    table = asker.ask(
        "Thread (such as M3, M4x0.5 or 20 tpi, threads per inch), or mm for one turn", _pitch, "M3"
    )
    table["clockwise"] = asker.choice(
        f"Clockwise: what does {what} do there", ("raises", "lowers", "unknown"), "unknown"
    )
    if kind == "motor":
        return {**table, "step_turns": asker.number("Finest part of a turn", Range(0.0001, 1, "turns"), 0.01)}
    table["seen_from"] = asker.choice(
        "Clockwise is seen from", ("above", "below", "front", "back", "left", "right"), "above"
    )
    table["head"] = asker.choice("What is gripped", ("knob", "wing nut", "hex", "slot"), "knob")
    table["step_turns"] = asker.number(
        "Finest part of a turn that can be set", Range(0.001, 1, "turns"), 0.0625
    )
    table["travel_turns"] = asker.pair(
        "Turns left anticlockwise (minus) and clockwise", Range(-1000, 1000, "turns"), (-4, 4)
    )
    return table


def _pitch(text: str) -> Table:
    try:
        pitch_mm(text.upper().replace("X", "x"))
    except ValueError:
        pass
    else:
        return {"thread": text.upper().replace("X", "x")}
    number, _, unit = text.rpartition(" ")
    try:
        if unit == "tpi":
            return {"threads_per_inch": number_of(number, RANGES["Thread.threads_per_inch"])}
        return {"mm_per_turn": number_of(text, RANGES["Thread.mm_per_turn"])}
    except Unusable:
        allowed = f"one of {', '.join(COARSE_PITCH_MM)}, or M4x0.5, or 20 tpi, or the mm that one turn makes"
        raise Unusable(f"Give {allowed}.") from None


def height(asker: Asker, *, by_line: bool, movable: bool) -> Table:
    """Ask how the nozzle height is changed."""
    asker.tell("\nThe nozzle height, apart from the tilt of the plate.")
    ways = ["endstop screw", "operator"]
    ways = (["bed adjusters"] if movable else []) + ways + (["stored offset"] if by_line else [])
    by = asker.choice("How it is changed", ways, ways[0])
    if by == "endstop screw":
        return {"by": by, "screw": thread(asker, "the nozzle")}
    return {"by": by, **(_stored(asker) if by == "stored offset" else {})}


def _stored(asker: Asker) -> Table:
    """Ask for the machine's own blocks that set, keep and tell the number."""
    asker.tell("The machine's own words for it, from its maker's manual; a larger number raises the nozzle.")
    set_command = asker.ask("Block that sets it, with {offset_mm} or {change_mm}", own_words)
    table: Table = {"set_command": set_command}
    for key, question in (
        ("store_command", "Block that keeps settings"),
        ("read_command", "Block that tells the number kept"),
        ("reply", "Pattern of its answer, with (?P<offset_mm>...)"),
    ):
        words = asker.ask(f"{question}, {NOTHING} where there is none", own_words, NOTHING)
        table |= {key: words} if words != NOTHING else {}
    return table


def own_words(text: str) -> str:
    """Return the machine's own words as typed; what they may be is checked later. Raises Unusable."""
    if not text:
        raise Unusable("Give the machine's own words.")
    return text


def probe(asker: Asker) -> Table | None:
    """Ask how the machine touches by itself; None where it does not."""
    kind = asker.choice(
        "\nDoes the machine touch the plate by itself", ("no", "touch plate", "touch", "nozzle contact"), "no"
    )
    if kind == "no":
        return None
    table: Table = {
        "kind": kind,
        "command": asker.ask(
            "Its own block for one touch, with {x_mm} {y_mm} where it takes a place", own_words
        ),
        "reply": asker.ask("Pattern of its answer, with (?P<z_mm>...)", own_words),
    }
    if kind == "touch plate":
        table["at_mm"] = asker.pair("Where the touch plate is, X Y", RANGES["Motion.x_mm"])
    return table
