"""Crossing counts on grids and along lines, and the nearest segment of a long chain."""

import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from bodycad.geometry.distance.plan import chain_gap
from bodycad.geometry.plane.build import circle, rectangle, rounded, slot
from bodycad.geometry.plane.profile import Profile, profile
from bodycad.geometry.plane.segments import Segments, crossed, encloses_grid

LAWFUL = settings(deadline=None, max_examples=40, derandomize=True)


def wavy(count: int, bulge: float) -> Profile:
    """A closed chain of `count` segments about the origin, in and out between 30 and 40 mm."""
    turn = 2.0 * math.pi * np.arange(count) / count
    reach = 35.0 + 5.0 * np.cos(5.0 * turn)
    return profile(
        [
            (r * math.cos(a), r * math.sin(a), b)
            for r, a, b in zip(reach, turn, np.tile([bulge, 0.0], count)[:count])
        ]
    )


CHAINS = [
    circle(20.0, 3.0, -4.0),
    rectangle(30.0, 20.0, 4.0),
    rectangle(30.0, 20.0),
    wavy(7, 0.3),
    wavy(40, -0.2),
    wavy(160, 0.05),
]


@pytest.mark.parametrize("chain", CHAINS)
@pytest.mark.parametrize("count", [3, 40])
def test_a_grid_is_asked_as_its_points_are(chain, count):
    x0, y0, x1, y1 = chain.box
    xs, ys = np.linspace(x0 - 2.0, x1 + 2.0, count), np.linspace(y0, y1, count + 1)
    points = np.column_stack([np.repeat(xs, len(ys)), np.tile(ys, len(xs))])
    found = encloses_grid(chain.segments, xs, ys)
    assert (
        (found.ravel() == chain.segments.encloses(points)).all() and found.any() and not found.all()
    )


@pytest.mark.parametrize("chain", CHAINS)
@LAWFUL
@given(st.integers(0, 10**6))
def test_a_line_is_inside_between_odd_and_even_crossings(chain, seed):
    r = np.random.default_rng(seed)
    base, turn, t = (
        r.uniform(-45, 45, (20, 2)),
        r.uniform(0.0, 2.0 * math.pi, 20),
        r.uniform(-50, 50, 20),
    )
    way = np.column_stack([np.cos(turn), np.sin(turn)])
    found = crossed(chain.segments, base, way, -1000.0, 1000.0)
    on = np.isfinite(found)
    spots = (base[:, None] + np.where(on, found, 0.0)[..., None] * way[:, None])[on]
    assert len(spots) == 0 or chain.segments.nearest(spots)[0].max() < 1e-8
    assert (
        (found < t[:, None]).sum(axis=1) % 2 == chain.segments.encloses(base + t[:, None] * way)
    ).all()
    short = crossed(chain.segments, base, way, 0.0, 5.0)
    assert np.array_equal(short[np.isfinite(short)], found[on & (found >= 0.0) & (found <= 5.0)])


def test_crossings_by_hand():
    """A circle of radius 5 at height 3 is crossed at x = -4 and 4; a line along a side crosses only
    the two beside it."""
    found = crossed(
        circle(10.0).segments,
        np.array([[-10.0, 3.0], [-10.0, 6.0]]),
        np.array([[1.0, 0.0]] * 2),
        0.0,
        100.0,
    )
    assert found[0, :2] == pytest.approx([6.0, 14.0], abs=1e-12) and not np.isfinite(found[1]).any()
    square = crossed(
        rectangle(10.0, 10.0).segments, np.array([[-20.0, 0.0]]), np.array([[2.0, 0.0]]), 0.0, 100.0
    )
    assert square[0, :2] == pytest.approx([7.5, 12.5], abs=1e-12)


def test_no_line_slips_through_a_vertex():
    """From inside quadrilaterals toward each of their corners, and on past it."""
    r = np.random.default_rng(3)
    for _ in range(300):
        turn = np.sort(r.uniform(0.0, 2.0 * math.pi, 4))
        corners = r.uniform(5.0, 20.0, 4)[:, None] * np.column_stack([np.cos(turn), np.sin(turn)])
        way = corners / np.hypot(*corners.T)[:, None]
        chain = Segments(corners, np.roll(corners, -1, axis=0), np.zeros(4))
        found = crossed(chain, np.zeros((4, 2)), way, 0.0, 40.0)
        assert np.abs(found - np.hypot(*corners.T)[:, None]).min(axis=1).max() < 1e-7


@pytest.mark.parametrize("bulge", [1e-12, 1e-11, 1e-9, 1e-8, 1e-7, 1e-6, 1e-5])
def test_nearly_flat_arcs_are_no_nearer_and_are_crossed(bulge):
    """A rectangle of arcs that leave their chords by 15 bulge, 30 mm from a slot; and a line across
    its side."""
    flat = Segments(
        np.array([[0.0, 0.0], [30.0, 0.0], [30.0, 20.0], [0.0, 20.0]]),
        np.array([[30.0, 0.0], [30.0, 20.0], [0.0, 20.0], [0.0, 0.0]]),
        np.full(4, bulge),
    )
    distance, p, q = chain_gap(flat, slot(20.0, 10.0, -40.0, 10.0).segments)
    assert distance == pytest.approx(30.0, abs=1e-6 + 10.0 * bulge) and math.dist(
        p, q
    ) == pytest.approx(distance, abs=1e-9)
    across = Segments(np.array([[10.0, -5.0]]), np.array([[12.0, 6.0]]), np.zeros(1))
    assert chain_gap(flat, across)[0] < 1e-9


@pytest.mark.parametrize("chain", CHAINS)
@pytest.mark.parametrize("count", [1, 30, 700])
def test_the_nearest_segment_is_the_nearest_of_all(chain, count):
    points = np.random.default_rng(count).uniform(-70.0, 70.0, (count, 2))
    distance, foot, index = chain.segments.nearest(points)
    every = chain.segments.distances(points)
    assert np.abs(distance - every.min(axis=1)).max() < 1e-12
    assert np.abs(every[np.arange(count), index] - distance).max() < 1e-12
    assert np.abs(np.hypot(*(foot - points).T) - distance).max() < 1e-11
    assert chain.segments.nearest(foot)[0].max() < 1e-11


def test_a_segment_without_length_is_a_point():
    spot = Segments(np.array([[3.0, 4.0]]), np.array([[3.0, 4.0]]), np.zeros(1))
    distance, foot, _ = spot.nearest(np.array([[0.0, 0.0], [3.0, 9.0]]))
    assert distance == pytest.approx([5.0, 5.0]) and np.abs(foot - [3.0, 4.0]).max() == 0.0


def test_the_foot_at_the_middle_of_an_arc_is_one_of_its_ends():
    """From the very centre every point is as near; the one given must lie on the arc."""
    corner = rounded([(0.0, 0.0), (20.0, 0.0), (20.0, 20.0), (0.0, 20.0)], 5.0)
    distance, foot, _ = corner.segments.nearest(np.array([[15.0, 15.0]]))
    assert distance[0] == pytest.approx(5.0, abs=1e-12) and np.hypot(
        *(foot[0] - 15.0)
    ) == pytest.approx(5.0, abs=1e-12)
