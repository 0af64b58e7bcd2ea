"""`contour-end`: where the surface of a contour ends in the wood, worked by hand on boards."""

from __future__ import annotations

import math

import numpy as np
import pytest

from bodycad.geometry.plane.build import circle
from bodycad.geometry.plane.profile import profile
from bodycad.geometry.solids.bore import bore
from bodycad.geometry.solids.carve import Carve
from bodycad.geometry.solids.edge import Ledge, Roundover
from bodycad.geometry.solids.skin import Contour
from bodycad.layout.contours import fall_away, scoop
from tests.checks.bench import T, ask, bevel, board, cut, holds, one, pocket

CLEAR = ("pass", 0.0)


def section(*rows, face="front", origin=(0.0, 0.0), turn=0.0, span=(-400.0, 400.0), name="own"):
    """A contour of a maker's own, from its rows (u, depth under the face), closed 5 mm over it."""
    (u0, _), (u1, _) = rows[0], rows[-1]
    level, down = (0.0, -1.0) if face == "front" else (-T, 1.0)
    drawn = [(u, level + down * depth) for u, depth in rows]
    drawn += [(u1, level - down * 5.0), (u0, level - down * 5.0)]
    return Contour(name, face, Carve(profile(drawn), origin, turn, span))


def end(*contours, name="own", parts=(), **skin):
    return one(board(*parts, contours=contours, **skin), "contour-end", name)


@pytest.mark.parametrize("face", ["front", "back"])
@pytest.mark.parametrize("turn", [0.0, 118.0, -28.0])
def test_a_fall_away_runs_on_level_and_ends_in_no_wall(face, turn):
    """15 mm on it is 6 mm lower, and no lower anywhere, though the edge is over 80 mm away."""
    fall = fall_away("arm", face, T, (60.0, 20.0), turn, run=15.0, drop=6.0)
    layout = board(contours=[fall])
    holds(one(layout, "contour-end", "arm"), *CLEAR)
    x, y = np.meshgrid(np.arange(-199.0, 200.0, 2.0), np.arange(-149.0, 150.0, 2.0))
    depth = layout.skin.fall(face, np.column_stack([x.ravel(), y.ravel()]))
    assert depth.max() == pytest.approx(6.0, abs=1e-9) and depth.min() == 0.0


@pytest.mark.parametrize("run", [3.0, 40.0, 79.0])
def test_the_round_of_a_fall_away_is_what_its_numbers_say(run):
    """The arc through (0, 0), level there, and (run, -6): depth u^2 / 2R at first, R from both."""
    fall, radius = fall_away("arm", "front", T, (0.0, 0.0), 0.0, 80.0, 6.0), (80.0**2 + 36.0) / 12.0
    z = fall.carve.height(np.array([[run, 10.0]]), "front")[0]
    assert z == pytest.approx(math.sqrt(radius**2 - run**2) - radius, abs=1e-9)


def test_a_section_that_ends_in_the_wood():
    """A plane that is 15 mm deep after 60 mm, and ends there, 140 mm from the side."""
    found = one(board(contours=[bevel("front", (0.0, 0.0), 0.0)]), "contour-end", "contour.front")
    holds(found, "fail", 15.0)
    assert found.at[0] == pytest.approx((60.0, found.at[0][1], -15.0), abs=0.01)
    assert found.at[1][2] == pytest.approx(0.0, abs=0.01)


def test_a_section_that_leaves_the_body_before_it_ends():
    holds(end(section((0.0, 0.0), (60.0, 15.0), origin=(141.0, 0.0))), *CLEAR)


@pytest.mark.parametrize("depth, status", [(0.05, "pass"), (0.15, "warn"), (0.3, "fail")])
def test_a_step_that_sanding_takes_or_does_not(depth, status):
    holds(end(section((0.0, 0.0), (60.0, depth))), status, depth)


@pytest.mark.parametrize("face", ["front", "back"])
def test_the_end_of_a_sweep(face):
    """Cut off square where it is 8 mm deep over its level part."""
    fall = fall_away("arm", face, T, (0.0, 0.0), 30.0, 40.0, 8.0, span=(-30.0, 400.0))
    found = end(fall, name="arm")
    holds(found, "fail", 8.0)
    x, y, _ = found.at[0]
    along = -x * math.sin(math.radians(30.0)) + y * math.cos(math.radians(30.0))
    assert along == pytest.approx(-30.0, abs=0.001)


