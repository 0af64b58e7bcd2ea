"""Near misses under 0.001 mm, taken out before the kernel sees them.

They are heights that nearly agree, tools that nearly touch, and one shape given twice.

The kernel can be wrong by cubic centimetres, and still call its result valid, where two tools are
tangent within 1e-9 to 3e-7 mm; gaps of 1e-6 to 1e-4 mm leave foil walls. Wood knows neither.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from types import MappingProxyType

import numpy as np

from bodycad.geometry.distance.gap import gap
from bodycad.geometry.distance.plan import inside_gap
from bodycad.geometry.plane.profile import Profile
from bodycad.geometry.plane.region import near_pairs
from bodycad.geometry.solids.solid import Shape
from bodycad.solid.touch import NEAR, SAME, near_miss

GROW = 2.5e-3
"""A tool that nearly touches another is grown by this (mm) so that they clearly meet."""
ROUNDS = 5

Shapes = dict[str, Shape]
Note = tuple[tuple[str, ...], str]
"""Ids of voids, and what was done to them in words."""


@dataclass(frozen=True, eq=False)
class Tools:
    """shapes: tool by void id, duplicates left out. notes: what was snapped, in words, with the
    ids."""

    shapes: Mapping[str, Shape]
    notes: tuple[Note, ...] = ()


def snapped(shapes: Mapping[str, Shape], outline: Profile | None = None) -> Tools:
    """The tools with near misses removed: equal shapes once, heights joined, near tangencies made
    to meet."""
    notes: list[Note] = []
    kept = _without_twins(dict(shapes), notes)
    kept = _met(_levelled(kept, notes), notes, outline)
    return Tools(MappingProxyType(kept), tuple(notes))


def _without_twins(shapes: Shapes, notes: list[Note]) -> Shapes:
    kept: Shapes = {}
    seen: dict[tuple[float, ...], str] = {}
    for name, shape in shapes.items():
        key = (*(np.round(shape.numbers, 9) + 0.0).tolist(),)
        if key not in seen:
            seen[key], kept[name] = name, shape
            continue
        first = seen[key]
        notes.append(((first, name), f"{name} is the same shape as {first}; it is cut once"))
    return kept


def _levelled(shapes: Shapes, notes: list[Note]) -> Shapes:
    """Level floors and tops within NEAR of each other put on the first of them."""
    ends = [(name, end) for name, shape in shapes.items() for end in shape.ends if end.level]
    moves: dict[tuple[str, float], float] = {}
    base, first = -np.inf, ""
    for z, name in sorted((end.last, name) for name, end in ends):
        if z - base > NEAR:
            base, first = z, name
        elif z - base > SAME:
            moves[name, z] = base
            text = f"{name} at z {z:.7g} is put level with {first} at {base:.7g}"
            notes.append(((first, name), text))
    return {name: _moved(shape, moves, name) for name, shape in shapes.items()}


def _moved(shape: Shape, moves: Mapping[tuple[str, float], float], name: str) -> Shape:
    """The shape with each level end put from its height to the one that `moves` has for it."""
    first, last = (
        (moves.get((name, end.last), end.last) - end.last) * end.out[2] if end.level else 0.0
        for end in shape.ends
    )
    return shape.stretched(float(first), float(last)) if first or last else shape


def _met(shapes: Shapes, notes: list[Note], outline: Profile | None) -> Shapes:
    """Tools that nearly touch each other or the outline, grown until they clearly meet.

    Growing one may bring it near a third, so a few rounds are made, each growing a little more.
    """
    told: set[tuple[str, ...]] = set()
    for turn in range(ROUNDS):
        grow = GROW * (1.0 + 0.37 * turn)
        again = False
        for ids, distance in _misses(shapes, outline):
            small = min(ids, key=lambda name: (shapes[name].volume, name))
            # An earlier growth of this round may have cured it.
            other = next((i for i in ids if i != small), None)
            if _missed(shapes, (small, other) if other else ids, outline) is None:
                continue
            shapes, again = {**shapes, small: shapes[small].widened(grow)}, True
            if ids not in told:
                told.add(ids)
                what = (
                    f"{ids[0]} and {ids[1]} nearly touch"
                    if other
                    else f"{small} nearly touches the outline"
                )
                cure = f"{small} is grown by {grow:.2g} mm so that they meet"
                notes.append((ids, f"{what} ({distance:.2g} mm); {cure}"))
        if not again:
            break
    return shapes


def _misses(shapes: Shapes, outline: Profile | None) -> list[tuple[tuple[str, ...], float]]:
    """Pairs of tools, and single tools with the outline, that nearly touch, with the distance in
    mm."""
    names, asked = list(shapes), list[tuple[str, ...]]()
    if len(names) > 1:
        boxes = np.array([shapes[name].box for name in names])[:, [0, 1, 3, 4, 2, 5]]
        asked += [(names[i], names[j]) for i, j in near_pairs(boxes, NEAR)]
    asked += [(name,) for name in names]
    found = ((ids, _missed(shapes, ids, outline)) for ids in asked)
    return [(ids, distance) for ids, distance in found if distance is not None]


def _missed(shapes: Shapes, ids: tuple[str, ...], outline: Profile | None) -> float | None:
    if len(ids) == 2:
        return tools_miss(shapes[ids[0]], shapes[ids[1]])
    return outline_miss(shapes[ids[0]], outline)


def tools_miss(one: Shape, two: Shape) -> float | None:
    """The distance (mm) at which two tools nearly touch sideways, or None."""
    if not (one.upright and two.upright):
        distance = gap(one, two).distance
        return distance if 0.0 < distance < NEAR else None
    if min(one.box[5], two.box[5]) - max(one.box[2], two.box[2]) < -NEAR:
        return None
    return near_miss(one.plan, two.plan)


def outline_miss(shape: Shape, outline: Profile | None) -> float | None:
    """The distance (mm) at which an upright tool nearly touches the outline, if there is one, from
    either side, or None."""
    if outline is None or not shape.upright:
        return None
    distance = near_miss(shape.plan, outline)
    if distance is None and abs(inside_gap(shape.plan, outline)[0]) <= SAME:
        return 0.0
    return distance
