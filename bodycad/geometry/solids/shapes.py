"""The solids by their names; each has a file of its own."""

from bodycad.geometry.solids.bore import Bore, bore
from bodycad.geometry.solids.carve import Carve
from bodycad.geometry.solids.prism import Prism
from bodycad.geometry.solids.solid import Box3, Point3, Shape, Solid, boxes_apart

__all__ = [
    "Bore",
    "Box3",
    "Carve",
    "Point3",
    "Prism",
    "Shape",
    "Solid",
    "bore",
    "boxes_apart",
]
