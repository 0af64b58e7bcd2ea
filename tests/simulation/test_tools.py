"""Cutters on a grid against closed forms, distance transforms and a drop-cutter of others."""

from __future__ import annotations

import math

import numpy as np
import pytest

from bodycad.errors import InputError
from bodycad.geometry.plane.build import circle, rectangle, slot
from bodycad.geometry.plane.profile import profile
from bodycad.simulation.centre import cleared, off_way, on_left, ways
from bodycad.simulation.cut import depths
from bodycad.simulation.fill import filled
from bodycad.simulation.grid import grid_over
from bodycad.simulation.job import Cut, Heights, Job, Move, Tab, joined, reversed_chain
from bodycad.simulation.surface import dropped, followed, taken
from bodycad.simulation.tool import Tool, ToolKind, scallop

PITCH = 0.1
FLAT = ToolKind.FLAT


def grid_round(shape, more=1.0, pitch=PITCH):
    x0, y0, x1, y1 = shape.box
    return grid_over((x0 - more, y0 - more, x1 + more, y1 + more), pitch)


def area(mask, grid):
    return float(mask.sum()) * grid.cell


def cut(chain, tool, depth=5.0, **more):
    return Cut("FRONT_POCKET", "POCKET", tool, depth, chain, ("a",), **more)


def made(cuts, grid):
    return depths(Job("front", "job", tuple(cuts)), Move(), grid)


STAR = profile([(0, 0), (30, 4), (34, 26), (17, 12), (3, 24)])
"""A plan with sharp corners of all kinds and a hollow one."""


@pytest.mark.parametrize("radius", [0.0, 3.0])
def test_a_cutter_leaves_the_corners_of_a_pocket(radius):
    """(4 - pi) (R^2 - r^2): a square less a disc in each corner, less what the corner's own
    rounding leaves."""
    shape, tool = rectangle(40.0, 30.0, radius, 0.033, 0.021), Tool(FLAT, 12.7)
    grid = grid_round(shape)
    left = filled(shape.segments, grid, grid.window(shape.box))
    window = grid.window(shape.box)
    left = area(left & ~cleared(shape.segments, tool.radius, grid, window), grid)
    due = (4.0 - math.pi) * (tool.radius**2 - radius**2)
    # A cell is judged by its middle: an arc's length times a part of the pitch.
    assert left == pytest.approx(due, abs=0.12 * 2.0 * math.pi * tool.radius * PITCH)


def test_a_cutter_as_wide_as_its_slot_cuts_it_and_a_wider_one_does_not():
    shape = slot(40.0, 6.35, 1.0, 2.0, 30.0)
    grid = grid_round(shape)
    window = grid.window(shape.box)
    whole = filled(shape.segments, grid, window)
    assert (cleared(shape.segments, 3.175, grid, window) == whole).all()
    assert not cleared(shape.segments, 3.2, grid, window).any()


@pytest.mark.parametrize("radius", [1.0, 3.175, 4.75])
def test_what_a_cutter_clears_is_what_a_distance_transform_says(radius):
    """Shrunk and grown again on a grid four times as fine, by scipy's Euclidean transform."""
    from scipy.ndimage import distance_transform_edt as transform

    grid, fine = grid_round(STAR, 2.0), grid_round(STAR, 2.0, PITCH / 2.0)
    window = grid.window(STAR.box)
    mine = np.zeros(grid.shape, bool)
    mine[window] = cleared(STAR.segments, radius, grid, window)
    inside = filled(STAR.segments, fine, (slice(0, fine.ny), slice(0, fine.nx)))
    centre = transform(inside) * fine.pitch >= radius
    grown = transform(~centre) * fine.pitch
    other = np.repeat(np.repeat(mine, 2, 0), 2, 1)[: fine.ny, : fine.nx]
    # What they disagree on lies where the fine grid itself cannot tell.
    assert np.abs(grown[other != (grown <= radius) & inside] - radius).max(initial=0.0) < 0.12
    assert other.any() and (inside & ~other).any()


def test_islands_stay_and_the_tool_goes_round_them():
    shape, island = rectangle(40.0, 30.0, 6.0), circle(8.0, 3.0, 1.0)
    chain = joined([shape.segments, reversed_chain(island.segments)])
    grid = grid_round(shape)
    window = grid.window(shape.box)
    got = area(cleared(chain, 3.0, grid, window), grid)
    assert got == pytest.approx(shape.area - island.area, abs=1.0)


def test_distance_from_the_way_of_a_bearing():
    """Off a disc of radius 20 a bearing of 5 runs on a circle of 25."""
    disc = circle(40.0)
    grid = grid_round(disc, 8.0)
    chain = reversed_chain(disc.segments)
    whole = (slice(0, grid.ny), slice(0, grid.nx))
    for part, out, off in off_way(chain, 5.0, grid, whole, 6.0):
        x, y = np.meshgrid(grid.xs[part[1]], grid.ys[part[0]])
        far = np.hypot(x, y)
        near = np.isfinite(out)
        assert np.abs(out - np.abs(25.0 - far))[near].max(initial=0.0) < 1e-9
        assert np.abs(np.abs(far - 20.0) - off).max() < 1e-9


