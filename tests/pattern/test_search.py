"""The search against every pattern there is, and what it calls wide against a search over ways."""

from __future__ import annotations

import math
from dataclasses import replace
from itertools import combinations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from shapely.geometry import MultiPoint, Point

from bodycad.checks.rules.loads import Load
from bodycad.pattern.search import SYMMETRY, WITHIN, Field, search, spread
from bodycad.pattern.standing import standing_of
from bodycad.pattern.widest import field_of
from tests.pattern.bodies import BODIES

NONE = -math.inf
MOUTH = 60.0
PULL = Load("pull", "pulled", "joint-load", 1000.0, (1.0, 0.0, 0.0))
PUSH = Load("push", "pushed", "joint-load.push", 1000.0, (-1.0, 0.0, MOUTH))
SIDE = Load("side", "aside", "joint-load.side", 50.0 * 400.0, None, 50.0)


def every_pattern(field: Field, count: int) -> np.ndarray:
    """Every pattern (m, n) that stands, by trying them all."""
    tried = np.array(list(combinations(range(len(field.at)), count)), int).reshape(-1, count)
    return tried[field.stand(tried)] if len(tried) else tried


def even(field: Field, pattern: np.ndarray) -> bool:
    """Whether a pattern is the same on both sides."""
    places = {tuple(field.at[k]) for k in pattern.tolist()}
    return places == {(u, -v + 0.0) for u, v in places}


def longest(field: Field, patterns: np.ndarray) -> float:
    """The longest least lever of some patterns; 0 where none reaches round the middle."""
    return max(float(field.spread(patterns)[0].max()), 0.0) if len(patterns) else 0.0


@st.composite
def fields(draw):
    """A few rows and columns with holes; screws of up to three strengths."""
    n, m = draw(st.integers(2, 5)), draw(st.integers(2, 5))
    kinds = st.sampled_from([0.0, 0.0, 90.0, 100.0, 400.0])
    flat = np.array(draw(st.lists(kinds, min_size=n * m, max_size=n * m)))
    u, v = 6.0 + 12.0 * np.arange(n), 12.0 * (np.arange(m) - draw(st.integers(0, m - 1)))
    at = np.array([(a, b) for a in u for b in v])[flat > 0.0].reshape(-1, 2)
    holds = flat[flat > 0.0]
    asked = draw(st.sampled_from([0.0, 1.0, 3.0, 5.0]))
    apart = draw(st.sampled_from([3.0, 13.0, 18.0]))
    reserves = ((PULL, asked), (PUSH, asked), (SIDE, asked / 10.0))
    return Field(at, holds, holds / 4.0, apart, 12.0, MOUTH / 2.0, reserves)


@settings(max_examples=300, deadline=None)
@given(fields(), st.sampled_from([3, 4, 5]))
def test_any_field_as_by_trying_everything(field, count):
    """None only where nothing reaches round the middle; else it stands, its least lever is the
    longest to WITHIN, and it is symmetric wherever that costs no more than SYMMETRY."""
    patterns, found = every_pattern(field, count), search(field, count)
    most = longest(field, patterns)
    if most <= 0.0:
        assert found is None
        return
    assert found is not None and len(set(found)) == count
    chosen = np.array([found])
    assert field.stand(chosen).all()
    lever = longest(field, chosen)
    same = longest(field, patterns[[even(field, p) for p in patterns]])
    if same >= (1.0 - SYMMETRY) * most:
        assert even(field, chosen[0]) and lever >= same - WITHIN - 1e-9
    else:
        assert lever >= most - WITHIN - 1e-9
        near = patterns[field.spread(patterns)[0] >= lever - 1e-9]
        assert field.spread(chosen)[1][0] >= field.spread(near)[1].max() - 1e-6


@pytest.mark.parametrize(
    "name, count, grid",
    [
        ("teasel", 3, 4.0),
        ("teasel", 4, 5.0),
        ("tilted", 4, 5.0),
        ("narrow", 4, 4.5),
        ("beside", 4, 5.0),
        ("bound", 5, 6.5),
    ],
)
def test_a_heel_on_a_coarse_grid_as_by_trying_everything(name, count, grid):
    """Real heels: no pattern reaches farther the way that it reaches least."""
    layout = BODIES[name]()
    field = field_of(layout, standing_of(layout, grid=grid))
    patterns, found = every_pattern(field, count), search(field, count)
    assert found is not None and len(patterns) > 50
    lever, most = longest(field, np.array([found])), longest(field, patterns)
    assert lever >= (1.0 - SYMMETRY) * most - WITHIN
    if not even(field, np.array(found)):
        assert lever >= most - WITHIN - 1e-9


def farthest_round(field: Field, count: int) -> float:
    """The longest least lever of `count` screws that only keep apart from their neighbours, by
    dynamic programming: a closed way round the middle over the outermost places, whose sides all
    pass the middle as far off as can be. A screw moved straight out never shortens a lever."""
    points = field.at - np.array([field.middle, 0.0])
    way, outer = np.arctan2(points[:, 1], points[:, 0]).round(9), {}
    for k in np.argsort(np.hypot(*points.T)):
        outer[way[k]] = k
    x, y = points[[outer[one] for one in sorted(outer)]].T
    turn = x[:, None] * y - y[:, None] * x
    length = np.hypot(x[:, None] - x, y[:, None] - y)
    side = np.where((turn > 0.0) & (length >= field.apart), turn / np.maximum(length, 1e-9), NONE)
    onward = np.where(np.triu(np.ones_like(side, bool), 1), side, NONE)
    reach = onward
    for _ in range(count - 2):
        longer = np.full_like(side, NONE)
        for k in range(len(x)):
            longer = np.maximum(longer, np.minimum(reach[:, k][:, None], onward[k]))
        reach = longer
    return float(np.minimum(reach, side.T).max())


