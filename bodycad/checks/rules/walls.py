"""`wall`, `floor`, `edge`, `breakout`: wood between voids and between a void and the air."""

from __future__ import annotations

import math
from collections.abc import Iterator

import numpy as np

from bodycad.checks.finding import Finding, judge, judge_gap, passed
from bodycad.checks.page import Page
from bodycad.checks.wood.escape import poke
from bodycad.checks.wood.inwood import face_wood, in_wood, leads_out
from bodycad.checks.wood.near import REACH, near_voids, of_the_cuts, related, side_gap
from bodycad.geometry.distance.gap import Gap, at_least, gap
from bodycad.geometry.solids.shapes import Bore, Prism
from bodycad.layout.layout import Layout
from bodycad.layout.void import Void
from bodycad.parts.neckjoint import NeckJoint

MEETS = 1e-9

WALL_PAGE = Page(
    asks="How much wood stands between two voids of different parts, measured in space?",
    why="A thin wall breaks out under the cutter, or later under a screw; a drilled hole that wanders finds it first.",
    limits=("wall",),
    cures="Move one of the two, make one shallower or smaller, or declare the opening if they are meant to meet.",
)
FLOOR_PAGE = Page(
    asks="How much wood is left from a void to the opposite face as it is finally shaped, contours included?",
    why="Depths are set on flat stock; a belly or forearm contour cut later can bring the face up to a cavity floor.",
    limits=("floor",),
    cures="Leave more wood, move the void out from under the contour, or make the contour shallower.",
)
EDGE_PAGE = Page(
    asks="How much wood stands between a void and the body's side, its roundover and its binding ledge?",
    why="The edge takes knocks, clamps and the binding channel; end grain at a thin rim chips out.",
    limits=("edge",),
    cures="Move the void inward, make it smaller or shallower, or use a smaller roundover.",
)
BREAKOUT_PAGE = Page(
    asks="Does every void leave the wood only on the faces where its part says it should?",
    why="A hole through the show face cannot be put back.",
    limits=("breakout",),
    cures="Reduce the depth or move the void; if the opening is wanted, the part must declare it.",
)


def wall(layout: Layout) -> Iterator[Finding]:
    """Walls between voids of different parts that come within REACH of each other.

    A drilled way counts only as far as it runs in wood: its end inside a cavity makes no wall thin.
    """
    limit = layout.shop.limit("wall")
    tested, wooden = 0, {}
    for one, two in near_voids(layout.body):
        if related(layout.body, one, two):
            continue
        tested += 1
        one, two = sorted((one, two), key=lambda v: v.id)
        for void in (one, two):
            if void.id not in wooden:
                wooden[void.id] = (
                    in_wood(void, layout.body) if isinstance(void.shape, Bore) else (void,)
                )
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
                        f"move {one.part} and {two.part} apart, or make one of them smaller or shallower",
                    )
    yield passed(
        "wall",
        (),
        f"{tested} pairs of voids near each other were measured; the rest are over {REACH:g} mm apart",
    )


def _sides(void: Void, layout: Layout) -> tuple[str, ...]:
    """The faces that a void should keep wood to."""
    return tuple(
        face
        for face in ("front", "back")
        if face not in void.opens and not leads_out(void, layout.body, face)
    )


def floor(layout: Layout) -> Iterator[Finding]:
    """Wood from each void to each face it should not reach; only the nearer face when both are
    far."""
    limit = layout.shop.limit("floor")
    for void in layout.voids:
        found = [(*face_wood(void, layout.body, face), face) for face in _sides(void, layout)]
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
                    f"make {void.id} shallower, use thicker stock or keep {under} away from it",
                )
            land = _land(void, layout, face)
            if land is not None and MEETS < land.distance <= REACH:
                yield judge_gap(
                    (void.id, f"edge.{face}"),
                    land,
                    limit,
                    f"{land.distance:.2f} mm of wood between {void.id} and the edge treatment of the {face}, where it runs out of the side",
                    f"make {void.id} shallower or stop the edge treatment of the {face} short of it",
                )
    yield passed(
        "floor", (), f"{len(layout.voids)} voids were measured to the faces they should not reach"
    )


