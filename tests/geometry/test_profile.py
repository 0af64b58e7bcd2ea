"""Area, centroid, box, distance and membership of chains of lines and arcs."""

import math

import numpy as np
import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st

from bodycad.errors import InputError
from bodycad.geometry.plane.build import circle, rectangle, rounded, slot
from bodycad.geometry.plane.meet import along
from bodycad.geometry.plane.profile import Profile, flatten, profile

lawful = settings(deadline=None, max_examples=60, derandomize=True)

number = st.floats(-60.0, 60.0)


@st.composite
def shapes(draw) -> Profile:
    """A star of lines and arcs about the origin (simple by its rays), moved and turned."""
    count = draw(st.integers(3, 9))
    reach = draw(st.lists(st.floats(10.0, 30.0), min_size=count, max_size=count))
    bulge = draw(
        st.lists(st.sampled_from([0.0, 0.0, 0.1, 0.4, -0.05]), min_size=count, max_size=count)
    )
    rows = [
        (r * math.cos(2 * math.pi * k / count), r * math.sin(2 * math.pi * k / count), b)
        for k, (r, b) in enumerate(zip(reach, bulge))
    ]
    return profile(rows).moved(draw(number), draw(number), draw(st.floats(-180.0, 180.0)))


def test_bulge_is_the_tangent_of_a_quarter_of_the_angle():
    # Bulge definition: DXF reference, VERTEX and LWPOLYLINE code 42.
    for degrees, bulge in [
        (30, 0.131652),
        (60, 0.267949),
        (90, 0.414214),
        (120, 0.577350),
        (180, 1.0),
        (270, 2.414214),
    ]:
        sweep = math.radians(degrees)
        made = profile([(1.0, 0.0, bulge), (math.cos(sweep), math.sin(sweep), 0.0)])
        # The bulges above have six decimals.
        assert made.segments.radius[0] == pytest.approx(1.0, abs=5e-6)
        assert made.segments.sweep[0] == pytest.approx(sweep, abs=3e-6)


def test_quarter_arc_between_two_points():
    # (0,100) -> (10,110), +90 degrees: centre (0,110), radius 10 (DXF bulge rule, computed).
    s = profile([(0, 100, math.tan(math.pi / 8)), (10, 110, 0), (-20, 110, 0)]).segments
    assert s.centre[0] == pytest.approx([0.0, 110.0], abs=1e-12)
    assert s.radius[0] == pytest.approx(10.0, abs=1e-12)


def segment() -> Profile:
    """Circular segment of radius 10 and 120 degrees about the origin, symmetric about +x."""
    half = 10.0 * math.sin(math.pi / 3)
    return profile([(5.0, -half, math.tan(math.pi / 6)), (5.0, half, 0.0)])


def test_circular_segment():
    # R^2 (t - sin t)/2 and 4 R sin^3(t/2) / (3 (t - sin t)): CRC Concise Encyclopedia of
    # Mathematics,
    # "Circular Segment"; PlanetMath. Numbers for R 10, 120 degrees.
    made = segment()
    assert made.area == pytest.approx(61.4184849, abs=5e-8)
    assert made.centroid == pytest.approx((7.0502016, 0.0), abs=5e-8)
    assert made.length == pytest.approx(17.3205081 + 20.9439510, abs=1e-7)
    # Sagitta R (1 - cos(t/2)) = 5.
    assert made.box == pytest.approx((5.0, -8.66025404, 10.0, 8.66025404), abs=1e-8)


def test_radius_from_chord_and_sagitta():
    # (c^2/4 + s^2) / (2 s): chord 17.3205081, sagitta 5 -> radius 10 (CRC, "Circular Segment").
    assert profile([(0, 0, 2 * 5 / 17.3205081), (17.3205081, 0, 0)]).segments.radius[
        0
    ] == pytest.approx(10.0, abs=1e-7)


def test_circular_sector():
    # Area R^2 t/2 and centroid 2 R sin(t/2) / (3 t/2): CRC, "Circular Sector"; R 10, 120 degrees.
    half = 10.0 * math.sin(math.pi / 3)
    made = profile([(0, 0), (5.0, -half, math.tan(math.pi / 6)), (5.0, half, 0.0)])
    assert made.area == pytest.approx(104.7197551, abs=5e-8)
    assert made.centroid == pytest.approx((5.5132890, 0.0), abs=5e-8)


