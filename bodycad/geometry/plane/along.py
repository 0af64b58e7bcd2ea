"""Places at distances along a chain."""

from __future__ import annotations

import numpy as np

from bodycad.geometry.plane.segments import Segments


def places_along(s: Segments, far: np.ndarray) -> tuple[Segments, np.ndarray]:
    """The segments, one for each of the distances `far` (m,) mm from the start of the chain `s`,
    on which those places lie, and their parts of it (0 at its start, 1 at its end)."""
    ends = np.cumsum(s.length)
    index = np.minimum(np.searchsorted(ends, far, side="right"), len(s) - 1)
    share = (far - (ends - s.length)[index]) / s.length[index]
    return s.take(index), np.clip(share, 0.0, 1.0)
