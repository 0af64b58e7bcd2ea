"""Where a hole is marked: from the datum cross, from the pins, along the edge; and which way it
runs.

Places on a face are as that face is seen, front or back: x to the right, toward the nut, and y up.
So the back shows every y of the wood with the other sign."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from bodycad.geometry.plane.profile import Profile
from bodycad.geometry.plane.segments import crossed
from bodycad.geometry.solids.solid import Point3
from bodycad.layout.blank import Pin, station
from bodycad.layout.workpiece import Workpiece
from bodycad.words import Face

MOST_PINS = 3
"""Distances are told from so many pins: two circles meet twice, and the third pin tells where."""
SQUARE = 0.05
"""A hole that leans by less than so many degrees stands square (a drill press is not set finer:
common practice, no source)."""


@dataclass(frozen=True)
class EdgePlace:
    """A place on the edge of a piece, looked at straight on from outside with the front up.

    along: mm along the edge from the mark, to the right where positive. straight: the same by a
    straight rule. mark: the place of the mark in the piece's plan, at the tail where the centreline
    leaves the wood. height: mm over the back. aside_deg: how far the hole leans off square to the
    edge, to the right where positive; rise_deg: how far it rises toward the front."""

    along: float
    straight: float
    mark: tuple[float, float]
    height: float
    aside_deg: float
    rise_deg: float


def seen(x: float, y: float, face: Face) -> tuple[float, float]:
    """A place or a way of a piece's plan as `face` shows it; the edge's as the front does."""
    return (x, -y) if face is Face.BACK else (x, y)


def from_pins(piece: Workpiece, x: float, y: float) -> tuple[float, ...]:
    """How far (mm) a place in plan lies from the middles of the first MOST_PINS pins."""
    return tuple(math.hypot(x - pin.x, y - pin.y) for pin in pins_of(piece))


def pins_of(piece: Workpiece) -> tuple[Pin, ...]:
    """The pins that places are told from."""
    return piece.blank.pins[:MOST_PINS] if piece.blank is not None else ()


def tilt(way: Point3, face: Face) -> tuple[float, float]:
    """How a drill comes in, degrees: off upright to the face (from the edge: to the front), and its
    direction as that face is seen, from toward the nut to the left; 0 for an upright hole."""
    dx, dy = seen(way[0], way[1], face)
    down = way[2] if face is Face.BACK else -way[2]
    level = math.hypot(dx, dy)
    return math.degrees(math.atan2(level, down)), math.degrees(math.atan2(dy, dx)) + 0.0


def way_of(tilt_deg: float, direction_deg: float, face: Face) -> Point3:
    """The unit way in the piece's frame of what `tilt` says."""
    steep, turn = math.radians(tilt_deg), math.radians(direction_deg)
    dx, dy = seen(math.sin(steep) * math.cos(turn), math.sin(steep) * math.sin(turn), face)
    down = math.cos(steep)
    return dx, dy, down if face is Face.BACK else -down


def compass(direction_deg: float, above: str, below: str) -> str:
    """A direction in plain words; above, below: what lies up and down on the sheet."""
    names = ["nut", f"nut and {above}", above, f"tail and {above}"]
    names += ["tail", f"tail and {below}", below, f"nut and {below}"]
    return f"toward the {names[round(direction_deg / 45.0) % 8]}"


def mark_of(outline: Profile) -> tuple[float, float]:
    """The edge's mark: where the centreline leaves the wood at the tail; the place nearest to the
    tail of an outline that lies beside its centreline."""
    x0, _, x1, _ = outline.box
    base, way = np.array([[x0 - 1.0, 0.0]]), np.array([[1.0, 0.0]])
    on = crossed(outline.segments, base, way, 0.0, x1 - x0 + 2.0)
    if on.size:
        return x0 - 1.0 + float(on.min()), 0.0
    least = outline.segments.nearest(np.array([[x0, (outline.box[1] + outline.box[3]) / 2.0]]))
    x, y = least[1][0].tolist()
    return x, y


def edge_place(piece: Workpiece, at: Point3, way: Point3) -> EdgePlace:
    """How a hole that enters the edge at `at` and runs along `way` is marked there."""
    outline, mark = piece.skin.outline, mark_of(piece.skin.outline)
    (_, _, begin), (_, ahead, here) = (station(outline, *p) for p in (mark, at[:2]))
    along = (here - begin) % outline.length
    along = along if along <= outline.length / 2.0 else along - outline.length
    # The outline runs counter-clockwise: seen from outside it goes to the right, wood on its left.
    to_right = way[0] * ahead[0] + way[1] * ahead[1]
    inward = way[1] * ahead[0] - way[0] * ahead[1]
    aside = math.degrees(math.atan2(to_right, inward))
    rise = math.degrees(math.asin(max(-1.0, min(1.0, way[2]))))
    straight = math.dist(mark, at[:2])
    return EdgePlace(along, straight, mark, at[2] + piece.thickness, aside, rise)
