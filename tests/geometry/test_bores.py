"""Two drilled holes: closed forms by hand, and turns against the search that knows neither."""

import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from bodycad.geometry.distance.bores import (
    CLOSE,
    as_bore,
    bore_prism_gap,
    bores_apart,
    bores_gap,
)
from bodycad.geometry.distance.gap import at_least, gap, meet
from bodycad.geometry.distance.search import BOUND, bore_gap
from bodycad.geometry.plane.build import circle, rectangle
from bodycad.geometry.plane.profile import profile
from bodycad.geometry.solids.bore import Bore, bore
from bodycad.geometry.solids.prism import Prism

LAWFUL = settings(deadline=None, max_examples=150, derandomize=True)
PLANS = [
    rectangle(30.0, 12.0, 3.0),
    rectangle(20.0, 20.0),
    circle(16.0),
    profile([(0, 0), (20, 0, 0.3), (20, 10), (10, 6, -0.4), (0, 12)]),
]
X, Y, DOWN = (1.0, 0.0, 0.0), (0.0, 1.0, 0.0), (0.0, 0.0, -1.0)


@pytest.mark.parametrize(
    "one, two, distance",
    [
        # Axes that cross at right angles 10 apart, radii 2 and 3.
        (bore((-20, 0, 0), X, 4.0, 40.0), bore((0, -20, 10), Y, 6.0, 40.0), 5.0),
        # Side by side: 8 apart, radii 2 and 1.5.
        (bore((0, 0, 0), X, 4.0, 40.0), bore((10, 8, 0), X, 3.0, 40.0), 4.5),
        # End to end on one axis.
        (bore((0, 0, 0), X, 4.0, 20.0), bore((26, 0, 0), X, 8.0, 20.0), 6.0),
        # The flat end of one against the side of the other: 15 - 10 - 3.
        (bore((0, 0, 0), X, 4.0, 10.0), bore((15, 0, 20), DOWN, 6.0, 40.0), 2.0),
        # A 90 degree point of a 4 mm drill: its tip reaches 10, the side stands at 12.
        (bore((0, 0, 0), X, 4.0, 10.0, 90.0), bore((15, 0, 20), DOWN, 6.0, 40.0), 2.0),
        # Rims corner to corner: 3 along and 4 across between two coaxial-parallel ends.
        (bore((0, 0, 0), X, 2.0, 10.0), bore((13, 6, 0), X, 2.0, 10.0), 5.0),
        # They cross.
        (bore((-20, 0, 0), X, 4.0, 40.0), bore((0, -20, 4), Y, 6.0, 40.0), 0.0),
        (bore((-20, 0, 0), X, 4.0, 40.0), bore((0, -20, 0), Y, 6.0, 40.0), 0.0),
    ],
)
def test_by_hand(one, two, distance):
    for a, b in ((one, two), (two, one)):
        found = bores_gap(a, b)
        assert distance - 1e-9 <= found.distance <= distance + CLOSE and found.bound <= CLOSE
        assert meet(a, b) == (distance == 0.0)
        for shape, spot in zip((a, b), found.at):
            assert shape.closest(np.array([spot]))[0][0] < 1e-9


@pytest.mark.parametrize("seed", range(40))
def test_an_end_that_touches_a_side_meets_it(seed):
    """The flat end of one hole on the side of an upright one."""
    x, y, radius = *np.random.default_rng(seed).uniform(-20.0, 20.0, 2), 1.5 + 0.1 * seed
    one, two = (
        bore((x, y, 0.0), DOWN, 2.0 * radius, 45.0),
        bore((x, y + 30.0 + radius, -10.0), (0.0, -1.0, 0.0), 3.0, 30.0),
    )
    assert (
        gap(one, two).distance <= 1e-9
        and meet(one, two)
        and meet(two, one)
        and at_least(one, two) <= 1e-12
    )


@st.composite
def bores(draw) -> Bore:
    number, seed = st.floats, draw(st.integers(0, 10**6))
    way = np.random.default_rng(seed).normal(size=3)
    return bore(
        tuple(draw(number(-20.0, 20.0)) for _ in range(3)),
        tuple(way),
        draw(number(1.0, 14.0)),
        draw(number(10.0, 60.0)),
        draw(st.sampled_from([180.0, 118.0, 90.0])),
    )


