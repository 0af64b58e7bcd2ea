"""`land`: does what must lie flat lie clear of roundovers, ledges and contours?"""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import replace

import numpy as np

from bodycad.checks.finding import Finding, Witness, judge, passed, skip
from bodycad.checks.page import Page
from bodycad.checks.wood.near import of_the_cuts
from bodycad.geometry.distance.gap import Gap, at_least, gap
from bodycad.geometry.distance.plan import chain_gap, inside_gap
from bodycad.geometry.plane.build import circle
from bodycad.geometry.plane.profile import Profile, flatten
from bodycad.geometry.solids.carve import FLAT
from bodycad.geometry.solids.edge import Ledge, Square
from bodycad.geometry.solids.prism import Prism
from bodycad.geometry.solids.skin import Contour
from bodycad.geometry.solids.stretch import Run
from bodycad.layout.layout import Layout, Placed
from bodycad.parts.bridge import Hardtail
from bodycad.parts.cavity import Cavity
from bodycad.parts.jack import EndJack, StrapButton
from bodycad.parts.neckjoint import NeckJoint
from bodycad.words import SIDES

SKIN = 1e-3
"""A flat is measured as a slab of this thickness in the face, mm."""
MEETS = 1e-9
DIP = 1e-6
"""How far under a face a contour's line is taken where it has none in it, mm."""

PAGE = Page(
    asks="Do jack lip, strap buttons, bridge plate, pickup rings, covers and ferrules lie on a flat that no roundover, binding ledge or contour cuts into?",
    why="A plate that hangs over a rounded or carved edge rocks, shows a gap and cracks the finish; the rounding is cut last and all round.",
    limits=("land",),
    cures="Use a smaller roundover or stop it short, move the part or the contour, or use a smaller plate.",
)


def land(layout: Layout) -> Iterator[Finding]:
    """Every flat that a part needs, on the edge, the front and the back."""
    count = 0
    for placed, diameter, what in _on_edge(layout):
        count += 1
        yield _edge_land(layout, placed, diameter, what)
    for name, shape, face in _on_faces(layout):
        count += 1
        yield _face_land(layout, name, shape, face)
    carved = 0
    for placed in layout.parts(NeckJoint):
        for index, bolt in enumerate(placed.part.bolts, 1):
            name, ferrule = f"{placed.id}.bolt.{index}.seat", placed.part.ferrule
            plan = circle(ferrule.flange + ferrule.fit, *placed.place.point(bolt.u, bolt.v))
            count += 1
            if _carved(layout, plan):
                carved += 1
                continue
            yield _face_land(layout, name, plan, "back")
    if carved:
        yield passed(
            "land",
            (),
            f"{carved} neck ferrules enter through a contour on purpose; their seats are judged by bolt-seat",
        )
    yield from _bent_ledge(layout)
    if not count:
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
        bound = skin.reach_at(face, spots) > 0.0
        for contour in (c for c in skin.contours if edges and c.face is face):
            fall = np.where(bound, replace(skin, contours=(contour,)).fall(face, spots), 0.0)
            if (fall > 0.0).any():
                cure = (
                    "the ledge follows, cut from the shaped surface there; bend the strip down"
                    if all(edge.follows for edge in edges)
                    else "the ledge stays level and gets lower: end the strip there"
                )
                yield passed(
                    "land",
                    (contour.id, f"edge.{face}"),
                    f"{contour.id} lowers the {face}'s binding ledge along about "
                    f"{length[fall > 0.0].sum():.0f} mm, by up to {fall.max():.1f} mm: {cure}",
                )


def _on_edge(layout: Layout) -> Iterator[tuple[Placed, float, str]]:
    for placed in layout.parts(EndJack):
        yield placed, placed.part.lip, f"{placed.id}.lip"
    for placed in layout.parts(StrapButton):
        yield placed, placed.part.base, f"{placed.id}.button"


def _on_faces(layout: Layout) -> Iterator[tuple[str, Profile, str]]:
    for room in layout.rooms:
        if room.kind in ("plate", "ring"):
            yield room.id, room.shape.plan, "front"
    for placed in layout.parts(Cavity):
        yield f"{placed.id}.recess", layout.by_id[f"{placed.id}.recess"].shape.profile, "back"
    for placed in layout.parts(Hardtail):
        for index in range(1, placed.part.strings + 1):
            sleeve = layout.by_id[f"{placed.id}.ferrule.{index}"].shape
            yield f"{placed.id}.ferrule.{index}", sleeve.plan, "back"


