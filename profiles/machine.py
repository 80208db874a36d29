"""What a machine is, as frozen values. Units stand in the names; nothing here does I/O."""

from __future__ import annotations

from typing import Literal

import msgspec

from profiles import expansion
from profiles.part import Part
from profiles.printed import Print

XY = tuple[float, float]
Clockwise = Literal["raises", "lowers", "unknown"]
Side = Literal["above", "below", "front", "back", "left", "right"]
Head = Literal["knob", "wing nut", "hex", "slot"]
INCH_MM = 25.4
"""Exactly (international inch, 1959)."""
THOU_MM = INCH_MM / 1000.0


class Bed(Part, frozen=True, kw_only=True):
    """The plate. `origin_mm` is its front left corner (round: its centre) in machine coordinates."""

    shape: Literal["rectangle", "round"] = "rectangle"
    size_mm: XY | None = None
    diameter_mm: float | None = None
    origin_mm: XY = (0.0, 0.0)
    material: str = "unknown"
    thickness_mm: float | None = None
    mount: Literal["held", "floating", "unknown"] = "unknown"


class Motion(Part, frozen=True, kw_only=True):
    """Axes: limits, speeds and the height for sideways moves. The first of `z_mm` is the floor."""

    link: Literal["serial", "hand"] = "serial"
    baud: int = 115200
    x_mm: XY
    y_mm: XY
    z_mm: XY
    clearance_mm: float = 5.0
    travel_feed_mm_min: float = 6000.0
    lift_feed_mm_min: float = 600.0


class FirstLayer(Part, frozen=True, kw_only=True):
    """What the first layer wants: layer height, gap (three quarters of it), tolerance of the gap."""

    height_mm: float
    gap_mm: float
    tolerance_mm: float
    measuring_height_mm: float | None = None


class Heat(Part, frozen=True, kw_only=True):
    """Temperatures for measuring (0: cold) and the machine's limits, degrees Celsius.

    print_bed_c, print_nozzle_c: temperatures of printing; None: the same as for measuring.
    hot_length_mm: what grows downward as the nozzle warms: from its tip up to where it is held cold.
    hot_expansion_ppm_per_k: its mean coefficient of linear expansion, 1e-6 per kelvin.
    """

    bed_c: float = 0.0
    nozzle_c: float = 0.0
    print_bed_c: float | None = None
    print_nozzle_c: float | None = None
    hot_length_mm: float = 0.0
    hot_expansion_ppm_per_k: float = expansion.BRASS_PPM_PER_K
    soak_min: float = 0.0
    max_bed_c: float = 110.0
    max_nozzle_c: float = 260.0


class Gauge(Part, frozen=True, kw_only=True):
    """The feeler leaves at hand, ascending, and the thickness of the single card or folded paper.

    leaves_thou, card_thou: the same in thousandths of an inch; they fill `leaves_mm` and `card_mm`.
    """

    leaves_mm: tuple[float, ...] = ()
    card_mm: float | None = None
    leaves_thou: tuple[float, ...] = ()
    card_thou: float | None = None

    def __post_init__(self) -> None:
        """Fill what is told in thousandths of an inch into mm."""
        if self.leaves_thou and not self.leaves_mm:
            leaves = tuple(round(leaf * THOU_MM, 4) for leaf in self.leaves_thou)
            msgspec.structs.force_setattr(self, "leaves_mm", leaves)
        if self.card_thou is not None and self.card_mm is None:
            msgspec.structs.force_setattr(self, "card_mm", round(self.card_thou * THOU_MM, 4))


class Thread(Part, frozen=True, kw_only=True):
    """How a screw or nut moves what it carries; shared by adjusters and an endstop screw.

    One of thread, mm_per_turn, threads_per_inch tells its pitch.
    """

    thread: str | None = None
    mm_per_turn: float | None = None
    threads_per_inch: float | None = None
    clockwise: Clockwise = "unknown"
    seen_from: Side = "above"
    step_turns: float = 0.0625
    travel_turns: XY = (-4.0, 4.0)
    head: Head = "knob"


class Adjuster(Thread, frozen=True, kw_only=True):
    """What moves the plate at one support. `clockwise` tells what the plate does there.

    For shims a "turn" is one sheet, and `mm_per_turn` its thickness; a fixed support has no travel.
    move_command: for motors, one block with {rise_mm} (how far the plate rises there) or {turns}.
    """

    name: str
    at_mm: XY
    kind: Literal["screw", "shim", "motor", "fixed"] = "screw"
    move_command: str | None = None