def _land(void: Void, layout: Layout, face: str) -> Gap | None:
    """Upright wood between a pocket that runs out of the side and the edge treatment of a face
    there; 0 where they meet, None where there is no such place."""
    edge = layout.skin.front if face == "front" else layout.skin.back
    if not ("edge" in void.opens and isinstance(void.shape, Prism) and edge.drop > 0.0):
        return None
    spots = np.vstack(
        [p.shape.profile.vertices[:, :2] for p in in_wood(void, layout.body)] or [np.zeros((0, 2))]
    )
    spots = spots[np.abs(layout.skin.inset(spots)) < 1e-6] if len(spots) else spots
    if not len(spots):
        return None
    if face == "front":
        level, heights = -edge.drop, np.full(len(spots), void.shape.high)
        wood = level - heights
    else:
        level, heights = (
            -layout.thickness + edge.drop,
            np.array([void.shape.floor(x, y) for x, y in spots]),
        )
        wood = heights - level
    k = int(np.argmin(wood))
    x, y = map(float, spots[k])
    return Gap(max(float(wood[k]), 0.0), 0.0, ((x, y, float(heights[k])), (x, y, level)))


def _to_side(void: Void, layout: Layout) -> Gap | None:
    """Least wood from the part of a void that lies in wood to the body's side; None where it is
    far."""

    def least() -> Gap | None:
        found = [side_gap(piece, layout.body) for piece in in_wood(void, layout.body)]
        return min(
            (gap for gap in found if gap is not None), key=lambda gap: gap.distance, default=None
        )

    return of_the_cuts(layout.body, ("side", void), least)


def edge(layout: Layout) -> Iterator[Finding]:
    """Wood from each void to the side, for voids that should not reach it. The neck screws' holes
    have edge limits of their own (`bolt-edge`)."""
    limit = layout.shop.limit("edge")
    necks = {placed.id for placed in layout.parts(NeckJoint)}
    far = 0
    for void in layout.voids:
        if "edge" in void.opens or void.part in necks:
            continue
        gap = _to_side(void, layout)
        if gap is None or gap.distance > 2.0 * REACH:
            far += 1
        elif gap.distance > MEETS:
            yield judge_gap(
                (void.id, "edge"),
                gap,
                limit,
                f"{gap.distance:.2f} mm of wood from {void.id} to the edge",
                f"move {void.part} inward, or make {void.id} smaller",
            )
    yield passed("edge", (), f"{far} voids are over {REACH:g} mm from the edge")


def breakout(layout: Layout) -> Iterator[Finding]:
    """Voids that meet the air on a side they do not declare."""
    limit = layout.shop.limit("breakout")
    clean = 0
    for void in layout.voids:
        out = [
            (what, face)
            for face in _sides(void, layout)
            for gap, what in [face_wood(void, layout.body, face)]
            if gap.distance <= MEETS
        ]
        if "edge" not in void.opens:
            gap = _to_side(void, layout)
            if gap is not None and gap.distance <= MEETS:
                out.append(("edge", "edge"))
        for what, face in out:
            far, spot = max(
                poke(piece.shape, layout.skin, face) for piece in in_wood(void, layout.body)
            )
            yield judge(
                (void.id, what),
                -max(far, 1e-6),
                limit,
                f"{void.id} breaks out through the {what if what != face else face} by {far:.2f} mm",
                f"make {void.id} shallower or move it; declare the opening only if it is wanted",
                at=(spot, spot),
            )
        found = [(face, *over) for face, over in _over_land(void, layout)]
        for face, far, spot in found:
            yield judge(
                (void.id, f"edge.{face}"),
                -far,
                limit,
                f"{void.id} runs {far:.2f} mm into the edge treatment of the {face}",
                f"move {void.id} toward the middle of the side, make it smaller, or use a smaller edge treatment",
                at=(spot, spot),
            )
        clean += not (out or found)
    yield passed(
        "breakout",
        (),
        f"{clean} of {len(layout.voids)} voids leave the wood only where they should",
    )


def _over_land(
    void: Void, layout: Layout
) -> Iterator[tuple[str, tuple[float, tuple[float, float, float]]]]:
    """For a void that opens in the side: each face whose edge treatment it cuts there, how far
    (mm), and where."""
    if "edge" not in void.opens:
        return
    for piece in in_wood(void, layout.body):
        shape = piece.shape
        for face, edge, sign in (
            ("front", layout.skin.front, 1.0),
            ("back", layout.skin.back, -1.0),
        ):
            if face in void.opens or edge.drop <= 0.0:
                continue
            level = -edge.drop if face == "front" else -layout.thickness + edge.drop
            if isinstance(shape, Bore):
                rise = shape.radius * math.sqrt(max(1.0 - shape.direction[2] ** 2, 0.0))
                x, y, z = shape.start
                far, spot = sign * (z - level) + rise, (x, y, z + sign * rise)
            else:
                land = _land(void, layout, face)
                if land is None or land.distance > MEETS:
                    continue
                spot = land.at[0]
                far = sign * (spot[2] - level)
            if far > MEETS:
                yield face, (far, spot)