def _edge_land(layout: Layout, placed: Placed, diameter: float, name: str) -> Finding:
    """A round foot on the side of the body: its rim to where the flat of the side ends above and
    below."""
    skin, z, r = layout.skin, placed.part.z, diameter / 2.0
    across = np.linspace(-r, r, 81)
    turn = math.radians(placed.place.turn_deg)
    line = np.array([placed.place.x, placed.place.y]) + across[:, None] * np.array(
        [-math.sin(turn), math.cos(turn)]
    )
    feet = skin.outline.segments.nearest(line)[1]
    half = np.sqrt(np.maximum(r * r - across * across, 0.0))
    top = -skin.drop_at("front", feet)
    bottom = skin.drop_at("back", feet) - skin.thickness
    rows = np.concatenate([top - (z + half), (z - half) - bottom])
    k = int(np.argmin(rows))
    i, above = k % len(across), k < len(across)
    rim, end = (z + half[i], top[i]) if above else (z - half[i], bottom[i])
    x, y = map(float, feet[i])
    spare, side = float(rows[k]), "above" if above else "below"
    words = f"lies {spare:.2f} mm inside" if spare >= 0.0 else f"overhangs by {-spare:.2f} mm"
    return judge(
        (name, "edge"),
        spare,
        layout.shop.limit("land"),
        f"{name} {words} the flat of the side, {side}",
        f"move {placed.id} {'down' if above else 'up'} or to another place, or use a smaller roundover there",
        at=((x, y, float(rim)), (x, y, float(end))),
    )


def _face_land(layout: Layout, name: str, shape: Profile, face: str) -> Finding:
    """A flat on the front or back: to the edge treatment and to every contour of that face."""
    skin = layout.skin
    level = skin.level(face)
    room, p, q = inside_gap(shape, skin.outline)
    at: Witness = ((*map(float, p), level), (*map(float, q), level))
    slab = _slab(layout, shape, face)
    best = room - skin.edge(face).reach, "edge", at, (slab, "edge")
    for run in skin.runs(face):
        value, p, q = _to_run(shape, run)
        if value < best[0]:
            at = (*map(float, p), level), (*map(float, q), level)
            best = value, "edge", at, (slab, "edge")
    for contour in (c for c in skin.contours if c.face == face):
        away = _to_trace(layout, contour, slab, best[0])
        if away is not None:
            value = (
                away.distance - (0.0 if contour.carve.level else FLAT)
                if away.distance > MEETS
                else -_fall(layout, shape, face)
            )
            if value < best[0]:
                best = value, contour.id, away.at, away.between
    spare, what, at, between = best
    words = (
        f"clears {what} by {spare:.2f} mm"
        if spare >= 0.0
        else f"has no flat under it by {-spare:.2f} mm at {what}"
    )
    return judge(
        (name, what),
        spare,
        layout.shop.limit("land"),
        f"{name} {words} on the {face}",
        f"move {name.rpartition('.')[0]} away from {what}, or make {what} smaller",
        at=at,
        between=between if spare > 0.0 else None,
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
        level, down = (0.0, -1.0) if contour.face == "front" else (-layout.thickness, 1.0)
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


def _carved(layout: Layout, plan: Profile) -> bool:
    """Whether a contour of the back takes some of a flat there."""
    slab = _slab(layout, plan, "back")
    found = (
        _to_trace(layout, contour, slab, 0.0)
        for contour in layout.skin.contours
        if contour.face == "back"
    )
    return any(away is not None and away.distance <= MEETS for away in found)


def _slab(layout: Layout, shape: Profile, face: str) -> Prism:
    """A plan profile as a slab of SKIN in a face."""
    return (
        Prism(shape, -SKIN, 0.0)
        if face == "front"
        else Prism(shape, -layout.thickness, -layout.thickness + SKIN)
    )


def _fall(layout: Layout, shape: Profile, face: str) -> float:
    """How far (mm) the contours of a face drop it at most under a plan profile."""
    rim = flatten(shape, 0.05)
    centre = np.array(shape.centroid)
    points = np.vstack([centre + k / 8.0 * (rim - centre) for k in range(1, 9)])
    points = points[shape.signed_distance(points) <= 1e-6]
    plain = replace(layout.skin, front=Square(), back=Square())
    drop = (
        -plain.front_height(points)
        if face == "front"
        else plain.back_height(points) + layout.thickness
    )
    return float(drop.max(initial=0.0))