class Point(Part, frozen=True, kw_only=True):
    """Where the nozzle is parked to measure, in machine coordinates.

    only: "proof" where it is read in the pass that proves the job, in a survey and in a recheck, and not
    before every turn.
    """

    name: str
    at_mm: XY
    only: Literal["proof"] | None = None


class Height(Part, frozen=True, kw_only=True):
    """How the nozzle height is changed, apart from the tilt.

    `screw` describes an endstop screw (its `clockwise` tells what the nozzle does). The templates
    are for `by = "stored offset"`: one block each, with `{offset_mm}` or `{change_mm}`.
    """

    by: Literal["endstop screw", "stored offset", "bed adjusters", "operator"]
    screw: Thread | None = None
    set_command: str | None = None
    store_command: str | None = None
    read_command: str | None = None
    reply: str | None = None


class Probe(Part, frozen=True, kw_only=True):
    """How the machine touches by itself; `reply` is a pattern with the named group `z_mm`."""

    kind: Literal["touch plate", "touch", "nozzle contact"]
    command: str
    reply: str
    at_mm: XY | None = None
    repeatability_limit_mm: float = 0.02


class Compensation(Part, frozen=True, kw_only=True):
    """Software compensation over a grid that spans the profile's points, where the machine has it.

    `check`: other points, at which it is verified. `reply`: a pattern with the named group `offset_mm`; the
    answer to `read_command` tells all numbers, row by row. `deactivate_command`: switches it off, so that the
    bare plate is read. A machine without commands has a menu.
    """

    grid: tuple[int, int]
    needs_raft: bool = False
    fade_height_mm: float | None = None
    set_command: str | None = None
    activate_command: str | None = None
    deactivate_command: str | None = None
    read_command: str | None = None
    reply: str | None = None
    check: tuple[Point, ...] = ()


class Machine(Part, frozen=True, kw_only=True, cache_hash=True):
    """One machine, whole. Made by `profiles.load`, which checks what types alone cannot."""

    format: Literal["tramwright-profile/1"] = "tramwright-profile/1"
    name: str
    bed: Bed
    motion: Motion
    first_layer: FirstLayer
    height: Height
    heat: Heat = Heat()
    gauge: Gauge = Gauge()
    adjuster: tuple[Adjuster, ...] = ()
    point: tuple[Point, ...] = ()
    probe: Probe | None = None
    compensation: Compensation | None = None
    print: Print | None = None

    @property
    def measuring_height_mm(self) -> float:
        """Commanded Z at which gaps are read: the first-layer height unless the profile says otherwise."""
        stated = self.first_layer.measuring_height_mm
        return self.first_layer.height_mm if stated is None else stated

    @property
    def wanted_gap_mm(self) -> float:
        """The wanted gap at measuring height and temperatures: while printing it is the profile's own."""
        layer = self.first_layer
        return layer.gap_mm + (self.measuring_height_mm - layer.height_mm) + self.closing_mm

    @property
    def closing_mm(self) -> float:
        """How much every gap closes from measuring to printing temperatures; below 0 where it opens."""
        return self.nozzle_growth_mm + self.plate_growth_mm

    @property
    def nozzle_growth_mm(self) -> float:
        """How much further down the tip reaches at printing temperature than while measuring."""
        heat = self.heat
        if heat.print_nozzle_c is None:
            return 0.0
        ppm = heat.hot_expansion_ppm_per_k
        return expansion.grown_mm(heat.hot_length_mm, ppm, heat.nozzle_c, heat.print_nozzle_c)

    @property
    def plate_growth_mm(self) -> float:
        """How much thicker the plate is at printing temperature; none where its material is not known."""
        heat, ppm = self.heat, expansion.plate_ppm_per_k(self.bed.material)
        if heat.print_bed_c is None or ppm is None:
            return 0.0
        return expansion.grown_mm(self.bed.thickness_mm or 0.0, ppm, heat.bed_c, heat.print_bed_c)

    @property
    def every_point(self) -> tuple[Point, ...]:
        """All points that the nozzle may come down over: those to level by, and those to check by."""
        return self.point + (self.compensation.check if self.compensation else ())

    @property
    def levelling_points(self) -> tuple[Point, ...]:
        """The points that turns are found by: all but those that only prove."""
        return tuple(point for point in self.point if point.only is None)

    def point_named(self, name: str) -> Point:
        """Return the point called `name`. Raises KeyError."""
        for point in self.every_point:
            if point.name == name:
                return point
        raise KeyError(name)

    def adjuster_named(self, name: str) -> Adjuster:
        """Return the adjuster called `name`. Raises KeyError."""
        for adjuster in self.adjuster:
            if adjuster.name == name:
                return adjuster
        raise KeyError(name)