@LAWFUL
@given(bores(), bores())
def test_turns_agrees_with_the_search(one, two):
    found, searched = bores_gap(one, two), bore_gap(one, two.closest)
    if found.bound > CLOSE:  # rims that barely meet: left to the search
        assert abs(found.distance - searched.distance) <= searched.bound
        return
    assert searched.distance - searched.bound - 1e-9 <= found.distance <= searched.distance + CLOSE
    assert math.dist(*found.at) == pytest.approx(found.distance, abs=1e-9)
    assert bores_apart(one, two) <= found.distance + 1e-9


@LAWFUL
@given(bores(), st.integers(0, 10**6))
def test_no_point_of_a_bore_is_nearer_than_its_nearest(one, seed):
    r = np.random.default_rng(seed)
    points, along = r.uniform(-40.0, 40.0, (8, 3)), r.uniform(0.0, one.length, 500)
    wide = np.minimum(1.0, (one.length - along) / one.tip) if one.tip else np.ones(500)
    off, turn = one.radius * wide * r.uniform(0.0, 1.0, 500), r.uniform(0.0, 2.0 * math.pi, 500)
    across = np.cos(turn)[:, None] * one.axes[0] + np.sin(turn)[:, None] * one.axes[1]
    own = one.at(along) + off[:, None] * across
    away, spots = one.closest(points)
    assert np.linalg.norm(spots - points, axis=1) == pytest.approx(away, abs=1e-9)
    assert one.closest(spots)[0].max() < 1e-9 and one.closest(own)[0].max() < 1e-9
    apart = np.linalg.norm(points[:, None, :] - own, axis=2).min(axis=1)
    assert (apart >= away - 1e-9).all()


@LAWFUL
@given(bores(), st.integers(0, 10**6))
def test_turns_on_a_prism_agrees_with_the_search(one, seed):
    r = np.random.default_rng(seed)
    plan = PLANS[r.integers(len(PLANS))].moved(*r.uniform(-40, 40, 2), r.uniform(0, 360))
    prism = Prism(plan, -r.uniform(5, 30), r.uniform(0, 10))
    found, searched = bore_prism_gap(one, prism), bore_gap(one, prism.closest)
    if found.bound <= CLOSE:  # in a bay of the prism it is searched
        assert (
            searched.distance - searched.bound - 1e-9 <= found.distance <= searched.distance + CLOSE
        )
        assert math.dist(*found.at) == pytest.approx(found.distance, abs=1e-9)
    assert abs(found.distance - searched.distance) <= searched.bound + CLOSE


def test_a_hole_in_a_bay_of_a_prism_is_searched():
    """A horseshoe 4 mm wide round a hole of radius 2 whose axis is 10 from each side: no plane
    stands between them."""
    shoe = Prism(
        profile(
            [(-16, -16), (20, -16), (20, -12), (-12, -12), (-12, 12), (20, 12), (20, 16), (-16, 16)]
        ),
        -20.0,
        0.0,
    )
    hole = bore((-2.0, 2.0, -10.0), (1.0, 0.0, 1e-3), 4.0, 18.0)
    assert bore_prism_gap(hole, shoe).bound == BOUND
    assert gap(hole, shoe).distance == pytest.approx(12.0 - 2.0 - 2.0, abs=0.012)


@LAWFUL
@given(bores(), st.floats(5.0, 25.0), st.floats(-40.0, 40.0), st.booleans())
def test_a_lower_bound_is_one(one, size, x, round_):
    other = Prism(
        circle(size, x, 5.0) if round_ else rectangle(size, 12.0, 2.0, x, 5.0), -30.0, -12.0
    )
    found = gap(one, other)
    assert (
        at_least(one, other) <= found.distance + 1e-9
        and at_least(other, one) <= found.distance + 1e-9
    )
    assert meet(one, other) == meet(other, one) == (found.distance == 0.0)


def test_a_round_prism_is_a_bore():
    made = as_bore(Prism(circle(8.0, 3.0, 4.0), -20.0, -5.0))
    assert (
        made.start == pytest.approx((3.0, 4.0, -5.0))
        and made.end == pytest.approx((3.0, 4.0, -20.0))
        and made.diameter == pytest.approx(8.0)
    )
    assert as_bore(Prism(rectangle(8.0, 8.0), -20.0, -5.0)) is None
    assert as_bore(Prism(circle(8.0), -20.0, -5.0, (0.1, 0.0))) is None
