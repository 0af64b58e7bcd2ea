"""The distance between two upright prisms.

Level prisms have a closed form: the distance of their plans and the height between them. A tilted
floor too, where walls face each other at the least plan distance or where a level floor stands over
the other's top; else one of the nearest points lies on a wall or a rim, and those are searched."""

from __future__ import annotations

import math

import numpy as np

from bodycad.geometry.distance.curves import curtain, search_curves
from bodycad.geometry.distance.plan import plan_gap
from bodycad.geometry.distance.search import Best, Gap
from bodycad.geometry.solids.prism import Prism
from bodycad.geometry.solids.solid import boxes_apart, point3


def prisms_gap(one: Prism, two: Prism) -> Gap:
    """Least distance between two prisms."""
    return _tilted(one, two) if one.tilted or two.tilted else _level(one, two)


def _level(one: Prism, two: Prism) -> Gap:
    flat, p, q = plan_gap(one.profile, two.profile)
    low, high = max(one.low, two.low), min(one.high, two.high)
    climb = max(low - high, 0.0)
    if climb == 0.0:
        z_one = z_two = (low + high) / 2.0
    else:
        z_one, z_two = (one.high, two.low) if one.high < two.low else (one.low, two.high)
    return Gap(math.hypot(flat, climb), 0.0, (point3((*p, z_one)), point3((*q, z_two))))


def _tilted(one: Prism, two: Prism) -> Gap:
    """The closed form where it holds; else walls and rims are searched."""
    flat, p, q = plan_gap(one.profile, two.profile)
    low = max(one.floor(*p), two.floor(*q))
    high = min(one.high, two.high)
    if low <= high:
        z = (low + high) / 2.0
        return Gap(flat, 0.0, (point3((*p, z)), point3((*q, z))))
    for under, over in ((one, two), (two, one)):
        if not over.tilted and over.low > under.high:
            away = math.hypot(flat, over.low - under.high)
            z, w = (under.high, over.low) if under is one else (over.low, under.high)
            return Gap(away, 0.0, (point3((*p, z)), point3((*q, w))))
    best = Best(math.inf, np.zeros(3), np.zeros(3), least=boxes_apart(one, two))
    search_curves(*curtain(one, two), best)
    curves, measure = curtain(two, one)

    def turned(points: np.ndarray) -> tuple[np.ndarray, np.ndarray, np.ndarray]:
        distance, own, other = measure(points)
        return distance, other, own

    search_curves(curves, turned, best)
    return best.gap()
