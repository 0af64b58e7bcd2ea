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
) -> Drawn:
    """Draw `bodies` bodies.

    margins (f,): as drawn. up, down (v, f): change of each margin with each variable at plus and at
    minus its tolerance, and in proportion between. `groups` (v,): the group of each variable, 0 to
    g - 1."""
    even, odd = (up + down) / 2.0, (up - down) / 2.0
    count = max(groups, default=-1) + 1
    holds, whole, halved = np.zeros(len(margins), int), 0, np.zeros(count, int)
    members = [np.flatnonzero(np.array(groups) == g) for g in range(count)]
    moved = (up != 0.0) | (down != 0.0)
    seen = [np.flatnonzero(moved[m].any(axis=0)) for m in members]
    for x in triangle(names, bodies):
        size = np.abs(x)
        spare = margins + x @ odd + size @ even
        good = spare >= -SLACK
        bad = len(margins) - good.sum(axis=1)
        holds += good.sum(axis=0)
        whole += int((bad == 0).sum())
        for g, (m, f) in enumerate(zip(members, seen)):
            part = x[:, m] @ odd[np.ix_(m, f)] + size[:, m] @ even[np.ix_(m, f)]
            its = len(f) - good[:, f].sum(axis=1)
            still = bad - its + (spare[:, f] - part / 2.0 < -SLACK).sum(axis=1)
            halved[g] += int((still == 0).sum())
    return Drawn(bodies, holds, whole, halved)
