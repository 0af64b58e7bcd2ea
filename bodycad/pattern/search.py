"""The exact search for the best pattern on a grid: branch and bound over rows of the heel.

A screw's share of the string pull depends on its lever u alone (see `best`), and two screws need a
distance between them. So the search chooses the screws' rows first, in falling order of u, and asks
of each choice only whether places for them exist in those rows: in a given order across the heel the
least places one after another settle that. Rows of the two sides of the heel (and the centreline) are
kept apart: the truss rod parts them, and a pattern may have to use both.

The bound: whatever was chosen, m further screws reach at most the best sum of u2 of m screws that
keep their distance within each side, which is worked out once, side by side and row by row.
"""

from __future__ import annotations

import math
from copy import copy
from dataclasses import dataclass
from functools import cached_property
from itertools import permutations, product
from typing import Iterator, Sequence

import numpy as np

TIE = 1e-9
"""Moments that differ by less than this share are one."""


@dataclass(frozen=True, eq=False)
class Field:
    """What the search knows: `u` (n,) rows and `v` (m,) columns of places in mm, the strength (n, m) in N of
    the best screw that may stand at each (-inf: none may), and the least distance of two screws, mm."""

    u: np.ndarray
    v: np.ndarray
    strength: np.ndarray
    apart: float

    @cached_property
    def steps(self) -> np.ndarray:
        """(n,): the least whole number of columns between screws whose rows are k rows apart."""
        if len(self.u) < 2 or len(self.v) < 2:
            return np.full(len(self.u), len(self.v))
        rows, grid = self.u - self.u[0], float(self.v[1] - self.v[0])
        columns = np.arange(len(self.v) + 1) * grid
        far = np.hypot(rows[:, None], columns[None, :]) >= self.apart
        return np.where(far.any(axis=1), far.argmax(axis=1), len(self.v))

    @cached_property
    def sides(self) -> tuple[int, ...]:
        """Bit masks of the columns of the treble side, the centreline and the bass side."""
        return tuple(_bits(side) for side in (self.v < 0.0, self.v == 0.0, self.v > 0.0))


@dataclass(frozen=True)
class Rule:
    """A pattern's shape: how many screws, on both sides of the centreline or anywhere, and how far the
    first and the last are apart along the heel at least, mm."""

    count: int
    both: bool
    span: float


@dataclass(frozen=True)
class Found:
    """A pattern by its rows and columns, and the moment (N mm) that it resists."""

    places: tuple[tuple[int, int], ...]
    moment: float


def search(field: Field, rows: Rows, least: float = 0.0, first: bool = False) -> Found | None:
    """The pattern with the greatest sum(u2) min(strength / u), or None where no pattern is possible.

    rows: the rule and its bounds, of this field or of one that allows whatever this one allows. `least`:
    only patterns that reach this moment count (within TIE); `first`: any one of those will do.
    """
    rows = rows.within(field)
    best: Found | None = None
    floor = least * (1.0 - TIE)
    for share, most in rows.promising():
        need = max(floor, best.moment * (1.0 + TIE) if best else 0.0)
        if most < need:
            break
        places = rows.best(_masks(field, share), need / share if share > 0.0 else 0.0)
        if places:
            best = Found(places, moment(field, places))
            if first:
                break
    return best


def moment(field: Field, places: Sequence[tuple[int, int]]) -> float:
    """sum(u2) min(strength / u) of a pattern, N mm."""
    levers = [float(field.u[i]) for i, _ in places]
    share = min((float(field.strength[i, j]) / u for (i, j), u in zip(places, levers) if u > 0.0), default=0.0)
    return sum(u * u for u in levers if u > 0.0) * share


