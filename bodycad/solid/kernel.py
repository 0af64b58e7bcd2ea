"""From profiles and solids to kernel solids. Each step has a name, so that a refusal says which cut
and its numbers."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from contextlib import contextmanager
from dataclasses import dataclass
from types import MappingProxyType
from typing import Any, cast

import numpy as np
from OCP.Bnd import Bnd_Box
from OCP.BRepBndLib import BRepBndLib
from OCP.BRepGProp import BRepGProp
from OCP.GProp import GProp_GProps

from bodycad.errors import SolidError
from bodycad.geometry.plane.profile import Profile
from bodycad.geometry.solids.bore import Bore
from bodycad.geometry.solids.carve import Carve
from bodycad.geometry.solids.dome import Dome
from bodycad.geometry.solids.prism import Prism
from bodycad.geometry.solids.solid import Box3, Point3, Solid, point3
from bodycad.solid import occ

LEAST_VOLUME = 1e-6
"""A tool or a body smaller than this (mm3) is nothing."""
SETTLED = 1e-10
"""A volume's sum has settled when it changes by less than this share of it."""


@contextmanager
def step(name: str, numbers: str = "") -> Iterator[None]:
    """Turn whatever the kernel raises inside into a SolidError that names the step and its
    numbers."""
    try:
        yield
    except SolidError:
        raise
    except Exception as err:
        said = str(err).strip().splitlines()
        reason = said[-1] if said else type(err).__name__
        given = f" ({numbers})" if numbers else ""
        raise SolidError(f"{name}{given}: the kernel refused it: {reason}") from err


@dataclass(frozen=True)
class Frame:
    """Where a drawing plane lies: its origin and the directions of its two axes and of the sweep,
    unit vectors."""

    origin: tuple[float, float, float]
    u: tuple[float, float, float]
    v: tuple[float, float, float]

    @property
    def normal(self) -> np.ndarray:
        return np.cross(self.u, self.v)

    def at(self, points: np.ndarray) -> list[occ.Vector]:
        """Plane points (m, 2) as kernel vectors."""
        points, u, v = np.atleast_2d(points), np.array(self.u), np.array(self.v)
        space = np.array(self.origin) + points[:, :1] * u + points[:, 1:2] * v
        return [occ.Vector(*map(float, row)) for row in space]


def level(z: float) -> Frame:
    """The plan at height `z`."""
    return Frame((0.0, 0.0, z), (1.0, 0.0, 0.0), (0.0, 1.0, 0.0))


def wire(profile: Profile, frame: Frame) -> occ.Wire:
    """A closed wire of the profile's own lines and arcs; a full circle is one edge."""
    if profile.circle is not None:
        (x, y), radius = profile.circle
        centre = frame.at(np.array([x, y]))[0]
        edge = occ.Edge.makeCircle(radius, centre, occ.Vector(*map(float, frame.normal)))
        return occ.Wire.assembleEdges([edge])
    s = profile.segments
    a, b = frame.at(s.a), frame.at(s.b)
    middle = frame.at(s.at(np.full(len(s), 0.5)))
    edges = [
        occ.Edge.makeThreePointArc(p, m, q) if arc else occ.Edge.makeLine(p, q)
        for p, m, q, arc in zip(a, middle, b, s.arc)
    ]
    return occ.Wire.assembleEdges(edges)


def face(outer: Profile, holes: Sequence[Profile], frame: Frame) -> occ.Face:
    """A plane face of the outer profile less its holes."""
    return occ.Face.makeFromWires(wire(outer, frame), [wire(hole, frame) for hole in holes])


def extruded(
    outer: Profile, holes: Sequence[Profile], frame: Frame, length: float, name: str
) -> occ.Solid:
    """The face swept `length` mm (positive) along the frame's normal.

    Raises SolidError when the length is not positive or the kernel makes nothing of it.
    """
    numbers = f"area {outer.area:.3f} mm2, length {length:.4f} mm"
    if not (math.isfinite(length) and length > 0.0):
        raise SolidError(f"{name} ({numbers}): a sweep needs a positive length")
    with step(name, numbers):
        along = occ.Vector(*(float(c) * length for c in frame.normal))
        made = occ.Solid.extrudeLinear(face(outer, holes, frame), along)
    return sound(made, name, numbers)


def solid_of(shape: Solid, name: str, seam: float = 0.0) -> occ.Solid:
    """The kernel solid of any shape, the seam of a bore `seam` degrees on about its axis.

    Raises SolidError naming `name` with the shape's numbers when its volume is nil, negative or not
    that of the shape.
    """
    hole = shape.hole if seam else None
    made = _bore(hole, name, seam) if hole else MAKERS[type(shape)](shape, name)
    if not holds(made, shape.volume, 1e-6 * shape.volume):
        held = f"its solid has {volume(made):.6g} mm3, it should have {shape.volume:.6g} mm3"
        raise SolidError(f"{name} ({shape.words}): {held}")
    return made


