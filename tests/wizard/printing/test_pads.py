"""Where pads and the first stroke come to lie."""

from __future__ import annotations

import math
from itertools import combinations

import msgspec
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.spatial import cKDTree

from profiles.printed import KeepOut
from wizard.printing.pads import FARTHEST_MM, LEAST_SIDE_MM, layout
from wizard.printing.strokes import pad_stroke, purge_stroke


def samples(stroke, step_mm=0.5):
    """Places along a stroke, close together."""
    for (ax, ay), (bx, by) in zip(stroke.corners_mm, stroke.corners_mm[1:], strict=False):
        count = max(int(math.dist((ax, ay), (bx, by)) / step_mm), 1)
        for nth in range(count + 1):
            share = nth / count
            yield ax + share * (bx - ax), ay + share * (by - ay)


def on_the_plate(machine, x, y):
    """Whether a place is inside the border: told from the profile's own figures, without the planner."""
    bed, border = machine.bed, machine.print.margin_mm
    if bed.shape == "round":
        return math.hypot(x - bed.origin_mm[0], y - bed.origin_mm[1]) <= bed.diameter_mm / 2 - border
    (left, front), (width, depth) = bed.origin_mm, bed.size_mm
    return left + border <= x <= left + width - border and front + border <= y <= front + depth - border


def in_a_clip(machine, x, y):
    return any(k.x_mm[0] < x < k.x_mm[1] and k.y_mm[0] < y < k.y_mm[1] for k in machine.print.keep_out)


def strokes_of(machine):
    pads = layout(machine).pads
    return [*(pad_stroke(machine, pad) for pad in pads), *filter(None, [purge_stroke(machine, pads)])]


def test_all_that_is_laid_down_lies_inside_the_border_and_off_clips(machine):
    for stroke in strokes_of(machine):
        for x, y in samples(stroke):
            assert on_the_plate(machine, x, y), (stroke.name, x, y)
            assert not in_a_clip(machine, x, y), (stroke.name, x, y)


def test_every_point_has_a_pad_or_is_named_as_without(machine):
    found = layout(machine)
    assert [*sorted(pad.point for pad in found.pads), *found.without] != []
    assert {pad.point for pad in found.pads} | set(found.without) == {p.name for p in machine.point}
    assert not {pad.point for pad in found.pads} & set(found.without)


def test_a_pad_is_at_its_point_or_a_little_toward_the_middle(machine):
    for pad in layout(machine).pads:
        point = machine.point_named(pad.point)
        assert math.dist(pad.at_mm, point.at_mm) <= FARTHEST_MM + 0.01
        assert LEAST_SIDE_MM - 1.0 <= 2 * pad.half_mm <= machine.print.pad_mm


def test_pads_and_the_first_stroke_do_not_touch(machine):
    laid = [(stroke.name, cKDTree(list(samples(stroke, 2.0)))) for stroke in strokes_of(machine)]
    for (name, one), (other_name, other) in combinations(laid, 2):
        nearest = one.query(other.data)[0].min()
        assert nearest > machine.print.line_width_mm, (name, other_name)


def test_a_point_at_the_rim_is_printed_beside_it_and_one_under_a_clip_is_told(made_round):
    rim = made_round(points=((0.0, 80.0), (0.0, 0.0)))
    pads = {pad.point: pad for pad in layout(rim).pads}
    assert 60.0 < pads["p0"].at_mm[1] < 80.0
    assert pads["p1"].at_mm == (0.0, 0.0)
    clip = KeepOut(x_mm=(-30.0, 30.0), y_mm=(-30.0, 30.0))
    under = msgspec.structs.replace(rim, print=msgspec.structs.replace(rim.print, keep_out=(clip,)))
    assert layout(under).without == ("p1",)


def test_a_clip_in_the_midst_of_a_pad_is_seen(made_round):
    """A small one, that touches neither the pad's sides nor the line between its corners."""
    keep = KeepOut(x_mm=(2.0, 3.0), y_mm=(-3.0, -2.0))
    machine = made_round(60.0, ((0.0, 0.0),))
    machine = msgspec.structs.replace(machine, print=msgspec.structs.replace(machine.print, keep_out=(keep,)))
    assert layout(machine).pads == ()


@settings(max_examples=40, deadline=None)
@given(
    radius=st.floats(20.0, 200.0),
    angle=st.floats(0.0, 6.28),
    share=st.floats(0.0, 1.0),
    clip=st.tuples(st.floats(-80, 60), st.floats(-80, 60), st.floats(1, 60), st.floats(1, 60)),
)
def test_on_any_round_plate_with_any_clip_nothing_leaves_the_room(made_round, radius, angle, share, clip):
    x, y, wide, deep = clip
    at = (share * radius * math.cos(angle), share * radius * math.sin(angle))
    machine = made_round(radius, (at,))
    keep = KeepOut(x_mm=(x, x + wide), y_mm=(y, y + deep))
    machine = msgspec.structs.replace(machine, print=msgspec.structs.replace(machine.print, keep_out=(keep,)))
    for stroke in strokes_of(machine):
        for place in samples(stroke, 1.0):
            assert on_the_plate(machine, *place)
            assert not in_a_clip(machine, *place)
