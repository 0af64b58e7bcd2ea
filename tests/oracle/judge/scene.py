"""Everything about one laid-out instrument that the questions ask for, each made once."""

from __future__ import annotations

from functools import cached_property
from typing import Any

import numpy as np
import shapely

from tests.oracle.judge.place import Seated, Strung, joint_pocket, strung, wanted
from tests.oracle.judge.solids import Block, Section, Solid, shape
from tests.oracle.judge.wood import Skin, Wood

TOUCH = 0.12
"""mm: parts are drawn in by so much on all sides before an overlap counts; meshes leave the true
surfaces by 0.02 at most, the strictest play that a body leaves is 0.15."""
BIT = 0.5
"""mm3: an overlap of less is the sliver of two chords."""


class Scene:
    """A layout and the judge's own picture of it."""

    def __init__(self, layout: Any, skin: Skin | None = None) -> None:
        self.layout = layout
        self.wood = Wood(layout.body, skin)
        self.want = wanted(layout.instrument)
        self.rooms = {r.id: shape(r.shape) for r in layout.rooms}
        self.kinds = {r.id: str(r.kind) for r in layout.rooms}
        self.parts = {r.id: r.part for r in layout.rooms}
        found = joint_pocket(layout, self.wood)
        self.joint, self.pocket = found if found else (None, None)

    def records(self, kind: str) -> list[Any]:
        return [r for r in self.layout.interfaces if type(r).__name__ == kind]

    @cached_property
    def seated(self) -> Seated | None:
        return Seated(self.want, self.pocket) if self.pocket is not None else None

    @cached_property
    def saddles(self) -> list[Any]:
        """Saddles from the treble to the bass side."""
        return sorted(self.records("Saddle"), key=lambda s: s.at[1])

    @cached_property
    def strings(self) -> list[Strung]:
        if self.seated is None or len(self.saddles) != len(self.want.nuts):
            return []
        return strung(self.want, self.seated, self.saddles)

    @cached_property
    def left(self) -> list[tuple[str, Solid]]:
        """The corners of routed cuts that no cutter of the shop gets into, by cut."""
        found = []
        for cut in self.wood.cuts.values():
            if not cut.routed or not isinstance(cut.shape, Block):
                continue
            radius = self.cutter(cut)
            if radius is None:
                continue
            plan = shapely.Polygon(cut.shape.rim)
            made = plan.buffer(-radius + 0.01, quad_segs=32).buffer(radius - 0.01, quad_segs=32)
            rest = plan.difference(made.buffer(0.02))
            low, high = cut.shape.box[0, 2], cut.shape.high
            for part in getattr(rest, "geoms", [rest]):
                if part.area > 0.2:
                    rim = np.array(shapely.orient_polygons(part).exterior.coords)[:-1]
                    solid = Section([rim]).extrude(high - low).translate((0.0, 0.0, low))
                    found.append((cut.id, solid))
        return found

    def depth(self, cut: Any) -> float:
        box = self.wood.boxes[cut.id]
        t = self.wood.skin.thickness
        return float(box[1, 2] + t if cut.from_back else -box[0, 2])

    def cutter(self, cut: Any) -> float | None:
        """Radius of the thinnest cutter that reaches, None where none does."""
        deep = self.depth(cut)
        fits = [c.diameter / 2.0 for c in self.layout.shop.cutters if c.reach >= deep]
        return float(min(fits)) if fits else None


def lowered(block: Block, by: float) -> Block:
    return Block(block.rim, block.low - by, block.high, block.slope)
