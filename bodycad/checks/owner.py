"""To which placed part a finding's subject belongs."""

from __future__ import annotations

from bodycad.checks.wood.near import remembered
from bodycad.layout.interface import Land, Saddle
from bodycad.layout.layout import Layout


def owner_of(subject: str, layout: Layout) -> str | None:
    """The placed part that a finding's subject belongs to: as the void, room, workpiece or record
    of that name says; else the part whose id it begins with; None for a face, a string, an edge."""

    def stated() -> dict[str, str]:
        return {
            **{land.name: land.part for land in layout.stated(Land)},
            **{saddle.id: saddle.part for saddle in layout.stated(Saddle)},
            **{piece.id: piece.part for piece in layout.pieces if piece.part},
            **{room.id: room.part for room in layout.rooms},
            **{void.id: void.part for void in layout.by_id.values()},
        }

    def find() -> str | None:
        known = remembered(layout, ("owners",), stated).get(subject)
        ids = {p.id for p in layout.placed}
        if known in ids:
            return known
        named = (one for one in ids if subject == one or subject.startswith(f"{one}."))
        return max(named, key=len, default=None)

    return remembered(layout, ("owner", subject), find)
