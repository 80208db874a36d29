"""The drawing of the bed: true to scale, front at the bottom, told by shapes."""

from __future__ import annotations

import msgspec
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from profiles.load import load
from profiles.machine import Bed, Machine, Point
from wizard.widgets import bed_drawing
from wizard.widgets.bed_drawing import draw_bed, frame_for
from wizard.widgets.canvas import Canvas
from wizard.widgets.marks import FULL, PLAIN
from wizard.widgets.scene import Note, Scene


def _place(lines: list[str], mark: str) -> tuple[int, int]:
    for row, line in enumerate(lines):
        if mark in line:
            return line.index(mark), row
    raise AssertionError(f"{mark} is not drawn")


@given(
    wide=st.floats(80, 400), deep=st.floats(80, 400), columns=st.integers(20, 150), rows=st.integers(10, 60)
)
@settings(max_examples=60, deadline=None)
def test_a_cell_is_as_many_mm_wide_as_half_its_height(
    wide: float, deep: float, columns: int, rows: int
) -> None:
    """Both axes share one scale, to within the half cell that rounding takes."""
    bed = Bed(size_mm=(wide, deep))
    frame = frame_for(_bare(bed), columns, rows)
    assert frame.columns <= columns
    assert frame.rows <= rows
    mm_a_cell = max(2 * wide / columns, deep / rows)
    assert abs(frame.columns - 2 * wide / mm_a_cell) <= 0.5 + 1e-9
    assert abs(frame.rows - deep / mm_a_cell) <= 0.5 + 1e-9


def _bare(bed: Bed) -> Machine:
    from profiles.machine import FirstLayer, Height, Motion

    return Machine(
        name="bare",
        bed=bed,
        motion=Motion(x_mm=(0, 500), y_mm=(0, 500), z_mm=(0, 200)),
        first_layer=FirstLayer(height_mm=0.2, gap_mm=0.15, tolerance_mm=0.05),
        height=Height(by="operator"),
    )


def test_the_front_is_at_the_bottom_and_the_left_at_the_left(machine: Machine) -> None:
    scene = Scene(machine=machine, current="front left", nozzle_mm=(190, 190))
    lines = draw_bed(scene, 40, 20, FULL).lines()
    assert " FRONT " in lines[-1]
    assert " back " in lines[0]
    here, nozzle = _place(lines, "▶○◀"), _place(lines, "◆")
    assert here[0] < nozzle[0]
    assert here[1] > nozzle[1]


def test_the_current_point_is_marked_by_its_shape(machine: Machine) -> None:
    """Without any colour the current point differs from every other one."""
    for marks, shape in ((FULL, "▶○◀"), (PLAIN, ">o<")):
        text = "\n".join(draw_bed(Scene(machine=machine, current="centre"), 40, 20, marks).lines())
        assert text.count(shape) == 1


def test_read_points_look_other_than_unread_ones(machine: Machine) -> None:
    note = Note("0.15-.20", "0.17", "within", 0.02)
    lines = draw_bed(Scene(machine=machine, notes={"centre": note}), 40, 20, FULL).lines()
    text = "\n".join(lines)
    assert text.count("●") == 1
    assert text.count("○") == 4
    under = [line.strip("│ ") for line in lines]
    assert under[under.index("0.15-.20") + 1] == "= +0.02"


def test_a_turn_stands_beside_its_adjuster_until_it_is_ticked(machine: Machine) -> None:
    scene = Scene(machine=machine, turns={"back right": -0.25}, turning="back right")
    before = "\n".join(draw_bed(scene, 40, 20, FULL).lines())
    after = "\n".join(
        draw_bed(msgspec.structs.replace(scene, ticked=frozenset({"back right"})), 40, 20, FULL).lines()
    )
    assert "↺ 1/4" in before
    assert "✓ 1/4" in after


@pytest.mark.parametrize("size", [(10, 6), (22, 12), (34, 15), (60, 26), (100, 48)])
@pytest.mark.parametrize("marks", [FULL, PLAIN])
def test_notes_never_hide_a_point(machine: Machine, size: tuple[int, int], marks: object) -> None:
    """However small the drawing, all five points stay to be seen."""
    notes = {p.name: Note("0.15±.03", "0.15", "open", 0.0) for p in machine.point}
    drawn = "\n".join(draw_bed(Scene(machine=machine, notes=notes), *size, marks).lines())  # type: ignore[arg-type]
    assert drawn.count(marks.read) == 5  # type: ignore[attr-defined]


