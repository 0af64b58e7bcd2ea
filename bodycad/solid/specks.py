"""What of a solid is so small or so loosely known that another program may stumble over it."""

from __future__ import annotations

from collections.abc import Sequence
from typing import NamedTuple

from OCP.BRep import BRep_Tool
from OCP.ShapeAnalysis import ShapeAnalysis_ShapeTolerance

from bodycad.solid import occ

LEAST_EDGE, LEAST_FACE, MOST_TOLERANCE = 2e-3, 2e-3, 0.01
"""mm, mm2, mm: beyond these a cut is made in another way, where one does without."""
REFUSED_EDGE, REFUSED_FACE, REFUSED_TOLERANCE = 1e-5, 1e-7, 0.05
"""mm, mm2, mm: beyond these no file is kept (from memory: modelling kernels take places nearer than
0.00001 mm for one)."""


class Speck(NamedTuple):
    """What is small or loose about a place of a solid, in words, and whether a file that holds it
    is refused."""

    text: str
    refused: bool


def weight(found: Sequence[Speck]) -> tuple[int, int]:
    """How bad specks are, to compare: of how many a file is refused, and how many there are."""
    return sum(speck.refused for speck in found), len(found)


def specks(solid: occ.Shape) -> list[Speck]:
    """The specks of edge and face of a solid, and its loosest tolerance where it is loose."""
    found = []
    loose = ShapeAnalysis_ShapeTolerance().Tolerance(solid.wrapped, 1)
    if loose > MOST_TOLERANCE:
        text = f"an edge or vertex is only known within {loose:.3g} mm"
        found.append(Speck(text, loose > REFUSED_TOLERANCE))
    for edge in solid.Edges():
        if BRep_Tool.Degenerated_s(edge.wrapped):
            continue
        size = edge.Length()
        if size < LEAST_EDGE:
            found.append(Speck(f"an edge of {size:.2g} mm {_at(edge)}", size < REFUSED_EDGE))
    for face in solid.Faces():
        size = face.Area()
        if size < LEAST_FACE:
            found.append(Speck(f"a face of {size:.2g} mm2 {_at(face)}", size < REFUSED_FACE))
    return found


def _at(shape: occ.Shape) -> str:
    return "at ({:.2f}, {:.2f}, {:.2f})".format(*shape.Center().toTuple())