@pytest.mark.parametrize("name", ["teasel", "narrow", "bound", "beside"])
def test_a_fine_grid_is_searched_nearly_as_well_as_can_be(name):
    """On 2 mm, all places: no longer lever than can be, and to 0.5 mm (and what symmetry may cost)
    as long."""
    layout = BODIES[name]()
    field = field_of(layout, standing_of(layout, grid=2.0))
    for count in (3, 4):
        found = search(field, count)
        most = max(farthest_round(field, n) for n in range(3, count + 1))
        assert found is not None
        lever = longest(field, np.array([found]))
        least = most if not even(field, np.array(found)) else (1.0 - SYMMETRY) * most
        assert least - WITHIN - 0.1 <= lever <= most + 1e-9


@pytest.mark.parametrize("count", [3, 4, 5])
def test_levers_and_areas_are_those_of_the_convex_hull(count):
    """Against shapely: the hull's area, and the distance of its rim from the middle, negative
    outside."""
    rng = np.random.default_rng(count)
    groups = rng.uniform(-20.0, 20.0, (200, count, 2))
    levers, areas = spread(groups)
    for group, lever, area in zip(groups, levers, areas):
        hull, middle = MultiPoint(group).convex_hull, Point(0.0, 0.0)
        assert area == pytest.approx(hull.area)
        if hull.contains(middle):
            assert lever == pytest.approx(hull.exterior.distance(middle))
        else:
            assert lever <= 0.0


def test_the_lever_is_the_least_reach_over_all_ways():
    """A screw inside the polygon, three in a row and 72,000 ways: the least of the farthest screws
    along each way."""
    turns = np.linspace(0.0, 2.0 * math.pi, 72_001)
    ways = np.column_stack([np.cos(turns), np.sin(turns)])
    for group in (
        [(-20.0, -10.0), (20.0, -10.0), (0.0, -10.0), (3.0, 18.0), (1.0, 2.0)],
        [(-20.0, -15.0), (20.0, -12.0), (18.0, 15.0), (-20.0, 11.0)],
    ):
        reach = (np.array(group) @ ways.T).max(axis=0).min()
        assert spread(np.array([group]))[0][0] == pytest.approx(reach, abs=1e-3)


def test_screws_in_a_row_hold_one_way_only():
    """Their polygon has no area and the middle no circle."""
    lever, area = spread(np.array([[(-10.0, 0.0), (0.0, 0.0), (15.0, 0.0)]]))
    assert lever[0] <= 0.0 and area[0] == 0.0
    lever, area = spread(np.array([[(-10.0, 4.0), (0.0, 4.0), (15.0, 4.0)]]))
    assert lever[0] <= 0.0 and area[0] == 0.0


def test_by_hand():
    """Rows at 10, 20 and 50 mm about a middle at 30, columns at 15 and 12 mm either side: the four
    farthest out reach 15 mm aside and 20 mm along. Without the place at (50, 15)
    its side from (10, 15) to (50, 12) passes the middle at 13.46 mm, and the symmetric pattern is
    taken, for it reaches as far."""
    at = np.array([(u, s * v) for u in (10.0, 20.0, 50.0) for v in (12.0, 15.0) for s in (1, -1)])
    strong = np.full(len(at), 1000.0)
    field = Field(at, strong, strong, 2.0, 1.0, 30.0, ())
    found = search(field, 4)
    assert sorted(map(tuple, at[list(found)].tolist())) == [
        (10.0, -15.0),
        (10.0, 15.0),
        (50.0, -15.0),
        (50.0, 15.0),
    ]
    kept = ~((at[:, 0] == 50.0) & (at[:, 1] == 15.0))
    less = replace(field, at=at[kept], holds=strong[kept], slips=strong[kept])
    found = search(less, 4)
    assert even(less, np.array(found))
    assert {tuple(p) for p in less.at[list(found)]} >= {(50.0, 12.0), (50.0, -12.0)}


def test_a_reserve_that_only_strong_screws_hold_keeps_weak_places_out():
    """Four strong places inside, four weak ones farther out. Of a pull of 1000 N mm two weak ones
    at 8 mm and two strong ones at 45 carry 1.915 and 10.77 N: held 5.2 times; the strong ones
    alone hold 10 times."""
    out = [(u, v) for u in (8.0, 52.0) for v in (-16.0, 16.0)]
    inner = [(u, v) for u in (15.0, 45.0) for v in (-10.0, 10.0)]
    at = np.array(out + inner)
    holds = np.array([10.0] * 4 + [100.0] * 4)
    for asked, chosen in ((0.0, [0, 1, 2, 3]), (5.0, [0, 1, 6, 7]), (6.0, [4, 5, 6, 7])):
        field = Field(at, holds, holds, 5.0, 1.0, 30.0, ((PULL, asked),))
        assert sorted(search(field, 4)) == chosen
    assert search(replace(field, reserves=((PULL, 11.0),)), 4) is None
