"""Specks closed up: where walls and joints nearly meet, a cut leaves edges and faces so small that
another program may stumble over them."""

from __future__ import annotations

from typing import NamedTuple

from OCP.BRepBuilderAPI import BRepBuilderAPI_Copy
from OCP.ShapeFix import ShapeFix_FixSmallFace, ShapeFix_Wireframe

from bodycad.errors import SolidError
from bodycad.solid import kernel, occ
from bodycad.solid.specks import Speck, specks, weight

CLOSED = (1e-4, 1e-3, 2e-3)
"""What is narrower than each of these (mm) is closed in turn, until no speck is left."""


class Mended(NamedTuple):
    """A solid, the specks that are left in it, and the width (mm) under which they were closed."""

    solid: occ.Solid
    specks: tuple[Speck, ...]
    closed: float = 0.0


def mended(solid: occ.Solid, due: float, allowed: float) -> Mended:
    """The solid with its specks closed, as far as it then is one valid solid that holds `due` mm3
    within `allowed`; itself where none can be. No wall moves by more than `CLOSED` says."""
    best = Mended(solid, tuple(specks(solid)))
    for width in CLOSED:
        if not best.specks:
            break
        try:
            with kernel.step("specks", f"{width:g} mm"):
                made = kernel.sound(_closed(solid, width), "specks", f"{width:g} mm")
        except SolidError:
            continue
        if abs(kernel.volume(made) - due) <= allowed:
            found = Mended(made, tuple(specks(made)), width)
            best = min(best, found, key=lambda one: weight(one.specks))
    return best


def _closed(solid: occ.Solid, width: float) -> occ.Shape:
    """The solid without edges, and then without faces, narrower than `width` mm."""
    # It works on what it is given, whose faces the body before the cut may share.
    wires = ShapeFix_Wireframe(BRepBuilderAPI_Copy(solid.wrapped).Shape())
    wires.SetPrecision(width)
    wires.SetMaxTolerance(width)
    wires.ModeDropSmallEdges = True
    wires.FixSmallEdges()
    wires.FixWireGaps()
    faces = ShapeFix_FixSmallFace()
    faces.Init(wires.Shape())
    faces.SetPrecision(width)
    faces.SetMaxTolerance(width)
    faces.Perform()
    found: occ.Shape = occ.Shape.cast(faces.Shape())
    return found
