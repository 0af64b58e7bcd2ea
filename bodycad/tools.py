"""What cuts: router cutters, drills and edge bits on hand."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass
from typing import Annotated

from bodycad.declare import Among, between, declared, mm
from bodycad.units import inch
from bodycad.words import EdgeForm, Nose


@dataclass(frozen=True)
@declared()
class Cutter:
    """A router cutter: diameter and the greatest depth it reaches below the face, mm; and its
    nose."""

    diameter: Annotated[float, mm(0.5, 100.0)]
    reach: Annotated[float, mm(1.0, 1000.0)]
    nose: Nose = Nose.FLAT


SAME = 0.15
"""A drill within this of a hole's diameter makes it, mm (common practice, no source)."""
ROUNDED = EdgeForm.ROUNDOVER, EdgeForm.COVE, EdgeForm.CHAMFER
"""What a bit with a bearing cuts along an edge."""
FLAT = 180.0
"""Point angle of a bit that leaves a flat floor (flat, brad-point, saw-tooth), degrees."""
TWIST = 118.0
"""Point angle of a twist drill, degrees (from memory)."""


@dataclass(frozen=True)
@declared()
class Drill:
    """A drill on hand: diameter and the greatest depth that its point reaches below the face, mm.

    point_deg: the angle of its point, `TWIST` or another, `FLAT` for a bit that leaves a flat
    floor, whose spur is left out."""

    diameter: Annotated[float, mm(0.3, 100.0)]
    reach: Annotated[float, mm(1.0, 2000.0)]
    point_deg: Annotated[float, between(60.0, FLAT, "degrees")] = TWIST

    @property
    def point(self) -> float:
        """How far the point stands before the full diameter, mm."""
        return self.diameter / 2.0 / math.tan(math.radians(self.point_deg / 2.0))


@dataclass(frozen=True)
@declared()
class EdgeBit:
    """A router bit whose bearing follows the side: its form, its size (the radius, or the greatest
    width of a chamfer) and the bearing's diameter, mm."""

    form: Annotated[EdgeForm, Among(ROUNDED)]
    size: Annotated[float, mm(0.3, 60.0)]
    bearing: Annotated[float, mm(1.0, 60.0)] = 9.5


CUTTERS: tuple[Cutter, ...] = (
    Cutter(6.35, 32.0),
    Cutter(9.5, 38.0),
    Cutter(12.7, 51.0),
    Cutter(12.7, 38.0, Nose.BALL),
)
"""What a shop has that names no cutters of its own: three with flat noses, and a ball nose for
shaped faces (common practice, no source)."""


def _twists() -> Iterator[Drill]:
    """Whole and half millimetres from 1 to 13; sixteenths of an inch to 1/2 and the 7/64 of a no. 8
    pilot, which hardware is made for; as deep as the flutes of the long series go (ISO 494, from
    memory)."""
    flutes = {1: 33, 1.5: 45, 2: 56, 2.5: 62, 3: 66, 3.2: 69, 3.5: 73, 4: 78, 4.5: 82, 5: 87, 6: 91}
    flutes |= {6.5: 97, 7.5: 102, 8.5: 109, 9.5: 115, 10.5: 121, 11.5: 128, 13: 134}
    inches = inch("7/64"), *(inch(k / 16.0) for k in range(1, 9))
    for size in sorted([*(k / 2.0 for k in range(2, 27)), *inches]):
        yield Drill(size, float(min(deep for most, deep in flutes.items() if size <= most)))


def _flats() -> Iterator[Drill]:
    """Brad-point bits to 13 mm, flat and saw-tooth bits above, 150 mm long (common practice, no
    source)."""
    yield from (Drill(float(k), 40.0 if k <= 5 else 70.0, FLAT) for k in range(3, 14))
    yield Drill(inch("5/16"), 70.0, FLAT)
    above = [*range(14, 27), 28, 30, 32, 35, 38, 40, inch("7/8"), inch(1)]
    yield from (Drill(float(size), 110.0, FLAT) for size in above)


DRILLS: tuple[Drill, ...] = (
    *_twists(),
    *(Drill(inch("7/64"), 300.0), Drill(3.2, 150.0), Drill(6.35, 300.0)),
    *_flats(),
)
"""What a shop has that names no drills of its own: sets of twist drills and flat bits, two long
drills for wires, and one for the screws of a spring claw (common practice, no source)."""
BITS: tuple[EdgeBit, ...] = tuple(
    EdgeBit(form, size)
    for form, sizes in (
        (EdgeForm.ROUNDOVER, (1.5, 2.0, 3.0, 4.0, 5.0, 6.0, 6.35, 8.0, 9.5, 10.0, 12.0, 12.7)),
        (EdgeForm.COVE, (3.0, 4.0, 6.0, 6.35, 8.0, 9.5, 10.0, 12.7)),
        (EdgeForm.CHAMFER, (12.0,)),
    )
    for size in sizes
)
"""What a shop has that names no edge bits of its own, with 9.5 mm bearings (common practice, no
source)."""
