"""How a hole is drilled: its depth both ways."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace

from bodycad.checks.wood.ends import ends_in_air
from bodycad.layout.entry import entry
from bodycad.layout.layout import Layout
from bodycad.layout.void import Void
from bodycad.layout.workpiece import Workpiece
from bodycad.making.upright import depth_of
from bodycad.tools import FLAT, Drill


@dataclass(frozen=True)
class Drilled:
    """How deep a hole is drilled, mm: `full` at full diameter, `tip` to the tip of a drill whose
    point has `point_deg` degrees (`FLAT`: it must be left with a flat floor).

    Depths run from the plain face of an upright hole; along another one from where its axis enters
    the plain board, or from its start in a cut, where `from_cut`. through: its end is meant to be
    open, so that the point runs out into air."""

    diameter: float
    full: float
    tip: float
    point_deg: float
    through: bool = False
    from_cut: bool = False

    @property
    def words(self) -> str:
        """Both depths in a few words."""
        through = " through" if self.through else ""
        if self.point_deg >= FLAT:
            return f"depth {self.full:.2f}{through}, flat floor"
        point = f"tip {self.tip:.2f} ({self.point_deg:g} deg)"
        return f"depth {self.full:.2f}{through}, {point}"


def drilled(void: Void, piece: Workpiece, layout: Layout) -> Drilled | None:
    """How deep a void is drilled; None for what is no hole.

    A hole with a flat end that is meant to open takes whatever drill of the shop makes it; one that
    ends in wood is flat there, for the part says so and every check took it so."""
    hole = void.shape.hole
    if hole is None:
        return None
    along = 0.0 if hole.upright else entry(hole, piece.skin)
    full = depth_of(void, piece.thickness) if hole.upright else hole.shoulder - along
    alone = layout if piece is layout.body else replace(layout, pieces=(piece,))
    through = ends_in_air(void, alone)
    point_deg = hole.tip_deg
    if through and not hole.tip > 0.0:
        drill = layout.shop.drill_for(hole.diameter, full) or Drill(hole.diameter, hole.length)
        point_deg = drill.point_deg
    point = hole.radius / math.tan(math.radians(point_deg) / 2.0) if point_deg < FLAT else 0.0
    from_cut = not hole.upright and along <= 0.0
    return Drilled(hole.diameter, full, full + point, point_deg, through, from_cut)
