"""What every part answers: the wood it needs removed and the room it takes, once it has a place."""

from __future__ import annotations

from typing import Protocol

from bodycad.layout.interface import Interface
from bodycad.layout.made import Made
from bodycad.layout.place import Place
from bodycad.layout.void import Room, Void
from bodycad.layout.workpiece import Workpiece


class Part(Protocol):
    """A dataclass of sizes (see bodycad.units.Size for their origin). Both answers are in the body
    frame of a right-handed body; `thickness` is that of the plain stock, mm.

    A part whose fields also say how the wood is cut (a clearance, a depth, the wood to leave) has a
    third answer, `fitted(part, drawn, made)`: itself, as measured, in the wood that was cut for
    `drawn` and came out as `made`. A part without one is fitted as it is."""

    def voids(self, part: str, place: Place, thickness: float) -> tuple[Void, ...]:
        """Every cut and hole the part needs, with ids beginning with `part`."""

    def interfaces(self, part: str, place: Place, piece: Workpiece) -> tuple[Interface, ...]:
        return ()

    def rooms(self, part: str, place: Place, thickness: float) -> tuple[Room, ...]:
        """The solids the fitted part fills, with ids beginning with `part`."""


def fitted(part, name: str, drawn, made: Made):
    """`part` with the id `name` in the wood cut for `drawn`, which came out as `made`."""
    own = getattr(part, "fitted", None)
    return part if own is None else own(name, drawn, made)
