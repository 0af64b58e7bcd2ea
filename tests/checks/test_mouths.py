"""Wood away from a void's own mouth: the far side, contours beside it, what is left over a heel."""

from __future__ import annotations

import importlib.util
import math
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
from scipy.spatial import cKDTree

from bodycad.geometry.distance.edge import edge_gap
from bodycad.geometry.plane.build import rectangle
from bodycad.geometry.plane.profile import profile
from bodycad.geometry.solids.bore import bore
from bodycad.geometry.solids.carve import Carve
from bodycad.geometry.solids.edge import Chamfer, Ledge, Roundover, Square
from bodycad.geometry.solids.prism import Prism
from bodycad.geometry.solids.skin import Contour, Skin
from bodycad.layout.contours import fall_away
from tests.checks.bench import T, ask, bevel, board, cut, holds, necked, none, one, pocket


def side_hole(length: float, diameter: float = 2.6, x: float = 0.0, side: float = 11.5):
    """A level hole from the side at y = `side`, at mid height, square to it."""
    drilled = bore((x, side, -T / 2.0), (0.0, -1.0, 0.0), diameter, length)
    return cut("button", drilled, "edge", "BORE")


SLIM = rectangle(400.0, 23.0)
"""A horn 23 mm wide."""


@pytest.mark.parametrize(
    "length, status, left", [(12.0, "pass", 10.0), (16.5, "warn", 6.5), (20.0, "fail", 3.0)]
)
def test_a_hole_from_the_side_of_a_slim_horn(length, status, left):
    """23 mm less the hole's length; 10 mm to its own side, 10 mm behind its mouth."""
    layout = board(side_hole(length), outline=SLIM)
    holds(one(layout, "edge", "button.cut", "edge"), status, left)
    assert none(layout, "breakout", "button.cut", "edge")


def test_a_hole_out_of_the_far_side_of_a_horn():
    layout = board(side_hole(26.0), outline=SLIM)
    holds(one(layout, "breakout", "button.cut", "edge"), "fail", -3.0, 0.01)
    assert none(layout, "edge", "button.cut", "edge")


def test_a_hole_along_another_side():
    """12 mm from the end of the board: 12 less the radius."""
    layout = board(side_hole(40.0, 10.0, 188.0, 150.0))
    holds(one(layout, "edge", "button.cut", "edge"), "warn", 7.0)


def test_a_hole_beside_a_deep_round():
    """A hole of radius 10 at mid height: 10 mm behind its mouth its rim, at z = -12, lies in (s, z)
    hypot(10, 8) from the middle of a round of 20 mm."""
    layout = board(side_hole(30.0, 20.0, side=150.0), front=Roundover(20.0))
    holds(one(layout, "edge", "button.cut", "edge"), "warn", 20.0 - math.hypot(10.0, 8.0), 0.011)


def test_a_shallow_hole_is_all_mouth():
    assert none(board(side_hole(9.0), outline=SLIM), "edge", "button.cut", "edge")


def test_a_hole_from_within_that_comes_out_of_the_side():
    """Its mouth is where it leaves the wood, not where the drill starts."""
    pocket_ = pocket("a", 0.0, 0.0, 40.0, 40.0, 30.0)
    drilled = bore((0.0, 10.0, -15.0), (0.0, 1.0, 0.0), 8.0, 141.0)
    wire = cut("wire", drilled, "front", "CHANNEL", opens={"edge"}, meets=("a.cut",))
    layout = board(pocket_, wire)
    holds(one(layout, "edge", "wire.cut", "edge"), "pass", 10.0)
    assert none(layout, "breakout", "wire.cut", "edge")


@pytest.mark.parametrize("wall, status", [(4.0, "fail"), (6.0, "warn"), (30.0, "pass")])
def test_a_slot_that_runs_out_of_the_end(wall, status):
    """A 40 mm wide slot out of the end, `wall` mm from the side; or 10 mm from its mouth."""
    slot = Prism(rectangle(60.0, 40.0, 0.0, 190.0, 130.0 - wall), -20.0, 0.0)
    layout = board(cut("slot", slot, opens=("front", "edge")))
    holds(one(layout, "edge", "slot.cut", "edge"), status, min(wall, 10.0))


def plane(depth: float, over: float, x: float, wide: float = 80.0) -> Contour:
    """A plane of the front from the line at `x`, `depth` mm deeper over `over` mm, level then."""
    rows = [(0.0, 0.0), (over, -depth), (wide, -depth), (wide, 5.0), (0.0, 5.0)]
    return Contour("fall", "front", Carve(profile(rows), (x, 0.0), 0.0, (-400.0, 400.0)))


