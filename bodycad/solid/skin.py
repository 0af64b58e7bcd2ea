"""The outside of the body as a solid: the slab, its edges, the contours, the ledges that follow
them.

Fillets come before contours: after them the kernel often refuses.
"""

from __future__ import annotations

import math
from collections.abc import Iterator

import numpy as np
from OCP.BRepFilletAPI import BRepFilletAPI_MakeFillet

from bodycad.errors import SolidError
from bodycad.geometry.plane.offset import offset
from bodycad.geometry.plane.profile import Profile, profile
from bodycad.geometry.plane.segments import Segments
from bodycad.geometry.solids.edge import Ledge, Roundover, Square
from bodycad.geometry.solids.skin import Skin
from bodycad.geometry.solids.stretch import Run, inward, room_outside
from bodycad.layout.tool import OVER
from bodycad.layout.volume import edged_volume, run_volume
from bodycad.solid import kernel
from bodycad.solid import occ as cq
from bodycad.words import SIDES, Face

ROOM = 0.1
"""A roundover must stay this far (mm) under half the thickness where both faces have one."""
NEEDLE = 5e-4
"""How near (mm) an arc that stands upright comes to the axis it turns about."""
AGREE = 2e-6
"""Relative volume agreement that a roundover must show with the layout's own sum."""


def skin_solid(skin: Skin) -> cq.Solid:
    """The body before any void.

    Raises SolidError naming the edge, its radius and the largest one that works, or the contour
    that breaks the body.
    """
    body = edged_slab(skin)
    tools = [(contour.id, kernel.solid_of(contour.carve, contour.id)) for contour in skin.contours]
    if not tools:
        return body
    names = "contours " + ", ".join(contour.id for contour in skin.contours)
    body = kernel.sound(kernel.cut(body, tools, names), names, "after the cut")
    return bent(body, skin)


def edged_slab(skin: Skin) -> cq.Solid:
    """The slab with its edges, before contours, ledges that follow them and voids."""
    thickness = skin.thickness
    body = kernel.extruded(skin.outline, (), kernel.level(-thickness), thickness, "the slab")
    for face in SIDES:
        edge = skin.edge(face)
        if isinstance(edge, Roundover):
            body = _rounded(body, skin, face, edge.radius)
    for face in SIDES:
        edge = skin.edge(face)
        if isinstance(edge, Ledge):
            name = f"the {face} binding ledge"
            whole = Run(edge, skin.outline.segments, True)
            ring = [(name, one) for one in _band(skin, whole, face, edge.drop, name)]
            body = kernel.sound(kernel.cut(body, ring, name), name, edge.words)
        elif not isinstance(edge, (Roundover, Square)):
            body = _swept(body, skin, face, Run(edge, skin.outline.segments, True))
        for run in skin.runs(face):
            body = _swept(body, skin, face, run)
    return body


def bent(body: cq.Solid, skin: Skin) -> cq.Solid:
    """The body less what ledges that follow contours take under them: the band of the ledge within
    the contour's carve, shifted down by the ledge's height."""
    tools = []
    for shelf in skin.shelves:
        if shelf.carve is not None:
            name = f"the {shelf.face} ledge under {shelf.contour}"
            low, high = shelf.carve.box[2], shelf.carve.box[5]
            depth = -low if shelf.face is Face.FRONT else high + skin.thickness
            solid = kernel.solid_of(shelf.carve, name)
            for band in _band(skin, shelf.run, shelf.face, depth, name):
                with kernel.step(name):
                    tools += [(name, piece) for piece in band.intersect(solid).Solids()]
    if not tools:
        return body
    return kernel.sound(kernel.cut(body, tools, "ledges under contours"), "ledges", "after the cut")


def _band(skin: Skin, run: Run, face: Face, depth: float, name: str) -> list[cq.Solid]:
    """The band of a ledge as solids, from outside the outline and past the face to `depth` mm under
    it."""
    reach = run.edge.reach
    base = -depth if face is Face.FRONT else -skin.thickness - OVER
    bands: list[tuple[Profile, tuple[Profile, ...]]]
    if not run.closed:
        bands = [(band, ()) for band in run.bands(reach, OVER)]
    else:
        inner, outer = offset(skin.outline, -reach), offset(skin.outline, OVER)
        if not inner or not outer:
            raise SolidError(f"{name} ({reach:g} mm wide): nothing is left inside it")
        bands = [(outer[0], inner)]
    return [kernel.extruded(*band, kernel.level(base), depth + OVER, name) for band in bands]


