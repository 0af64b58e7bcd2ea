"""`land`: does what must lie flat lie clear of roundovers, ledges and contours?"""

from __future__ import annotations

import math
from collections.abc import Iterator

import numpy as np

from bodycad.checks.finding import Finding, both_ways, judge, passed, skip, witness
from bodycad.checks.page import Page
from bodycad.checks.wood.near import of_the_cuts
from bodycad.geometry.distance.gap import at_least, gap
from bodycad.geometry.distance.plan import chain_gap, inside_gap
from bodycad.geometry.distance.search import Gap
from bodycad.geometry.plane.profile import Profile, flatten, spread
from bodycad.geometry.solids.carve import FLAT
from bodycad.geometry.solids.edge import Ledge
from bodycad.geometry.solids.prism import Prism
from bodycad.geometry.solids.skin import Contour
from bodycad.geometry.solids.solid import Solid
from bodycad.geometry.solids.stretch import Run
from bodycad.layout.blank import on_edge
from bodycad.layout.interface import Land
from bodycad.layout.layout import Layout
from bodycad.words import SIDES, Face, RoomKind

SKIN = 1e-3
"""A flat is measured as a slab of this thickness in the face, mm."""
MEETS = 1e-9
ALONG = 0.99
"""The cosine of the angle (8 degrees) within which a bore runs along the axis of a foot."""
LIES = (RoomKind.RING, RoomKind.PLATE, RoomKind.GUARD)
"""The rooms whose base lies on a face."""
DIP = 1e-6
"""How far under a face a contour's line is taken where it has none in it, mm."""

PAGE = Page(
    asks="Do jack lip, strap buttons, bridge plate, pickup rings, covers and ferrules lie on a "
    "flat that no roundover, binding ledge or contour cuts into, how far does an arched face fall "
    "away under them, and does a foot on the side stand on it, square, all round its hole?",
    why="A plate that hangs over a rounded or carved edge rocks, shows a gap and cracks the "
    "finish; the rounding is cut last and all round. A foot that is placed off the side, or whose "
    "hole is drilled askew, stands on one point of its rim, and its screw has so much less wood; "
    "one that is no wider than its hole falls into it.",
    limits=("land", "land.off", "land.rim", "land.arch"),
    cures="Use a smaller roundover or stop it short, move the part or the contour, or use a "
    "smaller plate.",
)


def land(layout: Layout) -> Iterator[Finding]:
    """Every flat that a part wants, on the edge, the front and the back."""
    lands = layout.stated(Land)
    carved = 0
    for one in lands:
        if one.face is Face.EDGE:
            yield _edge_land(layout, one)
            yield _off_side(layout, one)
            yield from _round_bores(layout, one)
        elif one.carved and _carved(layout, one):
            carved += 1
        else:
            yield _face_land(layout, one)
            if any(c.face is one.face and c.carve.straight is None for c in layout.skin.contours):
                yield from _on_arch(layout, one)
    if carved:
        yield passed(
            "land.carved",
            (),
            f"{carved} seats enter through a contour on purpose: they are judged at their depth",
        )
    yield from _bent_ledge(layout)
    if not lands:
        yield skip("land", "no part of this design lies on a flat")


def _bent_ledge(layout: Layout) -> Iterator[Finding]:
    """A note for each contour that lowers the face within a binding ledge: how far, and whether the
    ledge follows."""
    skin, s = layout.skin, layout.skin.outline.segments
    share = (np.arange(4) + 0.5) / 4.0
    spots = np.vstack([s.at(np.full(len(s), t)) for t in share])
    length = np.tile(s.length, 4) / 4.0
    for face in SIDES:
        edges = [edge for edge in skin.edges(face) if isinstance(edge, Ledge)]
        if not edges:
            continue
        bound = skin.edge_at(face, spots, on=True)[0] > 0.0
        for contour in (c for c in skin.contours if c.face is face):
            rise = contour.carve.height(spots, face) - skin.level(face)
            down = -rise if face is Face.FRONT else rise
            fall = np.where(bound & (down > 0.0), down, 0.0)
            if (fall > 0.0).any():
                cure = (
                    "the ledge follows, cut from the shaped surface there; bend the strip down"
                    if all(edge.follows for edge in edges)
                    else "the ledge stays level and gets lower: end the strip there"
                )
                yield passed(
                    "land.ledge",
                    (contour.id, f"edge.{face}"),
                    f"{contour.id} lowers the {face}'s binding ledge along about "
                    f"{length[fall > 0.0].sum():.0f} mm, by up to {fall.max():.1f} mm: {cure}",
                )