def _prism(shape: Prism, name: str) -> occ.Solid:
    low, high = shape.floor_range
    if not high < shape.high:
        fault = f"its floor at {high:g} is not below its top at {shape.high:g}"
        raise SolidError(f"{name} ({shape.words}): {fault}")
    made = extruded(shape.profile, (), level(low), shape.high - low, name)
    if not shape.tilted:
        return made
    numbers = f"{shape.words}, slope {shape.slope[0]:g}, {shape.slope[1]:g}"
    with step(name, numbers):
        return sound(one_solid(made.cut(_below_floor(shape)), name), name, numbers)


def _below_floor(shape: Prism) -> occ.Solid:
    """A box under the tilted floor, larger than the prism."""
    x0, y0, _, x1, y1, _ = shape.box
    middle = (x0 + x1) / 2.0, (y0 + y1) / 2.0
    size = 2.0 * (math.hypot(x1 - x0, y1 - y0) + shape.high - shape.floor_range[0] + 1.0)
    up = np.array([-shape.slope[0], -shape.slope[1], 1.0])
    up /= np.linalg.norm(up)
    u = np.cross([0.0, 1.0, 0.0], up)
    u /= np.linalg.norm(u)
    corner = np.array([*middle, shape.floor(*middle)]) - (u + np.cross(up, u)) * size / 2.0
    plane = occ.Plane(point3(corner), point3(u), point3(-up))
    # The plane's second axis is normal x u, so the box must grow along +u and -(up x u).
    box = occ.Solid.makeBox(size, size, size, occ.Vector(0, 0, 0))
    return box.moved(occ.Location(plane)).moved(occ.Location(point3(np.cross(up, u) * size)))


def _bore(shape: Bore, name: str, seam: float = 0.0) -> occ.Solid:
    """The meridian turned about the axis: one solid, drill point included."""
    numbers = shape.words
    if shape.shoulder < -1e-9:
        fault = "a bore needs a length beyond its point"
        raise SolidError(f"{name} ({numbers}): {fault}")
    u, w, d = shape.axes
    if seam:
        u = math.cos(math.radians(seam)) * u + math.sin(math.radians(seam)) * w
    rows = [(0.0, 0.0), (shape.radius, 0.0), (0.0, shape.length)]
    if shape.shoulder > 1e-9 or shape.tip == 0.0:
        rows.insert(2, (shape.radius, shape.shoulder))
    start = np.array(shape.start)
    points = [occ.Vector(*map(float, start + r * u + a * d)) for r, a in rows]
    with step(name, numbers):
        outline = occ.Wire.makePolygon(points, close=True)
        plane = occ.Face.makeFromWires(outline)
        made = occ.Solid.revolve(plane, 360.0, points[0], occ.Vector(*map(float, start + d)))
    return sound(made, name, numbers)


def _carve(shape: Carve, name: str) -> occ.Solid:
    low, high = shape.span
    u, along, w = shape.axes
    # The frame's normal u x w runs against the sweep, so start at the far end.
    origin = shape.world(np.array([[0.0, high, 0.0]]))[0]
    frame = Frame(point3(origin), point3(u), point3(w))
    return extruded(shape.section, (), frame, high - low, name)


def _dome(shape: Dome, name: str) -> occ.Solid:
    """The section led round the crown piece by piece: along its lines, about its arcs' centres."""
    chain, up = shape.crown.segments, (0.0, 0.0, 1.0)
    made = []
    with step(name, shape.words):
        for k in range(len(chain)):
            own = chain.take(np.array([k]))
            ahead = own.tangent(np.zeros(1))[0]
            (x, y), (dx, dy) = map(float, own.a[0]), map(float, ahead)
            frame = Frame((x, y, 0.0), (dy, -dx, 0.0), up)
            section = face(shape.section, (), frame)
            if own.arc[0]:
                x, y = map(float, own.centre[0])
                axis = occ.Vector(x, y, 0.0), occ.Vector(x, y, 1.0)
                made.append(occ.Solid.revolve(section, math.degrees(float(own.sweep[0])), *axis))
            else:
                along = occ.Vector(*map(float, own.b[0] - own.a[0]))
                made.append(occ.Solid.extrudeLinear(section, along))
        return sound(occ.fused(made), name, shape.words)


