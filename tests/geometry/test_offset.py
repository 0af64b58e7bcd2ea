"""Parallel outlines against Steiner's formula, shapely and their own distance."""

import math

import numpy as np
import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st

from bodycad.errors import InputError
from bodycad.geometry.plane.build import circle, hull, rectangle, rounded, slot
from bodycad.geometry.plane.meet import crossings
from bodycad.geometry.plane.offset import offset, offset_regions
from bodycad.geometry.plane.outline import smooth_outline
from bodycad.geometry.plane.profile import Profile, flatten, profile
from bodycad.geometry.plane.region import polygon

lawful = settings(deadline=None, max_examples=60, derandomize=True)

U_SHAPE = [(0, 0), (60, 0), (60, 60), (40, 60), (40, 20), (20, 20), (20, 60), (0, 60)]


def breaks_of(shape: Profile) -> np.ndarray:
    """Angles (radians) by which the direction jumps at each vertex."""
    s = shape.segments
    one, two = s.tangent(np.ones(len(s))), np.roll(s.tangent(np.zeros(len(s))), -1, axis=0)
    return np.abs(
        np.arctan2(one[:, 0] * two[:, 1] - one[:, 1] * two[:, 0], (one * two).sum(axis=1))
    )


def wavy(count: int = 40) -> Profile:
    """A smooth outline of the size of a body, with two waists."""
    t = np.arange(count) * 2 * math.pi / count
    r = 180 + 40 * np.cos(2 * t) + 15 * np.cos(3 * t + 0.5) - 12 * np.sin(5 * t)
    return smooth_outline(np.column_stack([1.1 * r * np.cos(t), 0.85 * r * np.sin(t)]).tolist())


def grown(shape: Profile, distance: float, sagitta: float) -> float:
    """Area of the offset by shapely, one capsule a chord: a plain buffer of a polygon simplifies it
    by 1 % of the distance."""
    flat = polygon(shape, sagitta)
    ring = np.array(flat.exterior.coords)
    caps = shapely.union_all(
        shapely.buffer(
            shapely.linestrings(np.stack([ring[:-1], ring[1:]], axis=1)),
            abs(distance),
            quad_segs=200,
        )
    )
    return (flat.union(caps) if distance > 0 else flat.difference(caps)).area


def test_steiner_formula_for_a_rectangle():
    # Steiner (1840): A + P t + pi t^2 and P + 2 pi t for a convex figure; 100 x 60 by 7.
    (made,) = offset(rectangle(100, 60), 7.0)
    assert made.area == pytest.approx(8393.9380400, abs=5e-7)
    assert made.length == pytest.approx(363.9822972, abs=5e-8)
    assert len(made.vertices) == 8 and made.segments.radius[made.segments.arc] == pytest.approx(
        [7.0] * 4
    )


convex = st.one_of(
    st.builds(
        rectangle,
        st.floats(20, 90),
        st.floats(20, 90),
        st.one_of(st.just(0.0), st.floats(0.01, 10)),
    ),
    st.builds(circle, st.floats(1, 90)),
    st.builds(slot, st.floats(30, 90), st.floats(1, 29)),
    st.builds(lambda a, b, c: hull([(0, 0, a), (50, 0, b), (20, 60, c)]), *[st.floats(1, 15)] * 3),
)


@lawful
@given(convex, st.floats(0.01, 40), st.floats(0, 360))
def test_steiner_formula_for_convex_shapes_and_back_again(shape, distance, turn):
    shape = shape.moved(7.0, -3.0, turn)
    (made,) = offset(shape, distance)
    assert made.area == pytest.approx(
        shape.area + shape.length * distance + math.pi * distance**2, rel=1e-10
    )
    assert made.length == pytest.approx(shape.length + 2 * math.pi * distance, rel=1e-10)
    (back,) = offset(made, -distance)
    assert back.area == pytest.approx(shape.area, abs=1e-6 * shape.length)
    assert np.abs(shape.signed_distance(back.vertices[:, :2])).max() < 1e-6


