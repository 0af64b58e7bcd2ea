"""The search against every pattern there is, on fields small enough to try them all."""

from __future__ import annotations

import math
from itertools import combinations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from bodycad.pattern.best import field_of
from bodycad.pattern.rows import Bounds, Field
from bodycad.pattern.search import Rule, moment, search
from bodycad.pattern.standing import standing_of
from tests.pattern.bodies import BODIES, teasel

NONE = -math.inf


def brute_force(field: Field, rule: Rule) -> float | None:
    """The greatest moment by trying every pattern."""
    spots = [tuple(map(int, spot)) for spot in np.argwhere(field.strength > -math.inf)]
    best = None
    for places in combinations(spots, rule.count):
        us, vs = [float(field.u[i]) for i, _ in places], [float(field.v[j]) for _, j in places]
        if max(us) - min(us) < rule.span or rule.both and not min(vs) < 0.0 < max(vs):
            continue
        if all(
            math.hypot(us[a] - us[b], vs[a] - vs[b]) >= field.apart
            for a, b in combinations(range(rule.count), 2)
        ):
            best = max(best or 0.0, moment(field, places))
    return best


@st.composite
def fields(draw):
    """A few rows and columns with holes and up to three strengths; rows may begin at a lever of
    nil."""
    n, m = draw(st.integers(2, 6)), draw(st.integers(2, 7))
    flat = draw(
        st.lists(
            st.sampled_from([NONE, NONE, 900.0, 1000.0, 1600.0]), min_size=n * m, max_size=n * m
        )
    )
    first = draw(st.sampled_from([0.0, 2.0, 11.0]))
    u, v = first + 4.0 * np.arange(n), 4.0 * (np.arange(m) - draw(st.integers(0, m - 1)))
    return Field(
        u, v, np.array(flat).reshape(n, m), draw(st.sampled_from([3.0, 5.5, 8.0, 9.0, 13.0]))
    )


@settings(max_examples=150, deadline=None)
@given(fields(), st.sampled_from([3, 4, 5]), st.booleans(), st.sampled_from([0.0, 8.0, 12.0]))
def test_any_field_as_by_brute_force(field, count, both, span):
    rule = Rule(count, both, span)
    best, found = brute_force(field, rule), search(field, rule)
    assert (best is None) == (found is None)
    if found is not None:
        assert found.moment == pytest.approx(best, rel=1e-9) and found.moment == moment(
            field, found.places
        )
        holds(field, rule, found)
        again = search(field, rule, Bounds(field), found.moment, first=True)
        assert again is not None and again.moment >= found.moment * (1.0 - 1e-9)
        assert found.moment == 0.0 or search(field, rule, least=found.moment * 1.001) is None


def holds(field, rule, found):
    """The pattern keeps its rule and its distances, on places where a screw may stand."""
    spots = [(field.u[i], field.v[j]) for i, j in found.places]
    assert len(set(spots)) == rule.count and all(
        field.strength[place] > NONE for place in found.places
    )
    assert all(math.dist(a, b) >= field.apart for k, a in enumerate(spots) for b in spots[:k])
    us, vs = zip(*spots)
    assert max(us) - min(us) >= rule.span - 1e-6 and (not rule.both or min(vs) < 0.0 < max(vs))


@pytest.mark.parametrize(
    "name, count, grid",
    [
        ("teasel", 3, 4.0),
        ("teasel", 4, 5.0),
        ("tilted", 4, 5.0),
        ("narrow", 4, 4.5),
        ("bound", 5, 6.5),
    ],
)
def test_a_heel_on_a_coarse_grid_as_by_brute_force(name, count, grid):
    """Real heels, with and without the rule of both sides and half a heel."""
    layout = BODIES[name]()
    field = field_of(layout, standing_of(layout, grid=grid))
    for rule in (Rule(count, False, 0.0), Rule(count, True, 24.0)):
        best, found = brute_force(field, rule), search(field, rule)
        assert best is not None and found.moment == pytest.approx(best, rel=1e-9)
        holds(field, rule, found)


def test_bounds_of_a_wider_field_do_for_a_narrower_one():
    """Every spare that the tuning asks for: the same answer with the first field's bounds as with
    its own."""
    layout = teasel()
    found = standing_of(layout, grid=2.0)
    wide, rule = Bounds(field_of(layout, found)), Rule(4, True, 30.0)
    answers = []
    for spare in (0.0, 0.4, 0.9, 1.6):
        field = field_of(layout, found, spare)
        one, two = search(field, rule, wide), search(field, rule)
        assert (one is None) == (two is None)
        answers.append(one.moment if one else None)
        assert one is None or one.moment == pytest.approx(two.moment, rel=1e-12)
    assert answers[0] > answers[2] > 0.0


def test_by_hand():
    """Rows at 20 and 30 mm, one column each side 10 mm off the middle, all of 1000 N: four screws
    resist (2 20^2 + 2 30^2) 1000 / 30; weaker ones at 40 mm would draw out first, at 300 / 40 a mm.
    A fifth must stand there, and then both do: (20^2 + 2 30^2 + 2 40^2) 300 / 40."""
    v = np.array([-10.0, 0.0, 10.0])
    strength = np.array([[1000.0, NONE, 1000.0], [1000.0, NONE, 1000.0], [300.0, NONE, 300.0]])
    field = Field(np.array([20.0, 30.0, 40.0]), v, strength, 9.0)
    found = search(field, Rule(4, True, 0.0))
    assert found.moment == pytest.approx(2600.0 * 1000.0 / 30.0)
    assert sorted(found.places) == [(0, 0), (0, 2), (1, 0), (1, 2)]
    assert search(field, Rule(4, True, 25.0)) is None
    assert search(field, Rule(5, True, 0.0)).moment == pytest.approx(5400.0 * 7.5)
