"""The finished workpieces and the rooms of the parts as kernel solids."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from functools import partial
from types import MappingProxyType
from typing import NamedTuple, TypeVar

from bodycad.errors import SolidError
from bodycad.layout.layout import Layout
from bodycad.layout.workpiece import Frame, Workpiece
from bodycad.solid import kernel, occ
from bodycad.solid.due import Due, due_of, tools_of
from bodycad.solid.mend import mended
from bodycad.solid.skin import edged_slab, outside, outside_by_ways
from bodycad.solid.snap import Note, Tools
from bodycad.solid.ways import Made, cut
from bodycad.words import RoomKind

S = TypeVar("S", bound=occ.Shape)
Colour = tuple[float, float, float, float]
"""Red, green, blue and opacity, each in 0..1."""
BODY_COLOUR = (0.80, 0.62, 0.40, 1.0)
CRUMB = 0.01
"""A loose piece of wood up to this size (mm3) is dust."""
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
        RoomKind.GUARD: (0.92, 0.91, 0.86, 0.9),
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
        RoomKind.TOOL: (0.85, 0.65, 0.20, 0.4),
        RoomKind.PART: (0.60, 0.30, 0.30, 0.9),
    }
)
"""One colour for every kind of room."""


@dataclass(frozen=True, eq=False)
class NamedSolid:
    """A workpiece, or the room of a part, as a solid in the instrument's frame."""

    id: str
    colour: Colour
    solid: occ.Solid


def body_solid(layout: Layout) -> occ.Solid:
    """The finished body: shaped skin less every void, cut in one operation.

    Raises SolidError naming the cut that cannot be made, or what the body falls into.
    """
    return carved(layout.body, tools_of(layout.body))[0]


class Carved(NamedTuple):
    """A finished workpiece, the same before its voids, in its own frame, and what was done to make
    it: ids and words, as in `Tools`; the width (mm) under which specks were closed."""

    solid: occ.Solid
    blank: occ.Solid
    notes: tuple[Note, ...] = ()
    closed: float = 0.0


def carved(
    piece: Workpiece,
    tools: Tools,
    progress: Callable[[str], None] = lambda step: None,
    should: Callable[[], Due] | None = None,
) -> Carved:
    """A finished workpiece, for tools that are already snapped.

    Where the kernel's first cut does not hold what it should by the layout's sums, which `should`
    answers, or leaves specks, it is made in other ways."""
    progress(f"shaping the outside of {piece.id}")
    slab = edged_slab(piece.skin)
    try:
        blank = outside(slab, piece.skin)
        progress(f"cutting the voids of {piece.id}")
        solids = [(name, kernel.solid_of(shape, name)) for name, shape in tools.shapes.items()]
        name = f"the voids of {piece.id}"
        found = Carved(_whole(kernel.cut(blank, solids, name), piece, tools), blank)
    except SolidError:
        found = None
    due = should() if should else due_of(piece, tools)
    if found and _right(found, due):
        clean = mended(found.solid, kernel.volume(found.blank) - due.removed, due.voids_off)
        if not clean.specks:
            return found._replace(solid=clean.solid, closed=clean.closed)
    progress(f"cutting {piece.id} in other ways")
    return _other_ways(slab, piece, tools, due)


def _right(made: Carved, due: Due) -> bool:
    shell, got = kernel.volume(made.blank), kernel.volume(made.solid)
    return (
        abs(shell - due.outside) <= due.outside_off
        and abs(shell - got - due.removed) <= due.voids_off
    )


def _other_ways(slab: occ.Solid, piece: Workpiece, tools: Tools, due: Due) -> Carved:
    shell = outside_by_ways(slab, piece.skin, due.outside, due.outside_off)
    contours = tuple(contour.id for contour in piece.skin.contours)
    if not tools.shapes:
        notes = _told(shell, contours or (piece.id,), "the contours are")
        return Carved(shell.solid, shell.solid, notes, shell.closed)
    # What specks it has are told of the finished body, where they are still there.
    notes = _told(shell._replace(specks=()), contours or (piece.id,), "the contours are")

    def solids(seam: float) -> list[tuple[str, occ.Solid]]:
        return [(one, kernel.solid_of(shape, one, seam)) for one, shape in tools.shapes.items()]

    name, left = f"the voids of {piece.id}", kernel.volume(shell.solid) - due.removed
    finish = partial(_whole, piece=piece, tools=tools)
    made = cut(shell.solid, solids(0.0), name, left, due.voids_off, finish, seamed=solids)
    notes += _told(made, (piece.id,), "its voids are")
    return Carved(made.solid, shell.solid, notes, max(shell.closed, made.closed))


def _whole(made: occ.Shape, piece: Workpiece, tools: Tools) -> occ.Solid:
    """The one valid solid that a cut leaves, but for dust."""
    parts = sorted(made.Solids(), key=kernel.size, reverse=True)
    if len(parts) > 1 and kernel.size(parts[1]) > CRUMB:
        raise SolidError(_loose(piece.id, parts, tools))
    whole = parts[0] if parts else made
    return kernel.sound(whole, f"the {piece.id}", f"after {len(tools.shapes)} voids")


def _told(made: Made, ids: tuple[str, ...], what: str) -> tuple[Note, ...]:
    """What the report says of a cut that was not made as drawn, or that leaves specks."""
    found = []
    if made.way.words:
        found.append((ids, f"{what} {made.way.words}, since the kernel cannot cut them as drawn"))
    if made.specks:
        words = "; ".join(speck.text for speck in made.specks[:4])
        found.append((ids, f"the STEP files hold specks that a program may stumble over: {words}"))
    return tuple(found)


def _loose(name: str, solids: list[occ.Solid], tools: Tools) -> str:
    """What a workpiece falls into, and the voids that touch each loose part."""
    solids = sorted(solids, key=kernel.size, reverse=True)
    parts = []
    for solid in solids[1:5]:
        box = solid.BoundingBox(1e-6)
        near = [name for name, shape in tools.shapes.items() if _touch(shape.box, box)]
        parts.append(f"{kernel.whereabouts(solid)} beside {', '.join(near) or 'a contour'}")
    return f"the {name} falls into {len(solids)} pieces; loose: {'; '.join(parts)}"


def _touch(box: tuple[float, ...], other: occ.BoundBox) -> bool:
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


def in_place(solid: S, frame: Frame) -> S:
    """A solid or a face of a workpiece's own frame where the piece sits on the instrument."""
    if frame == Frame():
        return solid
    along, up = (occ.Vector(*frame.way(v)) for v in ((1.0, 0.0, 0.0), (0.0, 0.0, 1.0)))
    return solid.moved(occ.Location(occ.Plane(occ.Vector(frame.x, frame.y, frame.z), along, up)))
