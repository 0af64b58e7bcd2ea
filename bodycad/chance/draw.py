"""Bodies drawn at random within the tolerances, all findings of all of them at once.

Each error is drawn from a triangle: nil is the likeliest, and no error is larger than its tolerance
(the usual choice where only the limits are known and the middle is likelier than they: GUM, JCGM
100:2008, 4.3.9, from memory; standard deviation: tolerance / sqrt 6). Errors are independent of
each other.

Every variable has a stream of random numbers of its own, seeded by its name: the same figures every
run, and a tolerance that is changed changes nothing else.
"""

from __future__ import annotations

import zlib
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import numpy as np

SEED = 20_611
BLOCK = 16_384
"""Bodies worked out together: it bounds the memory, and belongs to the streams."""
SLACK = 1e-9
"""A figure within this of its limit holds it, as in `checks.finding.judge`."""


@dataclass(frozen=True, eq=False)
class Rows:
    """Which rows belong to which finding: `starts` (f,), the first row of each; `either` (f,),
    whether one row that holds will do, instead of all."""

    starts: np.ndarray
    either: np.ndarray
    count: int

    @staticmethod
    def of(counts: Sequence[int], either: Sequence[bool]) -> Rows:
        """Findings with so many rows each, one after the other."""
        ends = np.cumsum(counts, dtype=int)
        return Rows(ends - np.array(counts, int), np.array(either, bool), int(sum(counts)))

    def slice(self, finding: int) -> slice:
        """The rows of one finding."""
        last = finding + 1 == len(self.starts)
        return slice(
            int(self.starts[finding]), self.count if last else int(self.starts[finding + 1])
        )

    def part(self, findings: Sequence[int] | np.ndarray) -> tuple[Rows, np.ndarray]:
        """The same for some of the findings, and the indices (m,) of their rows."""
        own = [np.arange(s.start, s.stop) for s in map(self.slice, map(int, findings))]
        index = np.concatenate(own) if own else np.zeros(0, int)
        return Rows.of([len(one) for one in own], self.either[np.asarray(findings, int)]), index

    def least(self, table: np.ndarray) -> np.ndarray:
        """What is spare in each finding (..., f) where so much is spare in its rows (..., r)."""
        if not len(self.starts):
            return table
        found: np.ndarray = np.minimum.reduceat(table, self.starts, axis=-1)
        if self.either.any():
            most = np.maximum.reduceat(table, self.starts, axis=-1)
            found = np.where(self.either, most, found)
        return found


@dataclass(frozen=True, eq=False)
class Drawn:
    """Of `bodies` bodies: how many hold each finding (f,), how many hold all, and how many would
    hold all with each group's tolerances halved (g,)."""

    bodies: int
    holds: np.ndarray
    all: int
    halved: np.ndarray


def triangle(names: Sequence[str], bodies: int) -> Iterator[np.ndarray]:
    """Errors in parts of their tolerance, -1 to 1, in blocks (n, v): one column for each name."""
    streams = [np.random.default_rng([SEED, zlib.crc32(name.encode())]) for name in names]
    for start in range(0, bodies, BLOCK):
        pairs = [stream.random((2, BLOCK)) for stream in streams]
        block = np.stack([a + b - 1.0 for a, b in pairs], axis=1) if pairs else np.zeros((BLOCK, 0))
        yield block[: bodies - start]


def draw(
    margins: np.ndarray,
    up: np.ndarray,
    down: np.ndarray,
    names: Sequence[str],
    groups: Sequence[int],
    bodies: int,
    rows: Rows | None = None,
) -> Drawn:
    """Draw `bodies` bodies.

    margins (r,): as drawn. up, down (v, r): change of each margin with each variable at plus and at
    minus its tolerance, and in proportion between. `groups` (v,): the group of each variable, 0 to
    g - 1. `rows`: the rows of each finding; one each without it."""
    rows = rows or Rows.of([1] * len(margins), [False] * len(margins))
    even, odd = (up + down) / 2.0, (up - down) / 2.0
    count = max(groups, default=-1) + 1
    holds, whole, halved = np.zeros(len(rows.starts), int), 0, np.zeros(count, int)
    members = [np.flatnonzero(np.array(groups) == g) for g in range(count)]
    moved = ((up != 0.0) | (down != 0.0)).astype(float)
    some = Rows(rows.starts, np.ones(len(rows.starts), bool), rows.count)
    seen = [np.flatnonzero(some.least(moved[m].sum(axis=0))) for m in members]
    parts = [rows.part(f) for f in seen]
    for x in triangle(names, bodies):
        size = np.abs(x)
        spare = margins + x @ odd + size @ even
        good = rows.least(spare) >= -SLACK
        bad = good.shape[1] - good.sum(axis=1)
        holds += good.sum(axis=0)
        whole += int((bad == 0).sum())
        for g, (m, f, (own, r)) in enumerate(zip(members, seen, parts)):
            part = x[:, m] @ odd[np.ix_(m, r)] + size[:, m] @ even[np.ix_(m, r)]
            its = len(f) - good[:, f].sum(axis=1)
            still = bad - its + (own.least(spare[:, r] - part / 2.0) < -SLACK).sum(axis=1)
            halved[g] += int((still == 0).sum())
    return Drawn(bodies, holds, whole, halved)
