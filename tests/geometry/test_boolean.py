"""Union, difference and intersection against closed forms, shapely and the laws of sets."""

import math

import numpy as np
import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st

from bodycad.geometry.plane.boolean import difference, intersection, overlay, union
from bodycad.geometry.plane.build import circle, hull, rectangle, rounded, slot
from bodycad.geometry.plane.meet import crossings
from bodycad.geometry.plane.region import polygon

lawful = settings(deadline=None, max_examples=60, derandomize=True)


def total(found) -> float:
    return sum(region.area for region in found)


def make(kind: int, x: float, y: float, turn: float, size: float):
    """One of five shapes with lines, convex and concave arcs."""
    shape = (
        lambda: circle(size),
        lambda: rectangle(size, 20.0, 5.0),
        lambda: slot(size + 10.0, 10.0),
        lambda: hull([(0, 0, 10), (size, 0, 5), (0, 20, 5)]),
        lambda: rounded(
            [(0, 0), (60, 0), (60, 60), (40, 60), (40, 20), (20, 20), (20, 60), (0, 60)], 3.0
        ),
    )[kind]()
    return shape.moved(turn_deg=turn).moved(x, y)


free = st.builds(
    make,
    st.integers(0, 4),
    st.floats(-40, 40),
    st.floats(-40, 40),
    st.floats(0, 360),
    st.floats(20, 60),
)
# On a coarse grid edges coincide, arcs are tangent and corners touch: the degenerate cases are the
# rule.
grid = st.builds(
    make,
    st.integers(0, 4),
    *[st.sampled_from([-20.0, -10.0, 0.0, 10.0, 20.0])] * 2,
    st.sampled_from([0.0, 90.0, 180.0, 270.0]),
    st.sampled_from([20.0, 40.0, 60.0]),
)
pairs = st.one_of(st.tuples(free, free), st.tuples(grid, grid))


def test_lens_of_two_unit_circles():
    # 2 pi/3 - sqrt(3)/2 for two unit circles one apart (CRC, "Circle-Circle Intersection";
    # confirmed with GEOS).
    a, b = circle(2.0), circle(2.0, 1.0)
    (lens,) = intersection(a, b)
    assert lens.area == pytest.approx(1.2283697, abs=5e-8)
    assert lens.area == pytest.approx(2 * math.pi / 3 - math.sqrt(3) / 2, rel=1e-13)
    # Each circle is two half circles that join at y = 0: two arcs a side.
    assert lens.outer.segments.radius == pytest.approx([1.0] * 4)
    (whole,) = union([a, b])
    assert whole.area == pytest.approx(2 * math.pi - 1.2283697, abs=5e-8)
    (moon,) = difference(a, b)
    assert moon.area == pytest.approx(math.pi - 1.2283697, abs=5e-8)


def test_arcs_stay_arcs():
    (shape,) = difference(rectangle(100, 60, 8.0), circle(30, 50, 0), slot(40, 10, -50, 0))
    radii = {round(float(r), 9) for r in shape.outer.segments.radius[shape.outer.segments.arc]}
    assert radii == {8.0, 15.0, 5.0}
    assert len(shape.outer.vertices) < 20


def test_a_hole_and_an_island():
    (ring,) = difference(rectangle(80, 40), rectangle(40, 20))
    assert len(ring.holes) == 1 and ring.area == pytest.approx(3200 - 800)
    assert ring.holes[0].area == pytest.approx(800)
    nested = overlay(
        [rectangle(80, 40), rectangle(40, 20), circle(10)], lambda i: i[0] & ~i[1] | i[2]
    )
    assert [len(r.holes) for r in nested] == [1, 0] and total(nested) == pytest.approx(
        2400 + 25 * math.pi
    )


def test_nothing_left_and_nothing_shared():
    assert (
        difference(circle(10), circle(20)) == ()
        and intersection(circle(10), circle(10, 30)) == ()
        and union([]) == ()
    )
    assert difference(rectangle(20, 10), rectangle(20, 10)) == ()
    assert len(union([circle(10), circle(10, 30)])) == 2
    assert len(union([circle(20), circle(20, 20)])) == 2, "circles that only touch stay two"


