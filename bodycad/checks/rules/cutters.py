"""`cutter-corner`, `cutter-reach`: can the cutters on hand make every pocket?"""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np

from bodycad.checks.finding import Finding, failed, judge, skip
from bodycad.checks.page import Page
from bodycad.geometry.solids.shapes import Prism
from bodycad.layout.layout import Layout
from bodycad.layout.void import Void

CORNER_PAGE = Page(
    asks="Is every inside corner at least as round as the smallest cutter that reaches its depth?",
    why="A corner tighter than the cutter stays uncut, and the part does not go in.",
    limits=("cutter-corner",),
    cures="Use rounder corners, a smaller cutter that still reaches, or square the corner by hand and say so.",
)
REACH_PAGE = Page(
    asks="Does a cutter that fits every corner reach the pocket's depth?",
    why="Beyond its reach the collet burns the rim; a long thin cutter bends (with the cube of its length) and can snap.",
    limits=("cutter-reach",),
    cures="Use rounder corners so that a longer cutter fits, route from both faces, or buy a longer cutter.",
)


def pockets(layout: Layout) -> Iterator[tuple[Void, float, np.ndarray, np.ndarray]]:
    """Each routed void with its depth below its face, and the inside corners that lie in wood."""
    for void in layout.voids:
        if void.operation in ("POCKET", "RECESS") and isinstance(void.shape, Prism):
            depth = -void.low if void.face == "front" else void.high + layout.thickness
            points, radii = void.shape.profile.inside_corners
            within = layout.skin.inset(points) > 0.0 if len(points) else np.zeros(0, bool)
            yield void, depth, points[within], radii[within]


def corner(layout: Layout) -> Iterator[Finding]:
    """Tightest corner of each routed void against the smallest cutter that reaches it."""
    found = list(pockets(layout))
    if not found:
        yield skip("cutter-corner", "this design has no routed pockets")
    for void, depth, points, radii in found:
        able = [c.diameter / 2.0 for c in layout.shop.cutters if c.reach >= depth]
        if not able:
            yield failed(
                "cutter-corner",
                (void.id,),
                f"no cutter on hand reaches the {depth:.1f} mm of {void.id}",
                "add a longer cutter to the shop or make the pocket shallower",
            )
        elif len(radii):
            k = int(np.argmin(radii))
            spare = float(radii[k]) - min(able)
            at = ((*map(float, points[k]), void.low),) * 2
            yield judge(
                (void.id,),
                spare,
                layout.shop.limit("cutter-corner"),
                f"the tightest corner of {void.id} has radius {radii[k]:.2f} mm; the cutter that reaches it has {min(able):.2f}",
                f"round {void.id}'s corners to {min(able):.2f} mm or more",
                at=at,
            )


def reach(layout: Layout) -> Iterator[Finding]:
    """Depth of each routed void against the longest cutter that fits its corners."""
    found = list(pockets(layout))
    if not found:
        yield skip("cutter-reach", "this design has no routed pockets")
    for void, depth, points, radii in found:
        tightest = float(radii.min(initial=np.inf))
        fits = [c.reach for c in layout.shop.cutters if c.diameter / 2.0 <= tightest + 1e-9]
        longest = max(fits, default=0.0)
        x, y = void.shape.profile.vertices[0, :2]
        yield judge(
            (void.id,),
            longest - depth,
            layout.shop.limit("cutter-reach"),
            f"{void.id} is {depth:.1f} mm deep; the longest cutter that fits its corners reaches {longest:g} mm",
            f"round {void.id}'s corners more, make it shallower or use a longer cutter",
            at=((float(x), float(y), void.low), (float(x), float(y), void.high)),
        )