def test_a_fin_between_a_pocket_and_a_contour_of_its_face():
    """The plane begins 1 mm from the wall and falls 15 mm in 0.5: 6 mm under the rim it is 1.2 away
    along u, 1.2 cos 1.909 degrees square to it."""
    layout = board(pocket("a", 0.0, 0.0, 40.0, 40.0, 20.0), contours=[plane(15.0, 0.5, 21.0)])
    holds(one(layout, "edge", "a.cut", "fall"), "fail", 1.2 * math.cos(math.atan(0.5 / 15.0)))


@pytest.mark.parametrize("angle, status", [(20.0, "pass"), (45.0, "warn"), (70.0, "fail")])
@pytest.mark.parametrize("start", [0.0, 21.0])
def test_a_contour_that_a_pocket_opens_in(angle, status, start):
    """From the rim, or across the mouth: 6 mm under the rim the plane is 6 cos(angle) away, and
    1 sin(angle) more where it begins 1 mm beside it."""
    over = 25.0 / math.tan(math.radians(angle))
    fall = plane(25.0, over, start - (0.0 if start else over / 2.0), over + 20.0)
    layout = board(pocket("a", 0.0, 0.0, 40.0, 40.0, 43.0), contours=[fall])
    beside = math.sin(math.radians(angle)) if start else 0.0
    stated = one(layout, "edge", "a.cut", "fall")
    least = 6.0 * math.cos(math.radians(angle)) + beside
    assert stated.value <= least + 0.01
    if start:
        holds(stated, status, least, 0.011)
    else:
        assert (stated.status == "fail") == (status == "fail")


def test_a_gentle_contour_across_a_mouth_is_no_finding_that_warns():
    fall = fall_away("arm", "front", T, (0.0, 5.0), 70.0, 56.0, 12.0)
    for depth in (4.0, 20.0):
        layout = board(pocket("a", 0.0, 0.0, 60.0, 60.0, depth), contours=[fall])
        found = [f for f in ask(layout, "edge") if f.subjects == ("a.cut", "arm")]
        assert [f.status for f in found] == ([] if depth < 6.0 else ["pass"])


def test_what_another_void_takes_is_no_fin():
    """A second pocket, meant to meet the first, takes the wood between it and the contour."""
    one_ = pocket("a", 0.0, 0.0, 40.0, 40.0, 20.0)
    plan = rectangle(40.0, 44.0, 0.0, 22.0, 0.0)
    two = cut("b", Prism(plan, -20.0, 0.0), meets=("a.cut",))
    layout = board(one_, two, contours=[plane(15.0, 0.5, 18.0)])
    assert none(layout, "edge", "a.cut", "fall")


def test_a_slanted_hole_beside_a_contour():
    """A wall of the face 20 mm deep at x = 10: one hole runs down away from it, one toward it."""
    rows = [(0.0, -20.0), (60.0, -20.0), (60.0, 5.0), (0.0, 5.0)]
    wall = Contour("fall", "front", Carve(profile(rows), (10.0, 0.0), 0.0, (-400.0, 400.0)))
    wire = cut("wire", bore((0.0, 0.0, 0.0), (-1.0, 0.0, -1.0), 6.0, 60.0), operation="CHANNEL")
    assert none(board(wire, contours=[wall]), "edge", "wire.cut", "fall")
    toward = cut("wire", bore((0.0, 0.0, 0.0), (1.0, 0.0, -4.0), 6.0, 60.0), operation="CHANNEL")
    stated = one(board(toward, contours=[wall]), "edge", "wire.cut", "fall")
    # Its axis passes the wall's lower corner (10, -20) at (40 - 20) / sqrt(17).
    holds(stated, "fail", 20.0 / math.sqrt(17.0) - 3.0, 0.011)


