"""`cutter-corner`, `cutter-reach`: can the cutters on hand make every pocket?"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np

from bodycad.checks.finding import Finding, failed, judge, skip
from bodycad.checks.page import Page
from bodycad.checks.piece import Answers, of_each
from bodycad.layout.layout import Layout
from bodycad.layout.workpiece import BODY, Workpiece
from bodycad.shop import Shop

CORNER_PAGE = Page(
    asks="Is every inside corner at least as round as the smallest cutter that reaches its depth?",
    why="A corner tighter than the cutter stays uncut, and the part does not go in.",
    limits=("cutter-corner",),
    cures="Use rounder corners, a smaller cutter that still reaches, or square the corner by hand "
    "and say so.",
)
REACH_PAGE = Page(
    asks="Does a cutter that fits every corner reach the pocket's depth?",
    why="Beyond its reach the collet burns the rim; a long thin cutter bends (with the cube of its "
    "length) and can snap.",
    limits=("cutter-reach",),
    cures="Use rounder corners so that a longer cutter fits, route from both faces, or buy a "
    "longer cutter.",
)


@dataclass(frozen=True, eq=False)
class Routed:
    """What a router cuts: its subject and name, how deep the cutter reaches below its face, the
    heights of the cut, and its inside corners that lie in wood with their radii, mm."""

    subject: str
    name: str
    depth: float
    low: float
    high: float
    points: np.ndarray
    radii: np.ndarray
    near: tuple[float, float]


def routed(piece: Workpiece) -> Iterator[Routed]:
    """Each routed void of a piece, and the outline of every piece but the body, whose outline is
    sawn and then followed by a bearing."""
    skin = piece.skin
    for void in piece.voids:
        if void.operation.routed and void.shape.hole is None:
            points, radii = void.shape.plan.inside_corners
            within = skin.inset(points) > 0.0 if len(points) else np.zeros(0, bool)
            x, y = map(float, void.shape.plan.vertices[0, :2])
            depth = -void.low if void.face == "front" else void.high + piece.thickness
            found = points[within], radii[within], (x, y)
            yield Routed(void.id, void.id, depth, void.low, void.high, *found)
    if piece.id != BODY:
        x, y = map(float, skin.outline.vertices[0, :2])
        found = *skin.outline.outside_corners, (x, y)
        name, low = f"the outline of {piece.id}", -piece.thickness
        yield Routed(f"{piece.id}.outline", name, -low, low, 0.0, *found)


def corner(layout: Layout) -> Iterator[Finding]:
    """Tightest corner of each routed void or outline against the smallest cutter that reaches
    it."""
    if not (yield from of_each(layout, _corner)):
        yield skip("cutter-corner", "this design has no routed pockets")


def _corner(piece: Workpiece, shop: Shop) -> Answers:
    cuts = list(routed(piece))
    for cut in cuts:
        able = [c.diameter / 2.0 for c in shop.cutters if c.reach >= cut.depth]
        if not able:
            words = f"no cutter on hand reaches the {cut.depth:.1f} mm of {cut.name}"
            cure = "add a longer cutter to the shop or make the pocket shallower"
            yield failed("cutter-corner", (cut.subject,), words, cure)
        elif len(cut.radii):
            k = int(np.argmin(cut.radii))
            x, y = map(float, cut.points[k])
            at = (x, y, cut.low)
            subjects, limit = (cut.subject,), shop.limit("cutter-corner")
            tight = f"the tightest corner of {cut.name} has radius {cut.radii[k]:.2f} mm"
            words = f"{tight}; the cutter that reaches it has {min(able):.2f}"
            cure = f"round {cut.name}'s corners to {min(able):.2f} mm or more"
            yield judge(subjects, float(cut.radii[k]) - min(able), limit, words, cure, at=(at, at))
    return len(cuts)


def reach(layout: Layout) -> Iterator[Finding]:
    """Depth of each routed void or outline against the longest cutter that fits its corners."""
    if not (yield from of_each(layout, _reach)):
        yield skip("cutter-reach", "this design has no routed pockets")


def _reach(piece: Workpiece, shop: Shop) -> Answers:
    cuts = list(routed(piece))
    for cut in cuts:
        tightest = float(cut.radii.min(initial=np.inf))
        fits = [c.reach for c in shop.cutters if c.diameter / 2.0 <= tightest + 1e-9]
        longest = max(fits, default=0.0)
        subjects = (cut.subject,)
        cutter = f"the longest cutter that fits its corners reaches {longest:g} mm"
        words = f"{cut.name} is {cut.depth:.1f} mm deep; {cutter}"
        cure = f"round {cut.name}'s corners more, make it shallower or use a longer cutter"
        at = ((*cut.near, cut.low), (*cut.near, cut.high))
        yield judge(subjects, longest - cut.depth, shop.limit("cutter-reach"), words, cure, at=at)
    return len(cuts)
