"""How much wood stands between two solids, or between a shape and a face of the body.

`table` says how each pair of solids is measured and to what bound."""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from bodycad.geometry.distance.search import MEETS, Gap
from bodycad.geometry.distance.table import pair_of
from bodycad.geometry.solids.shaping import Shaping
from bodycad.geometry.solids.skin import Skin
from bodycad.geometry.solids.solid import Shape, Solid, boxes_apart

TILE = 8.0
"""Side of the tiles in which a shape's box is held against a carve, mm."""


def gap(one: Solid, two: Solid) -> Gap:
    """Least distance between two solids; 0 where they meet."""
    pair, turned = pair_of(one, two)
    found = pair.measure(two, one).swapped() if turned else pair.measure(one, two)
    return replace(found, between=(one, two))


def at_least(one: Solid, two: Solid) -> float:
    """A distance (mm) that two solids keep at least, at a small part of the cost of `gap`."""
    pair, turned = pair_of(one, two)
    more = pair.apart(*((two, one) if turned else (one, two))) if pair.apart else 0.0
    return max(boxes_apart(one, two), more)


def meet(one: Solid, two: Solid) -> bool:
    """Whether two solids meet: whether their gap is 0."""
    pair, turned = pair_of(one, two)
    if pair.inside and pair.inside(*((two, one) if turned else (one, two))):
        return True
    return at_least(one, two) <= MEETS and gap(one, two).distance <= MEETS


def face_gap(shape: Shape, skin: Skin, face: str) -> Gap:
    """Least distance from a void to the plain front or back plane; 0 where it reaches it."""
    sign, height = 1.0 if face == "front" else -1.0, skin.level(face)
    x, y, z = shape.highest if face == "front" else shape.lowest
    return Gap(max(sign * (height - z), 0.0), 0.0, ((x, y, z), (x, y, height)), (shape, face))


def contour_at_least(shape: Solid, carve: Shaping) -> float:
    """A distance (mm) that shape and carve keep at least, by balls round tiles of its box."""
    low, high = np.array(shape.box[:3]), np.array(shape.box[3:])
    count = np.clip(np.ceil((high - low) / TILE), 1, 12).astype(int)
    axes = [low[k] + (np.arange(n) + 0.5) * (high[k] - low[k]) / n for k, n in enumerate(count)]
    centres = np.stack(np.meshgrid(*axes), -1).reshape(-1, 3)
    return float(carve.closest(centres)[0].min() - np.linalg.norm((high - low) / count) / 2.0)