def test_quarter_disc_and_half_ring_centroids():
    # 4 R / (3 pi) and 28 / (9 pi): OpenStax Calculus vol. 1, section 6.6 exercises.
    quarter = profile([(0, 0), (1, 0, math.tan(math.pi / 8)), (0, 1)])
    assert quarter.centroid == pytest.approx((0.4244132, 0.4244132), abs=5e-8)
    ring = profile([(1, 0), (2, 0, 1.0), (-2, 0), (-1, 0, -1.0)])
    assert ring.centroid == pytest.approx((0.0, 0.9902974), abs=5e-8)
    assert ring.area == pytest.approx(1.5 * math.pi, rel=1e-13)


def test_flat_arcs_keep_area_and_centroid_exact():
    # Limit t -> 0 of the circular segment (CRC): area 2 c s / 3, which a bare t - sin t loses to
    # rounding.
    for sagitta in (1e-3, 1e-5, 1e-7, 1e-9):
        bulge = 2.0 * sagitta / 10.0
        made = profile([(-5, 0, bulge), (5, 0), (5, 10), (-5, 10)])
        assert made.area == pytest.approx(
            100.0 + 2.0 / 3.0 * 10.0 * sagitta, abs=1e-11 + sagitta**3 / 10.0
        )
        assert made.centroid[1] == pytest.approx(
            5.0 - 5.0 * (20.0 / 3.0 * sagitta) / 100.0, abs=2.0 * sagitta**2 + 1e-12
        )
        assert math.isfinite(made.centroid[0])


@pytest.mark.parametrize("rise", [1e-2, 1e-4, 1e-6, 1e-8])
def test_nearly_flat_arcs_lose_no_digits(rise):
    # Chord 100: the radius grows to 1e11 mm, where centre and radius have lost every micron. At a
    # quarter of a flat arc
    # the height over the chord is 3/4 of the rise (parabola, the limit of the circle).
    s = profile([(-50, 0, 2 * rise / 100), (50, 0, 0), (0, 90, 0)]).moved(300, 200, 30.0).segments
    c, d = math.cos(math.radians(30)), math.sin(math.radians(30))

    def place(x, y):
        return np.array([300 + c * x - d * y, 200 + d * x + c * y])

    arc = s.take(np.array([0]))
    for t, height in [(0.0, 0.0), (0.25, 0.75), (0.5, 1.0), (1.0, 0.0)]:
        point = place(100 * t - 50, -rise * height)
        assert np.hypot(*(arc.at(np.array([t]))[0] - point)) < 2e-13 * 300 + rise**3
        assert along(arc, point[None], np.array([0]))[0] == pytest.approx(
            t, abs=1e-12 + rise**2 / 1e3
        )
        for away in (3.0, -3.0):
            distance, foot, _ = arc.nearest(place(100 * t - 50, -rise * height + away)[None])
            assert distance[0] == pytest.approx(3.0, abs=1e-12 + rise**2)
            assert np.hypot(*(foot[0] - point)) < 1e-12 * 300 + 4.0 * rise
    inside = s.encloses(np.stack([place(0, -0.9 * rise), place(0, -1.1 * rise), place(0, 1.0)]))
    assert list(inside) == [True, False, True]


def test_polygonised_circle():
    # Area ratio sin(2 pi/n) / (2 pi/n) of the inscribed n-gon; n = pi / acos(1 - t/R) chords for a
    # chord error t
    # (circular segment, CRC): R 50, 0.01 mm: 158; R 200: 315; R 5: 50. Two half circles round up to
    # even.
    for n, ratio in [(32, 0.9935869), (128, 0.9995985), (512, 0.9999750)]:
        points = flatten(circle(2.0), 1.0 - math.cos(math.pi / n))
        assert len(points) == n
        assert shapely.Polygon(points).area / math.pi == pytest.approx(ratio, abs=1.1e-7)
    for radius, n in [(50.0, 158), (200.0, 315), (5.0, 50)]:
        assert n <= len(flatten(circle(2 * radius), 0.01)) <= n + 1


