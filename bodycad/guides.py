"""What guides a hand router along a template: bushes round the cutter, and bearings on the bit; and
a drill in a fixture."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Annotated

from bodycad.declare import declared, mm
from bodycad.errors import number

BUSH_AIR = 3.0
"""A cutter passes a bush whose outside diameter is larger by this: 1 mm of brass and 0.5 mm of air
a side, mm (common practice, no source)."""

BUSH_WALL = 0.5
"""The least wall of a drill bush, mm (common practice, no source)."""


@dataclass(frozen=True)
@declared()
class GuideBush:
    """A guide bush round a router's cutter: its outside diameter, and how far it stands out of the
    router's base, mm."""

    outside: Annotated[float, mm(4.0, 100.0)]
    length: Annotated[float, mm(1.0, 60.0)] = 5.0

    def passes(self, cutter: float) -> bool:
        """Whether a cutter of that diameter turns in it."""
        return cutter <= self.outside - BUSH_AIR + 1e-9


@dataclass(frozen=True)
@declared()
class BearingBit:
    """A straight bit with a bearing of its own diameter over its flutes: the diameter, the length
    of the flutes, and the greatest depth that its tip reaches below the router's base, mm."""

    diameter: Annotated[float, mm(3.0, 100.0)]
    length: Annotated[float, mm(2.0, 200.0)]
    reach: Annotated[float, mm(2.0, 300.0)]

    def __post_init__(self) -> None:
        remedy = "they lie between the tip and the bearing, all of them below the base"
        number("the length of a bearing bit's flutes", self.length, high=self.reach, remedy=remedy)


@dataclass(frozen=True)
@declared()
class DrillBush:
    """A steel bush for a drilling fixture: its bore and its outside diameter, mm."""

    bore: Annotated[float, mm(0.5, 50.0)]
    outside: Annotated[float, mm(1.0, 80.0)]

    def __post_init__(self) -> None:
        least, remedy = self.bore + 2.0 * BUSH_WALL, "the drill turns inside it"
        number("a drill bush's outside", self.outside, least, remedy=remedy)


BUSHES: tuple[GuideBush, ...] = (
    GuideBush(11.0, 5.0),
    *(GuideBush(size, 8.0) for size in (16.0, 24.0, 30.0)),
)
"""What a shop has that names no bushes of its own; the smallest cut down for thin templates (common
practice, no source)."""
BEARING_BITS: tuple[BearingBit, ...] = (
    *(BearingBit(9.5, long, 20.0 + long) for long in (9.5, 19.0)),
    *(BearingBit(12.7, long, 23.0 + long) for long in (6.35, 12.7, 25.4)),
)
"""What a shop has that names no bearing bits of its own (common practice, no source)."""
SHEETS: tuple[float, ...] = (12.0, 6.0)
"""Sheet for templates, mm: the thicker, which carries a bearing, where it will do (common practice,
no source)."""
