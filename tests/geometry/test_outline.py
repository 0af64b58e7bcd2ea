"""Smooth outlines through points: truth, tangency, symmetry, corners, and what is refused."""

import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from bodycad.errors import InputError
from bodycad.geometry.plane.meet import crossings
from bodycad.geometry.plane.outline import closed_spline, open_spline, smooth_half, smooth_outline
from bodycad.geometry.plane.profile import Profile

lawful = settings(deadline=None, max_examples=60, derandomize=True)

HALF = [(0, 0), (20, 80), (90, 120), (160, 75), (230, 70), (300, 110), (370, 60), (380, 0)]


def ring(count: int, a: float, b: float, start: float = 0.0) -> list:
    t = start + np.arange(count) * 2 * math.pi / count
    return np.column_stack([a * np.cos(t), b * np.sin(t)]).tolist()


def kinks(shape: Profile) -> np.ndarray:
    """Angle (radians) by which the direction jumps at each vertex."""
    s = shape.segments
    one, two = s.tangent(np.ones(len(s))), np.roll(s.tangent(np.zeros(len(s))), -1, axis=0)
    return np.abs(
        np.arctan2(one[:, 0] * two[:, 1] - one[:, 1] * two[:, 0], (one * two).sum(axis=1))
    )


def test_an_ellipse_comes_back():
    # Area pi a b: ellipse 20, 10 -> 628.3185307 (elementary). The cubic through 48 points is within
    # 1e-3 of it.
    made = smooth_outline(ring(48, 20, 10), tolerance=1e-4)
    assert made.area == pytest.approx(628.3185307, rel=2e-5)
    assert made.length == pytest.approx(96.8844822, rel=2e-5)


def test_the_spline_error_falls_with_the_fourth_power():
    # A cubic spline at chord-length knots is of fourth order: Floater, "Chordal cubic spline
    # interpolation is fourth-order
    # accurate", IMA J. Numer. Anal. 26 (2006), from memory.
    worst = []
    for n in (16, 32, 64):
        curve = closed_spline(np.array(ring(n, 20, 10)))
        p = curve.point(np.linspace(0, curve.knots[-1], 3001))
        worst.append(np.abs((p[:, 0] / 20) ** 2 + (p[:, 1] / 10) ** 2 - 1).max())
    assert worst[0] / worst[1] > 10 and worst[1] / worst[2] > 10


def test_the_closed_spline_has_continuous_curvature():
    points = np.array(HALF + [(x, -y) for x, y in HALF[-2:0:-1]], float)
    curve = closed_spline(points)
    assert np.abs(curve.point(curve.knots[:-1]) - points).max() < 1e-12
    knots, step = curve.knots[1:-1], 1e-4
    before, after = curve.slope(knots - step), curve.slope(knots + step)
    at = curve.slope(knots)
    assert np.abs((at - before) / step - (after - at) / step).max() < 1e-5
    wrap = curve.slope(np.array([0.0, curve.knots[-1]]))
    assert np.abs(wrap[0] - wrap[1]).max() < 1e-12
    # The slope is the derivative of the point.
    t = np.linspace(1, curve.knots[-1] - 1, 97)
    assert (
        np.abs((curve.point(t + 1e-5) - curve.point(t - 1e-5)) / 2e-5 - curve.slope(t)).max() < 1e-6
    )


def test_an_open_spline_is_exact_for_lines_and_parabolas():
    line = open_spline(np.array([(0.0, 0.0), (30.0, 40.0)]))
    assert line.point(np.array([12.5])) == pytest.approx(np.array([[7.5, 10.0]]))
    three = open_spline(np.array([(0.0, 0.0), (10.0, 5.0), (20.0, 0.0)]))
    assert np.ptp(three.bends, axis=0) == pytest.approx([0.0, 0.0], abs=1e-15)
    assert three.point(three.knots) == pytest.approx(three.points)


wobble = st.lists(st.floats(0.8, 1.2), min_size=8, max_size=30)


@lawful
@given(wobble, st.sampled_from([0.05, 0.01, 0.002]))
def test_outlines_pass_their_points_smoothly_within_the_tolerance(radii, tolerance):
    t = np.arange(len(radii)) * 2 * math.pi / len(radii)
    points = np.column_stack([200 * np.array(radii) * np.cos(t), 150 * np.array(radii) * np.sin(t)])
    try:
        made = smooth_outline(points.tolist(), tolerance)
    except InputError as err:
        assert "crosses" in str(err)
        return
    assert (
        np.hypot(*(made.vertices[None, :, :2] - points[:, None]).transpose(2, 0, 1))
        .min(axis=1)
        .max()
        < 1e-9
    )
    assert kinks(made).max() < 1e-6
    curve = closed_spline(points)
    dense = curve.point(np.linspace(0, curve.knots[-1], 5000))
    assert np.abs(made.signed_distance(dense)).max() <= tolerance
    assert not len(crossings(made.segments))


def test_turning_or_starting_elsewhere_changes_nothing():
    points = HALF + [(x, -y) for x, y in HALF[-2:0:-1]]
    made = smooth_outline(points)
    c, s = math.cos(0.7), math.sin(0.7)
    turned = smooth_outline([(c * x - s * y + 5, s * x + c * y - 9) for x, y in points])
    assert turned.area == pytest.approx(made.area, abs=0.005 * made.length)
    assert turned.length == pytest.approx(made.length, abs=0.01)
    for other in (points[3:] + points[:3], points[::-1]):
        assert smooth_outline(other).area == pytest.approx(made.area, abs=0.005 * made.length)


