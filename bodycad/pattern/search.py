"""The exact search for the best pattern on a grid: branch and bound over rows of the heel.

The moment of a pattern is sum(u2) min(strength / u) (see `best`). For every value that strength / u
takes, only the places that reach it are left in, and the choice of rows with the greatest sum of u2
is sought, in falling order of u; a branch is left where the bounds of `rows` cannot beat the best
so far.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from bodycad.pattern.rows import Bounds, Chosen, Field, Seats

TIE = 1e-9
"""Moments that differ by less than this share are one."""


@dataclass(frozen=True)
class Rule:
    """A pattern's shape: how many screws, on both sides of the centreline or anywhere, and how far
    the first and the last are apart along the heel at least, mm."""

    count: int
    both: bool
    span: float


@dataclass(frozen=True)
class Found:
    """A pattern by its rows and columns, and the moment (N mm) that it resists."""

    places: tuple[tuple[int, int], ...]
    moment: float


def search(
    field: Field, rule: Rule, bounds: Bounds | None = None, least: float = 0.0, first: bool = False
) -> Found | None:
    """The pattern with the greatest sum(u2) min(strength / u), or None where no pattern is
    possible.

    bounds: of this field, or of one that allows whatever this one allows. `least`: only patterns
    that reach this moment count (within TIE); `first`: any one of those will do."""
    bounds = bounds or Bounds(field)
    best: Found | None = None
    floor = least * (1.0 - TIE)
    for share, most in _promising(field, rule.count):
        need = max(floor, best.moment * (1.0 + TIE) if best else 0.0)
        if most < need:
            break
        places = _Branches(field, rule, bounds, field.seats(share)).best(
            need / share if share > 0.0 else 0.0
        )
        if places:
            best = Found(places, moment(field, places))
            if first:
                break
    return best


def moment(field: Field, places: Sequence[tuple[int, int]]) -> float:
    """sum(u2) min(strength / u) of a pattern, N mm."""
    levers = [float(field.u[i]) for i, _ in places]
    share = min(
        (float(field.strength[i, j]) / u for (i, j), u in zip(places, levers) if u > 0.0),
        default=0.0,
    )
    return sum(u * u for u in levers if u > 0.0) * share


def _promising(field: Field, count: int) -> list[tuple[float, float]]:
    """Every value of strength / u, N/mm, and a bound (N mm) of its patterns, falling."""
    use = (field.strength > -math.inf) & (field.u[:, None] > 0.0)
    rows = np.nonzero(use)[0]
    values, owner = np.unique(field.strength[use] / field.u[rows], return_inverse=True)
    # A screw may stand in a row when its own value is at least the pattern's.
    highest = np.zeros(len(values), int)
    np.maximum.at(highest, owner.ravel(), rows)
    highest = np.maximum.accumulate(highest[::-1])[::-1]
    found = [
        (float(value), float(value) * count * field.worth[row])
        for value, row in zip(values, highest)
    ]
    return sorted(found, key=lambda f: -f[1])


class _Branches:
    """One search over rows: the greatest sum of u2 among some seats."""

    def __init__(self, field: Field, rule: Rule, bounds: Bounds, seats: Seats) -> None:
        self.field, self.rule, self.bounds, self.seats = field, rule, bounds, seats
        self.items = [
            (row, side)
            for row in reversed(range(len(seats.free)))
            for side in range(3)
            if seats.free[row][side]
        ]
        self.drops = field.drops(rule.count)
        self.need = 0.0
        self.found: tuple[tuple[int, int], ...] | None = None

    def best(self, need: float) -> tuple[tuple[int, int], ...] | None:
        """The places with the greatest sum of u2, if that is `need` at least."""
        self.need, self.found = need, None
        self._deeper(0, (), 0.0)
        return self.found

    def _deeper(self, start: int, chosen: Chosen, sum_: float) -> None:
        left = self.rule.count - len(chosen)
        if left == 0:
            places = self.seats.places(chosen)
            if places is not None and sum_ >= self.need:
                self.found = tuple((row, at) for (row, _), at in zip(chosen, places, strict=True))
                self.need = sum_ * (1.0 + TIE)
            return
        taken = {side for _, side in chosen}
        missing = (self.rule.both and 0 not in taken, self.rule.both and 2 not in taken)
        for k in range(start, len(self.items)):
            row, side = self.items[k]
            head = chosen[0][0] if chosen else row
            last = self._last_row(head)
            if (
                last < 0
                or sum_
                + min(self._bound(left, row, missing, last), self._banded(left, row, head, last))
                < self.need
            ):
                return
            if left == 1 and (row > last or any(missing) and missing != (side == 0, side == 2)):
                continue
            picked = (*chosen, (row, side))
            if self.seats.places(picked) is not None:
                self._deeper(k, picked, sum_ + self.field.worth[row])
                if left == 1:
                    return

    def _last_row(self, first: int) -> int:
        """The highest row in which the last screw may stand when the first is in row `first`."""
        most = self.field.u[first] - self.rule.span + 1e-9
        return int(np.searchsorted(self.field.u, most, side="right")) - 1

    def _bound(self, left: int, row: int, missing: tuple[bool, bool], last: int) -> float:
        """mm2 that `left` more screws up to `row` add at most, the last of them up to `last`."""
        whole = self.bounds.together(left, row, missing)
        if last >= row:
            return whole
        return min(
            whole, self.bounds.together(left - 1, row, (False, False)) + self.field.worth[last]
        )

    def _banded(self, left: int, row: int, first: int, last: int) -> float:
        """The same, from how low the n-th screw of a pattern must stand at least."""
        u, top, taken = float(self.field.u[row]), float(self.field.u[first]), self.rule.count - left
        levers = [min(u - self.drops[k], top - self.drops[taken + k]) for k in range(left)]
        levers[-1] = min(levers[-1], float(self.field.u[last]))
        return sum(max(lever, 0.0) ** 2 for lever in levers)