MAKERS: Mapping[type[Solid], Callable[[Any, str], occ.Solid]] = MappingProxyType(
    {Prism: _prism, Bore: _bore, Carve: _carve, Dome: _dome}
)
"""How the kernel makes each kind of solid."""


def cut(
    body: occ.Shape, tools: Iterable[tuple[str, occ.Solid]], name: str, fuzzy: float = 0.0
) -> occ.Shape:
    """The body less all the named tools, given to the kernel as separate solids in one operation.

    `fuzzy`: places nearer than this (mm) may be taken for one."""
    tools = list(tools)
    if not tools:
        return body
    for tool_name, tool in tools:
        if tool.ShapeType() != "Solid":
            fault = f"a {tool.ShapeType()} cannot be a tool; the kernel cuts wrongly with it"
            raise SolidError(f"{tool_name}: {fault}")
    with step(name, f"{len(tools)} tools"):
        return body.cut(*(tool for _, tool in tools), fuzzy=fuzzy)


Weight = tuple[float, Point3]
"""A volume, mm3, and its centre, mm."""


def weighed(shape: occ.Shape) -> Weight:
    """Volume by Gauss integration over the faces (never over a mesh), within 1e-8 on lines and
    arcs, and its centre.

    Faces are divided until the sum settles: at one fixed order a bore that leaves a slope at a
    slant was 2 % off."""
    return _sum(shape, "weight", SETTLED, False, False)


def roughly(shape: occ.Shape) -> Weight:
    """The same at one fixed order, five times faster: as exact on planes, and on bores that end
    squarely; the same for the same faces."""
    return _sum(shape, "rough weight")


def _sum(shape: occ.Shape, name: str, *how: object) -> Weight:
    # A shape of cadquery's has nowhere to keep what it was asked.
    known: dict[str, Weight] = getattr(shape, "known", {})
    if name not in known:
        props = GProp_GProps()
        BRepGProp.VolumeProperties_s(shape.wrapped, props, *how)
        point = props.CentreOfMass()
        known[name] = float(props.Mass()), (point.X(), point.Y(), point.Z())
    return known[name]


def volume(shape: occ.Shape) -> float:
    """Volume in mm3, see `weighed`."""
    return weighed(shape)[0]


def size(shape: occ.Shape) -> float:
    """Volume in mm3, see `roughly`."""
    return roughly(shape)[0]


def holds(shape: occ.Shape, due: float, allowed: float) -> bool:
    """Whether a shape holds `due` mm3 within `allowed`; only where one fixed order does not say so
    is the sum let settle."""
    return abs(size(shape) - due) <= allowed or abs(volume(shape) - due) <= allowed


def one_solid(shape: occ.Shape, name: str) -> occ.Solid:
    """The only solid in a result; SolidError says how many pieces and where when there is not
    one."""
    pieces = shape.Solids()
    if len(pieces) == 1:
        return pieces[0]
    if not pieces:
        raise SolidError(f"{name}: nothing is left")
    pieces = sorted(pieces, key=size, reverse=True)
    loose = "; ".join(map(whereabouts, pieces[1:5]))
    raise SolidError(f"{name}: falls into {len(pieces)} pieces; loose: {loose}")


def whereabouts(solid: occ.Solid) -> str:
    """Volume and centre of a loose piece, in words."""
    own, (x, y, z) = weighed(solid)
    return f"{own:.4g} mm3 at ({x:.2f}, {y:.2f}, {z:.2f})"


def sound(made: occ.Shape, name: str, numbers: str) -> occ.Solid:
    """The solid itself when it is one valid solid of positive volume, else SolidError."""
    solid = one_solid(made, name) if made.ShapeType() != "Solid" else cast(occ.Solid, made)
    if not size(solid) > LEAST_VOLUME:
        fault = f"its volume is {size(solid):.3g} mm3; nothing would be cut"
        raise SolidError(f"{name} ({numbers}): {fault}")
    if not solid.isValid():
        raise SolidError(f"{name} ({numbers}): the kernel made an invalid solid of it")
    return solid


def box(shape: occ.Shape) -> Box3:
    """x0, y0, z0, x1, y1, z1 of the true surfaces, mm; a mesh that the shape may carry plays no
    part."""
    found = Bnd_Box()
    BRepBndLib.AddOptimal_s(shape.wrapped, found, False, False)
    return cast(Box3, found.Get())


def rough_box(shape: occ.Shape) -> Box3:
    """A box that holds the shape, the same for the same surfaces and fifty times faster than
    `box`."""
    found = Bnd_Box()
    BRepBndLib.Add_s(shape.wrapped, found, False)
    return cast(Box3, found.Get())


def centre(shape: occ.Shape) -> Point3:
    """Centre of volume, mm."""
    return weighed(shape)[1]
