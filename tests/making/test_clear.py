"""What a cutter clears of a region, held against closed forms and against shapely's buffers."""

from __future__ import annotations

import math

import numpy as np
import pytest

from bodycad.geometry.plane.areas import common, grown, joined, less, shrunk, size
from bodycad.geometry.plane.arrange import Region
from bodycad.geometry.plane.build import circle, hull, rectangle, rounded, slot
from bodycad.geometry.plane.profile import profile
from bodycad.geometry.plane.region import polygon
from bodycad.making.clear import FIT, bridged, clearings, stands_out
from bodycad.tools import Cutter

STAR = rounded(
    [
        (40 * r * math.cos(t), 40 * r * math.sin(t))
        for t, r in ((math.pi * k / 5, 1.0 if k % 2 else 0.5) for k in range(10))
    ],
    2.0,
)
DOG = profile([(0, 0), (60, 0), (60, 14), (110, 14), (110, 50), (60, 50), (60, 30), (0, 40)])
SHAPES = {
    "square": rectangle(70, 40),
    "rounded": rectangle(70, 40, 4.0),
    "star": STAR,
    "waisted": DOG,
    "drops": hull([(0, 0, 12), (60, 10, 5), (20, 50, 3)]),
}


def of(*shapes):
    return tuple(Region(shape) for shape in shapes)


def shapes_of(area):
    import shapely

    return shapely.union_all([polygon(region, 1e-4) for region in area])


@pytest.mark.parametrize("name", SHAPES)
@pytest.mark.parametrize("radius", [2.0, 4.75, 7.5])
def test_opening_is_what_an_independent_library_says(name, radius):
    """Shrunk and grown again by shapely with 256 chords a quarter turn: areas within 1e-4."""
    shape = SHAPES[name]
    own = grown(shrunk(of(shape), radius), radius)
    theirs = polygon(shape, 1e-4).buffer(-radius, quad_segs=256).buffer(radius, quad_segs=256)
    assert size(own) == pytest.approx(theirs.area, rel=1e-4)
    assert shapes_of(own).symmetric_difference(theirs).area < 1e-3 * theirs.area


def test_areas_with_holes():
    """A ring grown and shrunk in closed form; what is joined, shared and left adds up."""
    ring = (Region(circle(60), (circle(20),)),)
    assert size(grown(ring, 3.0)) == pytest.approx(math.pi * (33**2 - 7**2))
    assert size(shrunk(ring, 3.0)) == pytest.approx(math.pi * (27**2 - 13**2))
    assert size(grown(shrunk(ring, 9.99), 9.99)) == pytest.approx(size(ring), rel=1e-6)
    assert grown(shrunk(ring, 10.01), 10.01) == ()
    box = of(rectangle(30, 30, 0.0, 20.0, 0.0))
    both = size(common(ring, box))
    assert size(joined(ring, box)) == pytest.approx(size(ring) + size(box) - both)
    assert size(less(ring, box)) == pytest.approx(size(ring) - both)
    assert joined() == () and common(ring, ()) == () and less((), ring) == ()


def test_a_square_pocket_keeps_its_corners():
    """(4 - pi) r^2 of a square pocket stays, and each corner stands out by (sqrt 2 - 1) r."""
    radius = 6.35
    pocket = of(rectangle(80, 40))
    made, out = clearings(pocket, pocket, [Cutter(2 * radius, 50)])
    assert [one.cutter.diameter for one in made] == [12.7] and len(out) == 4
    assert size(out) == pytest.approx((4 - math.pi) * radius**2, abs=1e-3)
    for corner in out:
        far, at = stands_out(corner, made[0].area)
        assert far == pytest.approx((math.sqrt(2) - 1) * radius, abs=1e-4)
        assert sorted(map(abs, at)) == pytest.approx([20, 40])


def test_the_smaller_takes_the_corners_that_the_larger_leaves():
    """With a cutter as round as the corners nothing is left; the rest holds just those corners."""
    pocket = of(rectangle(80, 40, 3.175))
    made, out = clearings(pocket, pocket, [Cutter(6.35, 30), Cutter(9.5, 40), Cutter(12.7, 50)])
    assert [(one.cutter.diameter, one.rest) for one in made] == [(12.7, False), (6.35, True)]
    assert out == () and size(made[0].area) < size(pocket)
    assert size(joined(made[0].area, made[1].area)) == pytest.approx(size(pocket), rel=1e-4)
    # Its way lies in the pocket, about the corners, and its disc runs through all of it.
    assert len(made[1].area) == 4 and size(less(made[1].area, pocket)) < 1e-3
    assert size(grown(shrunk(made[1].area, 3.175 - 2 * FIT), 3.175 - 2 * FIT)) == pytest.approx(
        size(made[1].area), rel=1e-3
    )


def test_a_way_that_only_the_smaller_enters_is_not_lost():
    """A pocket with a slot of the smaller cutter's own width, and one that none enters."""
    pocket = joined(of(rectangle(60, 40, 6.35)), of(slot(60, 6.35, 50.0, 0.0)))
    made, out = clearings(pocket, pocket, [Cutter(12.7, 50), Cutter(6.35, 30)])
    assert [one.cutter.diameter for one in made] == [12.7, 6.35]
    # Where the slot meets the pocket its walls end in edges, not corners: nothing is left.
    assert size(out) < 1e-3
    narrow = of(rectangle(60, 5))
    made, out = clearings(narrow, narrow, [Cutter(12.7, 50), Cutter(6.35, 30)])
    assert made == () and out == narrow


def test_what_stands_in_a_hole_of_what_is_cleared_stands_out():
    """A wall inside the ring that a cutter ran round: its distance is that to the ring."""
    ring = (Region(circle(60), (circle(20),)),)
    far, _ = stands_out(Region(circle(10)), ring)
    assert far == pytest.approx(5.0)


def test_a_hollow_keeps_what_a_disc_outside_does_not_enter():
    """A right-angled hollow of an outline: (1 - pi / 4) r^2 stays in its sharp corner."""
    corner = of(profile([(0, 0), (100, 0), (100, 40), (40, 40), (40, 100), (0, 100)]))
    out = bridged(corner, 8.0)
    assert len(out) == 1 and size(out) == pytest.approx((1 - math.pi / 4) * 64, rel=1e-4)
    assert bridged(of(circle(50)), 8.0) == ()


def test_random_pockets_are_cleared_but_for_what_is_told():
    """Hulls of random circles: cleared, rest and unreached together are the pocket."""
    rng = np.random.default_rng(7)
    for _ in range(6):
        rows = [(*rng.uniform(-40, 40, 2), rng.uniform(1.5, 15)) for _ in range(4)]
        pocket = of(hull([(float(x), float(y), float(r)) for x, y, r in rows]))
        made, out = clearings(pocket, pocket, [Cutter(12.7, 50), Cutter(6.35, 30)])
        whole = joined(*(one.area for one in made), out)
        assert size(whole) == pytest.approx(size(pocket), rel=1e-4)
        assert size(less(whole, pocket)) < 1e-3
