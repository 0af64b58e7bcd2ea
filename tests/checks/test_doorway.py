"""Openings between routed pockets, by hand."""

from __future__ import annotations

import math

import pytest

from bodycad.checks.wood.doorway import doorway, plainly
from bodycad.geometry.plane.build import circle, rectangle
from bodycad.geometry.plane.profile import Profile
from bodycad.geometry.solids.bore import bore
from bodycad.geometry.solids.prism import Prism
from bodycad.layout.layout import Link
from tests.checks import bench
from tests.checks.bench import ask, board


def cut(plan: Profile, depth: float = 20.0) -> Prism:
    return Prism(plan, -depth, 0.0)


@pytest.mark.parametrize(
    "one, two, width",
    [
        # A bay of 6 mm opens into the side of a square.
        (rectangle(20.0, 20.0), rectangle(20.0, 6.0, 0.0, 18.0, 0.0), 6.0),
        # Corner into corner by 2 mm each way: across the corner.
        (rectangle(20.0, 20.0), rectangle(20.0, 20.0, 0.0, 18.0, 18.0), 2.0 * math.sqrt(2.0)),
        # Two discs of radius 20 that overlap by 0.1: the chord 2 sqrt(20^2 - 19.95^2).
        (circle(40.0), circle(40.0, 39.9, 0.0), 2.0 * math.sqrt(20.0**2 - 19.95**2)),
        # A cross: one gets out of the narrow slot at its ends only.
        (rectangle(40.0, 16.0), rectangle(20.0, 80.0), 16.0),
        # A small square within a large one.
        (rectangle(40.0, 40.0), rectangle(10.0, 10.0), 10.0),
        # They do not share any plan.
        (rectangle(20.0, 20.0), rectangle(20.0, 20.0, 0.0, 30.0, 0.0), 0.0),
    ],
)
def test_the_mouth_in_plan(one, two, width):
    assert doorway(cut(one), cut(two)) == pytest.approx(width, abs=1e-6)
    assert doorway(cut(two), cut(one)) == pytest.approx(width, abs=1e-6)
    assert plainly(cut(one), cut(two)) <= width + 1e-9
    turned = [plan.moved(30.0, -7.0, 25.0) for plan in (one, two)]
    assert doorway(*map(cut, turned)) == pytest.approx(width, abs=1e-5)


def test_the_depth_that_both_share():
    """12 deep from the front, and from 12 - 4 = 8 mm down: 4 mm of depth in a 6 mm mouth."""
    bay = Prism(rectangle(20.0, 6.0, 0.0, 18.0, 0.0), -30.0, -8.0)
    assert doorway(cut(rectangle(20.0, 20.0), 12.0), bay) == pytest.approx(4.0, abs=1e-9)


def test_one_over_the_other():
    """They touch at one height and share 8 x 6 in plan: 2 x 48 / 28."""
    over, under = cut(rectangle(20.0, 6.0), 12.0), Prism(rectangle(8.0, 20.0), -30.0, -12.0)
    assert doorway(over, under) == pytest.approx(96.0 / 28.0, abs=1e-9)


def test_one_connection_does_not_narrow_anothers_doorway():
    """A narrow way into the first pocket makes no closer look at its 40 x 20 mm doorway needful;
    the next connection has the whole of it: 20 mm of depth less its 10 mm bundle."""
    way = bore((-60.0, 0.0, -10.0), (1, 0, 0), 3.0, 50.0)
    layout = board(
        bench.cut("a", cut(rectangle(40.0, 40.0))),
        bench.cut("b", cut(rectangle(40.0, 40.0, 0.0, 36.0, 0.0))),
        bench.cut("c", cut(rectangle(20.0, 20.0, 0.0, -60.0, 0.0))),
        bench.cut("w", way, operation="CHANNEL", opens=(), meets=("a.cut", "c.cut")),
        links=(Link("c", "b", 2.0), Link("a", "b", 10.0)),
    )
    found = {f.subjects: f for f in ask(layout, "wire-path") if "by way of" in f.text}
    assert found["c", "b"].value == pytest.approx(3.0 - 2.0) and found[
        "a", "b"
    ].value == pytest.approx(20.0 - 10.0)


@pytest.mark.parametrize("overlap, status", [(4.0, "pass"), (0.02, "fail")])
def test_wires_from_pocket_to_pocket(overlap, status):
    """Two round pockets of radius 20 and a 3 mm bundle: an overlap of 4 mm opens 2 sqrt(20^2 -
    18^2) = 17.4 mm, one of 0.02 mm only 2 sqrt(20^2 - 19.99^2) = 1.26 mm."""
    reach = 40.0 - overlap
    layout = board(
        bench.cut("a", cut(circle(40.0))),
        bench.cut("b", cut(circle(40.0, reach, 0.0))),
        links=(Link("a", "b", 3.0),),
    )
    found = next(f for f in ask(layout, "wire-path") if f.subjects == ("a", "b"))
    assert found.status == status
    assert found.value == pytest.approx(
        2.0 * math.sqrt(20.0**2 - (reach / 2.0) ** 2) - 3.0, abs=1e-6
    )