@lawful
@given(shapes(), st.floats(1e-3, 0.5))
def test_flattening_stays_within_the_sagitta(shape, sagitta):
    points = flatten(shape, sagitta)
    middles = (points + np.roll(points, -1, axis=0)) / 2.0
    assert np.abs(shape.signed_distance(points)).max() < 1e-9
    assert np.abs(shape.signed_distance(middles)).max() <= sagitta + 1e-9


def test_a_tiny_circle_still_flattens_to_a_polygon():
    assert shapely.Polygon(flatten(circle(0.01), 0.05)).area > 0.0
    with pytest.raises(InputError):
        flatten(circle(10), 0.0)


@lawful
@given(shapes(), number, number, st.floats(-360.0, 360.0))
def test_area_length_and_centroid_move_with_the_shape(shape, x, y, turn):
    moved = shape.moved(x, y, turn)
    assert moved.area == pytest.approx(shape.area, rel=1e-11)
    assert moved.length == pytest.approx(shape.length, rel=1e-12)
    c, s = math.cos(math.radians(turn)), math.sin(math.radians(turn))
    u, v = shape.centroid
    assert moved.centroid == pytest.approx((c * u - s * v + x, s * u + c * v + y), abs=1e-9)


@lawful
@given(shapes())
def test_mirroring_twice_is_the_same_shape(shape):
    once = shape.mirrored()
    assert once.area == pytest.approx(shape.area, rel=1e-12)
    assert once.centroid == pytest.approx((shape.centroid[0], -shape.centroid[1]), abs=1e-9)
    assert np.abs(once.mirrored().signed_distance(shape.vertices[:, :2])).max() < 1e-12


@lawful
@given(
    shapes(),
    st.lists(st.tuples(st.floats(-100, 100), st.floats(-100, 100)), min_size=5, max_size=20),
)
def test_membership_and_distance_agree_with_shapely(shape, extra):
    flat = shapely.Polygon(flatten(shape, 1e-4))
    x, y = shape.centroid
    points = np.array(extra) * 0.5 + [x, y]
    outline = shapely.distance(flat.exterior, shapely.points(points))
    inside = shapely.contains(flat, shapely.points(points))
    got = shape.signed_distance(points)
    assert np.abs(np.abs(got) - outline).max() <= 1.5e-4
    clear = outline > 2e-4
    assert np.array_equal((got < 0)[clear], inside[clear])
    # The box and the centroid, too.
    assert shape.box == pytest.approx(flat.bounds, abs=1.5e-4)
    assert shape.centroid == pytest.approx((flat.centroid.x, flat.centroid.y), abs=1e-3)


@lawful
@given(shapes(), st.floats(0.02, 0.98))
def test_points_on_chords_are_judged_by_the_arc(shape, share):
    # A point on the chord of an outward arc is inside, on the chord of an inward arc outside: as
    # shapely finds.
    s = shape.segments
    deep = s.arc & (np.abs(s.bulge) * s.chord > 0.5)
    on = (s.a + share * (s.b - s.a))[deep]
    if len(on):
        flat = shapely.Polygon(flatten(shape, 1e-5))
        clear = shapely.distance(flat.exterior, shapely.points(on)) > 1e-4
        assert np.array_equal(
            s.encloses(on)[clear], shapely.contains(flat, shapely.points(on))[clear]
        )


def test_points_level_with_vertices_are_counted_once():
    shape = rounded(
        [(0, 0), (60, 0), (60, 60), (40, 60), (40, 20), (20, 20), (20, 60), (0, 60)], 3.0
    )
    flat = shapely.Polygon(flatten(shape, 1e-4))
    levels = np.unique(shape.vertices[:, 1])
    points = np.array([(x, y) for x in (-5.0, 1.0, 10.0, 30.0, 50.0, 59.0, 65.0) for y in levels])
    clear = shapely.distance(flat.exterior, shapely.points(points)) > 1e-3
    assert clear.sum() > 30
    assert np.array_equal(
        shape.segments.encloses(points)[clear],
        shapely.contains(flat, shapely.points(points))[clear],
    )


