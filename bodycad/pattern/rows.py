"""Rows of places for neck screws: what the search chooses from, and the bounds that guide it.

A screw's worth depends on its row (its lever u) alone, and two screws need a distance between them.
So the search chooses rows, and asks of a choice only whether places for it exist: in a given order
across the heel the least places one after another settle that. Rows of the two sides of the heel
(and of the centreline) are kept apart: the truss rod parts them, and a pattern may have to use
both.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from functools import cached_property
from itertools import permutations, product
from typing import Any

import numpy as np

Chosen = tuple[tuple[int, int], ...]
"""Screws by (row, side), rows never rising; sides 0 treble, 1 centreline, 2 bass."""


@dataclass(frozen=True, eq=False)
class Field:
    """What the search knows: `u` (n,) rows and `v` (m,) columns of places in mm, the strength (n,
    m) in N of the best screw that may stand at each (-inf: none may), and the least distance of two
    screws, mm."""

    u: np.ndarray
    v: np.ndarray
    strength: np.ndarray
    apart: float

    @cached_property
    def steps(self) -> list[int]:
        """The least whole number of columns between screws whose rows are k rows apart."""
        if len(self.u) < 2 or len(self.v) < 2:
            return [len(self.v)] * len(self.u)
        rows, grid = self.u - self.u[0], float(self.v[1] - self.v[0])
        far = np.hypot(rows[:, None], np.arange(len(self.v) + 1)[None, :] * grid) >= self.apart
        return [int(n) for n in np.where(far.any(axis=1), far.argmax(axis=1), len(self.v))]

    @cached_property
    def worth(self) -> list[float]:
        """u2 of each row, mm2."""
        return [max(float(u), 0.0) ** 2 for u in self.u]

    def drops(self, count: int) -> list[float]:
        """By how much (mm) the first, second ... screw of any pattern stands below its highest at
        least.

        n screws in a band of height h are sqrt(apart2 - h2) apart across the heel at least, one
        after another, and together no more than the field is wide."""
        used = np.flatnonzero((self.strength > -math.inf).any(axis=0))
        wide = float(self.v[used[-1]] - self.v[used[0]]) if len(used) else 0.0
        return [0.0] + [
            math.sqrt(max(self.apart**2 - (wide / n) ** 2, 0.0)) * (1.0 - 1e-9)
            for n in range(1, count)
        ]

    def seats(self, share: float) -> Seats:
        """The places whose strength is at least `share` (N/mm) times u."""
        strong = self.strength >= share * (1.0 - 1e-12) * np.maximum(self.u, 0.0)[:, None]
        sides = [_bits(side) for side in (self.v < 0.0, self.v == 0.0, self.v > 0.0)]
        rows = [_bits(row) for row in strong & (self.strength > -math.inf)]
        return Seats([[row & side for side in sides] for row in rows], self.steps)


class Seats:
    """Free columns as bit masks by row and side, with the steps that screws keep between them."""

    def __init__(self, free: list[list[int]], steps: list[int]) -> None:
        self.free, self.steps = free, steps
        self._known: dict[Chosen, tuple[int, ...] | None] = {}

    def places(self, chosen: Chosen) -> tuple[int, ...] | None:
        """Columns for screws in those rows and sides, in the same order, or None."""
        if chosen not in self._known:
            self._known[chosen] = self._placed(chosen)
        return self._known[chosen]

    def _placed(self, chosen: Chosen) -> tuple[int, ...] | None:
        for order in _orders(tuple(side for _, side in chosen)):
            columns: dict[int, int] = {}
            for k in order:
                row, side = chosen[k]
                low = max(
                    (column + self.steps[abs(chosen[o][0] - row)] for o, column in columns.items()),
                    default=0,
                )
                room = self.free[row][side] >> low
                if not room:
                    break
                columns[k] = low + (room & -room).bit_length() - 1
            else:
                return tuple(columns[k] for k in range(len(chosen)))
        return None


class Bounds:
    """What further screws of a field add at most: the best sum of u2 of screws that keep their
    distance within their own side, side by side, worked out where it is asked for. It holds for
    every narrower field too."""

    def __init__(self, field: Field) -> None:
        self.worth, self._seats = field.worth, field.seats(0.0)
        self._known: dict[tuple[Any, ...], float] = {}

    def together(self, count: int, row: int, missing: tuple[bool, bool]) -> float:
        """For `count` screws in rows up to `row`, one at least on the treble and the bass side
        where that is missing, mm2; -inf where there are none."""
        key = count, row, missing
        if key not in self._known:
            splits = [
                (a, count - a - c, c)
                for a in range(count + 1)
                for c in range(count + 1 - a)
                if not (missing[0] and a == 0 or missing[1] and c == 0)
            ]
            self._known[key] = max(
                (
                    sum(self._alone(side, n, row) for side, n in enumerate(split))
                    for split in splits
                ),
                default=-math.inf,
            )
        return self._known[key]

    def _alone(self, side: int, count: int, row: int) -> float:
        if count == 0:
            return 0.0
        key = side, count, row
        if key not in self._known:
            best = -math.inf
            for first in reversed(range(row + 1)):
                if self.worth[first] + self._alone(side, count - 1, first) <= best:
                    break
                if self._seats.free[first][side]:
                    best = self._most(((first, side),), self.worth[first], best, count - 1)
            self._known[key] = best
        return self._known[key]

    def _most(self, chosen: Chosen, sum_: float, best: float, left: int) -> float:
        """The greatest sum of u2, over `best`, of `chosen` and `left` more screws on its side."""
        if left == 0:
            return max(best, sum_)
        start, side = chosen[-1]
        for row in reversed(range(start + 1)):
            if sum_ + self._alone(side, left, row) <= best:
                break
            if self._seats.free[row][side]:
                picked = (*chosen, (row, side))
                if self._seats.places(picked) is not None:
                    best = self._most(picked, sum_ + self.worth[row], best, left - 1)
                    if left == 1:
                        break
        return best


def _bits(columns: np.ndarray) -> int:
    return int.from_bytes(np.packbits(columns, bitorder="little").tobytes(), "little")


def _orders(sides: Sequence[int]) -> Iterator[tuple[int, ...]]:
    """Every order across the heel: sides from treble to bass, any order within one."""
    groups = [[k for k, side in enumerate(sides) if side == one] for one in (0, 1, 2)]
    for parts in product(*(permutations(group) for group in groups)):
        yield tuple(k for part in parts for k in part)