shapes = st.one_of(
    convex,
    st.builds(lambda r: rounded(U_SHAPE, r), st.sampled_from([0.0, 1.0, 5.0, 10.0])),
    st.builds(
        lambda x, b: profile(
            [(0, 0), (30, 5, b), (60, 0), (55 + x, 40, -b), (20, 35, b), (0, 50, 0.1)]
        ),
        st.floats(-5, 5),
        st.floats(-0.5, 0.5),
    ),
)


@lawful
@given(
    shapes,
    st.one_of(
        st.floats(-14, 14).filter(lambda d: abs(d) > 1e-3),
        st.sampled_from([-10.0, -5.0, -1.0, 1.0, 5.0, 10.0]),
    ),
    st.sampled_from([0.0, 30.0, 90.0, 123.4]),
)
def test_every_point_is_at_the_distance_and_the_area_agrees_with_shapely(shape, distance, turn):
    if len(crossings(shape.segments)):
        return
    shape = shape.moved(turn_deg=turn)
    found = offset_regions(shape, distance)
    for region in found:
        for ring in (region.outer, *region.holes):
            assert not len(crossings(ring.segments))
            for share in (0.0, 0.37, 0.81):
                points = ring.segments.at(np.full(len(ring.vertices), share))
                assert np.abs(shape.signed_distance(points) - distance).max() < 1e-6
    assert sum(r.area for r in found) == pytest.approx(
        grown(shape, distance, 1e-3), abs=2.5e-3 * (shape.length + 90)
    )


def test_inward_it_falls_apart_or_vanishes():
    bone = profile(
        [
            (-40, -20),
            (-10, -20),
            (-10, -4),
            (10, -4),
            (10, -20),
            (40, -20),
            (40, 20),
            (10, 20),
            (10, 4),
            (-10, 4),
            (-10, 20),
            (-40, 20),
        ]
    )
    assert len(offset(bone, -3.9)) == 1
    parts = offset(bone, -4.1)
    assert len(parts) == 2 and parts[0].area == pytest.approx(parts[1].area)
    # The deepest point of a half lies where its far side and the corners of the neck are equally
    # far: at
    # x = -40 + d with hypot(d - 30, 4) = d, d = 916 / 60.
    assert len(offset(bone, -916 / 60 + 0.01)) == 2 and offset(bone, -916 / 60 - 0.01) == ()
    for shape, least in [
        (circle(20), 10.0),
        (slot(40, 20), 10.0),
        (rectangle(40, 20), 10.0),
        (rectangle(20, 20, 5), 10.0),
    ]:
        assert (
            offset(shape, -least) == ()
            and offset(shape, -1.5 * least) == ()
            and offset(shape, -least - 1e-9) == ()
        )
        assert len(offset(shape, -0.999 * least)) == 1


def test_corners_inward_stay_sharp_and_small_arcs_close_up():
    (made,) = offset(rectangle(40, 20, 3.0), -3.0)
    assert len(made.vertices) == 4 and made.area == pytest.approx(34 * 14)
    (deeper,) = offset(rectangle(40, 20, 3.0), -5.0)
    assert deeper.area == pytest.approx(30 * 10) and not deeper.segments.arc.any()
    (shallow,) = offset(rectangle(40, 20, 3.0), -1.0)
    assert shallow.segments.radius[shallow.segments.arc] == pytest.approx([2.0] * 4)


