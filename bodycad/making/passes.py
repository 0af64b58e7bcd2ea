"""How deep a router cuts at once."""

from __future__ import annotations

import math

from bodycad.shop import Shop


def passes(start: float, depth: float, diameter: float, shop: Shop) -> tuple[float, ...]:
    """The depths (mm below the plain face) at which a cutter of `diameter` mm ends each of its
    passes, from a floor at `start` down to `depth`: equal steps, the last one at `depth` exactly,
    none deeper than `Shop.pass_depth` of the diameter. None where nothing is left to cut."""
    deep = depth - start
    if deep <= 0.0:
        return ()
    count = math.ceil(deep / (shop.pass_depth * diameter) - 1e-9)
    return (*(start + deep * k / count for k in range(1, count)), depth)