@pytest.mark.parametrize("seed", range(5))
def test_walls_against_contours_agree_with_sampled_points(seed):
    """Points of the wall 6 mm and more under the shaped rim, 0.2 mm apart, and points of the
    contour's surface, as near: the tree's least distance can only be more, by half a diagonal."""
    rng = np.random.default_rng(seed)
    turn, steep = float(rng.uniform(0.0, 360.0)), float(rng.uniform(35.0, 80.0))
    over = 12.0 / math.tan(math.radians(steep))
    rows = [(0.0, 0.0), (over, -12.0), (over + 30.0, -12.0), (over + 30.0, 5.0), (0.0, 5.0)]
    out = rng.uniform(10.0, 26.0)
    origin = out * math.cos(math.radians(turn)), out * math.sin(math.radians(turn))
    carve = Carve(profile(rows), origin, turn, (-200.0, 200.0))
    layout = board(
        pocket("a", 0.0, 0.0, 40.0, 40.0, 25.0), contours=[Contour("fall", "front", carve)]
    )
    t = np.arange(-20.0, 20.001, 0.2)
    sides = [np.column_stack(p) for e in (-20.0, 20.0) for p in ((t, 0 * t + e), (0 * t + e, t))]
    rim = np.vstack(sides)
    top = np.nan_to_num(carve.height(rim, "front"), nan=0.0).clip(max=0.0) - 6.0
    walls = [np.column_stack([rim, top - d])[top - d > -25.0] for d in np.arange(0.0, 8.0, 0.4)]
    grid = np.stack(np.meshgrid(np.arange(-32, 32, 0.2), np.arange(-32, 32, 0.2)), -1)
    grid = grid.reshape(-1, 2)
    height = carve.height(grid, "front")
    on = np.isfinite(height)
    least = cKDTree(np.column_stack([grid[on], height[on]])).query(np.vstack(walls))[0].min()
    found = [f for f in ask(layout, "edge") if f.subjects == ("a.cut", "fall")]
    if not found:
        assert least > 5.9
        return
    assert least - 0.2 <= found[0].value <= least + 0.02


# What is left over a heel.


@pytest.mark.parametrize(
    "thickness, status, left", [(29, "pass", 12), (26, "warn", 9), (24, "fail", 7)]
)
def test_wood_under_a_neck_pocket_has_a_limit_of_its_own(thickness, status, left):
    found = one(board(necked(), thickness=float(thickness)), "floor", "neck.pocket", "back")
    holds(found, status, float(left))
    assert found.code == "floor.pocket"


def test_wood_is_measured_where_the_body_is():
    """A pocket 30 mm deep out of the end at x = 200, over a plane that rises 45 degrees to z = -34
    there: 4 mm of wood upright. Square to the plane it would be 2.83, in the air past the end."""
    shape = Prism(rectangle(60.0, 40.0, 0.0, 200.0, 0.0), -30.0, 0.0)
    neck = cut("neck", shape, opens=("front", "edge"))
    layout = board(neck, contours=[bevel("back", (190.0, 0.0), 0.0, run=60.0, drop=60.0)])
    holds(one(layout, "floor", "neck.cut", "contour.back"), "warn", 4.0, 0.011)


@pytest.mark.parametrize("seed", range(5))
def test_wood_over_a_heel_agrees_with_sampled_points(seed):
    """Points of the pocket's floor and of the carve's surface, both inside the outline."""
    rng = np.random.default_rng(seed)
    turn = float(rng.uniform(-70.0, 70.0))
    heel = fall_away(
        "heel",
        "back",
        T,
        (float(rng.uniform(160, 185)), float(rng.uniform(-30, 30))),
        turn,
        float(rng.uniform(25.0, 40.0)),
        float(rng.uniform(10.0, 20.0)),
    )
    tilt = (float(rng.uniform(-0.03, 0.03)), 0.0) if seed % 2 else (0.0, 0.0)
    shape = Prism(rectangle(120.0, 56.0, 0.0, 180.0, 0.0), -17.0, 0.0, tilt, (120.0, 0.0))
    layout = board(cut("neck", shape, opens=("front", "edge")), contours=[heel])
    found = [f for f in ask(layout, "floor") if f.subjects == ("neck.cut", "heel")]
    grid = np.stack(np.meshgrid(np.arange(115, 200.01, 0.5), np.arange(-50, 50.01, 0.5)), -1)
    grid = grid.reshape(-1, 2)
    inside = (grid[:, 0] >= 120.0) & (np.abs(grid[:, 1]) <= 28.0)
    floor = np.column_stack([grid[inside], shape.floor_at(grid[inside])])
    height = heel.carve.height(grid, "back")
    on = np.isfinite(height)
    least = cKDTree(np.column_stack([grid[on], height[on]])).query(floor)[0].min()
    assert len(found) == 1
    assert least - 0.15 <= found[0].value <= least + 0.02


# The demo's pocket walls against points of the skin.


def demo(**skin):
    path = Path(__file__).parents[2] / "designs" / "teasel.py"
    spec = importlib.util.spec_from_file_location("teasel", path)
    module = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(module)
    design = module.design()
    return replace(design, skin=replace(design.skin, **skin)).layout()


