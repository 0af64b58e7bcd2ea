"""Places at distances along a chain, and parts of it."""

from __future__ import annotations

import numpy as np

from bodycad.geometry.plane.arrange import joined
from bodycad.geometry.plane.segments import Segments

SAME = 1e-6
"""Two places of a chain nearer than this along it (mm) are one."""


def places_along(s: Segments, far: np.ndarray) -> tuple[Segments, np.ndarray]:
    """The segments, one for each of the distances `far` (m,) mm from the start of the chain `s`,
    on which those places lie, and their parts of it (0 at its start, 1 at its end)."""
    ends = np.cumsum(s.length)
    index = np.minimum(np.searchsorted(ends, far, side="right"), len(s) - 1)
    share = (far - (ends - s.length)[index]) / s.length[index]
    return s.take(index), np.clip(share, 0.0, 1.0)


def part_of(s: Segments, start: float, end: float) -> Segments:
    """The chain from `start` to `end` mm along it, which may pass its beginning."""
    begin = np.concatenate([[0.0], np.cumsum(s.length)])
    total = begin[-1]
    parts = []
    for turn in (0.0, total):
        low = np.clip((start - turn - begin[:-1]) / s.length, 0.0, 1.0)
        high = np.clip((end - turn - begin[:-1]) / s.length, 0.0, 1.0)
        on = np.flatnonzero((high - low) * s.length > SAME)
        own = s.take(on)
        bulge = np.tan(np.arctan(own.bulge) * (high - low)[on])
        parts.append(Segments(own.at(low[on]), own.at(high[on]), bulge))
    return joined(parts)


def beside(s: Segments, t: np.ndarray, out: float) -> np.ndarray:
    """Points (n, 2) `out` to the right of travel at fraction `t` (n,) of each segment: outside a
    rim that runs counter-clockwise."""
    ahead = s.tangent(t)
    return s.at(t) + out * np.column_stack([ahead[:, 1], -ahead[:, 0]])