def test_a_gap_that_closes_up_leaves_a_hole():
    # A ring of 20 to 30 mm radius, open by 4 mm: 3 mm outward shuts the gap.
    a, b = math.asin(2 / 30), math.asin(2 / 20)
    ring = profile(
        [
            (30 * math.cos(a), 2, math.tan((math.pi - a) / 2)),
            (30 * math.cos(a), -2),
            (20 * math.cos(b), -2, -math.tan((math.pi - b) / 2)),
            (20 * math.cos(b), 2),
        ]
    )
    (region,) = offset_regions(ring, 3.0)
    assert len(region.holes) == 1
    # The hole is the inner circle less 3 mm, with a notch of under 1 mm2 between the lips.
    assert (
        0.0 < region.holes[0].area - math.pi * 17**2 < 1.0 and region.outer.area < math.pi * 33**2
    )
    assert region.area == pytest.approx(grown(ring, 3.0, 1e-3), abs=0.5)
    assert [p.area for p in offset(ring, 3.0)] == [region.outer.area]
    assert offset_regions(ring, 1.9)[0].holes == ()


def test_tangent_outlines_stay_tangent_and_keep_their_count():
    body = wavy()
    assert breaks_of(body).max() < 1e-6
    for distance in (7.0, 25.0, -2.0, -7.0):
        (made,) = offset(body, distance)
        assert breaks_of(made).max() < 1e-6
        assert len(made.vertices) == len(body.vertices)
        # Away from cusps and clashes the parallel curve obeys Steiner, concave or not.
        assert made.area == pytest.approx(
            body.area + distance * body.length + math.pi * distance**2, rel=1e-9
        )


def test_an_arc_may_grow_and_a_large_arc_may_exceed_half_a_turn():
    keyhole = profile(
        [
            (10, 0, math.tan(math.radians(300) / 4)),
            (10 * math.cos(math.radians(300)), 10 * math.sin(math.radians(300))),
        ]
    )
    (made,) = offset(keyhole, 2.0)
    assert made.area == pytest.approx(keyhole.area + 2 * keyhole.length + 4 * math.pi, rel=1e-12)


def test_a_cusp_gets_its_half_round():
    # A crescent whose tips are cusps: two circles tangent inside, cut to a half; every point is at
    # the distance.
    crescent = profile([(-10, 0, 0.0), (10, 0, 1.0)])
    drop = profile([(0, 0, math.tan(math.radians(90) / 4)), (10, 10, 0), (0, 10, 0)])
    spike = profile([(10, 0, 1.0), (-10, 0, -1.0), (0, 0, -1.0)])
    for shape in (crescent, drop, spike):
        (made,) = offset(shape, 1.5)
        points = made.segments.at(np.full(len(made.vertices), 0.5))
        assert np.abs(shape.signed_distance(points) - 1.5).max() < 1e-7
        assert made.area == pytest.approx(grown(shape, 1.5, 1e-4), abs=0.02)


@pytest.mark.parametrize("bulge", [0.0, 1e-11, 1e-9, 1e-7, 1e-5])
def test_arcs_that_are_all_but_flat_offset_like_lines(bulge):
    # Radii up to 1e12 mm; the truth is the shape with straight sides, but for the rise of the arcs.
    rows = [(0, 0, 0), (30, 5, 1), (60, 0, 0), (55, 40, -1), (20, 35, 1)]
    straight = profile([(x, y) for x, y, _ in rows] + [(0, 50, 0.1)])
    bent = profile([(x, y, b * bulge) for x, y, b in rows] + [(0, 50, 0.1)])
    for distance in (2.0, -2.0, 9.0):
        one, two = offset(straight, distance), offset(bent, distance)
        assert len(one) == len(two) == 1
        assert two[0].area == pytest.approx(one[0].area, abs=1e-6 + 100 * 30 * bulge)


def test_nil_gives_the_shape_itself_and_nonsense_is_refused():
    shape = slot(40, 10)
    assert offset(shape, 0) == (shape,)
    for wrong in (math.nan, math.inf, "3", None, True):
        with pytest.raises(InputError, match="the distance of offset"):
            offset(shape, wrong)


def test_a_body_outline_offsets_in_and_out():
    body = wavy(48)
    assert len(body.vertices) >= 120
    for distance in (6.35, -6.35, -40.0):
        assert offset(body, distance)
    assert len(flatten(offset(body, -40.0)[0], 0.01)) > 50
