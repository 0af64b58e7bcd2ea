"""Laws of the walls: what moves apart by d has d more wood between; a mirrored body has the same
figures."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from bodycad.checks.runner import run
from bodycad.checks.wood.inwood import in_wood
from bodycad.geometry.distance.gap import gap
from bodycad.geometry.plane.build import circle, rectangle, slot
from bodycad.geometry.solids.bore import Bore, bore
from bodycad.geometry.solids.edge import Roundover
from bodycad.geometry.solids.prism import Prism
from bodycad.layout.layout import Layout, Placed
from tests.checks.bench import ask, bevel, board, cut, one
from tests.sample import Loose

QUICK = settings(max_examples=15, deadline=None, derandomize=True)
number = st.floats


def moved(shape: Prism | Bore, by: np.ndarray) -> Prism | Bore:
    if isinstance(shape, Prism):
        return Prism(shape.profile.moved(by[0], by[1]), shape.low + by[2], shape.high + by[2])
    return replace(shape, start=tuple(float(s + b) for s, b in zip(shape.start, by)))


@st.composite
def shapes(draw, x: float):
    """A convex void somewhere about (x, 0) at half depth."""
    kind = draw(st.sampled_from(["prism", "upright", "slanted"]))
    y = draw(number(-20.0, 20.0))
    if kind == "prism":
        length, width = draw(number(8.0, 25.0)), draw(number(8.0, 25.0))
        corner = draw(number(0.0, min(length, width) / 2.0))
        return Prism(
            rectangle(length, width, corner).moved(x, y, draw(number(0.0, 90.0))),
            draw(number(-30.0, -20.0)),
            draw(number(-15.0, -5.0)),
        )
    if kind == "upright":
        return bore(
            (x, y, draw(number(-15.0, -5.0))),
            (0, 0, -1),
            draw(number(3.0, 15.0)),
            draw(number(10.0, 20.0)),
        )
    way = draw(number(0.0, 2.0 * math.pi)), draw(number(-0.7, 0.7))
    return bore(
        (x, y, -20.0),
        (math.cos(way[0]), math.sin(way[0]), way[1]),
        draw(number(3.0, 7.0)),
        draw(number(8.0, 20.0)),
        draw(st.sampled_from([118.0, 180.0])),
    )


def pair(one_shape, two_shape) -> Layout:
    return board(cut("a", one_shape, opens=()), cut("b", two_shape, opens=()))


def wall_of(layout: Layout):
    return next((f for f in ask(layout, "wall") if f.subjects == ("a.cut", "b.cut")), None)


@QUICK
@given(shapes(0.0), shapes(60.0), number(-4.5, 5.0))
def test_moving_along_the_witness_direction_moves_the_wall_as_much(first, second, d):
    """Convex voids, first brought to 5 mm or so of each other, then moved by d."""
    apart = gap(first, second)
    p, q = map(np.array, apart.at)
    near = moved(second, (5.0 - apart.distance) * (q - p) / apart.distance)
    found = wall_of(pair(first, near))
    assert abs(found.value - 5.0) <= 0.03
    p, q = map(np.array, found.at)
    after = wall_of(pair(first, moved(near, d * (q - p) / found.value)))
    assert abs(after.value - (found.value + d)) <= 0.011 + found.bound + after.bound


@QUICK
@given(number(10.0, 38.0), number(0.1, 5.0))
def test_a_deeper_pocket_has_as_much_less_floor(depth, more):
    def wood(d: float) -> float:
        return one(
            board(cut("a", Prism(rectangle(30.0, 30.0, 3.0), -d, 0.0))), "floor", "a.cut", "back"
        ).value

    assert abs(wood(depth) - wood(depth + more) - more) < 1e-9


@QUICK
@given(number(0.0, 360.0), number(0.5, 3.0), number(0.0, 12.0))
def test_moving_toward_the_side_takes_as_much_of_the_edge(turn, d, radius):
    """A turned cavity 4 to 12 mm from the y = 150 side, moved straight toward it."""
    shape = rectangle(30.0, 20.0, 3.0).moved(0.0, 128.0, turn)
    back = {"back": Roundover(radius)} if radius > 0.1 else {}

    def wood(y: float) -> float:
        return one(
            board(cut("b", Prism(shape.moved(0.0, y), -30.0, -6.0), opens=()), **back),
            "edge",
            "b.cut",
            "edge",
        ).value

    # It ends over the roundover, and the back is farther than the side: what counts is the straight
    # side.
    assert abs(wood(0.0) - wood(d) - d) < 0.011


@QUICK
@given(number(0.0, 360.0), number(0.3, 3.0))
def test_a_flange_slid_down_the_bevel_loses_as_much_land(turn, d):
    """A hole moved by d square to a bevel's line comes d / sqrt(1 + 16) nearer to its plane (1 in
    4)."""
    way = math.radians(turn)

    def wood(more: float) -> float:
        x, y = (10.0 + more) * math.cos(way), (10.0 + more) * math.sin(way)
        layout = board(
            cut("hole", bore((x, y, -44.0), (0, 0, 1), 6.0, 34.0), "back", "BORE"),
            contours=[bevel("front", (0.0, 0.0), turn)],
        )
        return one(layout, "floor", "hole.cut", "contour.front").value

    assert abs(wood(0.0) - wood(d) - d / math.sqrt(17.0)) < 0.022


@QUICK
@given(st.lists(shapes(0.0), min_size=2, max_size=4), st.permutations(range(4)))
def test_neither_a_mirror_nor_the_order_changes_a_figure(found, order):
    parts = [
        cut(f"p{k}", moved(shape, np.array([30.0 * k, 4.0 * k, 0.0])), opens=())
        for k, shape in enumerate(found)
    ]
    contours = [bevel("front", (20.0, 5.0), 30.0), bevel("back", (0.0, -10.0), -60.0)]
    rows = []
    for some, left in (
        (parts, False),
        (parts, True),
        ([parts[k] for k in order if k < len(parts)], False),
    ):
        layout = board(*some, contours=contours, back=Roundover(5.0), left_handed=left)
        rows.append(
            sorted(
                (f.check, f.subjects, f.value or 0.0)
                for name in ("floor", "wall", "edge", "breakout")
                for f in ask(layout, name)
            )
        )
    straight, mirrored, shuffled = rows
    assert [r[:2] for r in mirrored] == [r[:2] for r in straight]
    assert all(abs(a[2] - b[2]) <= 0.012 for a, b in zip(straight, mirrored))
    assert shuffled == straight


def pierced(apart: float):
    """Two pockets 40 mm long, `apart` between centres, and a channel from one into the other."""
    return board(
        cut("a", Prism(rectangle(40.0, 30.0), -20.0, 0.0)),
        cut("b", Prism(rectangle(40.0, 30.0, 0.0, apart, 0.0), -20.0, 0.0)),
        cut(
            "w",
            bore((5.0, 0.0, -10.0), (1, 0, 0), 6.0, 45.0),
            operation="CHANNEL",
            opens=(),
            meets=("a.cut", "b.cut"),
        ),
    )


def test_only_the_part_in_wood_is_kept():
    """A channel square through the 20 mm of wood between two pockets."""
    layout = pierced(60.0)
    (piece,) = in_wood(layout.by_id["w.cut"], layout.body)
    assert abs(piece.shape.start[0] - 20.0) < 0.003 and abs(piece.shape.end[0] - 40.0) < 0.003
    assert in_wood(layout.by_id["a.cut"], layout.body) == (layout.by_id["a.cut"],)


def test_a_channel_wholly_in_air_has_no_part_in_wood():
    layout = board(
        cut("a", Prism(rectangle(80.0, 30.0), -20.0, 0.0)),
        cut(
            "w",
            bore((-20.0, 0.0, -10.0), (1, 0, 0), 6.0, 40.0),
            operation="CHANNEL",
            opens=(),
            meets=("a.cut",),
        ),
    )
    assert in_wood(layout.by_id["w.cut"], layout.body) == ()
    assert [f.status for f in ask(layout, "floor") if f.subjects[:1] == ("w.cut",)] == []


def test_an_edge_bore_is_judged_from_the_side_on():
    layout = board(cut("jack", bore((-215.0, 0.0, -22.0), (1, 0, 0), 20.0, 45.0), "edge", "BORE"))
    (piece,) = in_wood(layout.by_id["jack.cut"], layout.body)
    assert abs(piece.shape.start[0] + 200.0) < 0.003 and abs(piece.shape.end[0] + 170.0) < 1e-9


def test_a_web_of_half_a_millimetre_counts_as_wood():
    """Two pockets 0.5 mm apart and a channel through both: all that is in wood is the web."""
    layout = pierced(40.5)
    (piece,) = in_wood(layout.by_id["w.cut"], layout.body)
    assert abs(piece.shape.start[0] - 20.0) < 1e-9 and abs(piece.shape.end[0] - 20.5) < 1e-9


def test_a_slanted_channel_is_in_wood_from_where_its_whole_rim_has_left_the_pocket():
    """Falling at 45 degrees out of a wall at x = 20 under a level of -20: the lower rim leaves the
    floor first. Axis from (0, 0, -10), radius 3: its lowest line starts at (-3, -13)/sqrt(2) past
    the axis and meets z = -20 at t where -10 - 3/sqrt(2) - t/sqrt(2) = -20."""
    layout = board(
        cut("a", Prism(rectangle(40.0, 30.0), -20.0, 0.0)),
        cut(
            "w",
            bore((0.0, 0.0, -10.0), (1, 0, -1), 6.0, 40.0),
            operation="CHANNEL",
            opens=(),
            meets=("a.cut",),
        ),
    )
    (piece,) = in_wood(layout.by_id["w.cut"], layout.body)
    along = math.dist(piece.shape.start, (0.0, 0.0, -10.0))
    assert abs(along - (10.0 * math.sqrt(2.0) - 3.0)) < 2e-6


@pytest.mark.parametrize(
    "start, way, length",
    [
        # From a wall of the pocket 60 x 40, each way: all of it is in wood.
        ((30.0, 0.0, -20.0), (1, 0, 0), 50.0),
        ((-30.0, 0.0, -20.0), (-1, 0, 0), 50.0),
        ((0.0, 20.0, -20.0), (0, 1, 0), 50.0),
        ((0.0, -20.0, -20.0), (0, -1, 0), 50.0),
    ],
)
def test_a_way_that_starts_on_a_wall_is_in_wood(start, way, length):
    layout = board(
        cut("p", Prism(rectangle(60.0, 40.0, 5.0), -35.0, 0.0)),
        cut("w", bore(start, way, 6.0, length), operation="CHANNEL", opens=(), meets=("p.cut",)),
    )
    (piece,) = in_wood(layout.by_id["w.cut"], layout.body)
    assert math.dist(piece.shape.start, piece.shape.end) == pytest.approx(length, abs=1e-3)


@pytest.mark.parametrize(
    "plan, wall",
    [
        # Through the middle of a disc of radius 30, whose ends lie on the way; a diamond's corner;
        # a slot as wide as the way.
        (circle(60.0), math.sqrt(30.0**2 - 3.0**2)),
        (rectangle(40.0, 40.0).moved(0.0, 0.0, 45.0), 20.0 * math.sqrt(2.0) - 3.0),
        (slot(60.0, 6.0), 27.0),
        (rectangle(60.0, 6.0), 30.0),
    ],
)
def test_a_way_into_a_vertex_ends_where_its_whole_rim_is_in(plan, wall):
    layout = board(
        cut("p", Prism(plan, -35.0, 0.0)),
        cut(
            "w",
            bore((-150.0, 0.0, -20.0), (1, 0, 0), 6.0, 150.0),
            operation="CHANNEL",
            opens=(),
            meets=("p.cut",),
        ),
    )
    (piece,) = in_wood(layout.by_id["w.cut"], layout.body)
    assert piece.shape.end[0] == pytest.approx(-wall, abs=5e-3)


def test_a_report_needs_no_part():
    assert run(board(Placed("empty", Loose()))).verdict == "fail"