def test_a_round_bed_has_a_round_rim() -> None:
    machine = _bare(Bed(shape="round", diameter_mm=200, origin_mm=(0, 0)))
    machine = msgspec.structs.replace(machine, point=(Point(name="centre", at_mm=(0, 0)),))
    lines = draw_bed(Scene(machine=machine), 42, 22, FULL).lines()
    assert "·" not in (lines[1][2], lines[1][-3])  # the corners are off the plate
    assert any("·" in line for line in lines)


@given(columns=st.integers(0, 40), rows=st.integers(0, 20))
@settings(max_examples=60, deadline=None)
def test_any_size_is_drawn_in_exactly_that_size(columns: int, rows: int) -> None:
    machine = _bare(Bed(size_mm=(220, 220)))
    lines = draw_bed(Scene(machine=machine), columns, rows, FULL).lines()
    assert len(lines) == rows
    assert all(len(line) == columns for line in lines)


LABELS = {"name", "turn", "wide", "narrow", "within", "open"}
PLACES = st.tuples(st.integers(10, 210), st.integers(10, 210))
NAMES = st.lists(
    st.from_regex(r"[a-z]{1,9}( [a-z]{1,9})?", fullmatch=True), min_size=9, max_size=9, unique=True
)


@st.composite
def crowded(draw: st.DrawFn) -> Scene:
    """A plate on three or four screws, up to nine points anywhere, most of them with notes, turns to make."""
    machine = load(draw(st.sampled_from(["four-corner-220", "three-point-225"])))
    places = draw(st.lists(PLACES, min_size=1, max_size=9, unique=True))
    points = tuple(Point(name=n, at_mm=at) for n, at in zip(draw(NAMES), places, strict=False))
    judged = st.sampled_from(["wide", "narrow", "within", "open"])
    notes = {
        p.name: Note("0.15-.20", "0.17", draw(judged), draw(st.sampled_from([None, 0.02])))
        for p in points
        if draw(st.booleans())
    }
    turns = {a.name: draw(st.sampled_from([0.25, -1.0625])) for a in machine.adjuster}
    return Scene(
        machine=msgspec.structs.replace(machine, point=points),
        notes=notes,
        current=points[0].name,
        nozzle_mm=points[-1].at_mm,
        turns=turns,
        turning=draw(st.sampled_from([None, *turns])),
    )


class Noting(Canvas):
    """Keeps where each label was put (row, first column, the column after its last), and each mark."""

    labels: list[tuple[int, int, int]]
    marks: list[tuple[int, int]]

    def put(self, column: int, row: int, text: str, role: str = "") -> None:
        if role in LABELS or (role == "here" and len(text) > 3):
            self.labels.append((row, column, column + len(text)))
        elif role in ("point", "here"):
            self.marks.append((row, column + len(text) // 2))
        super().put(column, row, text, role)


@given(scene=crowded(), size=st.sampled_from([(25, 12), (34, 16), (58, 28), (90, 44)]))
@settings(max_examples=150, deadline=None)
def test_whatever_is_written_on_the_plate_has_a_blank_on_either_side(
    scene: Scene, size: tuple[int, int]
) -> None:
    """So two labels never read as one, and none stands on a point's mark."""
    Noting.labels, Noting.marks = [], []
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(bed_drawing, "Canvas", Noting)
        lines = draw_bed(scene, *size, FULL).lines()
    for row, first, after in Noting.labels:
        assert lines[row][first - 1] in " │"
        assert lines[row][after] in " │"
    assert not any(lines[row][column].isalnum() or lines[row][column] == " " for row, column in Noting.marks)


@pytest.mark.parametrize("size", [(34, 16), (58, 28)], ids=["80x24", "120x40"])
def test_nine_points_all_tell_their_gap(size: tuple[int, int]) -> None:
    """Corners, middles of the edges and centre of a plate, in the room that two usual windows give."""
    nine = tuple(
        Point(name=f"{word} {side}", at_mm=(x, y))
        for word, y in (("front", 30), ("middle", 110), ("back", 190))
        for side, x in (("left", 30), ("centre", 110), ("right", 190))
    )
    machine = msgspec.structs.replace(load("four-corner-220"), point=nine)
    notes = {p.name: Note(f"0.{10 + n}±.03", f"0.{10 + n}", "open", 0.0) for n, p in enumerate(nine)}
    turns = {a.name: -1.0625 for a in machine.adjuster}
    text = "\n".join(draw_bed(Scene(machine=machine, notes=notes, turns=turns), *size, FULL).lines())
    assert all(note.long in text for note in notes.values())
    assert text.count("1 1/16") == 4
    if size[0] > bed_drawing.NAMED_FROM_COLUMNS:
        assert all(p.name in text for p in nine)
