"""A machine in words, a line a fact. Pure."""

from __future__ import annotations

from collections.abc import Iterator

from profiles.machine import Adjuster, Bed, Machine, Thread
from profiles.threads import mm_per_turn


def machine_lines(machine: Machine) -> tuple[str, ...]:
    """Return what a profile says of its machine."""
    return (machine.name, "", *_facts(machine), "", *_adjusters(machine), "", *_points(machine))


def _facts(machine: Machine) -> Iterator[str]:
    motion, layer, heat = machine.motion, machine.first_layer, machine.heat
    link = "moved by hand" if motion.link == "hand" else f"serial line, {motion.baud} baud"
    yield _row("bed", f"{_bed(machine.bed)}, {machine.bed.material}")
    yield _row("axes", ", ".join(f"{a} {low:g} to {high:g}" for a, (low, high) in _limits(machine)) + " mm")
    yield _row("link", link)
    yield _row("clearance", f"{motion.clearance_mm:g} mm")
    yield _row(
        "first layer", f"{layer.height_mm:g} mm, gap {layer.gap_mm:g} mm +/- {layer.tolerance_mm:g} mm"
    )
    yield _row("measured", f"at Z {machine.measuring_height_mm:g} mm, {_temperatures(machine)}")
    if machine.closing_mm:
        yield _row("closing", f"{machine.closing_mm:.3f} mm from measuring to printing, {_printing(machine)}")
    yield _row("heat limits", f"bed {heat.max_bed_c:g} C, nozzle {heat.max_nozzle_c:g} C")
    yield _row("gauge", _gauge(machine))
    yield _row("check print", _print(machine))
    yield _row("height by", machine.height.by)
    if machine.height.screw is not None:
        yield from _thread(machine.height.screw, "the nozzle")
    if machine.probe is not None:
        yield _row("probe", machine.probe.kind)
    if machine.compensation is not None:
        columns, rows = machine.compensation.grid
        raft = ", needs a raft" if machine.compensation.needs_raft else ""
        yield _row("software", f"compensation over {columns} x {rows} points{raft}")


def _limits(machine: Machine) -> tuple[tuple[str, tuple[float, float]], ...]:
    return ("X", machine.motion.x_mm), ("Y", machine.motion.y_mm), ("Z", machine.motion.z_mm)


def _bed(bed: Bed) -> str:
    width, depth = bed.size_mm or (0.0, 0.0)
    return f"round, {bed.diameter_mm:g} mm" if bed.shape == "round" else f"{width:g} x {depth:g} mm"


def _temperatures(machine: Machine) -> str:
    bed_c, nozzle_c = machine.heat.bed_c, machine.heat.nozzle_c
    told = [f"{part} {c:g} C" if c else f"{part} cold" for part, c in (("bed", bed_c), ("nozzle", nozzle_c))]
    soak = f", {machine.heat.soak_min:g} min to come to rest" if machine.heat.soak_min else ""
    return ", ".join(told) + soak


def _printing(machine: Machine) -> str:
    heat = machine.heat
    bed_c = heat.bed_c if heat.print_bed_c is None else heat.print_bed_c
    nozzle_c = heat.nozzle_c if heat.print_nozzle_c is None else heat.print_nozzle_c
    return f"bed {bed_c:g} C, nozzle {nozzle_c:g} C" if bed_c else f"bed cold, nozzle {nozzle_c:g} C"


def _gauge(machine: Machine) -> str:
    leaves_mm, card_mm = machine.gauge.leaves_mm, machine.gauge.card_mm
    leaves = f"{len(leaves_mm)} leaves from {leaves_mm[0]:.2f} to {leaves_mm[-1]:.2f} mm" if leaves_mm else ""
    card = f"card of {card_mm:.2f} mm" if card_mm is not None else ""
    return ", ".join(filter(None, (leaves, card))) or "none"


def _print(machine: Machine) -> str:
    part = machine.print
    if part is None:
        return "none: the profile has no [print]"
    bore = f"bore {part.nozzle_mm:g} mm, lines {part.line_width_mm:g} mm"
    return f"{bore}, filament {part.filament_mm:g} mm, pads {part.pad_mm:g} mm"


def _adjusters(machine: Machine) -> Iterator[str]:
    yield f"adjusters ({len(machine.adjuster)})"
    for adjuster in machine.adjuster:
        yield _row("  " + adjuster.name, f"{_place(adjuster.at_mm)}, {_kind(adjuster)}")
        if adjuster.kind in ("screw", "motor"):
            yield from _thread(adjuster, "the plate")


def _kind(adjuster: Adjuster) -> str:
    if adjuster.kind == "shim":
        return f"shims, {mm_per_turn(adjuster):g} mm a sheet, at most {adjuster.travel_turns[1]:g}"
    return adjuster.kind


def _thread(thread: Thread, what: str) -> Iterator[str]:
    pitch = f"{mm_per_turn(thread):g} mm a turn"
    per_inch = f"{thread.threads_per_inch:g} threads per inch" if thread.threads_per_inch else ""
    yield _row("", ", ".join(filter(None, (thread.thread, per_inch, pitch))))
    if thread.clockwise == "unknown":
        yield _row("", "what clockwise does is not known")
    else:
        yield _row("", f"clockwise, seen from {thread.seen_from}, {thread.clockwise} {what}")


def _points(machine: Machine) -> Iterator[str]:
    yield f"points ({len(machine.point)})"
    for point in machine.point:
        yield _row("  " + point.name, _place(point.at_mm) + (", only to prove it" if point.only else ""))


def _place(at_mm: tuple[float, float]) -> str:
    return f"X{at_mm[0]:g} Y{at_mm[1]:g}"


def _row(name: str, told: str) -> str:
    return f"{name:<14} {told}"