def test_distance_to_a_stadium_is_its_radius_on_the_axis():
    made = slot(62.7, 12.7)
    points = np.array([[0.0, 0.0], [25.0, 0.0], [31.35 + 4.0, 0.0], [0.0, 9.35]])
    assert made.signed_distance(points) == pytest.approx([-6.35, -6.35, 4.0, 3.0], abs=1e-12)
    assert made.contains(31.0, 0.0) and not made.contains(31.0, 6.0)


def test_many_points_are_measured_in_portions():
    made = rectangle(10.0, 10.0)
    points = np.column_stack([np.linspace(0.0, 4.0, 300_000), np.zeros(300_000)])
    assert made.signed_distance(points) == pytest.approx(points[:, 0] - 5.0, abs=1e-12)


@lawful
@given(shapes(), st.floats(0.0, 12.0))
def test_no_farther_than_asked_the_distances_of_many_points_are_exact(made, within):
    """Farther off, the figure is of the right side, beyond that, and no more than there is."""
    x0, y0, x1, y1 = made.box
    xs, ys = (np.arange(a - 15.0, b + 15.0, 1.3) for a, b in ((x0, x1), (y0, y1)))
    points = np.stack(np.meshgrid(xs, ys), axis=2).reshape(-1, 2)
    true, found = made.signed_distance(points), made.signed_distance(points, within)
    near = np.abs(true) <= within
    assert np.array_equal(true[near], found[near]) and not np.array_equal(true, found)
    assert np.array_equal(true > 0.0, found > 0.0) and np.all(np.abs(found[~near]) > within)
    assert np.all(np.abs(found) <= np.abs(true) + 1e-9)


@lawful
@given(shapes())
def test_many_points_lie_inside_as_each_alone_does(made):
    """Also at the heights of vertices, of arcs' tops and on the chain itself."""
    x = np.concatenate([made.vertices[:, 0], np.linspace(-95.0, 95.0, 37)])
    y = np.concatenate([made.vertices[:, 1], made.segments.boxes[:, [1, 3]].ravel()])
    points = np.stack(np.meshgrid(x, np.concatenate([y, np.linspace(-95.0, 95.0, 19)])), axis=2)
    points = points.reshape(-1, 2)
    alone = [made.segments.encloses(one[None])[0] for one in points]
    assert np.array_equal(made.segments.encloses(np.tile(points, (6, 1))), np.tile(alone, 6))


def test_circle_and_least_inside_radius():
    assert circle(20.0, 3.0, 4.0).circle == ((3.0, 4.0), 10.0)
    assert slot(40, 10).circle is None
    assert rectangle(40, 20, 3.0).least_inside_radius == pytest.approx(3.0)
    assert rectangle(40, 20).least_inside_radius == 0.0
    assert slot(40, 10).least_inside_radius == pytest.approx(5.0)


@pytest.mark.parametrize(
    "vertices",
    [
        [],
        [(0, 0)],
        [(0, 0), (1, 1)],
        [(0, 0), (0, 0), (0, 0)],
        [(0, 0), (1, math.nan), (2, 5)],
        [(0, 0), (math.inf, 0), (2, 5)],
        [(0, 0), (5, 0), (10, 0)],
        [(1,), (2,), (3,)],
        ["ab", "cd", "ef"],
        [(0, 0), (1, None), (1, 1)],
        [(0, 0, 1e300), (5, 0)],
        [(0, 0, 1e7), (5, 0)],
    ],
)
def test_bad_vertices_raise_one_input_error_that_names_the_profile(vertices):
    with pytest.raises(InputError, match="the scratch plate"):
        profile(vertices, "the scratch plate")


def test_clockwise_and_repeated_vertices_are_put_right():
    made = profile([(0, 0), (0, 4), (0, 4), (3, 4), (3, 0), (0, 0)])
    assert len(made.vertices) == 4 and made.area == pytest.approx(12.0)
    arc = profile([(10, 0, -1.0), (-10, 0, -1.0)])
    assert arc.area == pytest.approx(100.0 * math.pi)
