"""One drilled hole, as the bench needs it."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum

from bodycad.checks.wood.shank import on_hand
from bodycad.geometry.solids.solid import Point3
from bodycad.making.marking import EdgePlace, compass, seen
from bodycad.shop import Shop
from bodycad.tools import FLAT, TWIST, Drill
from bodycad.words import Face, Operation

HELD = 1e-6
"""Lengths closer than this are one, mm."""
SPUR = 13.0
"""Up to this diameter a flat-ended bit is a brad-point one, mm, as `tools.DRILLS` has them."""
LONG = 150.0
"""A twist drill that reaches so many mm is called long."""


MARKED = "where it stands in {} was not measured: mark it through the part itself"
"""The note of a hole at a place that is only usual."""


def chosen(
    shop: Shop, diameter: float, out: float, flat: bool = False
) -> tuple[Drill | None, tuple[str, ...]]:
    """The drill on hand for a hole, as `drill-reach` takes it, and what must be said of it. out:
    how far it must stand out of its chuck, mm, its point left out; flat: its end must be flat."""
    drill = on_hand(shop, diameter, out, flat) or on_hand(shop, diameter, out)
    if drill is None:
        return None, (f"no drill on hand makes {diameter:.2f} mm",)
    notes = []
    if flat and drill.point_deg < FLAT:
        notes.append(f"drawn with a flat end; this drill's point goes {drill.point:.1f} mm deeper")
    if drill.reach < out + drill.point:
        notes.append(f"the drill on hand reaches {drill.reach:g} mm only")
    return drill, tuple(notes)


def bit_of(drill: Drill) -> str:
    """The kind of bit that a drill is, in words."""
    if drill.point_deg >= FLAT:
        return "brad-point bit" if drill.diameter <= SPUR else "flat or saw-tooth bit"
    return f"{'long ' if drill.reach >= LONG else ''}twist drill"


class HoleFit(StrEnum):
    """What a hole is for, which says how well it must fit."""

    PILOT = "pilot"
    CLEARANCE = "clearance"
    SEAT = "seat"
    PRESS = "press fit"
    INSERT = "insert"
    STRING = "string"
    WAY = "wire"
    PLAIN = "as drawn"


@dataclass(frozen=True)
class Wood:
    """Wood left by a hole: the least, mm, how far that figure may be off, and what lies there."""

    left: float
    bound: float
    to: str


@dataclass(frozen=True, kw_only=True)
class Hole:
    """One drilled hole of a workpiece, in that piece's own frame, mm and degrees.

    tag: its name on the paper, "A1": a letter for each drill. id: of its void; of what a screw
    bites in no workpiece, a name of its own. part: the placed part that it serves; serves: what
    for, in words. face: the side that the drill comes from. fits: diameter of what goes in, None
    where nothing says. at: where it is marked: of an upright hole its axis in the plain face, of
    another where its axis enters the plain board, or where it starts in a cut. way: unit way of the
    drill. drill: the one on hand, None where the shop has none. out: how far that must stand out of
    its chuck, its point left out; infinite where wood beside its way lets no chuck by. flat: its
    end must be flat. full, tip: how deep from `at`, at full diameter and to the drill's tip, which
    has a point of `point_deg`, that of a drill on hand where none is flat as it must be.
    through: its end is meant to be open. both: it goes through the board, and is met from both
    faces. start: how far under the plain face the wood begins there, inside the cuts `inside`.
    tilt_deg: off upright to its face (from the edge: to the front); direction_deg: from toward the
    nut to the left, as the face is seen. pins: how far from the pins' middles. edge: its place on
    the edge. shares: tags of the holes on its axis; after: of those that come first; half_after: of
    those that come before its second half, from the other face. before: the contours that come
    later. countersink: diameter of the screw's head that is let in. wood: what is left by it, None
    where its end is open. notes: what else must be said."""

    tag: str = ""
    id: str
    part: str
    serves: str
    piece: str
    face: Face
    operation: Operation
    fit: HoleFit
    fits: float | None = None
    at: Point3
    way: Point3
    diameter: float
    drill: Drill | None
    out: float
    flat: bool = False
    full: float
    tip: float
    point_deg: float
    through: bool = False
    both: bool = False
    start: float = 0.0
    inside: tuple[str, ...] = ()
    tilt_deg: float = 0.0
    direction_deg: float = 0.0
    pins: tuple[float, ...] = ()
    edge: EdgePlace | None = None
    shares: tuple[str, ...] = ()
    after: tuple[str, ...] = ()
    half_after: tuple[str, ...] = ()
    before: tuple[str, ...] = ()
    countersink: float | None = None
    wood: Wood | None = None
    notes: tuple[str, ...] = ()

    @property
    def size(self) -> float:
        """The diameter that it gets: its drill's, as drawn where the shop has none, mm."""
        return self.diameter if self.drill is None else float(self.drill.diameter)

    @property
    def upright(self) -> bool:
        """Whether it stands square to the face that it is drilled from."""
        return self.face is not Face.EDGE and self.tilt_deg == 0.0

    @property
    def begin(self) -> float:
        """How far along from `at` its wood begins, mm."""
        return self.start if self.upright else 0.0

    @property
    def xy(self) -> tuple[float, float]:
        """Where it is marked, as its face is seen."""
        return seen(self.at[0], self.at[1], self.face)

    @property
    def end(self) -> Point3:
        """The middle of its end at full diameter."""
        (x, y, z), (dx, dy, dz) = self.at, self.way
        return x + self.full * dx, y + self.full * dy, z + self.full * dz

    @property
    def drill_key(self) -> tuple[float, bool, float]:
        """What drill it takes: holes of one key take one tag letter."""
        if self.drill is None:
            return round(self.diameter, 3), self.flat, 0.0
        drill = self.drill
        return round(drill.diameter, 3), drill.point_deg >= FLAT, drill.reach

    @property
    def bit(self) -> str:
        """The kind of bit that it takes, in words."""
        drill = self.drill or Drill(self.diameter, 1.0, FLAT if self.flat else TWIST)
        point = f", {drill.point_deg:g} deg point" if drill.point_deg < FLAT else ""
        return f"{bit_of(drill)}{point}"

    def towards(self, above: str, below: str) -> str:
        """Its direction in plain words; above, below: what lies up and down as its face is seen."""
        return "" if self.upright else compass(self.direction_deg, above, below)
