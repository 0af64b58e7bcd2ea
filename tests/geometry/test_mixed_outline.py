"""Outlines of smooth arcs, corners, straight runs and fillets together."""

from __future__ import annotations

import math

import numpy as np
import pytest

from bodycad import InputError, rounded, smooth_half, smooth_outline
from bodycad.geometry.plane.segments import turning

R, L = 60.0, 200.0
TURNS = [math.radians(angle) for angle in range(-90, 91, 15)]
ENDS = [(L / 2 + R * math.cos(t), R * math.sin(t)) for t in TURNS]
STADIUM = [*ENDS, *((-x, -y) for x, y in ENDS)]
RUNS = (len(ENDS) - 1, len(STADIUM) - 1)
TRIANGLE = [(0, 0), (120, 10), (30, 90)]


def kinks(made):
    """By how many degrees the chain turns at each of its vertices."""
    s = made.segments
    ones = np.ones(len(s))
    return np.degrees(np.abs(turning(np.roll(s.tangent(ones), 1, axis=0), s.tangent(0 * ones))))


def test_straight_runs_are_straight_and_run_on_smoothly():
    """The ends through points of half circles: area pi r^2 + 2 r l, length 2 pi r + 2 l."""
    made = smooth_outline(STADIUM, straight=RUNS)
    assert made.area == pytest.approx(math.pi * R * R + 2 * R * L, abs=0.01 * made.length)
    assert made.length == pytest.approx(math.tau * R + 2 * L, abs=0.05)
    assert kinks(made).max() < 1e-6
    s = made.segments
    assert s.length[~s.arc].sum() == pytest.approx(2 * L)
    without = smooth_outline(STADIUM)
    assert without.box[3] > made.box[3] + 2  # it bulges


@pytest.mark.parametrize("shift", [1, 5, 13, 20])
def test_the_first_point_and_the_way_round_do_not_count(shift):
    made = smooth_outline(STADIUM, straight=RUNS)
    n = len(STADIUM)
    turned = STADIUM[shift:] + STADIUM[:shift]
    other = smooth_outline(turned, straight=[(k - shift) % n for k in RUNS])
    back = smooth_outline(STADIUM[::-1], straight=[(n - 2 - k) % n for k in RUNS])
    for one in (other, back):
        assert one.area == pytest.approx(made.area, abs=1e-9)
        assert np.abs(made.signed_distance(one.vertices[:, :2])).max() < 1e-9


def test_a_run_that_ends_at_a_corner_turns_there():
    made = smooth_outline(STADIUM, straight=RUNS, corners=(0,))
    k = int(np.argmin(np.hypot(*(made.vertices[:, :2] - STADIUM[0]).T)))
    sharp = kinks(made)
    assert sharp[k] > 0.1 and np.delete(sharp, k).max() < 1e-6


def test_fillets_of_straight_sides_are_those_of_a_rounded_polygon():
    corners = smooth_outline(TRIANGLE, fillets=((0, 9), (1, 4), (2, 20)))
    other = rounded(TRIANGLE, (9, 4, 20))
    assert corners.area == pytest.approx(other.area, abs=1e-9)
    assert corners.length == pytest.approx(other.length, abs=1e-9)
    assert corners.segments.arc.sum() == 3


@pytest.mark.parametrize("angle", [90, 60, 120])
def test_what_a_fillet_takes_off(angle):
    """r^2 (cot(a / 2) - (pi - a) / 2) of a corner of the angle a (plane geometry; computed)."""
    a, r = math.radians(angle), 5.0
    points = [(0, 0), (100, 0), (100 * math.cos(a), 100 * math.sin(a))]
    sharp = smooth_outline(points, corners=(0, 1, 2))
    made = smooth_outline(points, corners=(1, 2), fillets=((0, r),))
    off = r * r * (1 / math.tan(a / 2) - (math.pi - a) / 2)
    assert sharp.area - made.area == pytest.approx(off, abs=1e-9)


def test_a_fillet_between_curves_touches_both():
    """A leaf of two arcs; the fillet at its tip takes away several arcs of each side."""
    side = [(0, 0), (40, 25), (90, 32), (150, 0)]
    leaf = [*side, *((x, -y) for x, y in side[-2:0:-1])]
    sharp = smooth_outline(leaf, corners=(0, 3))
    for radius in (2.0, 10.0, 25.0):
        made = smooth_outline(leaf, corners=(0,), fillets=((3, radius),))
        at = np.sort(kinks(made))
        assert at[-1] > 30 and at[-2] < 1e-5
        k = int(np.argmin(np.abs(made.segments.radius - radius)))
        assert made.segments.radius[k] == pytest.approx(radius, abs=1e-7)
        # All of it lies in the leaf, and all but the tip on its edge.
        assert sharp.signed_distance(made.vertices[:, :2]).max() < 1e-7
        assert made.box[2] < sharp.box[2] - 0.5


def test_an_inward_fillet_fills_a_corner():
    points = [(0, 0), (100, 0), (100, 40), (50, 40), (50, 80), (0, 80)]
    sharp = smooth_outline(points, corners=tuple(range(6)))
    made = smooth_outline(points, corners=(0, 1, 2, 4, 5), fillets=((3, 8),))
    assert made.area - sharp.area == pytest.approx((4 - math.pi) / 4 * 64)


def test_half_an_outline_with_a_run_and_fillets():
    half = [(100, 0), (100, 40), (40, 60), (-60, 70), (-120, 40), (-120, 0)]
    made = smooth_half(half, corners=(0, 5), straight=(2,), fillets=((1, 15), (4, 20)))
    assert np.abs(made.signed_distance(made.vertices[:, :2] * [1, -1])).max() < 1e-9
    assert kinks(made).max() < 1e-5
    s = made.segments
    assert {round(float(r), 6) for r in s.radius[s.arc]} >= {15.0, 20.0}
    way = np.array([-100.0, 10.0]) / math.hypot(100, 10)
    along = np.abs(s.ahead[~s.arc] @ way)
    assert along.max() == pytest.approx(1.0, abs=1e-12)


@pytest.mark.parametrize(
    ("given", "words"),
    [
        ({"fillets": ((0, 200),)}, r"a fillet of 200 mm at \(0, 0\) that does not fit"),
        ({"fillets": ((7, 2),)}, "an index from 0 to 2"),
        ({"straight": (3,)}, "an index from 0 to 2"),
        ({"fillets": ((0, 0),)}, "more than 0"),
    ],
)
def test_what_does_not_fit_is_refused(given, words):
    with pytest.raises(InputError, match=words):
        smooth_outline(TRIANGLE, corners=(0, 1, 2), **given)
