"""The finished workpieces and the rooms of the parts as kernel solids."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from types import MappingProxyType

from bodycad.errors import SolidError
from bodycad.layout.layout import Layout
from bodycad.layout.workpiece import Frame, Workpiece
from bodycad.solid import kernel
from bodycad.solid import occ as cq
from bodycad.solid.due import tools_of
from bodycad.solid.skin import skin_solid
from bodycad.solid.snap import Tools
from bodycad.words import RoomKind

Colour = tuple[float, float, float, float]
"""Red, green, blue and opacity, each in 0..1."""
BODY_COLOUR = (0.80, 0.62, 0.40, 1.0)
SHEET_COLOUR = (0.30, 0.32, 0.36, 1.0)
"""Of every workpiece but the body."""
COLOURS: Mapping[RoomKind, Colour] = MappingProxyType(
    {
        RoomKind.NECK: (0.86, 0.72, 0.50, 0.9),
        RoomKind.BOARD: (0.35, 0.22, 0.15, 0.9),
        RoomKind.SCREW: (0.55, 0.55, 0.60, 0.9),
        RoomKind.FERRULE: (0.75, 0.72, 0.60, 0.9),
        RoomKind.PICKUP: (0.15, 0.15, 0.18, 0.9),
        RoomKind.RING: (0.90, 0.87, 0.78, 0.9),
        RoomKind.POLE: (0.62, 0.66, 0.70, 0.9),
        RoomKind.PLATE: (0.70, 0.70, 0.74, 0.9),
        RoomKind.SADDLE: (0.78, 0.78, 0.82, 0.9),
        RoomKind.POST: (0.50, 0.52, 0.56, 0.9),
        RoomKind.COVER: (0.30, 0.32, 0.36, 0.9),
        RoomKind.CAN: (0.25, 0.45, 0.65, 0.9),
        RoomKind.KNOB: (0.12, 0.12, 0.12, 0.9),
        RoomKind.JACK: (0.45, 0.45, 0.20, 0.9),
        RoomKind.PLUG: (0.60, 0.58, 0.30, 0.9),
        RoomKind.BUTTON: (0.66, 0.60, 0.42, 0.9),
        RoomKind.SWING: (0.80, 0.35, 0.30, 0.4),
        RoomKind.BATTERY: (0.20, 0.50, 0.25, 0.9),
        RoomKind.PART: (0.60, 0.30, 0.30, 0.9),
    }
)
"""One colour for every kind of room."""


@dataclass(frozen=True, eq=False)
class NamedSolid:
    """A workpiece, or the room of a part, as a solid in the instrument's frame."""

    id: str
    colour: Colour
    solid: cq.Solid


def body_solid(layout: Layout) -> cq.Solid:
    """The finished body: shaped skin less every void, cut in one operation.

    Raises SolidError naming the cut that cannot be made, or what the body falls into.
    """
    return carved(layout.body, tools_of(layout.body))[0]


def carved(
    piece: Workpiece, tools: Tools, progress: Callable[[str], None] = lambda step: None
) -> tuple[cq.Solid, cq.Solid]:
    """A finished workpiece, and the same before its voids, in its own frame, for tools that are
    already snapped."""
    progress(f"shaping the outside of {piece.id}")
    blank = skin_solid(piece.skin)
    progress(f"making the tools for {piece.id}")
    solids = [(name, kernel.solid_of(shape, name)) for name, shape in tools.shapes.items()]
    progress(f"cutting the voids of {piece.id}")
    made = kernel.cut(blank, solids, f"the voids of {piece.id}") if solids else blank
    parts = made.Solids()
    if len(parts) > 1:
        raise SolidError(_loose(piece.id, parts, tools))
    return kernel.sound(made, f"the {piece.id}", f"after {len(solids)} voids"), blank


def _loose(name: str, solids: list[cq.Solid], tools: Tools) -> str:
    """What a workpiece falls into, and the voids that touch each loose part."""
    solids = sorted(solids, key=kernel.volume, reverse=True)
    parts = []
    for solid in solids[1:5]:
        box = solid.BoundingBox(1e-6)
        near = [name for name, shape in tools.shapes.items() if _touch(shape.box, box)]
        parts.append(f"{kernel.whereabouts(solid)} beside {', '.join(near) or 'a contour'}")
    return f"the {name} falls into {len(solids)} pieces; loose: {'; '.join(parts)}"


def _touch(box: tuple[float, ...], other: cq.BoundBox) -> bool:
    low, high = (other.xmin, other.ymin, other.zmin), (other.xmax, other.ymax, other.zmax)
    return all(box[k] <= high[k] + 1e-3 and low[k] <= box[k + 3] + 1e-3 for k in range(3))


def room_solids(layout: Layout) -> tuple[NamedSolid, ...]:
    """Every room of the layout that no workpiece fills, in the layout's order."""
    filled = {piece.id for piece in layout.pieces}
    return tuple(
        NamedSolid(room.id, COLOURS[room.kind], kernel.solid_of(room.shape, f"room {room.id}"))
        for room in layout.rooms
        if room.id not in filled
    )


def in_place(solid: cq.Solid, frame: Frame) -> cq.Solid:
    """A solid of a workpiece's own frame where the piece sits on the instrument."""
    if frame == Frame():
        return solid
    along, up = (cq.Vector(*frame.way(v)) for v in ((1.0, 0.0, 0.0), (0.0, 0.0, 1.0)))
    return solid.moved(cq.Location(cq.Plane(cq.Vector(frame.x, frame.y, frame.z), along, up)))
