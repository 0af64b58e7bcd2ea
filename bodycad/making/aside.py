"""What of a face no cutting program makes, and how it is made instead."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass

from bodycad.checks.order.approach import approach
from bodycad.geometry.solids.edge import Ledge
from bodycad.geometry.solids.prism import Prism
from bodycad.layout.interface import Joint
from bodycad.layout.layout import Layout
from bodycad.layout.workpiece import Workpiece
from bodycad.making.cuts import cuts
from bodycad.making.rims import rims
from bodycad.making.tabs import LOOSE, loose
from bodycad.making.upright import ends_flat, in_plan, set_aside, tilted_floor
from bodycad.tools import FLAT, Drill
from bodycad.words import Face


@dataclass(frozen=True)
class Aside:
    """Something beside the plan cuts: the id of a void, an edge or a contour, and what is done."""

    id: str
    words: str


def aside(layout: Layout, piece: Workpiece, face: Face) -> tuple[Aside, ...]:
    """Everything of a face that its drawing leaves out or leaves to the hand: bores at an angle and
    from the edge, floors at an angle, ledges under a contour and their square ends, shaped faces,
    edges for which there is no bit; and an outline that no tab holds."""
    free = [Aside(f"{piece.id}.outline", LOOSE)] if loose(layout, piece, face) else []
    voids = *_mouths(layout, piece, face), *_voids(piece, face), *_pointed(layout, piece, face)
    return (*free, *voids, *_edges(layout, piece, face))


def _voids(piece: Workpiece, face: Face) -> Iterator[Aside]:
    for void in set_aside(piece, face):
        hole = void.shape.hole
        what = "drilled" if hole is not None else "routed"
        how = "from the edge" if void.face is Face.EDGE else "at an angle"
        yield Aside(void.id, f"{what} {how}: a set-up of its own")
    for void in piece.voids:
        if (prism := tilted_floor(void)) is not None and in_plan(void, face):
            yield Aside(void.id, _wedge(prism))


def _mouths(layout: Layout, piece: Workpiece, face: Face) -> Iterator[Aside]:
    """The waste in which a neck lies while it is fitted."""
    for joint in layout.stated(Joint):
        pocket = piece.by_id.get(joint.pocket)
        if pocket is not None and pocket.face is face and (way := approach(layout, joint)):
            words = f"clear the waste before its mouth {way.depth:.2f} deep, to the blank's end"
            yield Aside(joint.pocket, f"{words}, before the neck is fitted: not in this program")


def _pointed(layout: Layout, piece: Workpiece, face: Face) -> Iterator[Aside]:
    """Holes with a flat end for which a pointed drill is all there is."""
    for cut in cuts(layout):
        tool = cut.tool
        if cut.piece == piece.id and cut.face is face and isinstance(tool, Drill):
            for name in cut.ids:
                if tool.point_deg < FLAT and ends_flat(piece.by_id[name]):
                    words = f"drawn with a flat end; this drill's point goes {tool.point:.1f} mm"
                    yield Aside(name, f"{words} deeper: get a flat bit of {tool.diameter:.2f} mm")


def _wedge(prism: Prism) -> str:
    """What a tilted floor needs. A level cutter leaves steps in it, and a grid of heights would
    make slopes of its walls."""
    angle = math.degrees(math.atan(math.hypot(*prism.slope)))
    low, high = prism.floor_range
    return (
        f"cut level to {-high:.2f}, its highest place; then with the piece on a wedge of "
        f"{angle:.2f} deg down to {-low:.2f}"
    )


def _edges(layout: Layout, piece: Workpiece, face: Face) -> Iterator[Aside]:
    skin, name = piece.skin, f"{piece.id}.ledge"
    for contour in skin.contours:
        if contour.face is face:
            yield Aside(contour.id, "shaped: in the grid of heights of this face")
    for rim in rims(piece, face, layout.shop):
        if rim.bit is None:
            yield Aside(rim.id, "cut by no bit on hand: in the grid of heights of this face")
    for shelf in skin.shelves:
        if shelf.face is face and shelf.carve is not None:
            yield Aside(name, f"follows {shelf.contour}: its floor there is cut by hand after it")
    for k, run in enumerate(skin.runs(face), 1):
        if isinstance(run.edge, Ledge) and not run.closed:
            yield Aside(f"{name}.{k}", "the cutter leaves its own radius at each end: by hand")
