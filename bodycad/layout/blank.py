"""The board before shaping, and places on an outline."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from typing import Annotated

import numpy as np

from bodycad.declare import Count, Far, Spot, Turn, between, declared, mm
from bodycad.errors import InputError, number
from bodycad.geometry.plane.build import rectangle
from bodycad.geometry.plane.profile import Plan, Profile, spread
from bodycad.geometry.solids.skin import Skin
from bodycad.layout.measures import in_millimetres
from bodycad.layout.place import Place
from bodycad.wood import Species
from bodycad.words import Face, Grain, Side

PIN_OFF = 18.0
"""Wood between the outline and a datum pin, mm: the way of a half-inch cutter and 5 mm more (common
practice, no source)."""
WOOD = 'as species("alder, red") gives one'
Joints = Annotated[tuple[Spot, ...], Count(0, 50)]
Moisture = Annotated[float, between(0.0, 30.0, "%")]
"""Of wood that is worked: none is worked wetter than where it begins to shrink."""


@dataclass(frozen=True)
@declared("a datum pin")
class Pin:
    """A datum pin hole in the blank, outside the body: centre and diameter, mm."""

    x: Spot
    y: Spot
    diameter: Annotated[float, mm(1.0, 60.0)] = 6.0


@dataclass(frozen=True)
@declared("the blank")
class Blank:
    """The board before shaping: rectangle x0..x1, y0..y1, glue joints (y of each), wood, pins.

    outline_from: the face that the body's outline is cut from, right through, and that is worked
    last; None where half of it is cut from each face, off the pins."""

    x0: Spot
    y0: Spot
    x1: Spot
    y1: Spot
    species: Annotated[Species, WOOD]
    joints: Joints = ()
    pins: Annotated[tuple[Pin, ...], Count(0, 50)] = ()
    moisture: Moisture = 8.0
    grain: Grain = Grain.TANGENTIAL
    outline_from: Side | None = Face.BACK

    def __post_init__(self) -> None:
        if not (self.x0 < self.x1 and self.y0 < self.y1):
            thing = "the blank"
            raise InputError(thing, (self.x0, self.y0, self.x1, self.y1), "x0 < x1 and y0 < y1")
        for joint in self.joints:
            number("a glue joint's y", joint, self.y0, self.y1)

    @property
    def plan(self) -> Profile:
        """Its rectangle."""
        middle = (self.x0 + self.x1) / 2.0, (self.y0 + self.y1) / 2.0
        return rectangle(self.x1 - self.x0, self.y1 - self.y0, 0.0, *middle)

    def mirrored(self) -> Blank:
        return replace(
            self,
            y0=-self.y1,
            y1=-self.y0,
            joints=tuple(-y for y in self.joints),
            pins=tuple(Pin(p.x, -p.y, p.diameter) for p in self.pins),
        )


@declared("a place on the edge")
def on_edge(outline: Plan, x: Far, y: Far) -> Place:
    """The place on the outline nearest to (x, y), its u pointing straight into the wood."""
    foot, (tx, ty), _ = station(outline, x, y)
    # The outline runs counter-clockwise: the wood lies to the left.
    return Place(*foot, math.degrees(math.atan2(tx, -ty)))


def station(
    outline: Profile, x: float, y: float
) -> tuple[tuple[float, float], tuple[float, float], float]:
    """The place of an outline nearest to (x, y), which way the outline runs there, and how far
    along it that is from its first vertex, mm."""
    s = outline.segments
    _, foot, index = s.nearest(np.array([[x, y]]))
    one = s.take(index)
    if one.arc[0]:
        out = foot[0] - one.centre[0]
        t = (
            ((math.atan2(out[1], out[0]) - one.start[0]) * np.sign(one.bulge[0]))
            % (2 * math.pi)
            / abs(one.sweep[0])
        )
        if t > 1.0:  # a hair before its start or behind its end
            t = float(np.hypot(*(foot - one.a)[0]) > np.hypot(*(foot - one.b)[0]))
    else:
        t = float(np.hypot(*(foot[0] - one.a[0])) / one.chord[0])
    tangent = one.tangent(np.array([t]))[0]
    before = s.length[: int(index[0])].sum()
    way = float(tangent[0]), float(tangent[1])
    return (float(foot[0, 0]), float(foot[0, 1])), way, float(before + t * one.length[0])


@declared("places on a rim")
def on_rim(outline: Plan, *near: tuple[Far, Far]) -> tuple[tuple[float, float], ...]:
    """The points of an outline nearest to the given ones: on a cavity's rim half of each cover
    screw's boss stands in the ledge."""
    return tuple((place.x, place.y) for place in (on_edge(outline, x, y) for x, y in near))


@declared("a place on the front")
def on_front(
    skin: Skin, x: Spot, y: Spot, turn_deg: Turn = 0.0, under: Plan | None = None
) -> Place:
    """A place on the shaped front: `z` is the height of the front at (x, y).

    `under`: the plan, in the part's own u and v, of a plate or ring that lies on it: it rests on
    the highest place under it, and `z` is the height of that."""
    spots = np.array([[x, y]])
    if under is not None:
        spots = np.vstack([spots, spread(under.moved(x, y, turn_deg))])
    return Place(x, y, turn_deg, z=float(skin.height("front", spots).max()))


@declared("the blank")
def blank_round(
    outline: Plan,
    species: Annotated[Species, WOOD],
    margin: Annotated[float, mm(0.0, 500.0)] = 10.0,
    joints: Joints = (),
    pin: Annotated[float, mm(1.0, 60.0)] = 6.0,
    moisture: Moisture = 8.0,
    outline_from: Side | None = Face.BACK,
    core: Annotated[float, mm(0.0, 150.0)] = 0.0,
) -> Blank:
    """A blank `margin` mm larger than the outline on every side, and longer at both ends, for three
    datum pin holes of `pin` mm `PIN_OFF` beyond the outline.

    Two pins stand on the centreline, the same for both faces; the third stands beside the
    bridge-side one, toward the wider side, so that the blank goes on in one way only. core: how
    wide a neck that runs through the body is, 0 for none: its sides are glue joints too, and the
    pin at its end stands beside it, toward the narrower side, for the core runs on as the neck.
    Raises InputError for an outline so narrow that two pins would meet."""
    x0, y0, x1, y1 = outline.box
    off, wide = PIN_OFF + pin / 2.0, y1 if y1 >= -y0 else y0
    aside = math.copysign(max(abs(wide) - 2.0 * pin, 0.0), wide)
    if abs(aside) < 3.0 * pin:
        says, cure = in_millimetres(outline)
        size = f"{x1 - x0:.6g} by {y1 - y0:.6g} mm, too narrow for pins of {pin:g} mm{says}"
        remedy = cure if says else "use thinner pins, or a Blank"
        raise InputError("the outline", size, f"at least {10.0 * pin:g} mm wide", remedy)
    beside = math.copysign(core / 2.0 + 3.0 * pin, -wide) if core else 0.0
    joints = (*joints, -core / 2.0, core / 2.0) if core else joints
    pins = (Pin(x0 - off, 0.0, pin), Pin(x1 + off, beside, pin), Pin(x0 - off, aside, pin))
    end = max(margin + 4.0 * pin, off + 1.5 * pin)
    box = x0 - end, y0 - margin, x1 + end, y1 + margin
    return Blank(*box, species, joints, pins, moisture, outline_from=outline_from)