def _edge_land(layout: Layout, land: Land) -> Finding:
    """A foot on the side of the body: its rim to where the flat of the side ends above and
    below."""
    assert land.at and land.inward
    (x, y, z), (ix, iy, _), name = land.at, land.inward, land.name
    skin, r = layout.skin, land.across / 2.0
    across = np.linspace(-r, r, 81)
    line = np.array([x, y]) + across[:, None] * np.array([-iy, ix])
    feet = skin.outline.segments.nearest(line)[1]
    half = np.sqrt(np.maximum(r * r - across * across, 0.0))
    half = half if land.diameter else np.full(len(across), land.height / 2.0)
    top = -skin.edge_at("front", feet, on=True)[1]
    bottom = skin.edge_at("back", feet, on=True)[1] - skin.thickness
    rows = np.concatenate([top - (z + half), (z - half) - bottom])
    k = int(np.argmin(rows))
    i, above = k % len(across), k < len(across)
    rim, end = (z + half[i], top[i]) if above else (z - half[i], bottom[i])
    spare, side = float(rows[k]), "above" if above else "below"
    rounded = "front" if above else "back"
    words = f"lies {spare:.2f} mm inside" if spare >= 0.0 else f"overhangs by {-spare:.2f} mm"
    return judge(
        (name, "edge"),
        spare,
        layout.shop.limit("land"),
        f"{name} {words} the flat of the side, {side}",
        f"move {land.part} {'down' if above else 'up'} or to another place"
        + (", or use a smaller edge treatment there" if skin.drop(rounded) > 0.0 else ""),
        at=witness((*feet[i], rim), (*feet[i], end)),
    )


def _off_side(layout: Layout, land: Land) -> Finding:
    """A foot on the side of the body: how far its middle is off the side, and its rim more by
    what its axis is askew."""
    assert land.at and land.inward
    (x, y, z), name = land.at, land.name
    foot = on_edge(layout.skin.outline, x, y)
    turn, away = math.radians(foot.turn_deg), math.dist((x, y), (foot.x, foot.y))
    square = land.inward[0] * math.cos(turn) + land.inward[1] * math.sin(turn)
    askew = math.acos(min(max(square, -1.0), 1.0))
    off = away + land.across / 2.0 * math.sin(min(askew, math.pi / 2.0))
    # Both count to either side: off the side and into it, askew one way and the other.
    aside = (foot.x - x) * land.inward[0] + (foot.y - y) * land.inward[1]
    turned = land.inward[1] * math.cos(turn) - land.inward[0] * math.sin(turn)
    out, tip = math.copysign(away, aside), math.copysign(off - away, turned)
    words = f"{name} stands {away:.2f} mm off the side and {math.degrees(askew):.1f} degrees askew"
    return judge(
        (name, "edge"),
        off,
        layout.shop.limit("land.off"),
        f"{words}: its rim is {off:.2f} mm off",
        f"place {land.part} with on_edge(outline, x, y), on the side and square to it",
        at=witness((x, y, z), (foot.x, foot.y, z)),
        of=both_ways((out + tip, out - tip)),
    )


def _round_bores(layout: Layout, land: Land) -> Iterator[Finding]:
    """A foot on the side of the body: how far it reaches past the rim of each of its part's bores
    that its own axis runs into."""
    assert land.at and land.inward
    half = (land.diameter or min(land.width, land.height)) / 2.0
    at, way = np.array(land.at), np.array(land.inward)
    for void in layout.body.voids:
        bore = void.shape.hole
        if void.part != land.part or Face.EDGE not in void.opens or bore is None:
            continue
        off = float(np.linalg.norm(np.cross(at - np.array(bore.start), np.array(bore.direction))))
        if abs(float(way @ np.array(bore.direction))) < ALONG or off > bore.radius:
            continue
        spare = half - off - bore.radius
        words = f"{land.name} reaches {spare:.2f} mm past the rim of {void.id}"
        if spare < 0.0:
            words = f"{land.name} falls into {void.id}, whose rim is {-spare:.2f} mm wider"
        cure = f"measure {land.part} again: what lies on the side is wider than its hole"
        limit, rim = layout.shop.limit("land.rim"), (at[0], at[1], at[2] + half)
        ends = witness(rim, (at[0], at[1], rim[2] - spare))
        yield judge((land.name, void.id), spare, limit, words, cure, at=ends)


def _face_land(layout: Layout, land: Land) -> Finding:
    """A flat on the front or back: to the edge treatment and to every contour of that face."""
    assert land.plan
    name, shape, face = land.name, land.plan, land.face
    skin, slab = layout.skin, _slab(layout, shape, face)
    room, p, q = inside_gap(shape, skin.outline)
    level = skin.level(face)
    best, what, at = room - skin.edge(face).reach, "edge", witness(p, q, level)
    between: tuple[Solid | str, Solid | str] | None = (slab, "edge")
    for run in skin.runs(face):
        value, p, q = _to_run(shape, run)
        if value < best:
            best, at = value, witness(p, q, level)
    for contour in (c for c in skin.contours if c.face is face and c.carve.straight is not None):
        away = _to_trace(layout, contour, slab, best)
        if away is not None:
            value = (
                away.distance - (0.0 if contour.carve.level else FLAT)
                if away.distance > MEETS
                else -_fall(layout, shape, face)
            )
            if value < best:
                best, what, at, between = value, contour.id, away.at, away.between
    words = (
        f"clears {what} by {best:.2f} mm"
        if best >= 0.0
        else f"has no flat under it by {-best:.2f} mm at {what}"
    )
    return judge(
        (name, what),
        best,
        layout.shop.limit("land"),
        f"{name} {words} on the {face}",
        f"move {land.part} away from {what}, or make {what} less deep"
        if what != "edge"
        else f"move {land.part} inward"
        + (", or use a smaller edge treatment there" if skin.drop(face) > 0.0 else ""),
        at=at,
        between=between if best > 0.0 else None,
    )