def test_shared_edges_merge_without_a_seam():
    (whole,) = union([rectangle(20, 10), rectangle(20, 10, x=20), rectangle(40, 10, x=10, y=10)])
    assert (
        whole.area == pytest.approx(800)
        and whole.outer.length == pytest.approx(120)
        and whole.holes == ()
    )
    (capsule,) = union([rectangle(40, 10), circle(10, -20), circle(10, 20)])
    assert capsule.area == pytest.approx(slot(50, 10).area, rel=1e-13)
    assert capsule.outer.length == pytest.approx(slot(50, 10).length, rel=1e-13)
    (same,) = intersection(slot(50, 10), capsule.outer)
    assert same.area == pytest.approx(capsule.area, rel=1e-13)


def test_uncut_vertices_do_not_move():
    base = rounded([(0.1, 0.2), (97.3, 3.3), (101.7, 58.9), (-4.4, 61.7)], 7.7)
    (left,) = difference(base, circle(11.0, 98.0, 30.0))
    kept = {tuple(v) for v in base.vertices[:, :2].tolist()}
    assert kept <= {tuple(v) for v in left.outer.vertices[:, :2].tolist()}


@lawful
@given(pairs)
def test_union_is_the_sum_less_the_intersection(pair):
    a, b = pair
    room = 1e-7 * (a.length + b.length)
    assert total(union(pair)) + total(intersection(a, b)) == pytest.approx(
        a.area + b.area, abs=room
    )
    assert total(difference(a, b)) + total(intersection(a, b)) == pytest.approx(a.area, abs=room)


@lawful
@given(pairs)
def test_areas_agree_with_shapely_and_results_are_sound(pair):
    a, b = pair
    fine = 2e-4
    p, q = polygon(a, fine), polygon(b, fine)
    for found, want in (
        (union(pair), p | q),
        (difference(a, b), p - q),
        (intersection(a, b), p & q),
    ):
        assert total(found) == pytest.approx(want.area, abs=fine * (a.length + b.length))
        for region in found:
            assert not len(crossings(region.outer.segments))
            assert all(hole.area > 0 and not len(crossings(hole.segments)) for hole in region.holes)


@lawful
@given(st.lists(grid, min_size=2, max_size=5), st.randoms())
def test_the_order_of_a_union_does_not_matter(shapes, random):
    mixed = shapes[:]
    random.shuffle(mixed)
    assert [r.area for r in union(shapes)] == pytest.approx(
        [r.area for r in union(mixed)], rel=1e-9
    )


@lawful
@given(free, st.floats(-13, -1), st.floats(0, 6.28))
def test_a_copy_shifted_by_next_to_nothing_unites_to_one(shape, power, angle):
    step = 10.0**power
    copy = shape.moved(step * math.cos(angle), step * math.sin(angle))
    found = union([shape, copy])
    assert len(found) == 1 and not found[0].holes
    assert found[0].area == pytest.approx(shape.area, abs=(step + 1e-7) * shape.length)
    assert total(difference(shape, copy)) <= (step + 1e-7) * shape.length


def test_ten_outlines_of_many_arcs_unite():
    gear = [
        (r * math.cos(t), r * math.sin(t))
        for t, r in ((2 * math.pi * k / 36, 100.0 if k % 2 else 80.0) for k in range(36))
    ]
    shapes = [rounded(gear, 4.0).moved(13.7 * k, 5.1 * k, 7.0 * k) for k in range(10)]
    found = union(shapes)
    want = shapely.union_all([polygon(s, 1e-3) for s in shapes])
    assert total(found) == pytest.approx(want.area, abs=2e-3 * sum(s.length for s in shapes))
    assert np.isclose(found[0].outer.area, max(r.outer.area for r in found))
