"""The blank on paper: hold-downs clear of every cutter by a library's distances, boards, tabs."""

from __future__ import annotations

from dataclasses import replace

import pytest
from shapely.geometry import MultiPoint, Point, Polygon

from bodycad import Cutter
from bodycad.geometry.plane.profile import flatten
from bodycad.making.blank_plan import BESIDE, CLEAR, WASHER, blank_plan
from bodycad.making.cuts import cuts
from tests.drawn import SOME, layout_of


def polygon(shape):
    return Polygon(flatten(shape, 0.01))


@pytest.mark.parametrize("name", SOME)
def test_no_clamp_stands_under_a_cutter(name):
    """A washer's rim is at least 5 mm off the way of the widest cutter, whatever it cuts: outline,
    ledge, what runs out of the body, the neck's way; and off the pins."""
    layout = layout_of(name)
    plan = blank_plan(layout)
    body, blank = polygon(layout.skin.outline), plan.blank
    wide = max(cutter.diameter for cutter in layout.shop.cutters)
    ways = [body, *(polygon(region.outer) for region in plan.approach)]
    for void in layout.voids:
        if void.face in ("front", "back") and void.shape.upright and "edge" in void.opens:
            ways.append(polygon(void.shape.plan))
    ledges = [
        polygon(region.outer)
        for cut in cuts(layout)
        if cut.piece == "body" and cut.operation == "LEDGE"
        for region in cut.area
    ]
    assert len(plan.holds) >= 4 and plan.firm
    for x, y in plan.holds:
        disc = Point(x, y).buffer(WASHER / 2.0, 64)
        for way in ways:
            assert disc.distance(way) >= wide + CLEAR - 0.05
        for ledge in ledges:
            assert disc.distance(ledge) >= CLEAR
        for pin in blank.pins:
            hole = Point(pin.x, pin.y).buffer(pin.diameter / 2.0, 64)
            assert disc.distance(hole) >= BESIDE - 0.05
        assert blank.x0 <= x - WASHER / 2.0 and x + WASHER / 2.0 <= blank.x1
        assert blank.y0 <= y - WASHER / 2.0 and y + WASHER / 2.0 <= blank.y1
    assert MultiPoint(plan.holds).convex_hull.contains(Point(layout.skin.outline.centroid))


def test_boards_add_up_to_the_blank():
    plan = blank_plan(layout_of("tansy"))
    assert len(plan.boards) == 3
    assert sum(plan.boards) == pytest.approx(plan.blank.y1 - plan.blank.y0)


def test_a_blank_without_room_for_a_clamp_says_so():
    """A cutter of 100 mm clears everything that is left of the waste."""
    layout = layout_of("teasel")
    shop = replace(layout.shop, cutters=(*layout.shop.cutters, Cutter(100.0, 20.0)))
    plan = blank_plan(replace(layout, shop=shop))
    assert plan.way == 100.0 and not plan.firm and len(plan.holds) < 3


def test_the_tabs_are_those_of_the_cutting_program():
    plan = blank_plan(layout_of("teasel"))
    assert len(plan.tabs) == layout_of("teasel").shop.tabs == 4
