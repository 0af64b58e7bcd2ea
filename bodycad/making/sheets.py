"""Sheets that guide a router or a drill, as workpieces: their outline, openings and holes."""

from __future__ import annotations

import math
from collections.abc import Sequence

from bodycad.geometry.plane.boolean import intersection
from bodycad.geometry.plane.build import rounded
from bodycad.geometry.plane.profile import Profile
from bodycad.geometry.solids.bore import bore
from bodycad.geometry.solids.edge import Square
from bodycad.geometry.solids.prism import Prism
from bodycad.geometry.solids.skin import Skin
from bodycad.layout.assembly import standing
from bodycad.layout.blank import Pin
from bodycad.layout.layout import Layout
from bodycad.layout.void import Void
from bodycad.layout.workpiece import Workpiece
from bodycad.making.located import PIN_WALL
from bodycad.words import SIDES, Face, Operation

CORNER, CUT_CORNER = 10.0, 25.0
"""Rounds of a sheet's corners, and the length of the side that its cut corner takes off, mm."""


def on_pins(opening: Profile, pins: Sequence[Pin], face: Face, margin: float) -> Profile:
    """The outline of a sheet that reaches `margin` mm beyond an opening all round, and its pins.
    The corner at the nut's end, to the left as one looks at the face with the nut away, is cut
    off."""
    x0, y0, x1, y1 = opening.box
    x0, y0, x1, y1 = x0 - margin, y0 - margin, x1 + margin, y1 + margin
    for pin in pins:
        edge = pin.diameter / 2.0 + PIN_WALL
        x0, x1 = min(x0, pin.x - edge), max(x1, pin.x + edge)
        y0, y1 = min(y0, pin.y - edge), max(y1, pin.y + edge)
    left = 1.0 if face is Face.FRONT else -1.0  # the back is seen turned over
    top, bottom = (y1, y0) if left > 0.0 else (y0, y1)
    for pin in pins:
        room = CUT_CORNER + math.sqrt(2.0) * (pin.diameter / 2.0 + PIN_WALL)
        top = left * max(left * top, left * pin.y + pin.x + room - x1)
    corners = [(x0, bottom), (x1, bottom), (x1, top - left * CUT_CORNER)]
    corners += [(x1 - CUT_CORNER, top), (x0, top)]
    return rounded(corners, (CORNER, CORNER, 0.0, 0.0, CORNER), "a template's sheet")


def sheet_piece(
    name: str, outline: Profile, voids: tuple[Void, ...], thickness: float
) -> Workpiece:
    """A sheet as a workpiece that is cut from an offcut."""
    return Workpiece(name, Skin(outline, thickness, Square(), Square()), voids, sheet=True)


def through(name: str, opening: Profile, thickness: float, face: Face) -> Void:
    """An opening right through a sheet, cut from `face`."""
    shape = Prism(opening, -thickness, 0.0)
    return Void(name, "", face, Operation.POCKET, shape, frozenset(SIDES))


def drilled_hole(name: str, at: Pin, thickness: float, face: Face) -> Void:
    """A hole right through a sheet, drilled from `face`."""
    front = face is Face.FRONT
    start, way = (at.x, at.y, 0.0 if front else -thickness), (0.0, 0.0, -1.0 if front else 1.0)
    shape = bore(start, way, at.diameter, thickness, name=name)
    return Void(name, "", face, Operation.BORE, shape, frozenset(SIDES))


def pin_holes(pins: Sequence[Pin], thickness: float, face: Face) -> list[Void]:
    """The holes of a sheet's pins."""
    return [drilled_hole(f"pin.{k}", pin, thickness, face) for k, pin in enumerate(pins, 1)]


def seat_under(layout: Layout, rim: Profile, face: Face) -> float:
    """How high the fretboard's seat on a core stands over the face under a sheet, mm."""
    seat, neck = standing(layout), layout.body.neck
    if seat is None or neck is None or face is not Face.FRONT or not intersection(rim, neck):
        return 0.0
    return seat.high


def on_packing(high: float) -> str:
    """What is minded of a sheet over that seat."""
    return (
        f"the fretboard's seat stands up to {high:.2f} mm over the front under it: lay it on "
        "packing as thick"
    )
