"""What a number of a script stands for, told by what it changes in the design."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import fields, is_dataclass
from typing import Any

import numpy as np

from bodycad.cure.number import Reluctance
from bodycad.design import Design
from bodycad.geometry.plane.profile import Profile
from bodycad.units import Size

NEVER = (
    "shop",
    "waivers",
    "left_handed",
    "fitted",
    "instrument.strings",
    "instrument.modulus_gpa",
)
"""Beginnings of the paths that no cure may change."""
ANOTHER = ("instrument.neck.scale", "instrument.neck.frets", "instrument.flipped")
"""The same: what makes another instrument of it."""
LAST = ("skin.thickness", "instrument")
"""Beginnings of the paths that are changed last."""
IGNORED = ("parameters", "name", "asked")

Difference = tuple[str, bool, Any, Any]
"""Where two designs differ: the path, whether a part's or the instrument's size stands there, and
the two values."""


def meaning(
    base: Design, moved: Design, noise: frozenset[str] = frozenset()
) -> tuple[Reluctance, frozenset[str]]:
    """How unwilling a maker is to change what differs between two designs of one script, and the
    ids of the placed parts and contours that differ, with "skin" or "instrument" for those.
    `noise`: paths that differ whatever is changed.

    What no cure may change decides first, then a measured size, the stock's thickness or the rest
    of the instrument; else a position, a depth or a shape does, whatever sizes follow. Sizes
    alone come after."""
    found = [one for one in _differences(base, moved, "") if one[0] not in noise]
    return _reluctance(found), frozenset(_whose(path, moved) for path, *_ in found)


def unsteady(one: Design, two: Design) -> frozenset[str]:
    """The paths at which two designs differ that were made of the same values."""
    return frozenset(path for path, *_ in _differences(one, two, ""))


def _reluctance(found: Sequence[Difference]) -> Reluctance:
    if any(_never(*one) for one in found):
        return Reluctance.NEVER
    if any(path.startswith(LAST) or _measured(a) or _measured(b) for path, _, a, b in found):
        return Reluctance.LAST
    if found and all(size for _, size, _, _ in found):
        return Reluctance.SIZE
    return Reluctance.FREE


def _whose(path: str, design: Design) -> str:
    """The id of what a path leads to."""
    first, *rest = path.split(".")
    if first == "parts" and rest:
        return design.parts[int(rest[0]) - 1].id
    if rest[:1] == ["contours"] and len(rest) > 1:
        return design.skin.contours[int(rest[1]) - 1].id
    return first


def _never(path: str, size: bool, one: Any, two: Any) -> bool:
    tolerance = isinstance(one, Size) and isinstance(two, Size) and float(one) == float(two)
    return path.startswith((*NEVER, *ANOTHER)) or tolerance


def _measured(value: Any) -> bool:
    return isinstance(value, Size) and value.origin == "measured"


def _differences(one: Any, two: Any, path: str, size: bool = False) -> Iterator[Difference]:
    if one is two:
        return
    if isinstance(one, Profile) and isinstance(two, Profile):
        if not np.array_equal(one.vertices, two.vertices):
            yield path, False, one, two
    elif type(one) is type(two) and is_dataclass(one):
        for spec in fields(one):
            way = f"{path}.{spec.name}".lstrip(".")
            if way not in IGNORED:
                # A part's own numbers are sizes unless it says otherwise; so are the instrument's.
                inner = size or spec.name in ("part", "instrument")
                inner = inner and spec.metadata.get("size", True)
                pair = getattr(one, spec.name), getattr(two, spec.name)
                yield from _differences(*pair, way, inner)
    elif isinstance(one, tuple) and isinstance(two, tuple) and len(one) == len(two):
        for k, pair in enumerate(zip(one, two), 1):
            yield from _differences(*pair, f"{path}.{k}", size)
    elif isinstance(one, (float, int)) and isinstance(two, (float, int)):
        same = float(one) == float(two)
        if not same or getattr(one, "tolerance", 0.0) != getattr(two, "tolerance", 0.0):
            yield path, size, one, two
    elif type(one) is not type(two) or not _same(one, two):
        yield path, False, one, two


def _same(one: Any, two: Any) -> bool:
    """Whether two values are equal; what cannot be compared counts as different."""
    try:
        return bool(one == two)
    # Values of a script's own classes may compare as they please.
    except Exception:
        return False