def _swept(body: cq.Solid, skin: Skin, face: Face, run: Run) -> cq.Solid:
    """The body less the section of an edge, swept along each line of a run and turned about the
    centre of each arc; held against the layout's own sum.

    At a kink that bulges, the sweeps of both sides cross; at one into the body, the section turns
    about the vertex."""
    name = f"the {face} {run.edge.words}"
    tools = [tool for part in run.parts for tool in _sweeps(skin, face, run, part, name)]
    tools += [tool for corner in run.corners for tool in _turned(skin, face, run, *corner, name)]
    made = kernel.sound(kernel.cut(body, [(name, tool) for tool in tools], name), name, "swept")
    due = run_volume(run)
    loss = kernel.volume(body) - kernel.volume(made)
    if abs(loss - due) > AGREE * skin.outline.area * skin.thickness:
        raise SolidError(f"{name}: the kernel removes {loss:.1f} mm3 where {due:.1f} mm3 are due")
    return made


def _section(run: Run, over: float) -> Profile:
    """What an edge takes off in (s, height over its face), from `over` mm outside the outline and
    from past the face; with 0 for `over`, from the outline itself."""
    rows = [(s, -depth, bulge) for s, depth, bulge in run.edge.rows]
    out = [(-over, -run.edge.drop), (-over, OVER)] if over else [(0.0, OVER)]
    return profile([*rows, *out, (run.edge.reach, OVER)], "an edge's section")


def _frame(skin: Skin, face: Face, spot: np.ndarray, way: np.ndarray) -> kernel.Frame:
    """The plane of a section at a place of the outline: s runs along `way`, the other axis out of
    the face."""
    up = 1.0 if face is Face.FRONT else -1.0
    origin = (float(spot[0]), float(spot[1]), skin.level(face))
    return kernel.Frame(origin, (float(way[0]), float(way[1]), 0.0), (0.0, 0.0, up))


def _sweeps(skin: Skin, face: Face, run: Run, part: Segments, name: str) -> Iterator[cq.Solid]:
    section = _section(run, min(OVER, room_outside(part)))
    for k in range(len(part)):
        own = part.take(np.array([k]))
        plane = kernel.face(section, (), _frame(skin, face, own.a[0], inward(own, 0.0)[0]))
        with kernel.step(name):
            if own.arc[0]:
                yield _revolved(plane, own.centre[0], float(own.sweep[0]))
            else:
                along = cq.Vector(*map(float, (*(own.b[0] - own.a[0]), 0.0)))
                yield cq.Solid.extrudeLinear(plane, along)


def _turned(
    skin: Skin, face: Face, run: Run, spot: np.ndarray, low: float, high: float, name: str
) -> Iterator[cq.Solid]:
    """The section turned about a vertex of the outline that points into the body.

    The kernel refuses an arc that is tangent to the axis it turns about, so such a section begins
    NEEDLE mm from it, and the sweeps beside it run on that far."""
    upright = run.edge.chain.tangent(np.ones(len(run.edge.chain)))[-1, 0] > -0.01
    needle = NEEDLE if upright and run.edge.chain.arc[-1] else 0.0
    rows = _section(run, 0.0).vertices
    section = Profile(np.column_stack([np.maximum(rows[:, 0], needle), rows[:, 1:]]))
    for angle, side in ((low, -1.0), (high, 1.0)):
        way = np.array([math.cos(angle), math.sin(angle)])
        plane = kernel.face(section, (), _frame(skin, face, spot, way))
        with kernel.step(name):
            if angle == low:
                yield _revolved(plane, spot, high - low)
            if needle:
                whole = kernel.face(_section(run, OVER / 10.0), (), _frame(skin, face, spot, way))
                along = 2.0 * NEEDLE * side * np.array([way[1], -way[0]])
                yield cq.Solid.extrudeLinear(whole, cq.Vector(*map(float, (*along, 0.0))))


def _revolved(plane: cq.Face, centre: np.ndarray, turn: float) -> cq.Solid:
    """A plane face turned by `turn` radians about the upright line over `centre`."""
    x, y = map(float, centre)
    axis = cq.Vector(x, y, 0.0), cq.Vector(x, y, 1.0 if turn > 0.0 else -1.0)
    made = cq.Solid.revolve(plane, math.degrees(abs(turn)), *axis)
    return kernel.sound(made, "an edge's turn", f"{math.degrees(turn):.3f} degrees")


