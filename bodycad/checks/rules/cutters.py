"""`cutter-corner`, `cutter-reach`: can the cutters on hand make every pocket, outline and edge?"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace

import numpy as np

from bodycad.checks.finding import Finding, advise, failed, judge, passed, skip, witness
from bodycad.checks.page import Page
from bodycad.checks.piece import Answers, of_each
from bodycad.geometry.distance.plan import chain_gap
from bodycad.geometry.plane.offset import offset_regions
from bodycad.geometry.plane.profile import Profile
from bodycad.geometry.solids.edge import Edge
from bodycad.layout.layout import Layout
from bodycad.layout.void import Void
from bodycad.layout.workpiece import PAST_HALF, Workpiece
from bodycad.safety import Danger
from bodycad.shop import Shop
from bodycad.tools import SAME
from bodycad.words import SIDES, EdgeForm, Face

FITS = 1e-9
"""A cutter turns in a corner of its own radius, and of one less by this, mm: rounding."""
CORNER_PAGE = Page(
    asks="Is every inside corner of a pocket and every hollow of an outline as round and as wide "
    "as the smallest cutter that reaches its depth, and does a bit on hand cut every edge?",
    why="A corner tighter than the cutter stays uncut, and the part does not go in. What opens in "
    "both faces may be cut half from each; an outline is where the blank says so.",
    limits=("cutter-corner",),
    cures="Use rounder corners, a smaller cutter that still reaches, cut the outline half from "
    "each face (outline_from=None), or square the corner by hand and say so.",
)
REACH_PAGE = Page(
    asks="Does a cutter that fits every corner reach the depth of the pocket, the outline or the "
    "ledge?",
    why="Beyond its reach the collet burns the rim; a long thin cutter bends (with the cube of its "
    "length) and can snap.",
    limits=("cutter-reach",),
    cures="Use rounder corners so that a longer cutter fits, route from both faces, or buy a "
    "longer cutter.",
    dangers=(Danger.ROUTER, Danger.DUST, Danger.NOISE),
)


@dataclass(frozen=True, eq=False)
class Routed:
    """What a router cuts: its subject and name, how deep the cutter reaches below its face, the
    heights of the cut, and its inside corners that lie in wood with their radii, mm. plan: what
    bounds it; a cutter runs inside, or round it where `outside`. how: " from each face" where it
    is cut from both."""

    subject: str
    name: str
    depth: float
    low: float
    high: float
    points: np.ndarray
    radii: np.ndarray
    plan: Profile
    outside: bool = False
    how: str = ""

    @property
    def tightest(self) -> float:
        """The radius of its tightest inside corner, mm; inf where it has none."""
        return float(self.radii.min(initial=np.inf))

    @property
    def near(self) -> tuple[float, float]:
        """A point of the plan."""
        x, y = map(float, self.plan.vertices[0, :2])
        return x, y


def routed(piece: Workpiece, shop: Shop) -> Iterator[Routed]:
    """Each void of a piece that is no drilled hole, and its outline."""
    for void in piece.voids:
        if void.shape.hole is None:
            yield _route(void, piece, *_depth(void, piece, shop))
    outline, low = piece.skin.outline, -piece.thickness
    cuts = piece.outline_cuts.values()
    depth, how = max(cuts), " from each face" if len(cuts) > 1 else ""
    name, owner = f"the outline of {piece.id}", f"{piece.id}.outline"
    yield Routed(owner, name, depth, low, 0.0, *outline.outside_corners, outline, True, how)


def _route(void: Void, piece: Workpiece, depth: float, how: str = "") -> Routed:
    points, radii = void.shape.plan.inside_corners
    within = piece.skin.inset(points) > 0.0 if len(points) else np.zeros(0, bool)
    corners = points[within], radii[within], void.shape.plan
    return Routed(void.id, void.id, depth, void.low, void.high, *corners, how=how)


def halved(void: Void, piece: Workpiece, shop: Shop) -> bool:
    """Whether a route through the board is cut half from each face: no cutter on hand that gets
    into all of it reaches through."""
    through = void.shape.upright and void.face in SIDES and {*SIDES} <= void.opens
    if void.shape.hole is not None or not through or len(piece.faces) < 2:
        return False
    cut = _route(void, piece, piece.thickness)
    able = (c.diameter / 2.0 for c in shop.flat_cutters if c.reach >= cut.depth)
    return not any(r <= cut.tightest + FITS and too_narrow(cut, r) is None for r in able)


def ledges(piece: Workpiece) -> Iterator[Routed]:
    """Each ledge on the edges of a piece. Where the outline lets its own cutter through, the
    ledge's, which reaches less deep, gets through too."""
    outline = piece.skin.outline
    for owner, face, edge, (points, radii) in edges(piece):
        if edge.form is EdgeForm.STRAIGHT:
            name, top = f"the ledge {owner}", piece.skin.level(face)
            low, high = sorted((top, top + edge.drop * (-1.0 if face is Face.FRONT else 1.0)))
            # Where the outline is hollow, the ledge's inner wall is rounder by its width.
            inner = radii + edge.reach
            yield Routed(owner, name, edge.drop, low, high, points, inner, outline, True)