def sampled_wall(layout, sign: float, section: np.ndarray) -> float:
    """Least distance of points of the pocket's wall, from its corner to 8 mm from its mouth, to
    points of the side: `section` (m, 2) in (s, z), s mm in from the outline."""
    pocket_ = layout.by_id["neck.pocket"].shape
    s = pocket_.profile.segments
    k = max(
        (
            k
            for k in range(len(s))
            if not s.arc[k] and sign * s.a[k, 1] > 20.0 and sign * s.b[k, 1] > 20.0
        ),
        key=lambda k: s.length[k],
    )
    ends = sorted((s.a[k], s.b[k]), key=lambda p: p[0])
    line = ends[0] + np.linspace(0.0, 1.0, 20001)[:, None] * (ends[1] - ends[0])
    inside = -layout.skin.outline.signed_distance(line) > 0.0
    mouth = line[int(np.argmin(inside))] if not inside.all() else line[-1]
    line = line[inside & (np.hypot(*(line - mouth).T) >= 8.0)]
    line = np.vstack([line[::60], line[-1:]])
    out = layout.skin.outline.segments
    near = np.flatnonzero((out.boxes[:, 2] > 150.0) & (np.abs(out.boxes[:, 1]) < 80.0))
    out = out.take(near)
    places = []
    for t in np.linspace(0.0, 1.0, 41):
        spot, ahead = out.at(np.full(len(out), t)), out.tangent(np.full(len(out), t))
        inward = np.column_stack([-ahead[:, 1], ahead[:, 0]])
        for depth, z in section:
            plan = spot + depth * inward
            places.append(np.column_stack([plan, np.full(len(plan), z)]))
    walls = [np.column_stack([line, np.full(len(line), z)]) for z in np.arange(-17.0, 0.01, 1.0)]
    return float(cKDTree(np.vstack(places)).query(np.vstack(walls))[0].min())


LEDGE = np.array([(1.4, z) for z in np.arange(-6.4, 0.01, 0.4)] + [(0.0, -z) for z in (7.0, 17.0)])
TURN = np.linspace(0.0, math.pi / 2.0, 40)
ROUND = np.column_stack([6.0 - 6.0 * np.sin(TURN), -6.0 + 6.0 * np.cos(TURN)])


@pytest.mark.parametrize(
    "edge, section, least",
    [
        (None, LEDGE, 6.60),
        (Square(), np.array([(0.0, z) for z in np.arange(-17.0, 0.1, 1.0)]), 8.00),
        (Roundover(6.0), ROUND, 2.00),
    ],
)
def test_the_walls_of_the_demos_pocket(edge, section, least):
    """As sampled points say; 0 where the round reaches the pocket."""
    layout = demo(**({} if edge is None else {"front": edge}))
    for sign, name in ((-1.0, "treble"), (1.0, "bass")):
        (stated,) = (f for f in ask(layout, "pocket-fit") if f.code == f"pocket-fit.wall.{name}")
        assert stated.value == pytest.approx(sampled_wall(layout, sign, section), abs=0.05)
        if sign < 0.0:
            assert stated.value == pytest.approx(least, abs=0.01)


def test_a_round_that_reaches_the_pocket_leaves_no_wall():
    found = [f for f in ask(demo(front=Roundover(9.5)), "pocket-fit") if ".wall" in f.code]
    assert [(f.status, f.value) for f in found] == [("fail", 0.0)] * 2


@pytest.mark.parametrize("seed", range(12))
def test_a_level_hole_is_as_far_from_the_side_as_one_that_hardly_climbs(seed):
    """What is told of a level hole in closed form, against the search over the surface of one that
    climbs by a thousandth of a degree, and against points of its surface."""
    rng = np.random.default_rng(seed)
    outline = rectangle(120.0, 90.0, 30.0)
    front = (Roundover(12.0), Ledge((2.0,), 6.4), Chamfer(8.0, 4.0), Square())[seed % 4]
    skin = Skin(outline, T, front, Roundover(6.0))
    start = (*rng.uniform(-25.0, 25.0, 2), float(rng.uniform(-30.0, -14.0)))
    turn, tip = rng.uniform(0.0, 2.0 * math.pi), 118.0 if seed % 2 else 180.0
    way = (math.cos(turn), math.sin(turn))
    size = float(rng.uniform(3.0, 22.0))
    level = bore(start, (*way, 0.0), size, 20.0, tip)
    climbing = bore(start, (*way, 1.7e-5), size, 20.0, tip)
    found, near = edge_gap(level, skin), edge_gap(climbing, skin)
    assert found.distance == pytest.approx(near.distance, abs=0.012)
    along, around = np.linspace(0.0, level.shoulder, 60), np.linspace(0.0, 2.0 * math.pi, 90)
    ring = np.cos(around)[:, None] * level.axes[0] + np.sin(around)[:, None] * level.axes[1]
    rows = (level.at(along)[:, None] + level.radius * ring).reshape(-1, 3)
    flat = np.column_stack([skin.inset(rows[:, :2]), rows[:, 2]])
    assert found.distance <= float(skin.edge_air.signed_distance(flat).min()) + found.bound + 0.001
