"""The shaped faces alone as a STEP file: what each contour leaves, before any void, for a program
that cuts along surfaces."""

from __future__ import annotations

import itertools
import re
from collections.abc import Sequence
from pathlib import Path

import numpy as np
from OCP.BRep import BRep_Builder
from OCP.BRepMesh import BRepMesh_IncrementalMesh
from OCP.TopoDS import TopoDS_Compound

from bodycad.errors import FileError
from bodycad.geometry.solids.skin import Skin
from bodycad.layout.workpiece import Workpiece
from bodycad.solid import kernel, occ, step
from bodycad.solid.body import in_place
from bodycad.solid.glb import face_mesh

OCCURRENCE = "NEXT_ASSEMBLY_USAGE_OCCURRENCE"
"""The entity of ISO 10303-44 that puts a product into another."""
CHORD, TURN = 0.1, 0.5
"""Largest distance (mm) and turn (radians) of the mesh by which faces are told apart."""
ON = 2.0 * CHORD
"""What lies this near (mm) to a contour's own height lies on it."""
MOST = 0.9
"""Share of a face's area that must lie on its contour."""


def shaped_faces(piece: Workpiece, blank: occ.Solid) -> list[tuple[str, occ.Face]]:
    """Each face of a piece's outside that a contour leaves, with the contour's id."""
    BRepMesh_IncrementalMesh(blank.wrapped, CHORD, False, TURN, False)
    found = []
    for face in blank.Faces():
        points, triangles = face_mesh(face)
        if len(triangles):
            name = _contour(piece.skin, points[triangles])
            if name:
                found.append((name, face))
    return found


def _contour(skin: Skin, corners: np.ndarray) -> str:
    """The contour that a face of triangles (n, 3, 3) lies on, "" for none."""
    middle = corners.mean(axis=1)
    cross = np.cross(corners[:, 1] - corners[:, 0], corners[:, 2] - corners[:, 0])
    area = np.linalg.norm(cross, axis=1)
    # An upright wall has no height; it belongs to the side, or to a contour's end.
    lying = np.abs(cross[:, 2]) > 0.05 * area
    for contour in skin.contours:
        z = contour.carve.height(middle[:, :2], contour.face)
        level = skin.level(contour.face)
        on = (np.abs(z - middle[:, 2]) < ON) & (np.abs(z - level) > 1e-3) & lying
        if area[on].sum() > MOST * area.sum():
            return contour.id
    return ""


def write_contours(pieces: Sequence[tuple[Workpiece, occ.Solid]], path: Path) -> None:
    """Write the shaped faces of pieces, given with their outsides in their own frames, each named
    by its contour, where the pieces sit on the instrument.

    Raises FileError when there is none, or the file, read back, does not hold them."""
    found = [
        (name, in_place(face, piece.frame))
        for piece, blank in pieces
        for name, face in shaped_faces(piece, blank)
    ]
    if not found:
        raise FileError(f"{path.name}: no face of the outside lies on a contour")
    names = step.ascii_names(name for name, _ in found)
    faces = [face for _, face in found]
    step.write_faces(_compound(faces), zip(faces, names), path, path.stem)
    path.write_text(_numbered(path.read_text("ascii", errors="replace")), "ascii")
    step.refuse(path, _faults(path, faces))


def _numbered(text: str) -> str:
    """The text with its occurrences numbered from 1: the kernel counts them on from file to
    file."""
    count = itertools.count(1)
    return re.sub(rf"({OCCURRENCE}\(')\d+", lambda m: f"{m[1]}{next(count)}", text)


def _compound(faces: Sequence[occ.Face]) -> occ.Shape:
    made, builder = TopoDS_Compound(), BRep_Builder()
    builder.MakeCompound(made)
    for face in faces:
        builder.Add(made, face.wrapped)
    return occ.Shape(made)


def _faults(path: Path, due: Sequence[occ.Face]) -> list[str]:
    """Where the faces read back differ from those written: count, area, box."""
    back = step.read(path).Faces()
    if len(back) != len(due):
        return [f"it holds {len(back)} faces instead of {len(due)}"]
    found = []
    for one, other in zip(sorted(back, key=_order), sorted(due, key=_order)):
        if abs(one.Area() - other.Area()) > step.AGREE * other.Area():
            found.append(f"a face has {one.Area():.6g} mm2 instead of {other.Area():.6g}")
        off = max(abs(p - q) for p, q in zip(kernel.box(one), kernel.box(other)))
        if off > step.BOX:
            found.append(f"the box of a face is off by {off:.3g} mm")
    return found


def _order(face: occ.Face) -> tuple[float, ...]:
    return round(face.Area(), 3), *(round(v, 3) for v in face.Center().toTuple())
