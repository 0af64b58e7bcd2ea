"""Chains that cross themselves, lie too far away or have too many points: one line with the place;
and outlines of mirrored points, which are mirrored outlines to the last digit."""

from __future__ import annotations

import math
import os
import subprocess
import sys

import numpy as np
import pytest

from bodycad.errors import InputError
from bodycad.geometry.plane.build import mirrored_half, rounded
from bodycad.geometry.plane.meet import box_pairs
from bodycad.geometry.plane.outline import smooth_half, smooth_outline
from bodycad.geometry.plane.profile import Profile, profile

PENTAGRAM = [
    (100 * math.cos(4 * math.pi * k / 5), 100 * math.sin(4 * math.pi * k / 5)) for k in range(5)
]
CROSSED = 100 * math.cos(2 * math.pi / 5) / math.cos(math.pi / 5)
"""The sides of a pentagram cross on a circle of r cos 72 / cos 36 (elementary)."""


def said(make, *given) -> str:
    with pytest.raises(InputError) as fault:
        make(*given)
    return str(fault.value)


@pytest.mark.parametrize("make", [profile, lambda p: rounded(p, 2.0), lambda p: rounded(p, 0.0)])
def test_a_pentagram_is_told_its_crossing(make):
    words = said(make, PENTAGRAM)
    x, y = (float(v) for v in words.split(" at (")[1].split("):")[0].split(","))
    assert math.hypot(x, y) == pytest.approx(CROSSED, abs=0.001)
    assert "its side from" in words and words.count("its side from") == 2


@pytest.mark.parametrize(
    "points, place, sides",
    [
        # A bow tie: the sides 0-1 and 2-3 cross in the middle.
        ([(0, 0), (10, 10), (10, 0), (0, 10)], "(5.000, 5.000)", ("0 to 1", "2 to 3")),
        # A loop that touches itself at a point.
        ([(0, 0), (10, 0), (5, 5), (10, 10), (0, 10), (5, 5)], "(5.000, 5.000)", ()),
        # A spike that runs back along itself.
        ([(0, 0), (10, 0), (20, 0), (10, 0), (10, 10), (0, 10)], "(10.000, 0.000)", ()),
    ],
)
def test_a_chain_that_meets_itself_is_told_where(points, place, sides):
    for make in (profile, lambda p: rounded(p, 0.0)):
        words = said(make, points)
        assert place in words and all(f"{side}" in words for side in sides)


def test_a_repeated_point_keeps_the_numbers_of_the_others():
    words = said(profile, [(0, 0), (0, 0), (10, 10), (10, 0), (0, 10)])
    assert "from point 1 to 2" in words and "from point 3 to 4" in words


def test_a_mirrored_half_that_crosses_the_centreline_is_refused():
    assert "crosses or touches" in said(mirrored_half, [(0, 0), (20, 30), (40, -10), (80, 0)])


def test_a_smooth_outline_names_the_points_near_its_crossing():
    words = said(smooth_outline, [(0, 0), (100, 100), (100, 0), (0, 100)])
    assert "crosses or touches itself at (" in words and "near point" in words


@pytest.mark.parametrize("make", [profile, lambda p: rounded(p, 1.0), smooth_outline])
def test_no_point_lies_beyond_reach(make):
    words = said(make, [(0, 0), (400, 0), (400, 11430.0)])
    assert "at (400, 11" in words and "3000" in words and "millimetres" in words


def ring(count: int, wobble: float = 0.0, seed: int = 1) -> list[tuple[float, float]]:
    t = np.arange(count) * 2 * math.pi / count
    r = 150 + 30 * np.sin(3 * t) + np.random.default_rng(seed).uniform(-wobble, wobble, count)
    return np.column_stack([1.3 * r * np.cos(t), r * np.sin(t)]).tolist()


def mirror(points):
    return [(x, -y) for x, y in points]


def turned_on(rows: np.ndarray) -> np.ndarray:
    """The rows from their least one on."""
    return np.roll(rows, -int(np.lexsort(rows.T[::-1])[0]), axis=0)


@pytest.mark.parametrize(
    "make",
    [
        smooth_outline,
        lambda p: smooth_outline(p, corners=(3, 9)),
        lambda p: rounded(p, 3.0),
        profile,
    ],
)
@pytest.mark.parametrize("seed", range(4))
def test_mirrored_points_give_the_mirrored_outline(make, seed):
    points = ring(24, 5.0, seed)
    one, two = make(points).mirrored(), make(mirror(points))
    assert np.array_equal(turned_on(one.vertices), turned_on(two.vertices))
    assert (one.area, one.length, one.box) == (two.area, two.length, two.box)
    assert one.centroid == two.centroid == (make(points).centroid[0], -make(points).centroid[1])