def _on_arch(layout: Layout, land: Land) -> Iterator[Finding]:
    """What lies on an arched face: how much farther its base stands off the shaped face at one
    place under it than at another, voids left out. A base that slopes is read from its room."""
    assert land.plan
    skin, face = layout.skin, land.face
    plan = spread(land.plan)
    for void in layout.voids:
        if face in void.opens:
            plan = plan[np.isnan(void.shape.column(plan)[0])]
    if not len(plan):
        return
    sign, air = 1.0 if face is Face.FRONT else -1.0, np.zeros(len(plan))
    for room in layout.rooms:
        if room.part == land.part and room.kind in LIES:
            # On its own rim a solid may be missed by rounding.
            middle = plan.mean(axis=0)
            low, high = room.shape.column(middle + (plan - middle) * (1.0 - 1e-6))
            own = low if face is Face.FRONT else -high
            if np.isfinite(own).any():
                plan, air = plan[np.isfinite(own)], own[np.isfinite(own)]
    height = sign * skin.height(face, plan)
    air = air - height
    far, near = int(air.argmax()), int(air.argmin())
    value = float(air[far] - air[near])
    words = f"{land.name} lies on the arched {face}, which falls away under it by {value:.2f} mm"
    first, last = (np.append(plan[k], sign * height[k]) for k in (near, far))
    yield judge(
        (land.name, str(face)),
        value,
        layout.shop.limit("land.arch"),
        words,
        f"move {land.part} nearer to the crown, slope or curve its base, or use a smaller one",
        at=witness(first, last),
        code="land.arch",
    )


def _to_run(shape: Profile, run: Run) -> tuple[float, np.ndarray, np.ndarray]:
    """Plan distance (mm) from a flat to where the edge of a stretch begins on its face, and both
    points; negative where the flat runs into it."""
    rim = flatten(shape, 0.05)
    spare = run.inset(rim) - run.edge.reach
    k = int(np.argmin(spare))
    if spare[k] < 0.0:
        return float(spare[k]), rim[k], run.chain.nearest(rim[k : k + 1])[1][0]
    found = [chain_gap(shape.segments, b.segments) for b in run.bands(run.edge.reach)]
    return min(found, key=lambda one: one[0])


def _to_trace(layout: Layout, contour: Contour, slab: Prism, nearer: float) -> Gap | None:
    """Gap in the plane of its face from a flat to where a contour cuts that plane, or None where it
    is not less than `nearer`. A contour overhangs nowhere, so that nothing of it under the face
    comes nearer."""

    def trace() -> list[Prism]:
        level = layout.skin.level(contour.face)
        down = -1.0 if contour.face is Face.FRONT else 1.0
        # A section that is drawn no higher than the face has no slice there, but one just inside
        # the wood.
        found = contour.carve.level_slices(level) or contour.carve.level_slices(level + down * DIP)
        return [_slab(layout, cut, contour.face) for cut in found]

    cuts = [
        cut
        for cut in of_the_cuts(layout.body, ("trace", contour.id), trace)
        if at_least(slab, cut) <= max(nearer, 0.0)
    ]
    return min((gap(slab, cut) for cut in cuts), key=lambda g: g.distance, default=None)


def _carved(layout: Layout, land: Land) -> bool:
    """Whether a contour takes some of a flat on its face."""
    assert land.plan
    slab = _slab(layout, land.plan, land.face)
    found = (
        _to_trace(layout, contour, slab, 0.0)
        for contour in layout.skin.contours
        if contour.face is land.face
    )
    return any(away is not None and away.distance <= MEETS for away in found)


def _slab(layout: Layout, shape: Profile, face: Face) -> Prism:
    """A plan profile as a slab of SKIN in a face."""
    level = layout.skin.level(face)
    low, high = (level - SKIN, level) if face is Face.FRONT else (level, level + SKIN)
    return Prism(shape, low, high)


def _fall(layout: Layout, shape: Profile, face: Face) -> float:
    """How far (mm) the contours of a face drop it at most under a plan profile."""
    return float(layout.skin.fall(face, spread(shape)).max(initial=0.0))
