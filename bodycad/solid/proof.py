"""Gaps measured again by the kernel, on solids made of the same numbers, without our distances.

Bores are taken apart into cylinder and point: the kernel overestimates on the fused solid (0.02 mm
seen at a point's seam). The body's edge is the faces of the kernel's own edged slab, fillets
included.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence

import numpy as np
from OCP.BRepExtrema import BRepExtrema_DistShapeShape
from OCP.BRepPrimAPI import BRepPrimAPI_MakePrism

from bodycad.errors import BodycadError, SolidError
from bodycad.geometry.distance.search import Gap
from bodycad.geometry.solids.bore import Bore
from bodycad.geometry.solids.skin import Skin
from bodycad.geometry.solids.solid import Box3, Solid
from bodycad.solid import kernel, occ
from bodycad.solid.compare import AGREE, Question
from bodycad.solid.skin import bent, edged_slab

AIR = 2.0
"""Thickness of the slab of air that stands for the air over a plain face, mm."""
OUT = 30.0
"""How far over a face a void is still held against the edge, mm."""
PLAIN = 1e-6
"""A face of the slab that keeps within this (mm) of the front's or the back's plane is not edge."""

Pieces = tuple[tuple[Box3, occ.Shape], ...]
"""What stands for one thing: kernel shapes with their boxes."""


def measure(
    skin: Skin, questions: Sequence[Question], progress: Callable[[str], None] = lambda step: None
) -> list[float | str]:
    """The kernel's figure (mm) for each question, or in words why there is none. Each solid is
    built once."""
    built: dict[object, Pieces] = {}
    known: dict[object, float | str] = {}
    found = []
    for one in questions:
        gap, own = one.gap, one.skin or skin
        assert gap.between
        pair = tuple(
            (thing, id(own)) if isinstance(thing, str) else id(thing) for thing in gap.between
        )
        if pair not in known:
            progress(f"measuring {one.names[0]} to {one.names[1]}")
            try:
                sides = []
                for key, thing, name in zip(pair, gap.between, one.names):
                    if key not in built:
                        built[key] = pieces(thing, own, name)
                    sides.append(built[key])
                known[pair] = figure(gap, *sides)
            except BodycadError as err:
                known[pair] = str(err)
        found.append(known[pair])
    return found


def figure(gap: Gap, one: Pieces, two: Pieces) -> float:
    """The kernel's least distance (mm) between two things.

    Where the kernel says clearly more than ours, it is asked whether our two points belong to the
    two things: from one to the other by way of them is a distance that the true one cannot exceed.
    """
    found = distance(one, two)
    if found > gap.distance + gap.bound + AGREE / 2.0:
        p, q = (_pieces_of(occ.Vertex.makeVertex(*point)) for point in gap.at)
        found = min(found, distance(one, p) + math.dist(*gap.at) + distance(q, two))
    return found


def distance(one: Pieces, two: Pieces) -> float:
    """Least distance (mm) between any piece of one and any of two; pairs whose boxes are farther
    than the best found are left out."""
    pairs = sorted(
        ((_apart(a, b), i, j) for i, (a, _) in enumerate(one) for j, (b, _) in enumerate(two))
    )
    best = math.inf
    for apart, i, j in pairs:
        if apart >= best:
            break
        tool = BRepExtrema_DistShapeShape(one[i][1].wrapped, two[j][1].wrapped)
        if not tool.IsDone():
            raise SolidError("the kernel finds no distance between them")
        best = min(best, float(tool.Value()))
    return best


def pieces(thing: Solid | str, skin: Skin, name: str) -> Pieces:
    """The kernel shapes that stand for a void, a contour's carve, "front", "back" or "edge" of a
    skin, or what the contour of that id takes inside the outline."""
    if not isinstance(thing, str):
        return _pieces_of(*(_bore(thing.hole) if thing.hole else (kernel.solid_of(thing, name),)))
    if thing == "edge":
        return _edge(skin)
    for contour in skin.contours:
        if thing == contour.id:
            under = kernel.level(-skin.thickness - OUT)
            slab = kernel.extruded(skin.outline, (), under, skin.thickness + 2 * OUT, name)
            with kernel.step(name):
                return _pieces_of(*slab.intersect(kernel.solid_of(contour.carve, name)).Solids())
    x0, y0, x1, y1 = skin.outline.box
    low = 0.0 if thing == "front" else -skin.thickness - AIR
    corner = occ.Vector(x0 - 100.0, y0 - 100.0, low)
    return _pieces_of(occ.Solid.makeBox(x1 - x0 + 200.0, y1 - y0 + 200.0, AIR, corner))


def _edge(skin: Skin) -> Pieces:
    """The side and the edges of the body as faces, ledges under contours too, and upright walls
    from the borders of the plain front and back outward: beyond them a void that pokes out of a
    face is over the edge treatment."""
    faces, walls = [], []
    for made in _pieces_of(*bent(edged_slab(skin), skin).Faces()):
        (low, high), face = (made[0][2], made[0][5]), made[1]
        levels = (0.0, -skin.thickness)
        plain = [z for z in levels if abs(low - z) < PLAIN and abs(high - z) < PLAIN]
        if not plain:
            faces.append(made)
            continue
        up = occ.Vector(0.0, 0.0, OUT if plain[0] == 0.0 else -OUT)
        for edge in occ.Face(face.wrapped).outerWire().Edges():
            walls.append(occ.Face.cast(BRepPrimAPI_MakePrism(edge.wrapped, up.wrapped).Shape()))
    return (*faces, *_pieces_of(*walls))


def _bore(shape: Bore) -> list[occ.Solid]:
    way, made = occ.Vector(*shape.direction), []
    if shape.shoulder > 1e-9:
        start = occ.Vector(*shape.start)
        made.append(occ.Solid.makeCylinder(shape.radius, shape.shoulder, start, way))
    if shape.tip > 0.0:
        base = tuple(map(float, shape.at(np.array([shape.shoulder]))[0]))
        made.append(occ.Solid.makeCone(shape.radius, 0.0, shape.tip, occ.Vector(*base), way))
    return made


def _pieces_of(*shapes: occ.Shape) -> Pieces:
    """Shapes with boxes that hold them: never smaller than the shape, so that nothing near is left
    out."""
    return tuple((kernel.rough_box(shape), shape) for shape in shapes)


def _apart(a: Box3, b: Box3) -> float:
    """A distance (mm) that the contents of two boxes cannot come nearer than, less the boxes' own
    rounding."""
    away = math.hypot(*(max(a[k] - b[k + 3], b[k] - a[k + 3], 0.0) for k in range(3)))
    return max(away - 1e-3, 0.0)