def test_a_scoop_that_stops_in_the_wood():
    """At 12 degrees, 100 mm of travel: the end's lowest point lies 100 sin 12 = 20.791 mm deep, and
    the end stands square to the travel."""
    found = end(scoop("belly", "back", T, (0.0, -100.0), 90.0, 160.0, 12.0, 100.0), name="belly")
    holds(found, "fail", 100.0 * math.sin(math.radians(12.0)), 0.01)
    holds(end(scoop("belly", "back", T, (0.0, 60.0), 90.0, 160.0, 12.0), name="belly"), *CLEAR)


def test_the_edge_takes_a_step_with_it():
    """A 6 mm roundover takes sqrt(36 - 4) off 2 mm in from the edge: a step of 1.5 mm that begins
    where the round is 1.5 deep, at 6 - sqrt(36 - 20.25) = 2.031 mm in, ends within it; one of 1 mm
    on the plain face does not."""
    rows = [(0.0, 0.0), (60.0, 0.0), (61.0, 1.0)]
    rim = section(*rows, origin=(200.0 - 61.0 - 1.5, 0.0))
    holds(end(rim, back=Roundover(6.0)), "fail", 1.0)
    holds(end(rim, front=Roundover(6.0)), *CLEAR)


def test_a_ledge_that_follows_follows_the_step_too():
    rows = [(0.0, 0.0), (60.0, 3.0)]
    rim = section(*rows, origin=(139.0, 0.0))
    for edge, left in ((Ledge((2.0,), 6.4), 3.0), (Ledge((2.0,), 6.4, follows=False), 0.0)):
        holds(end(rim, front=edge), "fail" if left else "pass", left)


@pytest.mark.parametrize("depth, left", [(20.0, 0.0), (9.0, 6.0)])
def test_a_step_in_a_pocket_is_none(depth, left):
    """A 15 mm step at x = 60 across a 20 mm wide sweep: a pocket takes all of it, or down to 9."""
    own = section((0.0, 0.0), (60.0, 15.0), span=(-400.0, 400.0))
    whole = pocket("a", 60.0, 0.0, 30.0, 310.0, depth)
    holds(end(own, parts=(whole,)), "fail" if left else "pass", left)
    part = pocket("a", 60.0, 0.0, 30.0, 40.0, depth)
    holds(end(own, parts=(part,)), "fail", 15.0)


def test_a_hole_beside_a_step_takes_none_of_it():
    hole = cut("hole", bore((40.0, 0.0, 0.0), (0, 0, -1), 8.0, 30.0), operation="BORE")
    holds(end(section((0.0, 0.0), (60.0, 15.0)), parts=(hole,)), "fail", 15.0)


def test_another_contour_takes_the_step():
    """A second one that is as deep from there on takes it; one 4 mm less deep leaves 4."""
    own = section((0.0, 0.0), (60.0, 15.0))
    for depth, left in ((15.0, 0.0), (20.0, 5.0), (11.0, 4.0)):
        on = section((60.0, depth), (300.0, depth), name="on")
        layout = board(contours=[own, on])
        holds(one(layout, "contour-end", "own"), "fail" if left else "pass", left, 0.001)


def test_a_steep_side_is_a_step_and_a_gentle_one_is_none():
    """80 degrees over 10 mm of depth; 60 degrees."""
    for angle, left in ((80.0, 10.0), (60.0, 0.0)):
        wide = 10.0 / math.tan(math.radians(angle))
        rows = [(0.0, 0.0), (60.0, 10.0), (60.0 + wide, 0.0)]
        holds(end(section(*rows)), "fail" if left else "pass", left, 0.005)


def test_both_walls_of_a_groove_are_steps():
    """A groove as wide at its bottom as nothing: its falling and its rising wall, 12 mm each."""
    found = end(section((0.0, 0.0), (1.0, 12.0), (2.0, 0.0)))
    holds(found, "fail", 12.0, 0.01)


