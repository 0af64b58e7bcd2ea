"""The finished body and the rooms of its parts as kernel solids."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from types import MappingProxyType

import cadquery as cq

from bodycad.errors import SolidError
from bodycad.layout.layout import Layout
from bodycad.layout.tool import tool_shapes
from bodycad.solid import kernel
from bodycad.solid.skin import skin_solid
from bodycad.solid.snap import Tools, snapped

COLOURS = MappingProxyType(
    {
        "body": (0.80, 0.62, 0.40, 1.0),
        "pickup": (0.15, 0.15, 0.18, 0.9),
        "bridge": (0.70, 0.70, 0.74, 0.9),
        "neck": (0.86, 0.72, 0.50, 0.9),
        "screw": (0.55, 0.55, 0.60, 0.9),
        "control": (0.25, 0.45, 0.65, 0.9),
        "jack": (0.45, 0.45, 0.20, 0.9),
        "battery": (0.20, 0.50, 0.25, 0.9),
    }
)
OTHER = (0.60, 0.30, 0.30, 0.9)
"""Colour (red, green, blue, opacity) of a room whose kind is not in COLOURS."""


@dataclass(frozen=True, eq=False)
class RoomSolid:
    """The room of a part as a solid with its id, kind and colour (red, green, blue, opacity in
    0..1)."""

    id: str
    kind: str
    colour: tuple[float, float, float, float]
    solid: cq.Solid


def body_solid(layout: Layout) -> cq.Solid:
    """The finished body: shaped skin less every void, cut in one operation.

    Raises SolidError naming the cut that cannot be made, or what the body falls into.
    """
    return carved(layout, tools_of(layout))[0]


def tools_of(layout: Layout) -> Tools:
    """The tools of every void, overshooting open faces and free of near misses."""
    return snapped(tool_shapes(layout), layout.skin.outline)


def carved(
    layout: Layout, tools: Tools, progress: Callable[[str], None] = lambda step: None
) -> tuple[cq.Solid, cq.Solid]:
    """The finished body and the body before its voids, for tools that are already snapped."""
    progress("shaping the outside")
    blank = skin_solid(layout.skin)
    progress("making the tools")
    solids = [(name, kernel.solid_of(shape, name)) for name, shape in tools.shapes.items()]
    progress("cutting the voids")
    made = kernel.cut(blank, solids, "the voids")
    pieces = made.Solids()
    if len(pieces) > 1:
        raise SolidError(_loose(pieces, tools))
    return kernel.sound(made, "the body", f"after {len(solids)} voids"), blank


def _loose(pieces: list[cq.Solid], tools: Tools) -> str:
    """What the body falls into, and the voids that touch each loose piece."""
    pieces = sorted(pieces, key=kernel.volume, reverse=True)
    parts = []
    for piece in pieces[1:5]:
        box = piece.BoundingBox(1e-6)
        near = [name for name, shape in tools.shapes.items() if _touch(shape.box, box)]
        x, y, z = piece.Center().toTuple()
        parts.append(
            f"{kernel.volume(piece):.4g} mm3 at ({x:.2f}, {y:.2f}, {z:.2f}) beside {', '.join(near) or 'a contour'}"
        )
    return f"the body falls into {len(pieces)} pieces; loose: {'; '.join(parts)}"


def _touch(box: tuple[float, ...], other: cq.BoundBox) -> bool:
    low, high = (other.xmin, other.ymin, other.zmin), (other.xmax, other.ymax, other.zmax)
    return all(box[k] <= high[k] + 1e-3 and low[k] <= box[k + 3] + 1e-3 for k in range(3))


def room_solids(layout: Layout) -> tuple[RoomSolid, ...]:
    """Every room of the layout as a named, coloured solid, in the layout's order."""
    return tuple(
        RoomSolid(
            room.id,
            room.kind,
            COLOURS.get(room.kind, OTHER),
            kernel.solid_of(room.shape, f"room {room.id}"),
        )
        for room in layout.rooms
    )