def edges(piece: Workpiece) -> Iterator[tuple[str, Face, Edge, tuple[np.ndarray, np.ndarray]]]:
    """Every edge of a piece that is not square: its subject, face, and the hollows of the outline
    along it, as points and radii."""
    skin = piece.skin
    points, radii = skin.outline.outside_corners
    for face in SIDES:
        name = f"{piece.id}.{face}.edge"
        if skin.edge(face).drop:
            yield name, face, skin.edge(face), (points, radii)
        for k, run in enumerate(skin.runs(face), 1):
            along = np.abs(run.inset(points)) < SAME if len(points) else np.zeros(0, bool)
            yield f"{name}.{k}", face, run.edge, (points[along], radii[along])


def _depth(void: Void, piece: Workpiece, shop: Shop) -> tuple[float, str]:
    """How deep (mm) a cutter reaches below the face it comes from, and from which faces."""
    if void.face is Face.EDGE:
        return float(piece.skin.inset(void.shape.plan.vertices[:, :2]).max()), " from the edge"
    if halved(void, piece, shop):
        return piece.thickness / 2.0 + PAST_HALF, " from each face"
    return (-void.low if void.face is Face.FRONT else void.high + piece.thickness), ""


def corner(layout: Layout) -> Iterator[Finding]:
    """Tightest corner of each routed void, outline and edge against the smallest cutter that
    reaches it."""
    if not (yield from of_each(layout, _corner)):
        yield skip("cutter-corner", "this design has nothing to route")


def _corner(piece: Workpiece, shop: Shop) -> Answers:
    cuts, rims = list(routed(piece, shop)), list(ledges(piece))
    for cut in (*cuts, *rims):
        able = [c.diameter / 2.0 for c in shop.flat_cutters if c.reach >= cut.depth]
        if not able:
            words = f"no cutter on hand reaches the {cut.depth:.1f} mm of {cut.name}{cut.how}"
            cure = f"add a longer cutter to the shop{_shallower(cut)}"
            yield failed("cutter-corner", (cut.subject,), words, cure)
            continue
        if len(cut.radii):
            k = int(np.argmin(cut.radii))
            x, y = map(float, cut.points[k])
            at = (x, y, cut.low)
            subjects, limit = (cut.subject,), shop.limit("cutter-corner")
            tight = f"the tightest corner of {cut.name} has radius {cut.radii[k]:.2f} mm"
            words = f"{tight}; the cutter that reaches it{cut.how} has {min(able):.2f}"
            cure = f"round {cut.name}'s corners to {min(able):.2f} mm or more"
            found = judge(
                subjects, float(cut.radii[k]) - min(able), limit, words, cure, at=(at, at)
            )
            off = shop.depth_stop + shop.thickness_tolerance
            next_ = any(abs(c.reach - cut.depth) <= off for c in shop.flat_cutters)
            yield replace(found, steps=next_)  # another cutter may be the one that reaches
        else:
            words = f"{cut.name} has no corner to turn, and a cutter reaches it{cut.how}"
            yield passed("cutter-corner", (cut.subject,), words)
        if cut in cuts:
            yield from _narrow(cut, min(able))
    for row in edges(piece):
        yield from _bit(piece, shop, *row)
    return len(cuts) + len(rims)


def _shallower(cut: Routed) -> str:
    """What else helps where no cutter reaches: a rim goes through whatever is drawn."""
    if not cut.outside:
        return f", or make {cut.name} shallower"
    return "" if cut.how else ", or cut it half from each face"