def test_a_bearing_does_not_enter_a_hollow_tighter_than_itself():
    """The hollow of a square notch: the way keeps off both its sides, and nearest to the notch's
    corner it is one bearing's radius off each."""
    notch = profile([(0, 0), (40, 0), (40, 40), (20, 40), (20, 20), (0, 20)])
    chain = reversed_chain(notch.segments)
    way = ways(chain, 4.75, PITCH)
    assert len(way.blocked)
    free = way.spots[way.free]
    assert np.hypot(*(free - (20.0, 20.0)).T).min() == pytest.approx(4.75 * math.sqrt(2), abs=0.1)


def test_a_drill_leaves_its_point():
    """Depth at full diameter, and the cone of 118 degrees below: r / tan 59."""
    spot = circle(8.0, 2.05, 1.05)
    grid = grid_round(spot, 2.0)
    got = made([cut(spot.segments, Tool(ToolKind.DRILL, 8.0, 118.0), 10.0)], grid)
    x, y = np.meshgrid(grid.xs, grid.ys)
    out = np.hypot(x - 2.05, y - 1.05)
    tip = 4.0 / math.tan(math.radians(59.0))
    assert got.max() == pytest.approx(10.0 + tip, abs=0.01)
    assert got[out < 3.99].min() >= 10.0 and not got[out > 4.001].any()
    assert got.sum() * grid.cell == pytest.approx(math.pi * 16.0 * (10.0 + tip / 3.0), rel=5e-3)


