"""`wall`, `floor`, `edge`, `breakout`: wood between voids and between a void and the air."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import replace

import numpy as np

from bodycad.checks.finding import Finding, judge, judge_gap, passed
from bodycad.checks.page import Page
from bodycad.checks.piece import Answers, of_each, piece_limit
from bodycad.checks.rules.bolts import own_seat
from bodycad.checks.rules.seated import necks
from bodycad.checks.wood.escape import POKE_BOUND, poke
from bodycad.checks.wood.inwood import face_wood, in_wood, leads_out
from bodycad.checks.wood.mouth import LIP, MOUTH, behind_mouth, to_own_contours
from bodycad.checks.wood.near import REACH, near_voids, of_the_cuts, related, side_gap, voids_near
from bodycad.geometry.distance.gap import at_least, gap
from bodycad.geometry.distance.search import Gap
from bodycad.geometry.solids.bore import Bore
from bodycad.geometry.solids.solid import Shape
from bodycad.layout.interface import Joint, StringHole
from bodycad.layout.layout import Layout
from bodycad.layout.void import Void
from bodycad.layout.workpiece import BODY, Workpiece
from bodycad.shop import Shop
from bodycad.words import SIDES, Face

MEETS = 1e-9

WALL_PAGE = Page(
    asks="How much wood stands between two voids of different parts, measured in space?",
    why="A thin wall breaks out under the cutter, or later under a screw; a drilled hole that "
    "wanders finds it first.",
    limits=("wall", "wall.sheet"),
    cures="Move one of the two, make one shallower or smaller, or declare the opening if they are "
    "meant to meet.",
)
FLOOR_PAGE = Page(
    asks="How much wood is left from a void to the opposite face as it is finally shaped, "
    "contours included, and how much under the neck's pocket?",
    why="Depths are set on flat stock; a belly or forearm contour cut later can bring the face up "
    "to a cavity floor. What is left under a neck's pocket, over a carved heel, carries the pull "
    "of the strings, so it has a limit of its own; wood counts only where the body is.",
    limits=("floor", "floor.sheet", "floor.pocket"),
    cures="Leave more wood, move the void out from under the contour, or make the contour "
    "shallower.",
)
EDGE_PAGE = Page(
    asks="How much wood stands between a void and the body's side, its roundover and its binding "
    "ledge, away from its own mouth where it has one there, and a contour on a face that it opens?",
    why="The edge takes knocks, clamps and the binding channel; end grain at a thin rim chips out. "
    f"A hole from the side is asked from {MOUTH:g} mm behind its mouth: in a slim horn it may come "
    "near the other side. A contour beside a mouth leaves a fin if it falls steeply, so that it is "
    f"asked from {LIP:g} mm under the rim: nearer to it every wall is thin.",
    limits=("edge", "edge.sheet", "edge.contour"),
    cures="Move the void inward, make it smaller or shallower, or use a smaller roundover or a "
    "gentler contour.",
)
BREAKOUT_PAGE = Page(
    asks="Does every void leave the wood only on the faces where its part says it should, and out "
    "of the side only at its own mouth?",
    why="A hole through the show face, or out of the far side of a horn, cannot be put back.",
    limits=("breakout",),
    cures="Reduce the depth or move the void; if the opening is wanted, the part must declare it.",
)


def wall(layout: Layout) -> Iterator[Finding]:
    """Walls between the voids of each workpiece that come within REACH of each other.

    A drilled way counts only as far as it runs in wood: its end inside a cavity makes no wall thin.
    Walls between string holes are the question of ferrule-wall, whichever parts drill them.
    """
    strung = {name for hole in layout.stated(StringHole) for name in hole.names("void")}
    tested = yield from of_each(layout, lambda piece, shop: _wall(piece, shop, strung))
    yield passed(
        "wall",
        (),
        f"{tested} pairs of voids near each other were measured; "
        f"the rest are over {REACH:g} mm apart",
    )


def around(layout: Layout, void: Void) -> Iterator[Finding]:
    """What `floor`, `wall`, `edge` and `breakout` find of one void of the body alone."""
    body, shop, these = layout.body, layout.shop, (void,)
    strung = {name for hole in layout.stated(StringHole) for name in hole.names("void")}
    yield from _floor(body, shop, set(), these)
    yield from _wall(body, shop, strung, void)
    yield from _edge(body, shop, set(), set(), these)
    yield from _breakout(body, shop, set(), these)


def _wall(piece: Workpiece, shop: Shop, strung: set[str], about: Void | None = None) -> Answers:
    limit = piece_limit(shop, piece, "wall")
    tested, wooden = 0, {}
    pairs = near_voids(piece)
    if about is not None:
        near = voids_near(piece, about, REACH)
        pairs = ((about, other) for other in near if other.id != about.id)
    for one, two in pairs:
        if related(piece, one, two) or {one.id, two.id} <= strung:
            continue
        tested += 1
        one, two = sorted((one, two), key=lambda v: v.id)
        for void in (one, two):
            if void.id not in wooden:
                wooden[void.id] = in_wood(void, piece) if void.shape.hole else (void,)
        for a in wooden[one.id]:
            for b in wooden[two.id]:
                if (
                    at_least(a.shape, b.shape) <= REACH
                    and (found := gap(a.shape, b.shape)).distance <= REACH
                ):
                    words = (
                        "meet, and nothing declares it"
                        if found.distance == 0.0
                        else f"are {found.distance:.2f} mm apart"
                    )
                    yield judge_gap(
                        (one.id, two.id),
                        found,
                        limit,
                        f"{one.id} and {two.id} {words}",
                        _apart(one, two, found),
                    )
    return tested


def _apart(one: Void, two: Void, found: Gap) -> str:
    """How two voids are brought apart, in words. A wall that stands upright grows where one of the
    two is narrower, a level one where it is shallower."""
    names = (one.part, two.part) if one.part != two.part else (one.id, two.id)
    (x0, y0, z0), (x1, y1, z1) = found.at
    aside, over = math.hypot(x1 - x0, y1 - y0), abs(z1 - z0)
    less = "shallower" if aside <= MEETS < over else "smaller"
    less = "smaller or shallower" if min(aside, over) > MEETS else less
    return f"move {names[0]} and {names[1]} apart, or make one of them {less}"


def _sides(void: Void, piece: Workpiece) -> tuple[Face, ...]:
    """The faces that a void should keep wood to."""
    return tuple(
        face for face in SIDES if face not in void.opens and not leads_out(void, piece, face)
    )


def floor(layout: Layout) -> Iterator[Finding]:
    """Wood from each void to each face it should not reach; only the nearer face when both are
    far."""
    pockets = {joint.pocket for joint in layout.stated(Joint)}
    count = yield from of_each(layout, lambda piece, shop: _floor(piece, shop, pockets))
    yield passed("floor", (), f"{count} voids were measured to the faces they should not reach")


def _floor(
    piece: Workpiece, shop: Shop, pockets: set[str], voids: Sequence[Void] | None = None
) -> Answers:
    for void in piece.voids if voids is None else voids:
        joint = piece.id == BODY and void.id in pockets
        limit = shop.limit("floor.pocket") if joint else piece_limit(shop, piece, "floor")
        found = [(*face_wood(void, piece, face), face) for face in _sides(void, piece)]
        found = [f for f in found if MEETS < f[0].distance < math.inf]
        nearest = min((f[0].distance for f in found), default=None)
        for wood, what, face in found:
            if wood.distance <= REACH or wood.distance == nearest:
                under = f"the plain {face}" if what == face else what
                yield judge_gap(
                    (void.id, what),
                    wood,
                    limit,
                    f"{wood.distance:.2f} mm of wood from {void.id} to {under}",
                    f"make {void.id} shallower"
                    + (", or use thicker stock" if what == face else f", or move it or {what}"),
                )
            land = _land(void, piece, face)
            if land is not None and MEETS < land.distance <= REACH:
                yield judge_gap(
                    (void.id, f"{piece.edge}.{face}"),
                    land,
                    limit,
                    f"{land.distance:.2f} mm of wood between {void.id} and the edge treatment of "
                    f"the {face}, where it runs out of the side",
                    f"make {void.id} shallower or stop the edge treatment of the {face} short "
                    "of it",
                )
    return len(piece.voids)


def _land(void: Void, piece: Workpiece, face: str) -> Gap | None:
    """Upright wood between a pocket that runs out of the side and the edge treatment of a face
    there; 0 where they meet, None where there is no such place."""
    skin = piece.skin
    if not ("edge" in void.opens and void.shape.prism and skin.drop(face) > 0.0):
        return None
    spots = np.zeros((0, 2))
    for one in in_wood(void, piece):
        s = one.shape.plan.segments
        # What runs along the outline does so from end to end.
        s = s.take(np.flatnonzero(np.abs(skin.inset(s.at(np.full(len(s), 0.5)))) < 1e-6))
        along = [s.at(np.full(len(s), t)) for t in np.linspace(0.0, 1.0, 9)]
        spots = np.vstack([spots, *along])
    reach, drop = skin.edge_at(face, spots, on=True) if len(spots) else np.zeros((2, 0))
    spots, drop = spots[reach > 0.0], drop[reach > 0.0]
    if not len(spots):
        return None
    if face == "front":
        level, heights = -drop, np.full(len(spots), void.high)
        wood = level - heights
    else:
        level = drop - piece.thickness
        heights = void.shape.prism.floor_at(spots)
        wood = heights - level
    k = int(np.argmin(wood))
    x, y = map(float, spots[k])
    return Gap(max(float(wood[k]), 0.0), 0.0, ((x, y, float(heights[k])), (x, y, float(level[k]))))


def _to_side(void: Void, piece: Workpiece) -> Gap | None:
    """Least wood from the part of a void that lies in wood to the piece's side, away from its own
    mouth there; None where it is far."""

    def least() -> Gap | None:
        held = (replace(void, shape=one) for one in _to_be_held(void, piece))
        found = [side_gap(one, piece) for one in held]
        return min(
            (gap for gap in found if gap is not None), key=lambda gap: gap.distance, default=None
        )

    return of_the_cuts(piece, ("side", void), least)


def _to_be_held(void: Void, piece: Workpiece) -> tuple[Shape, ...]:
    """What of a void the side must keep wood to."""
    if "edge" in void.opens:
        return behind_mouth(void, piece)
    return tuple(one.shape for one in in_wood(void, piece))


def edge(layout: Layout) -> Iterator[Finding]:
    """Wood from each void to the side, away from its own mouth there, and to the contours of a face
    that it opens. The neck screws' holes and the neck's pocket have limits of their own for the
    side (`bolt-edge`, `pocket-fit`), screws for contours too (`bolt-seat`)."""
    screws = [(neck, screw) for neck in necks(layout) for screw in neck.screws]
    bolts = {name for neck, one in screws for name in (one.hole, own_seat(neck, one))}
    pockets = {neck.joint.pocket for neck in necks(layout)}
    far = yield from of_each(layout, lambda piece, shop: _edge(piece, shop, bolts, pockets))
    yield passed("edge", (), f"{far} voids are over {REACH:g} mm from the edge")


def _edge(
    piece: Workpiece,
    shop: Shop,
    bolts: set[str | None],
    pockets: set[str],
    voids: Sequence[Void] | None = None,
) -> Answers:
    limit, far = piece_limit(shop, piece, "edge"), 0
    for void in (v for v in (piece.voids if voids is None else voids) if v.id not in bolts):
        for contour, fin in to_own_contours(void, piece):
            yield judge_gap(
                (void.id, contour.id),
                fin,
                shop.limit("edge.contour"),
                f"{fin.distance:.2f} mm of wood from {void.id} to {contour.id} beside it, "
                f"{LIP:g} mm and more under its rim",
                f"move {void.part} and {contour.id} apart, or make {contour.id} less steep there",
            )
        if void.id in pockets:
            continue
        side = _to_side(void, piece)
        if side is None or side.distance > 2.0 * REACH:
            far += 1
        elif side.distance > MEETS:
            where = f", {MOUTH:g} mm and more behind its mouth" if "edge" in void.opens else ""
            yield judge_gap(
                (void.id, piece.edge),
                side,
                limit,
                f"{side.distance:.2f} mm of wood from {void.id} to the edge{where}",
                f"make {void.id} shorter or thinner, or move it to where the body is wider"
                if "edge" in void.opens
                else f"move {void.part} inward, or make {void.id} smaller",
            )
    return far


def breakout(layout: Layout) -> Iterator[Finding]:
    """Voids that meet the air on a side they do not declare, or on one that they do, but away from
    their own mouth there. The walls of the neck's pocket are `pocket-fit`'s."""
    pockets = {neck.joint.pocket for neck in necks(layout)}
    clean = yield from of_each(layout, lambda piece, shop: _breakout(piece, shop, pockets))
    count = sum(len(piece.voids) for piece in layout.pieces)
    yield passed("breakout", (), f"{clean} of {count} voids leave the wood only where they should")


def _breakout(
    piece: Workpiece, shop: Shop, pockets: set[str], voids: Sequence[Void] | None = None
) -> Answers:
    limit, clean = shop.limit("breakout"), 0
    for void in piece.voids if voids is None else voids:
        out = [
            (what, face)
            for face in _sides(void, piece)
            for gap, what in [face_wood(void, piece, face)]
            if gap.distance <= MEETS
        ]
        if void.id not in pockets:
            gap = _to_side(void, piece)
            if gap is not None and gap.distance <= MEETS:
                out.append((piece.edge, Face.EDGE))
        for what, face in out:
            held = [one.shape for one in in_wood(void, piece)]
            held = list(_to_be_held(void, piece)) if face is Face.EDGE else held
            far, spot = max(poke(one, piece.skin, face) for one in held)
            yield judge(
                (void.id, what),
                -max(far, 1e-6),
                limit,
                f"{void.id} breaks out through the {face if what == piece.edge else what} "
                f"by {far:.2f} mm",
                (
                    f"make {void.id} smaller or move it inward"
                    if face is Face.EDGE
                    else f"make {void.id} shallower or move it"
                )
                + "; declare the opening only if it is wanted",
                at=(spot, spot),
                bound=POKE_BOUND,
            )
        found = [(face, *over) for face, over in _over_land(void, piece)]
        for name, far, spot in found:
            yield judge(
                (void.id, f"{piece.edge}.{name}"),
                -far,
                limit,
                f"{void.id} runs {far:.2f} mm into the edge treatment of the {name}",
                f"move {void.id} toward the middle of the side, make it smaller, or use a smaller "
                "edge treatment",
                at=(spot, spot),
            )
        clean += not (out or found)
    return clean


def _over_land(
    void: Void, piece: Workpiece
) -> Iterator[tuple[str, tuple[float, tuple[float, float, float]]]]:
    """For a void that opens in the side: each face whose edge treatment it cuts there, how far
    (mm), and where."""
    if "edge" not in void.opens:
        return
    for one in in_wood(void, piece):
        shape = one.shape
        for face, sign in zip(SIDES, (1.0, -1.0)):
            if face in void.opens or piece.skin.drop(face) <= 0.0:
                continue
            if shape.hole:
                rise = shape.hole.rise
                x, y, z = shape.hole.start
                level = piece.skin.level(face) - sign * _drop_beside(shape.hole, piece, face)
                far, spot = sign * (z - level) + rise, (x, y, z + sign * rise)
            else:
                land = _land(void, piece, face)
                if land is None or land.distance > MEETS:
                    continue
                spot = land.at[0]
                far = sign * (spot[2] - land.at[1][2])
            if far > MEETS:
                yield face, (far, spot)


def _drop_beside(shape: Bore, piece: Workpiece, face: str) -> float:
    """How far the edge treatment of a face comes down the side over the mouth of a bore, at its
    deepest, mm; less than nothing where there is none."""
    side = np.array([-shape.direction[1], shape.direction[0]])
    spots = np.array(shape.start[:2]) + np.linspace(-1.0, 1.0, 9)[:, None] * shape.radius * side
    (x0, y0), (x1, y1) = spots.min(axis=0), spots.max(axis=0)
    boxes = [c.carve.box for c in piece.skin.contours if c.face == face]
    carved = any(b[0] <= x1 and x0 <= b[3] and b[1] <= y1 and y0 <= b[4] for b in boxes)
    depth = abs(shape.start[2] - piece.skin.level(face)) - shape.rise
    if not carved and piece.skin.drop(face) <= depth:
        return -math.inf  # the edge is nowhere deeper than its own profile
    reach, drop = piece.skin.edge_at(face, spots)
    return float(drop[reach > 0.0].max(initial=-math.inf))