def brute_force(field: Field, rule: Rule) -> float | None:
    """The greatest moment by trying every pattern (for tests: a few hundred places at the most)."""
    from itertools import combinations

    spots = [tuple(map(int, spot)) for spot in np.argwhere(field.strength > -math.inf)]
    best = None
    for places in combinations(spots, rule.count):
        us, vs = [float(field.u[i]) for i, _ in places], [float(field.v[j]) for _, j in places]
        if max(us) - min(us) < rule.span or rule.both and not min(vs) < 0.0 < max(vs):
            continue
        if all(math.hypot(us[a] - us[b], vs[a] - vs[b]) >= field.apart for a, b in combinations(range(rule.count), 2)):
            best = max(best or 0.0, moment(field, places))
    return best


def _masks(field: Field, share: float) -> list[int]:
    """For each row the bit mask of the columns where strength is at least share times u."""
    strong = field.strength >= share * (1.0 - 1e-12) * np.maximum(field.u, 0.0)[:, None]
    return [_bits(row) for row in strong & (field.strength > -math.inf)]


def _bits(columns: np.ndarray) -> int:
    return int.from_bytes(np.packbits(columns, bitorder="little").tobytes(), "little")


class Rows:
    """The search over rows for one field and rule; the bounds are worked out once."""

    def __init__(self, field: Field, rule: Rule) -> None:
        self.rule = rule
        self._take(field)
        self.full = _masks(field, 0.0)
        self.known: dict[tuple, float] = {}

    def _take(self, field: Field) -> None:
        self.field = field
        self.steps = [int(n) for n in field.steps]
        self.weight = [max(float(u), 0.0) ** 2 for u in field.u]
        self.seen: dict[tuple, tuple[int, ...] | None] = {}

    def within(self, field: Field) -> Rows:
        """The same bounds for a field that allows no more than the one they were worked out for."""
        if field is self.field:
            return self
        made = copy(self)
        made._take(field)
        return made

    def promising(self) -> list[tuple[float, float]]:
        """Every value that strength / u takes, with the moment that no pattern of it exceeds, greatest first."""
        field = self.field
        use = (field.strength > -math.inf) & (field.u[:, None] > 0.0)
        rows = np.nonzero(use)[0]
        values, owner = np.unique(field.strength[use] / field.u[rows], return_inverse=True)
        # A screw may stand in a row when its own value is at least the pattern's.
        highest = np.zeros(len(values), int)
        np.maximum.at(highest, owner.ravel(), rows)
        highest = np.maximum.accumulate(highest[::-1])[::-1]
        found = [(float(value), float(value) * self.rule.count * self.weight[row]) for value, row in zip(values, highest)]
        return sorted(found, key=lambda f: -f[1])

    def best(self, masks: list[int], need: float) -> tuple[tuple[int, int], ...] | None:
        """The places with the greatest sum of u2 that exceeds `need` (or reaches it), None where there are none."""
        self.seen.clear()
        found: list[tuple[tuple[int, int], ...]] = []
        items = [(row, side) for row in reversed(range(len(masks))) for side in range(3) if masks[row] & self.field.sides[side]]
        self._deeper(masks, items, 0, (), 0.0, [need], found)
        return found[-1] if found else None

    def _deeper(self, masks, items, start, chosen, sum_, need, found) -> None:
        left = self.rule.count - len(chosen)
        if left == 0:
            if sum_ < need[0]:
                return
            columns = self._places(masks, chosen)
            found.append(tuple((row, column) for (row, _), column in zip(chosen, columns)))
            need[0] = sum_ * (1.0 + TIE)
            return
        taken = {side for _, side in chosen}
        missing = (self.rule.both and 0 not in taken, self.rule.both and 2 not in taken)
        last = self._last_row(chosen)
        for k in range(start, len(items)):
            row, side = items[k]
            if sum_ + self._bound(left, row, missing, last if chosen else self._last_row(((row, side),))) < need[0]:
                return
            if left == 1 and (row > last or any(missing) and missing != (side == 0, side == 2)):
                continue
            picked = (*chosen, (row, side))
            if self._places(masks, picked) is not None:
                self._deeper(masks, items, k, picked, sum_ + self.weight[row], need, found)
                if left == 1:
                    return

    def _last_row(self, chosen) -> int:
        """The highest row in which the last screw may stand, given the first."""
        if not chosen:
            return len(self.weight) - 1
        most = self.field.u[chosen[0][0]] - self.rule.span + 1e-9
        return int(np.searchsorted(self.field.u, most, side="right")) - 1

    def _bound(self, left: int, row: int, missing: tuple[bool, bool], last: int) -> float:
        """The most that `left` more screws in rows up to `row` add, the last of them in a row up to `last`."""
        if last < 0:
            return -math.inf
        whole = self._together(left, row, missing)
        if last >= row:
            return whole
        return min(whole, self._together(left - 1, row, (False, False)) + self.weight[last])

    def _places(self, masks: list[int], chosen: tuple[tuple[int, int], ...]) -> tuple[int, ...] | None:
        """Columns for screws in those (row, side), in the same order; None where there are none."""
        if chosen not in self.seen:
            self.seen[chosen] = self._placed(masks, chosen)
        return self.seen[chosen]

    def _placed(self, masks: list[int], chosen: tuple[tuple[int, int], ...]) -> tuple[int, ...] | None:
        free = [masks[row] & self.field.sides[side] for row, side in chosen]
        for order in _orders(tuple(side for _, side in chosen)):
            columns: dict[int, int] = {}
            for k in order:
                low = max((columns[o] + self.steps[abs(chosen[o][0] - chosen[k][0])] for o in columns), default=0)
                room = free[k] >> low
                if not room:
                    break
                columns[k] = low + (room & -room).bit_length() - 1
            else:
                return tuple(columns[k] for k in range(len(chosen)))
        return None

    def _together(self, count: int, row: int, missing: tuple[bool, bool]) -> float:
        """The greatest sum of u2 of `count` screws in rows up to `row`, each keeping its distance within its
        side only, with one at least on every missing side; -inf where there are none."""
        key = count, row, missing
        if key not in self.known:
            splits = [(a, b, count - a - b) for a in range(count + 1) for b in range(count + 1 - a)
                      if not (missing[0] and a == 0 or missing[1] and count - a - b == 0)]
            self.known[key] = max((sum(self._alone(side, n, row) for side, n in enumerate(split)) for split in splits),
                                  default=-math.inf)
        return self.known[key]

    def _alone(self, side: int, count: int, row: int) -> float:
        """The greatest sum of u2 of `count` screws on one side in rows up to `row`; -inf where there are none."""
        if count == 0:
            return 0.0
        key = side, count, row
        if key not in self.known:
            best = -math.inf
            for first in reversed(range(row + 1)):
                if self.weight[first] + self._alone(side, count - 1, first) <= best:
                    break
                if self.full[first] & self.field.sides[side]:
                    best = self._most(((first, side),), self.weight[first], best, count - 1)
                elif count == 1 and best == -math.inf and first == 0:
                    break
            self.known[key] = best
        return self.known[key]

    def _most(self, chosen: tuple[tuple[int, int], ...], sum_: float, best: float, left: int) -> float:
        """The greatest sum of u2 that `left` more screws on the side of `chosen` reach with it, if over `best`."""
        if left == 0:
            return max(best, sum_)
        side = chosen[-1][1]
        for row in reversed(range(chosen[-1][0] + 1)):
            if sum_ + self._alone(side, left, row) <= best:
                break
            if self.full[row] & self.field.sides[side]:
                picked = (*chosen, (row, side))
                if self._places(self.full, picked, self.paired) is not None:
                    best = self._most(picked, sum_ + self.weight[row], best, left - 1)
                    if left == 1:
                        break
        return best


def _orders(sides: Sequence[int]) -> Iterator[tuple[int, ...]]:
    """Every order across the heel: sides from treble to bass, any order within one."""
    groups = [[k for k, side in enumerate(sides) if side == one] for one in (0, 1, 2)]
    for parts in product(*(permutations(group) for group in groups)):
        yield tuple(k for part in parts for k in part)