@pytest.mark.parametrize(
    ("kind", "section"),
    [
        (ToolKind.ROUNDOVER, (1.0 - math.pi / 4.0) * 36.0),
        (ToolKind.COVE, math.pi / 4.0 * 36.0),
        (ToolKind.CHAMFER, 18.0),
    ],
)
def test_edge_bits_take_their_section_along_a_straight_side(kind, section):
    shape = rectangle(60.0, 40.0)
    grid = grid_round(shape, 8.0)
    bit = Tool(kind, 9.5, size=6.0)
    got = made([cut(reversed_chain(shape.segments), bit, 6.0, follows=True)], grid)
    row = got[:, grid.nx // 2]
    inside = (grid.ys > -20.0) & (grid.ys < 0.0)
    assert row[inside].sum() * PITCH == pytest.approx(section, rel=0.01)


def test_an_outline_is_cut_beside_the_wood_and_not_through_a_tab():
    disc = circle(60.0)
    grid = grid_round(disc, 10.0)
    tab = Tab(rectangle(20.0, 8.0, 0.0, 35.0, 0.0).segments, 3.0)
    way = reversed_chain(disc.segments)
    got = made([cut(way, Tool(FLAT, 6.0), 9.0, follows=True, tabs=(tab,))], grid)
    x, y = np.meshgrid(grid.xs, grid.ys)
    far = np.hypot(x, y)
    assert not got[far < 30.0].any()
    held = (np.abs(y) < 3.9) & (x > 0.0)
    ring = (far > 30.001) & (far < 35.99)
    assert (got[ring & ~held & (np.abs(y) > 4.1)] == 9.0).all() and (got[ring & held] == 3.0).all()


def test_an_open_chain_is_followed_from_end_to_end():
    """A cutter of radius 3 beside a straight line of 20 mm: a band and half a disc at each end."""
    line = rectangle(20.0, 40.0).segments.take(np.array([0]))
    line = type(line)(np.array([[-10.0, 0.0]]), np.array([[10.0, 0.0]]), np.zeros(1))
    grid = grid_over((-20.0, -10.0, 20.0, 15.0), PITCH)
    got = made([cut(line, Tool(FLAT, 6.0), 2.0, follows=True)], grid)
    assert (got > 0).sum() * grid.cell == pytest.approx(20.0 * 6.0 + math.pi * 9.0, abs=1.0)


def test_a_filled_contour_is_what_the_plane_says_of_each_middle():
    for shape in (STAR, circle(13.0, 0.03, 0.01), slot(30.0, 7.0, 0.5, 0.2, 17.0)):
        grid = grid_round(shape)
        window = grid.window(shape.box, 1.0)
        got = filled(shape.segments, grid, window)
        assert (got.ravel() == shape.segments.encloses(grid.points(window))).all()
        assert (on_left(reversed_chain(shape.segments), grid, window) == ~got).all()


def plate(depth):
    """A face as grid of heights over 30 x 24 mm."""
    h = 0.5
    xs, ys = np.arange(0.0, 30.0 + h / 2, h), np.arange(0.0, 24.0 + h / 2, h)
    x, y = np.meshgrid(xs, ys)
    return h, xs, ys, depth(x, y)


def uneven(x, y):
    """A face of triangles of random heights."""
    corners = np.random.default_rng(3).uniform(0.0, 3.0, (7, 6))
    along, up = np.linspace(0.0, 30.0, 7), np.linspace(0.0, 24.0, 6)
    rows = np.array([np.interp(x[0], along, c) for c in corners.T])
    return np.array([np.interp(y[:, 0], up, rows[:, k]) for k in range(x.shape[1])]).T


FACES = {
    "dome": lambda x, y: np.clip(((x - 15.0) ** 2 + (y - 12.0) ** 2) / 120.0, 0.0, 4.0),
    "scoop": lambda x, y: np.clip(6.0 - ((x - 8.0) ** 2 + (y - 12.0) ** 2) / 40.0, 0.0, None),
    "uneven": uneven,
}


@pytest.mark.parametrize("face", FACES)
def test_a_dropped_tool_stands_where_another_drop_cutter_stops(face):
    """opencamlib drops its cutters onto the triangles between the same nodes, exactly; ours looks
    at the nodes alone, so it may sink: a ball by h^2 / 8R and as much for the face's own bend, a
    flat one by the slope times what its rim lies off the nodes. It never stands higher."""
    ocl = pytest.importorskip("opencamlib")
    h, xs, ys, depth = plate(FACES[face])
    surface = ocl.STLSurf()
    for j in range(len(ys) - 1):
        for i in range(len(xs) - 1):
            a, b, c, d = (
                ocl.Point(xs[k], ys[m], -depth[m, k])
                for k, m in ((i, j), (i + 1, j), (i + 1, j + 1), (i, j + 1))
            )
            surface.addTriangle(ocl.Triangle(a, b, c))
            surface.addTriangle(ocl.Triangle(a, c, d))
    slope = max(np.abs(np.diff(depth, axis=k)).max() for k in (0, 1)) / h
    for kind, cutter, sinks in (
        (ToolKind.BALL, ocl.BallCutter(6.0, 50.0), 0.03),
        (FLAT, ocl.CylCutter(6.0, 50.0), slope * math.sqrt(2.0) * h),
    ):
        tips = -dropped(depth.astype(np.float32), h, Tool(kind, 6.0))
        drop, inner = ocl.BatchDropCutter(), slice(7, -7, 2)
        drop.setSTL(surface)
        drop.setCutter(cutter)
        drop.setThreads(1)
        for y in ys[inner]:
            for x in xs[inner]:
                drop.appendPoint(ocl.CLPoint(x, y, -100.0))
        drop.run()
        other = np.array([point.z for point in drop.getCLPoints()])
        sunk = other - tips[inner, inner].ravel()
        assert sunk.min() > -1e-5 and sunk.max() < sinks, (kind, sunk.min(), sunk.max())


def test_passes_leave_scallops_as_high_as_the_ball_and_the_step_say():
    """On a level face: h = R - sqrt(R^2 - (s/2)^2)."""
    ball = Tool(ToolKind.BALL, 6.0)
    level = np.full((81, 81), 2.0, np.float32)
    found = followed(Heights(level, 0.0, 0.0, 0.25, ball, 1.5), 0.05)
    inner = found.depth[100:300, 20:-20]
    assert inner.max() == pytest.approx(2.0, abs=1e-5)
    assert inner.min() == pytest.approx(2.0 - scallop(3.0, 1.5), abs=2e-3)
    assert scallop(3.0, 1.5) == pytest.approx(3.0 - math.sqrt(9.0 - 0.75**2))


def test_a_ball_dropped_everywhere_gives_back_a_face_that_is_rounder_than_it():
    _, _, _, depth = plate(FACES["dome"])
    ball = Tool(ToolKind.BALL, 6.0)
    found = taken(dropped(depth.astype(np.float32), 0.5, ball), 0.5, ball)
    inner = slice(13, -13)
    assert np.abs(found[inner, inner] - depth[inner, inner]).max() < 0.02


def test_a_ball_does_not_get_into_a_groove_narrower_than_itself():
    """In a V of two walls that rise 1 on 1 a ball of radius R stands R (sqrt 2 - 1) off the
    bottom."""
    x = np.arange(0.0, 20.05, 0.1)
    depth = np.tile(8.0 - np.abs(x - 10.0), (121, 1)).astype(np.float32)
    tips = dropped(depth, 0.1, Tool(ToolKind.BALL, 6.0))
    assert tips[60, 100] == pytest.approx(8.0 - 3.0 * (math.sqrt(2.0) - 1.0), abs=0.01)


def test_a_grid_refuses_what_is_of_no_use():
    with pytest.raises(InputError, match="pitch of a simulation"):
        grid_over((0.0, 0.0, 10.0, 10.0), 0.01)
    with pytest.raises(InputError, match="cells"):
        grid_over((0.0, 0.0, 3000.0, 3000.0), 0.1)
    with pytest.raises(InputError, match="diameter"):
        Tool(FLAT, 0.0)
    with pytest.raises(InputError, match="size"):
        Tool(ToolKind.COVE, 9.5)


def test_a_window_beside_a_shape_holds_none_of_it():
    grid = grid_over((0.0, 0.0, 5.0, 5.0), PITCH)
    plan = rectangle(4.0, 4.0, 0.0, 2.5, 2.5).segments
    assert filled(plan, grid, (slice(0, 10), slice(3, 3))).shape == (10, 0)
    assert filled(plan, grid, (slice(4, 4), slice(0, 10))).shape == (0, 10)