def too_narrow(cut: Routed, radius: float) -> tuple[Profile, ...] | None:
    """The chains that the middle of a cutter of `radius` mm runs along where a waist of a pocket,
    or the mouth of an outline's hollow, does not let it pass; none where it has no room at all.
    None where it gets everywhere."""
    hollow, bulge = cut.plan.outside_corners[1], cut.plan.inside_corners[1]
    if not (len(hollow) and len(bulge)):
        return None  # nothing convex, and no straight slot, is narrower than its corners
    found = offset_regions(cut.plan, radius if cut.outside else -radius)
    apart = [*found[0].holes, *(one.outer for one in found[1:])] if found else []
    if found and not apart:
        return None
    return (found[0].outer, *apart) if found else ()


def _narrow(cut: Routed, radius: float) -> Iterator[Finding]:
    """A waist of a pocket, or the mouth of an outline's hollow, that a cutter does not pass."""
    found = too_narrow(cut, radius)
    if found is None:
        return
    at = None
    if len(found) > 1:
        _, p, q = chain_gap(found[0].segments, found[1].segments)
        at = witness((p + q) / 2.0, (p + q) / 2.0, cut.low)
    words = f"a place of {cut.name} is too narrow for the {2.0 * radius:g} mm cutter that reaches"
    cure = f"widen {cut.name} there"
    cure += "" if cut.outside else ", or make it shallower for a thinner cutter"
    yield failed("cutter-corner.narrow", (cut.subject,), f"{words} it{cut.how}", cure, at=at)


def _bit(
    piece: Workpiece,
    shop: Shop,
    owner: str,
    face: Face,
    edge: Edge,
    hollows: tuple[np.ndarray, np.ndarray],
) -> Iterator[Finding]:
    """The bit that cuts an edge, and its bearing in the tightest hollow."""
    if edge.form is EdgeForm.STRAIGHT:
        return
    subjects, limit, z = (owner,), shop.limit("cutter-corner"), piece.skin.level(face)
    if edge.form is None:
        words = f"{owner}, a {edge.words}, is shaped by hand or in passes: no one bit cuts it"
        yield passed("cutter-corner.bit", subjects, words)
        return
    sizes = [bit.size for bit in shop.bits if bit.form is edge.form]
    fits = shop.bits_for(edge.form, edge.reach)
    near = min(sizes, key=lambda size: abs(size - edge.reach), default=0.0)
    off = 0.0 if fits else -abs(near - edge.reach)
    have = f"is cut by a {edge.form} bit" if fits else f"has no {edge.form} bit on hand"
    cure = f"take {near:g} mm, shape it by hand, or add its EdgeBit to the shop"
    words = f"{owner}, a {edge.words}, {have}"
    yield advise(subjects, off, limit, words, cure, code="cutter-corner.bit")
    if fits and len(hollows[1]):
        k, bearing = int(np.argmin(hollows[1])), min(b.bearing for b in fits) / 2.0
        x, y = map(float, hollows[0][k])
        radius = float(hollows[1][k])
        words = f"the tightest hollow along {owner} has radius {radius:.2f} mm"
        words = f"{words}; the bearing of its bit has {bearing:.2f}"
        cure = f"round the outline to {bearing:.2f} mm there, or shape that place by hand"
        at = (x, y, z), (x, y, z)
        yield judge(subjects, radius - bearing, limit, words, cure, at=at)


def reach(layout: Layout) -> Iterator[Finding]:
    """Depth of each routed void, outline and ledge against the longest cutter that fits its
    corners."""
    if not (yield from of_each(layout, _reach)):
        yield skip("cutter-reach", "this design has nothing to route")


def _reach(piece: Workpiece, shop: Shop) -> Answers:
    cuts = [*routed(piece, shop), *ledges(piece)]
    for cut in cuts:
        fits = [c.reach for c in shop.flat_cutters if c.diameter / 2.0 <= cut.tightest + FITS]
        longest = max(fits, default=0.0)
        subjects = (cut.subject,)
        cutter = f"the longest cutter that fits its corners reaches {longest:g} mm"
        words = f"{cut.name} is {cut.depth:.1f} mm deep{cut.how}; {cutter}"
        able = [c.diameter / 2.0 for c in shop.flat_cutters if c.reach >= cut.depth]
        cure = f"add a longer cutter to the shop{_shallower(cut)}"
        cure = f"round {cut.name}'s corners to {min(able):.2f} mm, or {cure}" if able else cure
        at = ((*cut.near, cut.low), (*cut.near, cut.high))
        yield judge(subjects, longest - cut.depth, shop.limit("cutter-reach"), words, cure, at=at)
    return len(cuts)