@pytest.mark.parametrize("corners", [(), (3, 9)])
@pytest.mark.parametrize("first", [0, 5])
def test_an_outline_does_not_depend_on_how_its_points_are_listed(corners, first):
    points, n = ring(24, 5.0), 24
    one = smooth_outline(points, corners=corners)
    order = [(first - k) % n for k in range(n)]
    marks = [order.index(k) for k in corners]
    for listed in ([points[k] for k in order], mirror([points[k] for k in order])):
        two = smooth_outline(listed, corners=marks)
        two = two if listed[0] == points[first] else two.mirrored()
        assert np.array_equal(turned_on(one.vertices), turned_on(two.vertices))


@pytest.mark.parametrize("half_turn", [0.0, 0.5])
@pytest.mark.parametrize("corners", [False, True])
def test_symmetric_points_give_a_symmetric_outline(half_turn, corners):
    # With half a step the centreline runs between two points.
    t = (np.arange(8) + half_turn) * math.pi / 8
    side = np.column_stack([200 * np.cos(t), (120 + 25 * np.cos(3 * t)) * np.sin(t)])
    if not half_turn:
        side[0, 1] = 0.0
        side = np.vstack([side, [-200.0, 0.0]])
    back = side[::-1] if half_turn else side[-2:0:-1]
    points = np.vstack([side, back * [1.0, -1.0]]).tolist()
    marks = (2, len(points) - 2 - (1 if half_turn else 0)) if corners else ()
    made = smooth_outline(points, corners=marks)
    assert np.array_equal(turned_on(made.vertices), turned_on(made.mirrored().vertices))
    assert made.centroid[1] == 0.0
    off = made.signed_distance(np.array(points))
    assert np.abs(off).max() < 1e-9


def test_a_corner_on_one_side_of_symmetric_points_stays_on_that_side():
    points = [(127.0, -119.0), (-162.0, -86.0), (-162.0, 86.0), (127.0, 119.0)]
    made = smooth_outline(points, corners=[0])
    spots, radii = made.inside_corners
    assert spots[radii == 0.0] == pytest.approx(np.array([points[0]]))


def test_a_half_drawn_whole_is_the_same_outline():
    half = [(0, 0), (20, 80), (90, 120), (160, 75), (230, 70), (300, 110), (370, 60), (380, 0)]
    whole = [*half, *((x, -y) for x, y in half[-2:0:-1])]
    one, two = smooth_half(half), smooth_outline(whole)
    assert one.area == pytest.approx(two.area, rel=1e-4)


def test_too_many_points_are_thinned_in_one_line():
    for make in (smooth_outline, profile, lambda p: rounded(p, 0.01)):
        words = said(make, ring(20_000))
        assert "20000 points" in words and "at most" in words and "points[::" in words
        step = int(words.split("points[::")[1].split("]")[0])
        assert isinstance(make(ring(20_000)[::step]), Profile)


def test_pairs_of_boxes_by_blocks_are_those_of_a_sweep():
    shape = profile(ring(3000)).segments
    low = np.random.default_rng(3).uniform(0.0, 100.0, (1500, 2))
    scattered = np.hstack([low, low + 2.0])
    for boxes in (shape.boxes, scattered):
        i, j = box_pairs(boxes, 1e-3)
        apart = np.maximum(boxes[:, None, :2] - boxes[None, :, 2:], 0.0).max(axis=2)
        near = (apart <= 1e-3) & (apart.T <= 1e-3)
        expected = {(a, b) for a, b in zip(*np.nonzero(np.triu(near, 1)))}
        assert {(min(a, b), max(a, b)) for a, b in zip(i, j)} == expected and len(i) == len(
            expected
        )


HUGE = """
import math, resource
resource.setrlimit(resource.RLIMIT_AS, (1_000_000_000, 1_000_000_000))
from bodycad.geometry.plane.outline import smooth_outline
from bodycad.geometry.plane.profile import MOST
from bodycad.geometry.plane.offset import offset
turns = [4 * math.pi * k / MOST for k in range(MOST // 2)]
ring = [(200 * math.cos(t), 150 * math.sin(t)) for t in turns]
made = smooth_outline(ring)
assert abs(made.area - math.pi * 30_000) < 1.0
offset(made, -6.0)
"""


def test_the_largest_outline_fits_into_a_gigabyte():
    # One thread: each reserves address space of its own.
    alone = {**os.environ, "OPENBLAS_NUM_THREADS": "1", "OMP_NUM_THREADS": "1"}
    done = subprocess.run([sys.executable, "-c", HUGE], capture_output=True, text=True, env=alone)
    assert done.returncode == 0, done.stderr