def test_corners_are_sharp_and_nothing_else_is():
    points = [(0, 0), (100, 0), (100, 60), (75, 80), (50, 70), (25, 80), (0, 60)]
    made = smooth_outline(points, corners=(0, 1, 2, 6))
    sharp = kinks(made) > 1e-6
    assert sharp.sum() == 4
    # `kinks` belongs to the end of each segment.
    at = np.roll(made.vertices[:, :2], -1, axis=0)[sharp]
    assert {tuple(p) for p in at.round(9).tolist()} == {
        (0.0, 0.0),
        (100.0, 0.0),
        (100.0, 60.0),
        (0.0, 60.0),
    }
    for x, y in points:
        assert abs(made.signed_distance(np.array([[x, y]]))[0]) < 1e-9
    # Straight between neighbouring corners: the three sides without points between.
    assert made.signed_distance(
        np.array([[50.0, 0.0], [100.0, 30.0], [0.0, 30.0]])
    ) == pytest.approx(0.0, abs=1e-12)
    square = smooth_outline([(0, 0), (10, 0), (10, 10), (0, 10)], corners=(0, 1, 2, 3))
    assert square.area == pytest.approx(100.0, abs=1e-9) and not square.segments.arc.any()
    drop = smooth_outline([(50, 0), (0, 20), (-20, 0), (0, -20)], corners=[0])
    assert (kinks(drop) > 1e-6).sum() == 1 and drop.area == pytest.approx(
        drop.mirrored().area, abs=0.01 * drop.length
    )


@pytest.mark.parametrize(
    "corners, jumps", [((), 0), ((0,), 1), ((7,), 1), ((0, 7), 2), ((3,), 2), ((0, 3, 5, 7), 6)]
)
def test_a_half_makes_a_symmetric_outline(corners, jumps):
    made = smooth_half(HALF, corners=corners)
    mirror = made.mirrored()
    assert np.abs(made.signed_distance(mirror.vertices[:, :2])).max() < 1e-10
    assert made.centroid[1] == pytest.approx(0.0, abs=1e-9)
    assert (kinks(made) > 1e-6).sum() == jumps
    for x, y in HALF:
        assert np.abs(made.signed_distance(np.array([[x, y], [x, -y]], float))).max() < 1e-9
    full = smooth_outline(
        HALF + [(x, -y) for x, y in HALF[-2:0:-1]],
        corners=sorted({*corners, *((14 - k) % 14 for k in corners)}),
    )
    assert made.area == pytest.approx(full.area, abs=0.01 * made.length)
    if 0 not in corners:
        # Square to the centreline: nothing of the outline lies before its first point.
        assert made.box[0] == pytest.approx(0.0, abs=1e-9)


def test_a_half_may_run_either_way_and_a_circle_comes_back():
    assert smooth_half(HALF[::-1]).area == pytest.approx(smooth_half(HALF).area, abs=0.01 * 1300)
    t = np.linspace(0, math.pi, 25)
    arc = [(50 * math.cos(a), 50 * math.sin(a)) for a in t[1:-1]]
    made = smooth_half([(50, 0), *arc, (-50, 0)], tolerance=1e-4)
    assert made.area == pytest.approx(2500 * math.pi, rel=1e-5)


@pytest.mark.parametrize(
    "points, says",
    [
        ([], "0 points"),
        ([(0, 0), (10, 10)], "2 points"),
        ([(0, 0), (10, 0), (10, 0), (0, 10)], "twice"),
        ([(0, 0), (10, 0), (0, 10), (0, 0)], "twice"),
        ([(0, 0), (1, math.nan), (3, 3)], "points is nan"),
        ([(0, 0), (math.inf, 1), (3, 3)], "points is inf"),
        ([(0, 0), (1, 2, 3), (3, 3)], "points is .1, 2, 3"),
        ([(0, 0), "ab", (3, 3)], "points is 'ab'"),
        (5, "points is 5"),
        ([(0, 0), (None, 1), (3, 3)], "points is None"),
        ([(0, 0), (100, 100), (100, 0), (0, 100)], "crosses"),
        ([(0, 0), (50, 0), (100, 0)], "crosses|area"),
        ([(0, 0), (60, 0), (60, 40), (30, 40), (30, -20), (0, 40)], "crosses"),
    ],
)
def test_bad_points_raise_one_input_error_that_names_the_outline(points, says):
    with pytest.raises(InputError, match="the slab.*(" + says + ")"):
        smooth_outline(points, name="the slab")


def test_bad_halves_corners_and_tolerances_are_refused():
    for wrong in (
        [(0, 1), (20, 80), (90, 0)],
        [(0, 0), (20, 80), (90, 3)],
        [(0, 0), (20, -80), (90, 0)],
        [(0, 0), (20, 0), (50, 40), (90, 0)],
    ):
        with pytest.raises(InputError, match="the slab"):
            smooth_half(wrong, name="the slab")
    for corner in (-1, 8, 1.5, True, "2"):
        with pytest.raises(InputError, match="corner"):
            smooth_half(HALF, corners=(corner,))
    for tolerance in (0.0, -0.01, math.nan):
        with pytest.raises(InputError, match="tolerance"):
            smooth_half(HALF, tolerance)


def test_a_body_outline_takes_few_arcs():
    points = [
        (r * math.cos(t), r * math.sin(t))
        for t, r in (
            (t, 180 + 40 * math.cos(2 * t) + 15 * math.cos(3 * t + 0.5))
            for t in np.arange(40) * 2 * math.pi / 40
        )
    ]
    made = smooth_outline(points)
    assert 80 <= len(made.vertices) <= 160
