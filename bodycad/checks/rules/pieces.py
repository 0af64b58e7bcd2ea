"""`piece-fit`: does a cover, a guard or a fixture sit where it is meant to?"""

from __future__ import annotations

import math
from collections.abc import Iterator

import numpy as np

from bodycad.checks.finding import Finding, failed, judge, passed, skip, witness
from bodycad.checks.page import Page
from bodycad.geometry.distance.plan import inside_gap, plan_gap
from bodycad.geometry.plane.profile import Profile
from bodycad.layout.interface import Screw
from bodycad.layout.layout import Layout
from bodycad.layout.void import Void
from bodycad.layout.workpiece import Workpiece
from bodycad.words import SIDES, Face, HeadForm

PAGE = Page(
    asks="Does each cover, guard and fixture fill the room that is kept for it, does each of its "
    "holes stand over a hole of the body, does its screw pass and its head lie flush, and does it "
    "clear what rises through it or stands beside it?",
    why="A cover that is drilled beside its pilots goes on crooked or not at all; a wrong "
    "fixture spoils every body after it.",
    limits=(
        "piece-fit.room",
        "piece-fit.screw",
        "piece-fit.head",
        "piece-fit.proud",
        "piece-fit.centre",
        "piece-fit.window",
    ),
    cures="Move the hole over its pilot, make it wider, or draw piece and room from the same plan.",
)
DEEPER = 1e-6
"""A cut of the body that ends no deeper (mm) than the piece's inner face is the piece's own bed."""
SAME = 1e-9
BESIDE = 3.0
"""What stands farther than this beside a piece is not listed, mm."""

Place = tuple[float, float]


def piece_fit(layout: Layout) -> Iterator[Finding]:
    """Every workpiece but the body: its room, its screws, its other holes right through, and what
    of other parts passes through it."""
    screws = {s.free: s for s in layout.stated(Screw) if s.free}
    if len(layout.pieces) == 1 and not screws:
        yield skip("piece-fit", "this design has no workpiece but the body")
        return
    count = 0
    for piece in layout.pieces[1:]:
        if piece.part:
            yield from _room(layout, piece)
            yield from _windows(layout, piece)
        for hole in piece.voids:
            if hole.shape.hole and hole.shape.upright and hole.opens >= set(SIDES):
                count += 1
                screw = screws.pop(hole.id, None)
                if screw is not None and layout.by_id[screw.hole].shape.hole:
                    yield _screw(layout, piece, hole, screw)
                    yield from _head(layout, piece, hole, screw)
                else:
                    yield from _over(layout, piece, hole)
    for name, screw in screws.items():
        yield failed(
            "piece-fit.free",
            (str(name), screw.hole),
            f"the screw of {screw.hole} passes {name}, which is no hole drilled right through a "
            "cover, guard or fixture",
            "name the hole of the piece that the screw holds",
        )
    yield passed("piece-fit", (), f"{count} holes were looked for a hole of the body under them")


def _room(layout: Layout, piece: Workpiece) -> Iterator[Finding]:
    """A part's piece against the room of the same id."""
    room = layout.rooms_by_id.get(piece.id)
    if room is None:
        yield failed(
            "piece-fit.no-room",
            (piece.id,),
            f"{piece.part} answers the workpiece {piece.id} and no room of that id",
            "let the part's rooms answer the space that the piece fills",
        )
        return
    mine = piece.envelope
    if room.shape.hole is None:
        plans = mine.plan, room.shape.plan
        off = max(_apart(*plans), _apart(*plans[::-1]))
    else:
        off = math.inf
    off = max(off, *(abs(a - b) for a, b in zip(mine.box, room.shape.box, strict=True)))
    limit = layout.shop.limit("piece-fit.room")
    if off <= limit.fail:
        yield passed(limit.name, (piece.id,), f"{piece.id} fills the room that is kept for it")
        return
    x, y = map(float, mine.plan.vertices[0, :2])
    yield judge(
        (piece.id,),
        min(off, 1e3),
        limit,
        f"the workpiece {piece.id} lies {min(off, 1e3):.3g} mm off the room that is kept for it",
        "draw both from the same plan, thickness and place",
        at=((x, y, mine.low), (x, y, mine.high)),
    )


def _apart(one: Profile, two: Profile) -> float:
    """How far (mm) the vertices and the middles of the segments of one plan lie off the other."""
    s = one.segments
    spots = np.vstack([s.a, s.at(np.full(len(s), 0.5))])
    return float(np.abs(two.signed_distance(spots)).max())


def _screw(layout: Layout, piece: Workpiece, hole: Void, screw: Screw) -> Finding:
    """Play of a screw in its free hole, as the hole in the body leads it."""
    free, below = hole.shape.hole, layout.by_id[screw.hole].shape.hole
    assert free is not None and below is not None  # the caller asks of holes only
    x, y, z = piece.frame.point(free.start)
    off = below.off_axis(layout.homes[screw.hole].frame.own((x, y, z)))
    play = (free.diameter - screw.thread) / 2.0 - off
    return judge(
        (hole.id, screw.hole),
        play,
        layout.shop.limit("piece-fit.screw"),
        f"a screw of {screw.thread:.2f} mm in {screw.hole} has {play:.2f} mm to spare in "
        f"{hole.id}, {free.diameter:.2f} mm wide and {off:.2f} mm beside it",
        f"put {hole.id} over {screw.hole}, or make it wider",
        at=((x, y, z), layout.homes[screw.hole].frame.point(below.start)),
    )


