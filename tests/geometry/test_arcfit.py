"""Biarcs and the fit: joints in closed form, cubic error order, measured deviation, tangency."""

import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.special import ellipe

from bodycad.errors import InputError
from bodycad.geometry.plane.arcfit import biarcs, fit_arcs
from bodycad.geometry.plane.profile import profile
from bodycad.geometry.plane.segments import Segments

lawful = settings(deadline=None, max_examples=60, derandomize=True)


def ellipse(a: float, b: float):
    return (
        lambda t: np.column_stack([a * np.cos(t), b * np.sin(t)]),
        lambda t: np.column_stack([-a * np.sin(t), b * np.cos(t)]),
    )


def chain(rows: np.ndarray) -> Segments:
    return Segments(rows[:-1, :2], rows[1:, :2], rows[:-1, 2])


def kinks(s: Segments) -> np.ndarray:
    one, two = s.tangent(np.ones(len(s)))[:-1], s.tangent(np.zeros(len(s)))[1:]
    return np.abs(
        np.arctan2(one[:, 0] * two[:, 1] - one[:, 1] * two[:, 0], (one * two).sum(axis=1))
    )


def row(*values):
    return np.array([values], float)


def test_equal_arm_biarcs():
    # Equal-arm biarc, the closed form of Bolton's construction (computed): an S from (0,0) to
    # (10,10), both along +x,
    # joins at (5,5) with radius 5; (0,0) along +x to (4,2) along +y joins at (2.6794495, .3205505).
    joint, one, two = biarcs(row(0, 0), row(1, 0), row(10, 10), row(1, 0))
    assert joint[0] == pytest.approx([5.0, 5.0], abs=1e-12)
    s = Segments(
        np.vstack([row(0, 0), joint]), np.vstack([joint, row(10, 10)]), np.concatenate([one, two])
    )
    assert s.radius == pytest.approx([5.0, 5.0]) and one[0] == pytest.approx(-two[0])
    joint, one, two = biarcs(row(0, 0), row(1, 0), row(4, 2), row(0, 1))
    assert joint[0] == pytest.approx([2.6794495, 0.3205505], abs=5e-8)
    s = Segments(
        np.vstack([row(0, 0), joint]), np.vstack([joint, row(4, 2)]), np.concatenate([one, two])
    )
    assert s.radius == pytest.approx([11.3588989, 1.7282202], abs=5e-8)


unit = st.floats(-1.2, 1.2).map(lambda a: (math.cos(a), math.sin(a)))


@lawful
@given(unit, unit, st.floats(1, 50), st.floats(-0.5, 0.5))
def test_biarcs_meet_points_and_tangents(u, v, x, slant):
    joint, one, two = biarcs(row(0, 0), row(*u), row(x, x * slant), row(*v))
    s = Segments(
        np.vstack([row(0, 0), joint]),
        np.vstack([joint, row(x, x * slant)]),
        np.concatenate([one, two]),
    )
    # Square to both tangents the arms have no end.
    if (row(x, x * slant) @ (np.array(u) + v))[0] < 0.2 * x or min(s.chord) < 1e-6:
        return
    t0, t1 = s.tangent(np.zeros(2)), s.tangent(np.ones(2))
    assert t0[0] == pytest.approx(u, abs=1e-7) and t1[1] == pytest.approx(v, abs=1e-7)
    assert t1[0] == pytest.approx(t0[1], abs=1e-6)
    # Equal arms: the tangent lengths at both ends are the same.
    arms = s.radius * np.abs(np.tan(s.sweep / 2.0))
    if s.arc.all() and np.abs(s.bulge).min() > 1e-6:
        assert arms[0] == pytest.approx(arms[1], rel=1e-5)


def test_a_straight_line_gives_flat_biarcs():
    joint, one, two = biarcs(row(0, 0), row(1, 0), row(10, 0), row(1, 0))
    assert joint[0] == pytest.approx([5.0, 0.0]) and one[0] == two[0] == 0.0


def test_error_order_is_the_cube_of_the_step():
    # The error of a biarc is of third order, so that halving the step divides it by 8 in the limit:
    # Meek & Walton,
    # J. Comput. Appl. Math. 59 (1995) 221, from memory.
    point, slope = ellipse(20, 10)
    worst = []
    for n in (16, 32, 64, 128, 256, 512):
        t = np.linspace(0, 2 * math.pi, n + 1)
        p, d = point(t), slope(t)
        d /= np.hypot(*d.T)[:, None]
        joint, one, two = biarcs(p[:-1], d[:-1], p[1:], d[1:])
        s = Segments(
            np.vstack([p[:-1], joint]), np.vstack([joint, p[1:]]), np.concatenate([one, two])
        )
        worst.append(s.nearest(point(np.linspace(0, 2 * math.pi, 8 * n + 1)))[0].max())
    ratios = np.array(worst[:-1]) / worst[1:]
    assert np.all(np.diff(ratios) < 0) and ratios[-1] == pytest.approx(8.0, abs=0.25)


