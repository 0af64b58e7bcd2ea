"""Profiles by their trade shapes against closed forms and shapely."""

import math

import numpy as np
import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st

from bodycad.errors import InputError
from bodycad.geometry.plane.build import circle, hull, mirrored_half, rectangle, rounded, slot
from bodycad.geometry.plane.meet import crossings
from bodycad.geometry.plane.profile import flatten

lawful = settings(deadline=None, max_examples=60, derandomize=True)


def test_stadium():
    # pi r^2 + 2 r l and 2 pi r + 2 l (elementary; confirmed with OCC and GEOS): r 6.35, straight
    # 50.
    made = slot(62.7, 12.7)
    assert made.area == pytest.approx(761.6768698, abs=5e-8)
    assert made.length == pytest.approx(139.8982267, abs=5e-8)


def test_rounded_rectangle():
    # w h - (4 - pi) r^2 and 2 (w + h) - (8 - 2 pi) r: 85 x 40, r 3 (confirmed with OCC and GEOS).
    made = rectangle(85.0, 40.0, 3.0, 10.0, -7.0)
    assert made.area == pytest.approx(3392.2743339, abs=5e-8)
    assert made.length == pytest.approx(244.8495559, abs=5e-8)
    assert made.centroid == pytest.approx((10.0, -7.0), abs=1e-10)
    assert made.box == pytest.approx((-32.5, -27.0, 52.5, 13.0), abs=1e-12)


@pytest.mark.parametrize(
    "angle, removed, tangent",
    [(90, 5.3650459, 5.0), (60, 17.1213314, 8.6602540), (120, 1.3437874, 2.8867513)],
)
def test_fillet_in_a_corner(angle, removed, tangent):
    # r^2 (cot(a/2) - (pi - a)/2) and r / tan(a/2), r 5 (tangent-length geometry; confirmed with OCC
    # and GEOS).
    a = math.radians(angle)
    points = [(0.0, 0.0), (40.0, 0.0), (40.0 * math.cos(a), 40.0 * math.sin(a))]
    sharp = rounded(points, 0.0)
    filleted = rounded(points, [5.0, 0.0, 0.0])
    assert sharp.area - filleted.area == pytest.approx(removed, abs=1e-7)
    assert np.abs(filleted.vertices[:, :2] - [tangent, 0.0]).sum(axis=1).min() < 1e-7


def test_a_reflex_corner_gains_what_the_fillet_fills():
    # The same closed form, added: a 90 degree inner corner with r 5 gains 5.3650459 mm2.
    points = [(0, 0), (60, 0), (60, 20), (20, 20), (20, 60), (0, 60)]
    assert rounded(points, [0, 0, 0, 5.0, 0, 0]).area - rounded(points, 0.0).area == pytest.approx(
        5.3650459, abs=5e-8
    )


def test_hull_of_two_circles():
    # Open belt: b = acos((r1-r2)/d), t = sqrt(d^2-(r1-r2)^2); area t (r1+r2) + (pi-b) r1^2 + b
    # r2^2, length
    # 2t + 2(pi-b) r1 + 2b r2; circles 30 and 12, 80 apart (confirmed with OCC and GEOS).
    made = hull([(0, 0, 30), (80, 0, 12)])
    assert made.area == pytest.approx(5085.3257459, abs=5e-7)
    assert made.length == pytest.approx(296.0142429, abs=5e-8)
    assert made.segments.chord[~made.segments.arc] == pytest.approx([77.9487011] * 2, abs=5e-8)


disc = st.tuples(st.floats(-50, 50), st.floats(-50, 50), st.floats(2, 30))
coarse = st.tuples(
    *[st.sampled_from([0.0, 10.0, 20.0, 30.0, 40.0])] * 2, st.sampled_from([10.0, 20.0, 30.0])
)


@lawful
@given(st.one_of(st.lists(disc, min_size=1, max_size=7), st.lists(coarse, min_size=1, max_size=7)))
def test_hull_agrees_with_the_convex_hull_of_shapely(circles):
    made = hull(circles)
    flat = shapely.convex_hull(
        shapely.union_all(
            [shapely.Polygon(flatten(circle(2 * r, x, y), 1e-4)) for x, y, r in circles]
        )
    )
    assert made.area == pytest.approx(flat.area, abs=2e-4 * made.length)
    assert made.area >= flat.area - 1e-6
    assert made.length == pytest.approx(flat.length, abs=0.02)
    assert np.abs(made.segments.bulge).max() < 10.0 or len(made.vertices) == 2


