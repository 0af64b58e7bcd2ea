"""Which rooms are things to buy, and which records say what they are bought as."""

from __future__ import annotations

from dataclasses import dataclass

from bodycad.layout.interface import COUNTED_ELSEWHERE, Hardware
from bodycad.layout.layout import Layout
from bodycad.words import RoomKind


@dataclass(frozen=True)
class Thing:
    """A part's rooms of one kind: their ids, the records that say what they are bought as, and
    whether they are cut, each from a workpiece of the same id."""

    part: str
    kind: RoomKind
    rooms: tuple[str, ...]
    said: tuple[Hardware, ...]
    cut: bool

    @property
    def times(self) -> int:
        """How often it would be got: once is right."""
        return len(self.said) + self.cut


def things(layout: Layout) -> tuple[Thing, ...]:
    """Every kind of room of every part that has to be got, in the order of the parts. Where some of
    them are cut, the others alone."""
    rooms: dict[tuple[str, RoomKind], list[str]] = {}
    for room in layout.rooms:
        if room.kind not in COUNTED_ELSEWHERE:
            rooms.setdefault((room.part, room.kind), []).append(room.id)
    said: dict[tuple[str, RoomKind], list[Hardware]] = {}
    for one in layout.stated(Hardware):
        for kind in one.fills:
            said.setdefault((one.part, kind), []).append(one)
    pieces, found = {piece.id for piece in layout.pieces[1:]}, list[Thing]()
    for (part, kind), ids in rooms.items():
        left = tuple(name for name in ids if name not in pieces)
        own = tuple(said.get((part, kind), ()))
        found.append(Thing(part, kind, left or tuple(ids), own, not left))
    return tuple(found)
