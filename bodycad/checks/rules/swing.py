"""`vibrato-swing`: a vibrato's block in its route, under its cover, round its strings."""

from __future__ import annotations

from collections.abc import Iterator
from functools import partial

import numpy as np

from bodycad.checks.finding import Finding, Witness, failed, judge, skip, witness
from bodycad.checks.page import Page
from bodycad.checks.strings_served import held_ends
from bodycad.geometry.distance.plan import inside_gap
from bodycad.geometry.plane.profile import Profile
from bodycad.geometry.solids.solid import Point3
from bodycad.layout.interface import Sweep
from bodycad.layout.layout import Layout
from bodycad.layout.void import Room, Void
from bodycad.words import Face, RoomKind, SweepKind

PAGE = Page(
    asks="Does a vibrato's block keep clear of its route over its whole swing, is it shorter "
    "than the body is deep, under its back cover, and do its strings' holes lie in it?",
    why="A block that touches the wood stops the arm and chips the route's edge; one that is "
    "taller than the body lifts the cover or stands out of the back; a string whose hole in the "
    "plate lies beside the block is held by nothing.",
    limits=("vibrato-swing", "vibrato-swing.back", "vibrato-swing.holes"),
    cures="Lengthen the route on the side the block swings to, deepen it, or limit the swing.",
)


def vibrato_swing(layout: Layout) -> Iterator[Finding]:
    """What each block sweeps, in the voids that its Sweep names, or in its own part's cuts where it
    states none; and over what covers them at the back."""
    within = {s.room: s.within for s in layout.stated(Sweep) if s.kind is SweepKind.BLOCK}
    swings = [r for r in layout.rooms if r.kind is RoomKind.SWING or r.id in within]
    if not swings:
        text = "this design has no vibrato with a block that swings in the wood"
        yield skip("vibrato-swing", text)
    for room in swings:
        own = [layout.by_id[name] for name in within.get(room.id, ())]
        cuts = own or list(layout.voids_of(room.part))
        if not cuts:
            code, text = "vibrato-swing", f"{room.id} swings in no cut of {room.part}"
            yield failed(code, (room.id,), text, f"give {room.part} a route for its block")
            continue
        spare, what, at = _in_cuts(room, cuts)
        words = f"clears {what} by {spare:.2f} mm"
        words = words if spare >= 0.0 else f"runs {-spare:.2f} mm into the wood round {what}"
        limit = layout.shop.limit("vibrato-swing")
        cure = f"make {what} longer or deeper where the block swings"
        yield judge((room.id, what), spare, limit, f"{room.id} {words}", cure, at=at)
        yield from _to_back(layout, room, cuts)
    yield from _holes_in_block(layout, [r for r in swings if r.kind is RoomKind.SWING])


def _holes_in_block(layout: Layout, swings: list[Room]) -> Iterator[Finding]:
    """The hole of a string that comes nearest to the outside of its vibrato's block, in plan; where
    the block swings counts as block."""
    blocks: dict[str, list[Profile]] = {}
    for room in swings:
        blocks.setdefault(room.part, []).append(room.shape.plan)
    rows: dict[str, list[tuple[float, Point3]]] = {}
    for anchor, at, _ in held_ends(layout):
        if anchor.part in blocks and anchor.passes is not None:
            spot = np.array([at[:2]])
            deep = max(-float(plan.signed_distance(spot)[0]) for plan in blocks[anchor.part])
            rows.setdefault(anchor.part, []).append((deep - anchor.passes / 2.0, at))
    for part, own in rows.items():
        spare, at = min(own, key=lambda row: (round(row[0], 9), row[1]))
        words = f"a string's hole in {part} lies {spare:.2f} mm within its block"
        if spare < 0.0:
            words = f"a string's hole in {part} stands {-spare:.2f} mm out of its block"
        cure = f"measure the block of {part} and where the strings go through it again"
        limit, of = layout.shop.limit("vibrato-swing.holes"), partial(tuple, [r[0] for r in own])
        yield judge((part, "block"), spare, limit, words, cure, at=(at, at), of=of)


def _in_cuts(room: Room, cuts: list[Void]) -> tuple[float, str, Witness]:
    """How far a room clears the wood, where and of which cut. At each height the widest cut that is
    open there counts; over and under it its own ceiling and floor."""
    low, high = room.shape.box[2], room.shape.box[5]
    ends = {z for cut in cuts for z in (cut.low, cut.high) if low < z < high}
    steps = [low, *sorted(ends), high]
    rows = []
    for bottom, top in zip(steps, steps[1:]):
        level = (bottom + top) / 2.0
        held = [_in_cut(room, cut, bottom == low, top == high) for cut in cuts if _open(cut, level)]
        held = held or [_in_cut(room, cut, True, True) for cut in cuts]
        rows.append(max(held, key=lambda f: f[0]))
    return min(rows, key=lambda f: f[0])


def _open(cut: Void, level: float) -> bool:
    """Whether a cut is open at a height, beyond the faces that it opens too."""
    over = Face.FRONT in cut.opens or level < cut.high
    return over and (Face.BACK in cut.opens or level > cut.low)


def _in_cut(
    room: Room, void: Void, lowest: bool = True, highest: bool = True
) -> tuple[float, str, Witness]:
    side, p, q = inside_gap(room.shape.plan, void.shape.plan)
    low, high = room.shape.box[2], room.shape.box[5]
    under = low - void.shape.full[0] if lowest and Face.BACK not in void.opens else side
    over = void.high - high if highest and Face.FRONT not in void.opens else side
    return min(side, under, over), void.id, witness(p, q, (low + high) / 2.0)


def _to_back(layout: Layout, room: Room, cuts: list[Void]) -> Iterator[Finding]:
    """What swings in a cut that opens in the back, over the cover there or the plain back."""
    if not any(Face.BACK in cut.opens for cut in cuts):
        return
    low, (x0, y0, _, x1, y1, _) = room.shape.box[2], room.shape.box
    levels = [(-layout.thickness, "back")]
    for one in layout.rooms:
        a0, b0, bottom, a1, b1, top = one.shape.box
        beneath = one.kind is RoomKind.COVER and bottom < room.shape.box[5]
        if beneath and a0 < x1 and x0 < a1 and b0 < y1 and y0 < b1:
            levels.append((top, one.id))
    level, what = max(levels)
    words = f"{room.id} ends {low - level:.2f} mm over {what}"
    words = words if low >= level else f"{room.id} stands {level - low:.2f} mm out of {what}"
    x, y = (x0 + x1) / 2.0, (y0 + y1) / 2.0
    limit, at = layout.shop.limit("vibrato-swing.back"), ((x, y, low), (x, y, level))
    cure = "use a shorter block or thicker stock, or a thinner cover"
    yield judge((room.id, what), low - level, limit, words, cure, at=at)