def _rounded(body: cq.Solid, skin: Skin, face: str, radius: float) -> cq.Solid:
    made, fault = _try_round(body, skin, face, radius)
    if made is not None:
        return made
    works = _largest(body, skin, face, radius)
    works_ = f"the largest radius that works here is {works:.2f} mm"
    cure = works_ if works else "no radius works on this outline"
    half = skin.thickness / 2.0 - ROOM
    why = (
        f"; two roundovers must stay {ROOM:g} mm under half the thickness, {half:g} mm"
        if radius > half
        else ""
    )
    raise SolidError(
        f"the {face} roundover of {radius:g} mm on a {skin.thickness:g} mm body "
        f"fails{_where(skin.outline, fault)}: "
        f"{fault[1]}; {cure}{why}"
    )


def _largest(body: cq.Solid, skin: Skin, face: str, radius: float) -> float:
    """The largest radius (mm, rounded down to 0.05) below a failing one that the kernel rounds
    right; 0 if none."""
    low, high = 0.0, radius
    while high - low > 0.05:
        trial = (low + high) / 2.0
        if _try_round(body, skin, face, trial)[0] is None:
            high = trial
        else:
            low = trial
    return math.floor(low / 0.05) * 0.05


def _try_round(
    body: cq.Solid, skin: Skin, face: str, radius: float
) -> tuple[cq.Solid | None, tuple[object, str]]:
    """The rounded body, or None with the faulty edge (or None) and the reason."""
    z = 0.0 if face == Face.FRONT else -skin.thickness
    before = kernel.volume(body)
    maker = BRepFilletAPI_MakeFillet(body.wrapped)
    for edge in body.Edges():
        box = edge.BoundingBox()
        if abs(box.zmin - z) < 1e-6 and abs(box.zmax - z) < 1e-6:
            maker.Add(radius, edge.wrapped)
    try:
        maker.Build()
        done = maker.IsDone()
    except Exception as err:  # the kernel's own failures have no common class
        return None, (None, str(err) or type(err).__name__)
    if not done:
        faulty = maker.Edge(maker.FaultyContour(1), 1) if maker.NbFaultyContours() else None
        count = max(maker.NbFaultyContours(), 1)
        return None, (faulty, f"the kernel refuses {count} of the edge chains")
    pieces = cq.Shape.cast(maker.Shape()).Solids()
    if len(pieces) != 1 or not pieces[0].isValid():
        return None, (None, "the kernel made an invalid solid")
    edges = (Roundover(radius), Square())
    square = Skin(skin.outline, skin.thickness, *(edges if z == 0.0 else edges[::-1]))
    loss = before - kernel.volume(pieces[0])
    due = skin.outline.area * skin.thickness - edged_volume(square)
    if abs(loss - due) > AGREE * skin.outline.area * skin.thickness:
        return None, (None, f"the kernel removes {loss:.1f} mm3 where {due:.1f} mm3 are due")
    return pieces[0], (None, "")


def _where(outline: Profile, fault: tuple[object, str]) -> str:
    """Which edge: the faulty edge's middle, or the outline's worst kink."""
    if fault[0] is not None:
        x, y, _ = cq.Shape.cast(fault[0]).Center().toTuple()
        return f" at the edge near ({x:.1f}, {y:.1f})"
    angle, (x, y) = worst_kink(outline)
    said = f" (the outline's worst kink is {angle:.1f} degrees at ({x:.1f}, {y:.1f}))"
    return said if angle > 0.05 else ""


def worst_kink(outline: Profile) -> tuple[float, tuple[float, float]]:
    """The largest change of direction between two segments, degrees, and where."""
    s = outline.segments
    arriving, leaving = s.tangent(np.ones(len(s))), np.roll(s.tangent(np.zeros(len(s))), -1, axis=0)
    across = arriving[:, 0] * leaving[:, 1] - arriving[:, 1] * leaving[:, 0]
    turn = np.abs(np.arctan2(across, (arriving * leaving).sum(axis=1)))
    k = int(np.argmax(turn))
    return math.degrees(float(turn[k])), (float(s.b[k, 0]), float(s.b[k, 1]))