@pytest.mark.parametrize("tolerance", [0.1, 0.01, 0.001, 1e-4])
def test_ellipse_within_the_tolerance(tolerance):
    point, slope = ellipse(20, 10)
    rows = fit_arcs(point, slope, (0.0, 2 * math.pi), tolerance)
    s = chain(rows)
    dense = point(np.linspace(0, 2 * math.pi, 20001))
    assert 0.5 * tolerance < s.nearest(dense)[0].max() <= tolerance
    assert kinks(s).max() < 1e-6
    # Area pi a b and perimeter 4 a E(e): ellipse 20, 10 -> 628.3185307, 96.8844822 (Abramowitz &
    # Stegun ch. 17, from
    # memory; scipy's E agrees).
    assert 4 * 20 * ellipe(0.75) == pytest.approx(96.8844822, abs=5e-8)
    made = profile(rows[:-1])
    assert made.area == pytest.approx(628.3185307, abs=tolerance * 96.9)
    assert s.length.sum() == pytest.approx(96.8844822, abs=30 * tolerance)


def test_the_count_follows_the_cube_law_and_is_near_the_least():
    point, slope = ellipse(200, 100)
    counts = [
        len(fit_arcs(point, slope, (0.0, 2 * math.pi), t)) - 1 for t in (0.1, 0.01, 0.001, 1e-4)
    ]
    ratios = np.array(counts[1:]) / counts[:-1]
    assert np.all(np.abs(ratios - 10 ** (1 / 3)) < 0.35)
    # Fewer biarcs cannot do: equal-error steps fill the tolerance, but for the last.
    rows = fit_arcs(point, slope, (0.0, 2 * math.pi), 0.01)
    t = np.unwrap(np.arctan2(rows[::2, 1] / 100, rows[::2, 0] / 200))
    t[-1] = 2 * math.pi
    s = chain(rows)
    errors = [
        s.take(np.array([2 * k, 2 * k + 1]))
        .nearest(point(np.linspace(t[k], t[k + 1], 200)))[0]
        .max()
        for k in range(len(t) - 1)
    ]
    assert min(errors[:-1]) > 0.005 and max(errors) <= 0.01


wave = st.tuples(st.floats(-0.25, 0.25), st.floats(-0.1, 0.1), st.floats(-0.05, 0.05))


@lawful
@given(wave, st.floats(20, 300), st.sampled_from([0.05, 0.01, 0.002]))
def test_waves_stay_within_the_tolerance_and_tangent(wave, size, tolerance):
    a, b, c = wave

    def point(t):
        r = size * (1 + a * np.cos(2 * t) + b * np.sin(3 * t) + c * np.cos(5 * t))
        return np.column_stack([r * np.cos(t), r * np.sin(t)])

    def slope(t):
        r = size * (1 + a * np.cos(2 * t) + b * np.sin(3 * t) + c * np.cos(5 * t))
        d = size * (-2 * a * np.sin(2 * t) + 3 * b * np.cos(3 * t) - 5 * c * np.sin(5 * t))
        return np.column_stack([d * np.cos(t) - r * np.sin(t), d * np.sin(t) + r * np.cos(t)])

    breaks = np.array([0.0, 1.0, 1.3, 4.0, 2 * math.pi])
    rows = fit_arcs(point, slope, breaks, tolerance)
    s = chain(rows)
    assert s.nearest(point(np.linspace(0, 2 * math.pi, 6001)))[0].max() <= tolerance
    assert kinks(s).max() < 1e-6
    at_breaks = np.hypot(*(rows[None, :, :2] - point(breaks)[:, None, :]).transpose(2, 0, 1)).min(
        axis=1
    )
    assert at_breaks.max() < 1e-9


def test_lines_and_circles_cost_little():
    rows = fit_arcs(
        lambda t: np.column_stack([3 * t, 4 * t]),
        lambda t: np.column_stack([3 + 0 * t, 4 + 0 * t]),
        (0.0, 20.0),
    )
    assert len(rows) == 3 and not rows[:, 2].any()
    point, slope = ellipse(50, 50)
    rows = fit_arcs(point, slope, (0.0, 2 * math.pi), 1e-6)
    assert len(rows) <= 21 and chain(rows).radius == pytest.approx(
        [50.0] * (len(rows) - 1), abs=1e-7
    )


def test_arc_length_of_a_power_curve():
    # 2 x^1.5 over 0..1: (2/27)(10 sqrt(10) - 1) = 2.268354, OpenStax Calculus vol. 1, section 6.4.
    rows = fit_arcs(
        lambda t: np.column_stack([t * t, 2 * t**3]),
        lambda t: np.column_stack([2 * t, 6 * t * t]),
        (1e-9, 1.0),
        1e-6,
    )
    assert chain(rows).length.sum() == pytest.approx(2.268354, abs=2e-6)


@pytest.mark.parametrize(
    "breaks, tolerance, slope",
    [
        ((0.0,), 0.01, None),
        ((0.0, 0.0), 0.01, None),
        ((1.0, 0.0), 0.01, None),
        ((0.0, math.nan), 0.01, None),
        ((0.0, 1.0), 0.0, None),
        ((0.0, 1.0), -1.0, None),
        ((0.0, 1.0), math.nan, None),
        ((0.0, 1.0), 0.01, lambda t: np.zeros((len(t), 2))),
        ((0.0, 1.0), 0.01, lambda t: np.full((len(t), 2), np.nan)),
    ],
)
def test_bad_input_raises_input_error_that_names_the_curve(breaks, tolerance, slope):
    point, good = ellipse(20, 10)
    with pytest.raises(InputError, match="the horn"):
        fit_arcs(point, slope or good, breaks, tolerance, "the horn")
    with pytest.raises(InputError, match="the horn"):
        fit_arcs(lambda t: point(t) * np.nan, good, (0.0, 1.0), 0.01, "the horn")
