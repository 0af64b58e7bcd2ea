"""The outside of the body as a solid: slab, then edge treatments on the plain slab, then contours.

Fillets come before contours: after them the kernel often refuses.
"""

from __future__ import annotations

import math

import cadquery as cq
import numpy as np
from OCP.BRepFilletAPI import BRepFilletAPI_MakeFillet

from bodycad.errors import SolidError
from bodycad.geometry.plane.offset import offset
from bodycad.geometry.plane.profile import Profile
from bodycad.geometry.solids.skin import Edge, Ledge, Roundover, Skin, Square
from bodycad.layout.tool import OVER
from bodycad.layout.volume import edged_volume
from bodycad.solid import kernel

ROOM = 0.1
"""A roundover must stay this far (mm) under half the thickness where both faces have one."""
AGREE = 2e-6
"""Relative volume agreement that a roundover must show with the layout's own sum."""


def skin_solid(skin: Skin) -> cq.Solid:
    """The body before any void.

    Raises SolidError naming the edge treatment, its radius and the largest one that works, or the
    contour that breaks the body.
    """
    body = edged_slab(skin)
    if not skin.contours:
        return body
    tools = [(contour.id, kernel.solid_of(contour.carve, contour.id)) for contour in skin.contours]
    names = ", ".join(contour.id for contour in skin.contours)
    return kernel.sound(
        kernel.cut(body, tools, f"contours {names}"), f"contours {names}", "after the cut"
    )


def edged_slab(skin: Skin) -> cq.Solid:
    """The slab with its roundovers and binding ledges, before contours and voids."""
    body = kernel.extruded(
        skin.outline, (), kernel.level(-skin.thickness), skin.thickness, "the slab"
    )
    for face, edge in (("front", skin.front), ("back", skin.back)):
        if isinstance(edge, Roundover):
            body = _rounded(body, skin, face, edge.radius)
    for face, edge in (("front", skin.front), ("back", skin.back)):
        if isinstance(edge, Ledge):
            body = _ledged(body, skin, face, edge)
    return body


def _rounded(body: cq.Solid, skin: Skin, face: str, radius: float) -> cq.Solid:
    made, fault = _try_round(body, skin, face, radius)
    if made is not None:
        return made
    works = _largest(body, skin, face, radius)
    cure = (
        f"the largest radius that works here is {works:.2f} mm"
        if works
        else "no radius works on this outline"
    )
    half = skin.thickness / 2.0 - ROOM
    why = (
        f"; two roundovers must stay {ROOM:g} mm under half the thickness, {half:g} mm"
        if radius > half
        else ""
    )
    raise SolidError(
        f"the {face} roundover of {radius:g} mm on a {skin.thickness:g} mm body fails{_where(skin.outline, fault)}: "
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
    z = 0.0 if face == "front" else -skin.thickness
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
        return None, (
            faulty,
            f"the kernel refuses {max(maker.NbFaultyContours(), 1)} of the edge chains",
        )
    pieces = cq.Shape.cast(maker.Shape()).Solids()
    if len(pieces) != 1 or not pieces[0].isValid():
        return None, (None, "the kernel made an invalid solid")
    square = Skin(skin.outline, skin.thickness, *_only(face, radius))
    loss = before - kernel.volume(pieces[0])
    due = skin.outline.area * skin.thickness - edged_volume(square)
    if abs(loss - due) > AGREE * skin.outline.area * skin.thickness:
        return None, (None, f"the kernel removes {loss:.1f} mm3 where {due:.1f} mm3 are due")
    return pieces[0], (None, "")


def _only(face: str, radius: float) -> tuple[Edge, Edge]:
    return (Roundover(radius), Square()) if face == "front" else (Square(), Roundover(radius))


def _where(outline: Profile, fault: tuple[object, str]) -> str:
    """Which edge: the faulty edge's middle, or the outline's worst kink."""
    if fault[0] is not None:
        x, y, _ = cq.Shape.cast(fault[0]).Center().toTuple()
        return f" at the edge near ({x:.1f}, {y:.1f})"
    angle, (x, y) = worst_kink(outline)
    return (
        f" (the outline's worst kink is {angle:.1f} degrees at ({x:.1f}, {y:.1f}))"
        if angle > 0.05
        else ""
    )


def worst_kink(outline: Profile) -> tuple[float, tuple[float, float]]:
    """The largest change of direction between two segments, degrees, and where."""
    s = outline.segments
    arriving, leaving = s.tangent(np.ones(len(s))), np.roll(s.tangent(np.zeros(len(s))), -1, axis=0)
    turn = np.abs(
        np.arctan2(
            arriving[:, 0] * leaving[:, 1] - arriving[:, 1] * leaving[:, 0],
            (arriving * leaving).sum(axis=1),
        )
    )
    k = int(np.argmax(turn))
    return math.degrees(float(turn[k])), (float(s.b[k, 0]), float(s.b[k, 1]))


def _ledged(body: cq.Solid, skin: Skin, face: str, edge: Ledge) -> cq.Solid:
    """The slab less a band round the outline, cut from outside and past the face."""
    name = f"the {face} binding ledge"
    numbers = f"{edge.reach:g} mm wide, {edge.height:g} mm high"
    inner, outer = offset(skin.outline, -edge.reach), offset(skin.outline, OVER)
    if not inner or not outer:
        raise SolidError(f"{name} ({numbers}): nothing is left inside it")
    base = -edge.height if face == "front" else -skin.thickness - OVER
    ring = kernel.extruded(outer[0], inner, kernel.level(base), edge.height + OVER, name)
    return kernel.sound(kernel.cut(body, [(name, ring)], name), name, numbers)
