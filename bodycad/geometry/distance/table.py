"""How the distance of each pair of solids is measured, and how far it may be off."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from types import MappingProxyType
from typing import Any

from bodycad.errors import InputError
from bodycad.geometry.distance.bores import (
    axis_inside,
    bore_apart,
    bore_carve_gap,
    bore_prism_gap,
    bores_apart,
    bores_gap,
)
from bodycad.geometry.distance.carves import prism_carve_gap
from bodycad.geometry.distance.domes import bore_dome_gap, prism_dome_gap
from bodycad.geometry.distance.prisms import prisms_gap
from bodycad.geometry.distance.search import Gap
from bodycad.geometry.solids.bore import Bore
from bodycad.geometry.solids.carve import Carve
from bodycad.geometry.solids.dome import Dome
from bodycad.geometry.solids.prism import Prism
from bodycad.geometry.solids.solid import Solid


@dataclass(frozen=True)
class Pair:
    """measure: the least distance of two solids of the pair, in its order. bound: where that is
    exact and where it is searched, in words; every Gap also states its own bound in mm. apart: at
    a small part of the cost, a distance (mm) that they cannot come nearer than, where that says
    more than their boxes. inside: at a small part of the cost, whether they plainly meet."""

    measure: Callable[[Any, Any], Gap]
    bound: str
    apart: Callable[[Any, Any], float] | None = None
    inside: Callable[[Any, Any], Gap | None] | None = None


PAIRS: Mapping[tuple[type[Solid], type[Solid]], Pair] = MappingProxyType(
    {
        (Prism, Prism): Pair(
            prisms_gap,
            "exact between level floors, and where walls face each other or a level floor stands "
            "over a top; else searched along walls and rims to 0.01 mm",
        ),
        (Bore, Bore): Pair(
            bores_gap,
            "exact where both are upright with flat ends or their sides face each other; else by "
            "turns to 0.0001 mm, or searched over the surface to 0.01 mm",
            bores_apart,
        ),
        (Bore, Prism): Pair(
            bore_prism_gap,
            "an upright bore with a flat end as a prism; beside a level prism exact, else to it by "
            "turns to 0.0001 mm; in a bay of a prism or over a tilted floor searched to 0.01 mm",
            bore_apart,
            axis_inside,
        ),
        (Prism, Carve): Pair(
            prism_carve_gap,
            "exact where a level prism stands within a level sweep; else searched along the edges "
            "of both to 0.01 mm",
        ),
        (Bore, Carve): Pair(
            bore_carve_gap,
            "an upright bore with a flat end as a prism; else searched over the surface to 0.01 mm",
            bore_apart,
        ),
        (Prism, Dome): Pair(
            prism_dome_gap,
            "exact where the prism is level; under a tilted floor searched to 0.01 mm",
        ),
        (Bore, Dome): Pair(
            bore_dome_gap,
            "exact where the bore is upright; else searched over the surface to 0.01 mm",
            bore_apart,
        ),
    }
)
"""Two carves shape one surface together; nothing stands between them to measure."""


def pair_of(one: Solid, two: Solid) -> tuple[Pair, bool]:
    """The pair of two solids, and whether they stand in it the other way round.

    Raises InputError when the table has no such pair."""
    kinds = type(one), type(two)
    if kinds in PAIRS:
        return PAIRS[kinds], False
    if kinds[::-1] in PAIRS:
        return PAIRS[kinds[::-1]], True
    known = ", ".join(f"{a.__name__} and {b.__name__}" for a, b in PAIRS)
    raise InputError("a distance", " and ".join(k.__name__ for k in kinds), f"one of: {known}")
