"""The waste before a pocket's mouth, in which the neck lies while it is fitted."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from bodycad.checks.wood.near import remembered
from bodycad.geometry.plane.arrange import Region
from bodycad.geometry.plane.boolean import difference, intersection
from bodycad.geometry.plane.profile import profile
from bodycad.layout.interface import Joint
from bodycad.layout.layout import Layout
from bodycad.words import Face

BESIDE = 3.0
"""Room on each side of a neck that lies in the waste, mm (common practice, no source)."""
FAR = 1000.0
"""Longer than any waste before a mouth, mm."""
CRUMB = 1.0
"""Less waste than this is none, mm2."""


@dataclass(frozen=True, eq=False)
class Approach:
    """Waste that is cleared for a neck: its regions in the plan, and how deep under the plain face,
    mm."""

    regions: tuple[Region, ...]
    depth: float


def approach(layout: Layout, joint: Joint) -> Approach | None:
    """What stands in the way of a neck before its pocket's mouth: waste as wide as the heel and
    `BESIDE` more on each side, to the blank's end, as deep as the pocket is at its mouth. None
    where the blank ends at the mouth, or is not drawn."""
    return remembered(layout, ("approach", joint.part), lambda: _approach(layout, joint))


def approach_to(layout: Layout, pocket: str) -> Approach | None:
    """The same for the neck whose pocket is the void of this id."""
    return approach(layout, next(j for j in layout.stated(Joint) if j.pocket == pocket))


def _approach(layout: Layout, joint: Joint) -> Approach | None:
    blank, pocket = layout.body.blank, layout.by_id.get(joint.pocket)
    if blank is None or pocket is None:
        return None
    ahead = np.array(joint.ahead[:2])
    across = np.array([-ahead[1], ahead[0]])
    end, heel = np.array(joint.end[:2]), layout.rooms_by_id[joint.heel].shape.plan.vertices[:, :2]
    along, aside = (heel - end) @ ahead, (heel - end) @ across
    mouth, low, high = float(along.max()), float(aside.min()) - BESIDE, float(aside.max()) + BESIDE
    corners = [end + u * ahead + v * across for u in (mouth, FAR) for v in (low, high)]
    strip = profile([tuple(corners[k]) for k in (0, 2, 3, 1)], "the way of the neck")
    found = tuple(
        part
        for region in intersection(strip, blank.plan)
        for part in difference(region.outer, layout.skin.outline)
        if part.area > CRUMB
    )
    x, y = end + mouth * ahead
    prism = pocket.shape.prism
    floor = pocket.low if prism is None else float(prism.floor(x, y))
    depth = -floor if pocket.face is Face.FRONT else floor + layout.thickness
    return Approach(found, depth) if found else None
