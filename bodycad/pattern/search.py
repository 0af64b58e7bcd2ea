"""The search for the most even, widest pattern of neck screws among the places of a heel.

How wide a pattern is. A load tips the heel some way or other. How far the screws reach that way
from the middle of the heel is the pattern's lever against it. The least lever over all ways is the
radius of the greatest circle about the middle of the heel that fits inside the polygon of the
screws: a pattern that is crowded anywhere has a short one, however far it reaches elsewhere.

What is sought. Of the patterns that keep the screws apart and hold every load with its reserve:

1. the one with the longest least lever;
2. of those within WITHIN mm of it, the one whose polygon has the greatest area;
3. one that is symmetric about the centreline, where that costs at most SYMMETRY of the least lever.

How. All patterns of a chosen few places are tried, most of them far out; the best STARTS of them
are then improved on all places, one screw (or one pair) at a time, and the best of these all at
once by a step of the grid, until no such move is of advantage. Where the places are few enough all
patterns are tried. The answer is the same every time; on a fine grid it is not proven to be the
best of all.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from itertools import chain, combinations

import numpy as np

from bodycad.checks.rules.loads import Group, Load

WITHIN = 0.5
"""Least levers that differ by less (mm) count as one when the area decides."""
SYMMETRY = 0.1
"""Share of the least lever that symmetry may cost (common practice, no source)."""
TRIED = 30_000
"""Most patterns that are tried at first."""
STARTS = 4
NEAR = 1e-9

Score = Callable[[np.ndarray, np.ndarray], np.ndarray]
"""What is to be great, of least levers (m,) in mm and areas (m,) in mm2."""


@dataclass(frozen=True, eq=False)
class Field:
    """What the search knows: `at` (m, 2), the places (u, v) where a screw may stand, with the
    strengths (m,) of the strongest screw that may stand there (see `Group`); the least distance of
    two screws; the grid's spacing; u of the heel's middle; and each load with the reserve that is
    asked. mm and N."""

    at: np.ndarray
    holds: np.ndarray
    slips: np.ndarray
    apart: float
    grid: float
    middle: float
    reserves: tuple[tuple[Load, float], ...]

    def spread(self, patterns: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
        """Least lever (m,) and area (m,) of patterns (m, n) of places."""
        return spread(self.at[patterns] - np.array([self.middle, 0.0]))

    def stand(self, patterns: np.ndarray) -> np.ndarray:
        """Whether patterns (m, n) keep their screws apart and hold every load with its reserve."""
        u, v = np.moveaxis(self.at[patterns], -1, 0)
        good = np.ones(len(patterns), bool)
        for i, j in combinations(range(patterns.shape[1]), 2):
            good &= np.hypot(u[:, i] - u[:, j], v[:, i] - v[:, j]) >= self.apart - NEAR
        group = Group(u, v, self.holds[patterns], self.slips[patterns])
        for load, reserve in self.reserves:
            good &= load.times(group) >= reserve - NEAR
        return good


@dataclass(frozen=True, eq=False)
class _Kind:
    """`count` sets of screws that are placed together; rows (m, w): the places of every such set
    that may be chosen."""

    rows: np.ndarray
    count: int


def spread(points: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
    """Of screws (m, n, 2) about the heel's middle: the radius (m,) of the greatest circle about the
    middle inside their polygon, negative where the middle lies outside, and the polygon's area
    (m,)."""
    x, y = np.moveaxis(points, -1, 0)
    lever, area = np.full(len(x), math.inf), np.zeros(len(x))
    for i, j in combinations(range(x.shape[1]), 2):
        dx, dy = x[:, j] - x[:, i], y[:, j] - y[:, i]
        length = np.hypot(dx, dy)
        left, right = np.ones(len(x), bool), np.ones(len(x), bool)
        for k in range(x.shape[1]):
            if k in (i, j):
                continue
            px, py = x[:, k] - x[:, i], y[:, k] - y[:, i]
            turn, along = dx * py - dy * px, dx * px + dy * py
            between = (np.abs(turn) <= NEAR) & (along >= 0.0) & (along <= length * length)
            left &= between | (turn > NEAR)
            right &= between | (turn < -NEAR)
        twice = x[:, i] * y[:, j] - x[:, j] * y[:, i]
        with np.errstate(divide="ignore", invalid="ignore"):
            far = np.where(length > 0.0, twice / length, 0.0)
        lever = np.where(left, np.minimum(lever, far), lever)
        lever = np.where(right, np.minimum(lever, -far), lever)
        area += np.where(left, twice / 2.0, 0.0) - np.where(right, twice / 2.0, 0.0)
    return lever, area


def search(field: Field, count: int) -> tuple[int, ...] | None:
    """The places of the most even, widest pattern of `count` screws, or None where none was found
    that reaches round the middle of the heel."""
    u, v = field.at.T
    there = {place: k for k, place in enumerate(zip(u.tolist(), v.tolist()))}
    pairs = [(k, there[a, -b]) for (a, b), k in there.items() if b > 0.0 and (a, -b) in there]
    middle = np.flatnonzero(v == 0.0)[:, None]
    free = _widest(field, [_Kind(np.arange(len(u))[:, None], count)])
    if free is None:
        return None
    same = [
        _widest(
            field, [_Kind(np.array(pairs, int).reshape(-1, 2), n), _Kind(middle, count - 2 * n)]
        )
        for n in range(1, count // 2 + 1)
    ]
    found = [free, *(one for one in same if one is not None)]
    levers = field.spread(np.array(found))[0]
    even = int(levers[1:].argmax()) + 1 if len(found) > 1 else 0
    return found[even] if levers[even] >= (1.0 - SYMMETRY) * levers[0] else free


def _widest(field: Field, kinds: Sequence[_Kind]) -> tuple[int, ...] | None:
    """The widest pattern that is made of the given kinds of sets."""
    kinds = [kind for kind in kinds if kind.count]
    if any(len(kind.rows) < kind.count for kind in kinds):
        return None
    found = [_improved(field, kinds, one, _reach) for one in _starts(field, kinds)]
    if not found:
        return None
    scores = _reach(*field.spread(np.array(found)))
    best = _nudged(field, kinds, found[int(scores.argmax())], _reach)
    lever = float(field.spread(best[None])[0][0])

    def area(levers: np.ndarray, areas: np.ndarray) -> np.ndarray:
        return np.where(levers >= lever - WITHIN, areas, -math.inf)

    best = _improved(field, kinds, best, area)
    return tuple(map(int, best)) if lever > 0.0 else None


def _reach(lever: np.ndarray, area: np.ndarray) -> np.ndarray:
    """The least lever; a little for the area keeps screws moving that do not decide it."""
    return np.asarray(lever + 0.01 * np.sqrt(np.maximum(area, 0.0)))


def _starts(field: Field, kinds: Sequence[_Kind]) -> list[np.ndarray]:
    """The widest patterns that stand of a few places of each kind."""
    most = next(k for k in range(400, 1, -1) if _patterns(kinds, k) <= TRIED)
    tried = np.empty((1, 0), int)
    for kind in kinds:
        few = _few(field, kind.rows, most)
        chosen = combinations(range(len(few)), kind.count)
        flat = np.fromiter(chain.from_iterable(chosen), int).reshape(-1, kind.count)
        tried = _joined(tried, few[flat].reshape(len(flat), -1))
    if not len(tried):
        return []
    order = np.argsort(-_reach(*field.spread(tried)), kind="stable")
    found: list[np.ndarray] = []
    for chunk in np.array_split(tried[order], max(len(order) // 2000, 1)):
        found += list(chunk[field.stand(chunk)])
        if len(found) >= STARTS:
            break
    return found[:STARTS]


def _patterns(kinds: Sequence[_Kind], most: int) -> int:
    """How many patterns there are of `most` sets of each kind."""
    return math.prod(math.comb(min(len(kind.rows), most), kind.count) for kind in kinds)


def _few(field: Field, rows: np.ndarray, most: int) -> np.ndarray:
    """At most `most` sets (m, w): the farthest out on each of many ways from the heel's middle, and
    some of the rest evenly over their list."""
    if len(rows) <= most:
        return rows
    x, y = (field.at[rows[:, 0]] - np.array([field.middle, 0.0])).T
    ways = max(2 * most // 3, 1)
    way = np.floor((np.arctan2(y, x) + math.pi) / (2.0 * math.pi) * ways).astype(int) % ways
    order = np.lexsort((-np.hypot(x, y), way))
    _, first = np.unique(way[order], return_index=True)
    outer = order[first]
    rest = np.setdiff1d(np.arange(len(rows)), outer)
    some = rest[np.linspace(0, len(rest) - 1, most - len(outer)).round().astype(int)]
    return np.asarray(rows[np.unique(np.concatenate([outer, some]))])


def _improved(
    field: Field, kinds: Sequence[_Kind], pattern: np.ndarray, score: Score
) -> np.ndarray:
    """A pattern with one set after the other moved to where the score is greatest, until none can
    be moved to advantage."""
    sets, settled, k = _sets(kinds), 0, 0
    while settled < len(sets):
        rows, place = sets[k % len(sets)]
        tried = np.repeat(pattern[None], len(rows), axis=0)
        tried[:, place] = rows
        better = _better(field, pattern, tried, score)
        pattern, settled = (pattern, settled + 1) if better is None else (better, 0)
        k += 1
    return pattern


def _nudged(field: Field, kinds: Sequence[_Kind], pattern: np.ndarray, score: Score) -> np.ndarray:
    """A pattern with all its sets moved at once, each to a neighbouring place at most, until no
    such move is of advantage."""
    while True:
        tried = np.empty((1, 0), int)
        for rows, place in _sets(kinds):
            off = np.abs(field.at[rows[:, 0]] - field.at[pattern[place][0]])
            tried = _joined(tried, rows[off.sum(axis=1) <= 1.5 * field.grid])
        better = _better(field, pattern, tried, score)
        if better is None:
            return pattern
        pattern = better


def _better(
    field: Field, pattern: np.ndarray, tried: np.ndarray, score: Score
) -> np.ndarray | None:
    """The pattern with the greatest score of those (m, n) that stand, if that is greater than a
    given pattern's."""
    best = float(score(*field.spread(pattern[None]))[0])
    scores = score(*field.spread(tried))
    better = np.flatnonzero(scores > best + NEAR)
    better = better[np.argsort(-scores[better], kind="stable")]
    for chunk in np.array_split(better, range(64, len(better), 1024)):
        stand = field.stand(tried[chunk])
        if stand.any():
            found: np.ndarray = tried[chunk[int(stand.argmax())]]
            return found
    return None


def _sets(kinds: Sequence[_Kind]) -> list[tuple[np.ndarray, slice]]:
    """For each set of a pattern the rows to choose from, and its columns in the pattern."""
    sets, at = [], 0
    for kind in kinds:
        width = kind.rows.shape[1]
        sets += [
            (kind.rows, slice(at + n * width, at + (n + 1) * width)) for n in range(kind.count)
        ]
        at += kind.count * width
    return sets


def _joined(one: np.ndarray, two: np.ndarray) -> np.ndarray:
    """Every row of one array followed by every row of another."""
    return np.hstack([np.repeat(one, len(two), axis=0), np.tile(two, (len(one), 1))])
