"""Rational B-splines against scipy's and ezdxf's, and arcs of ellipses against their formula."""

from __future__ import annotations

import math

import numpy as np
import pytest
from ezdxf.math import BSpline as Other
from scipy.interpolate import BSpline

from bodycad.errors import InputError
from bodycad.imports.bundle import fitted
from bodycad.imports.curve import Curve, Track, astray, bezier, elliptic, line, spline


def arcs(curve, tolerance=0.01):
    """The arcs of one curve."""
    return fitted([curve], tolerance, ["a curve"])[0]


CHANCE = np.random.default_rng(5)


@pytest.mark.parametrize("degree", [1, 2, 3, 5])
def test_values_and_slopes_are_scipys(degree):
    points = CHANCE.uniform(-9, 9, (14, 2))
    inner = np.sort(CHANCE.uniform(0, 1, 14 - degree - 1))
    knots = np.concatenate([[0.0] * (degree + 1), inner, [1.0] * (degree + 1)])
    made, other = spline(degree, knots, points, np.ones(14)), BSpline(knots, points, degree)
    t = np.linspace(0, 1, 300)[:-1]
    assert np.abs(made.point(t) - other(t)).max() < 1e-12
    assert np.abs(made.slope(t) - other.derivative()(t)).max() < 1e-8
    assert np.abs(made.back().point(-t) - other(t)).max() < 1e-12


def test_weights_are_ezdxfs():
    points, weights = CHANCE.uniform(-9, 9, (9, 2)), CHANCE.uniform(0.3, 3, 9)
    other = Other([(x, y, 0) for x, y in points.tolist()], order=4, weights=weights.tolist())
    made = spline(3, np.array(other.knots()), points, weights)
    t = np.linspace(*made.domain, 50)
    assert np.abs(made.point(t) - [p.xyz[:2] for p in other.points(t.tolist())]).max() < 1e-9


@pytest.mark.parametrize("sweep", [0.4, -2.5, math.tau, -math.tau])
def test_arcs_of_ellipses(sweep):
    centre, along, across = np.array([3.0, -2.0]), np.array([4.0, 1.0]), np.array([0.5, 2.0])
    made = elliptic(centre, along, across, 0.7, sweep)
    assert isinstance(made, Curve)
    spots = made.sampled(50) - centre
    t = np.linalg.solve(np.column_stack([along, across]), spots.T)
    assert np.abs(np.hypot(*t) - 1.0).max() < 1e-12
    turn = np.unwrap(np.arctan2(t[1], t[0]))
    assert turn[-1] - turn[0] == pytest.approx(sweep)


@pytest.mark.parametrize("mirror", [1.0, -1.0])
def test_a_circles_arc_stays_an_arc_through_a_similarity(mirror):
    made = elliptic(np.zeros(2), np.array([5.0, 0.0]), np.array([0.0, 5.0]), 0.3, 4.0)
    matrix = 3.0 * np.array([[0.6, -0.8 * mirror, 1.0], [0.8, 0.6 * mirror, 2.0]])
    (moved,) = made.moved(matrix)
    assert isinstance(moved, Track) and len(moved.rows) == 3
    assert np.allclose(moved.segments.radius, 15.0)
    assert (
        np.abs(moved.sampled(9) - (made.sampled(9) @ matrix[:, :2].T + matrix[:, 2])).max() < 1e-9
    )


@pytest.mark.parametrize(
    "controls",
    [
        [(0, 0), (0, 0), (100, 60), (120, 0)],  # stands still at an end
        [(0, 0), (0, 0), (120, 0), (120, 0)],  # a line that stands still at both
        [(0, 0), (120, 80), (0, 80), (120, 0)],  # all but a cusp
        [(0, 0), (40, 0), (80, 0), (120, 0)],
    ],
)
@pytest.mark.parametrize("tolerance", [0.01, 0.05])
def test_arcs_stay_within_the_tolerance_of_a_bezier(controls, tolerance):
    made = bezier(np.array(controls, float))
    rows = arcs(made, tolerance)
    assert astray(Track(rows), made.sampled(2000)) <= tolerance
    assert np.array_equal(rows[[0, -1], :2], made.ends)


def test_a_spline_with_a_corner_keeps_it():
    """A knot as often as the degree: two Beziers that meet at a right angle."""
    points = np.array([(0, 0), (40, 0), (80, 0), (100, 0), (100, 30), (100, 60), (80, 90)], float)
    knots = np.array([0, 0, 0, 0, 1, 1, 1, 2, 2, 2, 2], float)
    made = spline(3, knots, points, np.ones(7))
    assert made.corners.tolist() == [1.0]
    rows = arcs(made)
    assert np.hypot(*(rows[:, :2] - [100, 0]).T).min() < 1e-12
    assert astray(Track(rows), made.sampled(999)) <= 0.01


def test_a_curve_that_wiggles_between_its_knots_is_followed():
    t = np.linspace(0, 40, 400)
    knots = np.concatenate([[0] * 3, np.arange(398), [397] * 3])
    made = spline(3, knots, np.column_stack([t * 5, 3 * np.sin(t * 2)]), np.ones(400))
    rows = arcs(made)
    assert astray(Track(rows), made.sampled(60)) <= 0.01


def test_lines_through_any_matrix():
    one = line(np.array([(0.0, 0.0), (3.0, 4.0), (9.0, 4.0)]))
    (moved,) = one.moved(np.array([[2.0, 1.0, 5.0], [0.0, 3.0, -1.0]]))
    assert moved.rows.tolist() == [[5, -1, 0], [15, 11, 0], [27, 11, 0]]


def test_many_at_once_are_each_as_alone():
    """Of several degrees, weights and lengths; corners and ends that stand still among them."""
    ellipse = elliptic(np.zeros(2), np.array([90.0, 0.0]), np.array([10.0, 40.0]), 0.0, 5.0)
    still = bezier(np.array([(0, 0), (0, 0), (100, 60), (120, 0)], float))
    points = np.array([(0, 0), (40, 0), (80, 0), (100, 0), (100, 30), (100, 60), (80, 90)], float)
    knots = np.array([0, 0, 0, 0, 1, 1, 1, 2, 2, 2, 2], float)
    cornered = spline(3, knots, points, np.ones(7))
    loose = spline(3, np.arange(13.0), CHANCE.uniform(-90, 90, (9, 2)), np.ones(9))
    curves = [ellipse, still, cornered, loose, bezier(CHANCE.uniform(-90, 90, (3, 2)))]
    made = fitted(curves, 0.01, [""] * 5)
    for curve, rows in zip(curves, made):
        assert astray(Track(rows), curve.sampled(500)) <= 0.01
        assert np.abs(rows[[0, -1], :2] - curve.ends).max() < 1e-12
        assert abs(len(rows) - len(arcs(curve))) <= 0.1 * len(rows)


def test_a_curve_that_no_arcs_follow_is_named():
    """One that comes to a stand in its middle and turns back; beside it one that is fair."""
    wild = bezier(np.array([(0, 0), (40, 0), (0, 0)], float))
    fair = bezier(np.array([(0, 0), (40, 9), (80, 0)], float))
    with pytest.raises(InputError, match="^the wild one is") as told:
        fitted([fair, wild], 0.01, ["the fair one", "the wild one"])
    assert "arcs can follow within 0.01 mm" in str(told.value)