def _head(layout: Layout, piece: Workpiece, hole: Void, screw: Screw) -> Iterator[Finding]:
    """What a countersunk head leaves of the piece's thickness, or how far a flat one stands out
    beyond what is meant."""
    if screw.head is None:
        return  # `complete` says so
    if screw.head is HeadForm.FLAT and screw.rise is None:
        words = f"the flat head of the screw in {hole.id} has no height"
        cure = "give the Screw its rise, and proud where it may stand out"
        yield failed("piece-fit.head.rise", (hole.id,), words, cure)
        return
    limit = layout.shop.limit("piece-fit.head")
    if screw.head is HeadForm.COUNTERSUNK:
        deep = (screw.flange - screw.thread) / 2.0
        spare = piece.thickness - deep
        left = f"leaves {spare:.2f} mm of its {piece.thickness:g}"
        words = f"the countersink for a {screw.flange:.1f} mm head in {hole.id} {left} mm"
        cure = f"use a smaller screw or a thicker {piece.id}"
    else:
        spare, limit = screw.proud - (screw.rise or 0.0), layout.shop.limit("piece-fit.proud")
        words = f"the flat head of {screw.rise:g} mm on {hole.id} may stand {screw.proud:g} mm out"
        cure = "use a countersunk screw, or say how far the head stands proud"
    x, y, z = piece.frame.point((hole.shape.box[0], hole.shape.box[1], 0.0))
    at = ((x, y, z), (x, y, z))
    yield judge((hole.id, screw.hole), spare, limit, words, cure, at=at)


def _over(layout: Layout, piece: Workpiece, hole: Void) -> Iterator[Finding]:
    """A hole without a screw of its own: what of the body, or which datum pin, it stands over."""
    free = hole.shape.hole
    assert free is not None  # the caller asks of holes only
    (x, y, _), radius = piece.frame.point(free.start), free.radius
    mine, t = piece.envelope, layout.thickness
    front = mine.low + mine.high > -t
    inner, side = (mine.low, Face.FRONT) if front else (mine.high, Face.BACK)
    below = [
        v
        for v in layout.voids
        if side in v.opens and (v.low < inner - DEEPER if front else v.high > inner + DEEPER)
    ]
    round_ = [
        (v.id, bore.start, bore.radius) for v in below if (bore := v.shape.hole) and bore.upright
    ]
    z = 0.0 if front else -t
    round_ += [
        (f"pin.{k}", (pin.x, pin.y, z), pin.diameter / 2.0)
        for k, pin in enumerate(layout.blank.pins, 1)
    ]
    near = [(math.hypot(sx - x, sy - y), i, (sx, sy, sz), r) for i, (sx, sy, sz), r in round_]
    off, name, spot, other = min(near, default=(math.inf, "", (x, y, z), 0.0))
    if off < radius + other:
        out = max(off - abs(other - radius), 0.0)
        yield judge(
            (hole.id, name),
            out,
            layout.shop.limit("piece-fit.centre"),
            f"{hole.id} stands {off:.2f} mm beside the axis of {name}: {out:.2f} mm of the "
            "narrower of the two lie outside the wider",
            f"put {hole.id} over {name}",
            at=((x, y, spot[2]), spot),
        )
    elif not any(v.shape.plan.contains(x, y) for v in below):
        yield failed(
            "piece-fit.nothing",
            (hole.id,),
            f"{hole.id} goes through {piece.id} and stands over no cut of the body",
            "move it over the hole that it serves, or leave it out",
            at=((x, y, inner), (x, y, inner)),
        )


def _windows(layout: Layout, piece: Workpiece) -> Iterator[Finding]:
    """What of other parts stands at the height of a fitted piece: in its openings, or beside it."""
    mine = piece.envelope
    windows = [piece.frame.profile(v.shape.plan) for v in piece.voids if v.opens >= set(SIDES)]
    u0, v0, u1, v1 = mine.profile.box
    for room in layout.rooms:
        low, high = room.shape.box[2], room.shape.box[5]
        if room.part == piece.part or min(high, mine.high) - max(low, mine.low) <= DEEPER:
            continue
        plan = room.shape.plan
        x0, y0, x1, y1 = plan.box
        if x0 > u1 + BESIDE or u0 > x1 + BESIDE or y0 > v1 + BESIDE or v0 > y1 + BESIDE:
            continue
        spare, p, q = plan_gap(plan, mine.profile)
        if spare > BESIDE:
            continue
        words = f"{room.id} stands {spare:.2f} mm beside {piece.id}"
        cure = f"cut {piece.id} back there, or move {room.part}"
        if spare <= 0.0:
            found = [inside_gap(plan, window) for window in windows if _over_each(window, plan)]
            words = f"{room.id} passes through {piece.id}, which has no opening there"
            cure = (
                f"draw {piece.id} round {room.part}, or move one of the two; a pickup or a control "
            )
            cure += f'cuts its own: mount=GuardMount("{piece.part}"), guard="{piece.part}"'
            spare = -max(x1 - x0, y1 - y0)
            if found:
                spare, p, q = max(found, key=lambda one: one[0])
                words = f"{room.id} passes through {piece.id} with {spare:.2f} mm to spare in its "
                words = f"{words}opening"
                cure = f"widen the opening of {piece.id} for {room.part}, or move one of the two"
        limit, z = layout.shop.limit("piece-fit.window"), max(low, mine.low)
        yield judge((piece.id, room.id), spare, limit, words, cure, at=witness(p, q, z))


def _over_each(one: Profile, two: Profile) -> bool:
    """Whether the boxes of two plans overlap."""
    (x0, y0, x1, y1), (u0, v0, u1, v1) = one.box, two.box
    return x0 < u1 and u0 < x1 and y0 < v1 and v0 < y1
