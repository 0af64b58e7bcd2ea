"""What every part answers: the wood it needs removed and the room it takes, once it has a place."""

from __future__ import annotations

from typing import Protocol

from bodycad.layout.void import Place, Room, Void


class Part(Protocol):
    """A dataclass of sizes (see bodycad.units.Size for their origin). Both answers are in the body
    frame of a right-handed body; `thickness` is that of the plain stock, mm."""

    def voids(self, part: str, place: Place, thickness: float) -> tuple[Void, ...]:
        """Every cut and hole the part needs, with ids beginning with `part`."""

    def rooms(self, part: str, place: Place, thickness: float) -> tuple[Room, ...]:
        """The solids the fitted part fills, with ids beginning with `part`."""