def test_a_section_must_open_to_its_face():
    """A scoop of radius 5 at 12 degrees dives under the face, 10 mm high and soon 40 deep: a
    tunnel. So does a level bar of diameter 20 whose middle lies 6 mm within the back."""
    layout = board(contours=[scoop("belly", "front", T, (0.0, 0.0), 0.0, 5.0, 12.0)])
    found = [f for f in ask(layout, "contour-end") if f.code == "contour-end.overhang"]
    assert [(f.status, f.subjects) for f in found] == [("fail", ("belly",))]
    wide = scoop("belly", "front", T, (0.0, 0.0), 0.0, 160.0, 12.0)
    codes = [f.code for f in ask(board(contours=[wide]), "contour-end")]
    assert "contour-end" in codes and "contour-end.overhang" not in codes
    level = Contour("own", "back", Carve(circle(20.0, 0.0, -T + 6.0), (0, 0), 0.0, (-50.0, 50.0)))
    codes = [f.code for f in ask(board(contours=[level]), "contour-end")]
    assert "contour-end.overhang" in codes


@pytest.mark.parametrize(
    "drop, status, left", [(12.0, None, 20.0), (19.0, "warn", 6.0), (20.0, "fail", 4.0)]
)
def test_wood_between_contours_of_both_faces(drop, status, left):
    """44 mm less twice the drop where both have levelled out."""
    both = [fall_away(face, face, T, (0.0, 0.0), 0.0, 40.0, drop) for face in ("front", "back")]
    found = [f for f in ask(board(contours=both), "contour-end") if f.subjects == ("body",)]
    assert [f.status for f in found] == ([status] if status else [])
    if status:
        holds(found[0], status, left)
        assert found[0].at[0][0] > 39.0


@pytest.mark.parametrize("seed", range(6))
def test_wood_between_contours_against_a_grid(seed):
    rng = np.random.default_rng(seed)
    arm = fall_away(
        "arm", "front", T, tuple(rng.uniform(-60, 60, 2)), rng.uniform(0, 360), 60.0, 20.0
    )
    deep = scoop("belly", "back", T, tuple(rng.uniform(-60, 60, 2)), rng.uniform(0, 360), 120.0, 6)
    layout = board(contours=[arm, deep])
    grid = np.stack(np.meshgrid(np.arange(-199.9, 200, 0.5), np.arange(-149.9, 150, 0.5)), -1)
    grid = grid.reshape(-1, 2)
    least = (T - layout.skin.fall("front", grid) - layout.skin.fall("back", grid)).min()
    found = [f for f in ask(layout, "contour-end") if f.subjects == ("body",)]
    if not found:
        assert least >= 12.0 - 0.02
        return
    assert found[0].value - found[0].bound <= least <= found[0].value + 0.3


def test_a_body_without_contours_is_not_asked():
    assert [f.status for f in ask(board(), "contour-end")] == ["skip"]


@pytest.mark.parametrize("seed", range(6))
def test_the_step_is_there_and_no_higher_one_is(seed):
    """Against heights of the shaped face read along level lines in both directions, 0.01 mm apart:
    the highest change between neighbours, less what a slope of 75 degrees may change."""
    rng = np.random.default_rng(seed)
    contours = [
        fall_away(
            f"c{k}",
            "front",
            T,
            tuple(rng.uniform(-60.0, 60.0, 2)),
            float(rng.uniform(0.0, 360.0)),
            float(rng.uniform(20.0, 60.0)),
            float(rng.uniform(2.0, 12.0)),
            (float(rng.uniform(-80.0, -10.0)), float(rng.uniform(10.0, 80.0))),
        )
        for k in range(2)
    ]
    layout = board(contours=contours, front=Roundover(5.0))
    stated = max(f.value + f.bound for f in ask(layout, "contour-end") if f.value is not None)
    fine, coarse = np.arange(-199.9, 199.9, 0.01), np.arange(-149.0, 149.0, 7.3)
    seen = 0.0
    for other in coarse:
        for line in (
            np.column_stack([fine, np.full(len(fine), other)]),
            np.column_stack([np.full(len(fine), other), fine])[np.abs(fine) < 149.9],
        ):
            seen = max(seen, float(np.abs(np.diff(layout.skin.height("front", line))).max()))
    assert seen - 0.04 <= stated
    assert stated > 1.0