def test_a_wide_circle_may_touch_the_band_twice():
    # Symmetry gives the truth: the band of the upper small circle and of the lower one share the
    # wide one.
    both = hull([(0, 0, 30), (0, 50, 5), (0, -50, 5)])
    one = hull([(0, 0, 30), (0, 50, 5)])
    assert both.area == pytest.approx(2.0 * one.area - 900.0 * math.pi, rel=1e-12)


def test_hidden_equal_and_inside_tangent_circles_change_nothing():
    plain = hull([(0, 0, 30), (80, 0, 12)]).area
    assert hull(
        [(0, 0, 30), (80, 0, 12), (0, 0, 30), (10, 0, 20), (0, 5, 2)]
    ).area == pytest.approx(plain, rel=1e-12)
    # Circle 0 lies inside circle 2 and touches it where the band does.
    assert hull([(0, 20, 20), (10, 50, 30), (10, 20, 30)]).area == pytest.approx(
        900 * math.pi + 60 * 30, rel=1e-12
    )


def test_mirrored_half_is_symmetric():
    made = mirrored_half([(0, 0), (0, 20, 0.2), (50, 30), (80, 0)])
    assert made.centroid[1] == pytest.approx(0.0, abs=1e-12)
    assert made.area == pytest.approx(made.mirrored().area, rel=1e-14)
    assert np.abs(made.signed_distance(made.mirrored().vertices[:, :2])).max() < 1e-12
    with pytest.raises(InputError):
        mirrored_half([(0, 1), (0, 20), (80, 0)])


@lawful
@given(st.floats(1, 100), st.floats(1, 100), st.floats(0, 1))
def test_every_rectangle_is_sound_and_of_its_size(length, width, share):
    made = rectangle(length, width, share * min(length, width) / 2.0)
    assert made.box == pytest.approx((-length / 2, -width / 2, length / 2, width / 2), abs=1e-9)
    assert not len(crossings(made.segments))


def test_a_turned_slot_keeps_its_area():
    assert slot(60, 10, 3, 4, 37.0).area == pytest.approx(slot(60, 10).area, rel=1e-12)
    assert slot(10, 10).circle[1] == pytest.approx(5.0)


@pytest.mark.parametrize(
    "wrong",
    [
        lambda: circle(0.0),
        lambda: circle(-3.0),
        lambda: circle(math.nan),
        lambda: rectangle(0, 5),
        lambda: rectangle(5, -1),
        lambda: rectangle(40, 20, 10.5),
        lambda: rectangle(40, 20, -1.0),
        lambda: slot(5, 10),
        lambda: slot(10, 0),
        lambda: hull([]),
        lambda: hull([(0, 0, 0)]),
        lambda: rounded([(0, 0), (10, 0), (0, 10)], 6.0),
        lambda: rounded([(0, 0), (10, 0), (0, 10)], -1.0),
        lambda: rounded([(0, 0), (10, 0), (0, 10)], [1.0]),
        lambda: rounded([(0, 0), (10, 0), (10, 0), (0, 10)], 1.0),
    ],
)
def test_bad_sizes_raise_input_error(wrong):
    with pytest.raises(InputError):
        wrong()


def test_rounds_that_overlap_are_named_by_their_corners():
    """Two rounds of 6 in corners of 90 and 45 degrees need 6 + 6 / tan 22.5 = 20.4853 of 10."""
    with pytest.raises(InputError, match=r"corners 0 and 1 that need 20\.4853 mm of the 10 mm"):
        rounded([(0, 0), (10, 0), (0, 10)], 6.0)


def test_a_corner_that_folds_back_is_named():
    with pytest.raises(InputError, match="a spike is 'a corner at .0.0, 0.0. that folds back"):
        rounded([(0.0, 0.0), (9.0, 0.0), (3.0, 0.0)], 1.0, "a spike")
