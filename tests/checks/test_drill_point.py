"""The point of a drill under a hole that is drawn flat: hand sums on a 44 mm board.

The point of a 10 mm drill of 118 degrees stands 5 / tan 59 = 3.004 mm before its full diameter."""

from __future__ import annotations

import math

import pytest

from bodycad.checks.runner import answers
from bodycad.geometry.plane.build import rectangle
from bodycad.geometry.solids.bore import bore
from bodycad.geometry.solids.prism import Prism
from bodycad.layout.layout import Placed
from bodycad.layout.place import Place
from bodycad.parts.bridge_posts import PostBridge, Posts
from bodycad.shop import DRILLS, Shop
from bodycad.tools import FLAT, Drill
from tests.checks.bench import TABLE, board, cavity, cut, holds

POINT = 5.0 / math.tan(math.radians(59.0))
TWIST_ONLY = Shop(drills=(Drill(10.0, 100.0),))
BOTH = Shop(drills=(Drill(10.0, 100.0), Drill(10.0, 70.0, FLAT)))


def hole(depth: float, y: float = 30.0, operation: str = "BORE", **more) -> Placed:
    return cut("hole", bore((0, y, 0), (0, 0, -1), 10.0, depth), operation=operation, **more)


def points(*parts: Placed, shop: Shop = TWIST_ONLY, left: bool = False) -> list:
    layout = board(*parts, shop=shop, left_handed=left)
    return [f for f in answers(TABLE["drill-reach"], layout) if f.code == "drill-reach.point"]


@pytest.mark.parametrize("left", [False, True])
@pytest.mark.parametrize(
    "depth, status", [(38.5, "fail"), (36.5, "warn"), (35.9, "pass"), (20.0, "pass")]
)
def test_over_the_back(depth, status, left):
    """5.5, 7.5, 8.1 and 24 mm are drawn under the hole: `floor` holds them all."""
    found = points(hole(depth), left=left)
    assert [f.status for f in found] == [status] * (status != "pass")
    for one in found:
        holds(one, status, 44.0 - depth - POINT)
        assert one.subjects == ("hole.cut", "the plain back")
        assert f"{POINT:.2f} mm deeper" in one.text


@pytest.mark.parametrize("left", [False, True])
@pytest.mark.parametrize("drawn, status", [(5.5, "fail"), (7.5, "warn"), (8.1, "pass")])
def test_over_a_cavity(drawn, status, left):
    """A cavity from the back under the hole's end."""
    found = points(hole(20.0), cavity("room", 0, 30, 60, 50, 20.0 + drawn), left=left)
    assert [f.status for f in found] == [status] * (status != "pass")
    for one in found:
        holds(one, status, drawn - POINT)
        assert one.subjects == ("hole.cut", "room.cut")


def test_from_the_edge_toward_a_pocket():
    """A level hole whose end lies 6 mm before a pocket that is routed through its height."""
    level = cut("hole", bore((-200, 0, -20), (1, 0, 0), 10.0, 50.0), "edge", "BORE")
    pocket = cut("room", Prism(rectangle(40, 40, 0, -124, 0), -30, 0))
    (found,) = points(level, pocket)
    holds(found, "fail", 6.0 - POINT)
    assert found.subjects == ("hole.cut", "room.cut")


def test_through_the_back():
    (found,) = points(hole(42.0))
    holds(found, "fail", 0.0)


def test_nothing_is_asked_of_a_flat_bit_that_reaches():
    assert points(hole(38.5), shop=BOTH) == []
    short = Shop(drills=(Drill(10.0, 100.0), Drill(10.0, 30.0, FLAT)))
    assert [f.status for f in points(hole(38.5), shop=short)] == ["fail"]


def test_nothing_is_asked_of_a_hole_that_ends_in_air():
    through = cut("hole", bore((0, 30, 0), (0, 0, -1), 10.0, 44.0), opens={"front", "back"})
    assert points(through) == []
    room = cavity("room", 0, 30, 60, 50, 20.0)
    assert points(hole(20.0, meets={"room.cut"}), room) == []


def test_a_hole_with_its_own_point_is_asked_as_drawn():
    """`floor` asks it with its point already."""
    pointed = bore((0, 30, 0), (0, 0, -1), 10.0, 38.5, 118.0)
    assert points(cut("hole", pointed, operation="BORE")) == []


@pytest.mark.parametrize("left", [False, True])
def test_the_posts_of_a_bridge(left):
    """Bushes of 10 mm, 37 mm deep: 7 mm are drawn over the back, 3.996 are left."""
    posts = Posts(bush=10.0, depth=37.0)
    bridge = Placed("bridge", PostBridge(spread=52.5, posts=posts), Place(0.0, 0.0))
    found = points(bridge, shop=Shop(drills=(Drill(10.0, 100.0), *DRILLS[:6])), left=left)
    assert {f.subjects[0] for f in found} == {"bridge.post.1", "bridge.post.2"}
    for one in found:
        holds(one, "warn", 7.0 - POINT)
