"""Screws, seats and ferrules; holes for strings; ways for wires and plugs.

Ruined is: a wood screw that has less than BITE of its length in wood all round, or whose side or
tip comes out; a neck screw with less than GRIP in the block where the instrument wants it, nearer
than RIM to the block's sides, through the fretboard or into the rod's channel; a head or ferrule
of whose seat more than BARE is not on wood; a ferrule proud of the shaped back by more than PROUD
anywhere; a string hole that wood closes, or a seat without its shoulder; a channel that does not
open into a void it should by at least OPEN of its section, or that no drill can come to; a ground
hole that comes out beside the metal; a plug without its way; wires between two parts without a
way."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

import numpy as np
import shapely

from tests.oracle.judge.ruin import Ruin, ruin
from tests.oracle.judge.scene import BIT, TOUCH, Scene
from tests.oracle.judge.solids import Block, Hole, inside
from tests.oracle.judge.wood import IN, Cut

BITE, GRIP, RIM, BARE, PROUD, OPEN = 5.0, 8.0, 1.0, 0.1, 0.4, 0.5


def ruins(scene: Scene) -> Iterator[Ruin]:
    for screw in scene.records("Screw"):
        if screw.bites and scene.joint is not None and screw.bites == scene.joint.heel:
            yield from _neck_screw(scene, screw)
        else:
            yield from _wood_screw(scene, screw)
    yield from _proud(scene)
    yield from _string_holes(scene)
    yield from _ways(scene)
    yield from _plugs(scene)
    yield from _links(scene)


def _wood_screw(scene: Scene, screw: Any) -> Iterator[Ruin]:
    who = (screw.hole, screw.part)
    way, at = np.array(screw.way, float), np.array(screw.at, float)
    body = Hole(at, way, screw.thread / 2.0 + 0.3, float(screw.reach))
    t = np.arange(0.5, screw.reach, 0.5)
    if not len(t):
        return
    spots, _ = body.ring(t, body.radius, 12)
    held = scene.wood.is_wood(spots).reshape(len(t), 12).mean(axis=1)
    bite = 0.5 * float((held > 0.9).sum())
    if bite < BITE:
        yield ruin("screw.no-bite", who, bite, "mm of thread in wood all round")
    half = len(t) // 2
    if half and (held[half:] < 0.7).any():
        yield ruin("screw.side-out", who, float(held[half:].min()), "of its round in wood")
    tip = at + (screw.reach + 1.0) * way
    if not scene.wood.is_wood(tip[None])[0]:
        yield ruin("screw.tip-out", who, 1.0, "mm ahead of its tip is no wood")


def _neck_screw(scene: Scene, screw: Any) -> Iterator[Ruin]:
    want, seat = scene.want, scene.seated
    who = (screw.hole, screw.seat or screw.hole, screw.part)
    at, r = np.array(screw.at, float), screw.thread / 2.0
    x, y = float(at[0]), float(at[1])
    low, high = float(seat.floor(x)), float(seat.under_board(x))
    tip = float(at[2] + screw.reach)
    grip = min(tip, high) - low
    block = shapely.Polygon(want.block)
    aside = block.exterior.distance(shapely.Point(x, y))
    inside = block.contains(shapely.Point(x, y))
    if not inside or aside - r < RIM:
        yield ruin("bolt.off-block", who, aside if inside else -aside, "mm from the block's side")
    elif grip < GRIP:
        yield ruin("bolt.no-grip", who, grip, "mm in the block")
    if tip > high + 0.3:
        yield ruin("bolt.in-board", who, tip - high, "mm into the fretboard")
    rod = want.heel.rod_width / 2.0
    if rod and abs(y) < rod + r and tip > high - want.heel.rod_depth:
        yield ruin(
            "bolt.in-rod", who, tip - high + want.heel.rod_depth, "mm into the rod's channel"
        )
    # The wood under the head or ferrule, and nothing but the hole in its way to the block.
    own = scene.wood.cuts.get(screw.hole)
    inner = own.shape.radius if own is not None and isinstance(own.shape, Hole) else r
    flange = screw.flange / 2.0
    disc = Hole(at, np.array([0.0, 0.0, 1.0]), flange, 1.0)
    ring = np.vstack(
        [disc.ring(np.array([0.1]), q, 24)[0] for q in np.linspace(inner + 0.3, flange - 0.1, 5)]
    )
    bare = 1.0 - float(scene.wood.is_wood(ring).mean())
    if bare > BARE:
        yield ruin("bolt.bare-seat", who, bare, "of its seat without wood")
    axis = at + np.linspace(0.2, max(low - at[2] - 0.1, 0.3), 30)[:, None] * [0.0, 0.0, 1.0]
    if scene.wood.is_wood(axis).any():
        yield ruin("bolt.blocked", who, 0.0, "wood in its hole")


def _proud(scene: Scene) -> Iterator[Ruin]:
    skin = scene.wood.skin
    for name, shape in scene.rooms.items():
        if scene.kinds[name] != "ferrule" or not isinstance(shape, Hole):
            continue
        if abs(shape.way[2]) < 0.99:
            continue
        ends = np.array([shape.start[2], shape.end[2]])
        low = float(ends.min())
        rim, _ = shape.ring(np.array([0.0]), shape.radius, 24)
        rim = np.vstack([rim, shape.start[None]])
        surface = skin.height(rim[:, :2], "back")
        proud = float((surface - low).max())
        if proud > PROUD:
            yield ruin("ferrule.proud", (name, scene.parts[name], _seat_of(name)), proud, "mm")


def _seat_of(name: str) -> str:
    return name.rsplit(".", 1)[0] + ".seat"


def _string_holes(scene: Scene) -> Iterator[Ruin]:
    for one in scene.records("StringHole"):
        cut = scene.wood.cuts[one.hole]
        assert isinstance(cut.shape, Hole)
        low = -scene.wood.skin.thickness
        axis = np.array(one.at, float) + np.linspace(-0.1, low + 0.1, 60)[:, None] * [0.0, 0.0, 1.0]
        blocked = scene.wood.is_wood(axis)
        if blocked.any():
            yield ruin("string.blocked", (one.hole, one.part), float(blocked.sum()), "samples")
        if one.seat is None or one.seat not in scene.wood.cuts:
            continue
        seat = scene.wood.cuts[one.seat].shape
        shoulder, _ = seat.ring(np.array([seat.length + 0.3]), 0.85 * seat.radius, 24)
        held = float(scene.wood.is_wood(shoulder).mean())
        if held < 0.7:
            yield ruin("string.no-shoulder", (one.seat, one.part), held, "of it in wood")


def _section_open(one: Hole, other: Cut) -> float:
    """The share of a bore's section that runs into another cut: lines along it, 24 of them."""
    starts = np.vstack([one.ring(np.array([0.0]), q * one.radius, 12)[0] for q in (0.5, 0.85)])
    t = np.arange(0.0, one.length, 0.25)
    hit = other.shape.holds((starts[:, None] + t[:, None] * one.way).reshape(-1, 3))
    return float(hit.reshape(len(starts), len(t)).any(axis=1).mean())


def _ways(scene: Scene) -> Iterator[Ruin]:
    metal = {t.under: t for t in scene.records("Terminal") if t.under}
    for way in scene.records("Way"):
        cut = scene.wood.cuts[way.hole]
        if not isinstance(cut.shape, Hole):
            continue
        for name in way.through:
            share = _section_open(cut.shape, scene.wood.cuts[name])
            kin = [scene.wood.cuts[m] for m in scene.wood.cuts[name].meets if m in scene.wood.cuts]
            same = [c for c in kin if c.part == scene.wood.cuts[name].part and not c.pilot]
            share = max([share, *(_section_open(cut.shape, c) for c in same)])
            if share < OPEN:
                yield ruin("way.shut", (way.hole, name), share, "of its section open")
        yield from _shank(scene, cut)
        if way.kind == "ground" and "front" in cut.opens:
            mouth = _mouth(cut.shape)
            covered = any(
                isinstance(scene.rooms[name], Block) and inside(scene.rooms[name].plan, mouth).all()
                for name in metal
            )
            if not covered:
                yield ruin("way.beside-metal", (way.hole, *metal), 0.0, "its mouth is not covered")


def _mouth(hole: Hole) -> np.ndarray:
    rim, _ = hole.ring(np.array([0.0]), hole.radius, 16)
    t = -rim[:, 2] / hole.way[2]
    return (rim + t[:, None] * hole.way)[:, :2]


def _shank(scene: Scene, cut: Cut) -> Iterator[Ruin]:
    """The drill's way behind the start of the hole, through air alone."""
    hole = cut.shape
    assert isinstance(hole, Hole)
    starts = np.vstack([hole.ring(np.array([0.0]), q * hole.radius, 8)[0] for q in (0.5, 0.9)])
    t = np.arange(0.5, 400.0, 1.0)
    path = starts[:, None] - t[:, None] * hole.way
    hit = scene.wood.is_wood(path.reshape(-1, 3)).reshape(len(starts), len(t))
    if hit.any(axis=1).mean() > 0.2:
        yield ruin("way.no-drill", (cut.id,), float(hit.any(axis=1).mean()), "of its shank in wood")


def _plugs(scene: Scene) -> Iterator[Ruin]:
    for sweep in scene.records("Sweep"):
        if sweep.kind != "plug":
            continue
        room = scene.rooms[sweep.room]
        held = scene.wood.shared(room.solid(TOUCH))
        if held > BIT:
            yield ruin("plug.in-wood", (sweep.room, sweep.part, sweep.bore), held, "mm3")
        lead, into = scene.wood.cuts[sweep.bore], scene.wood.cuts[sweep.into]
        if isinstance(lead.shape, Hole) and _section_open(lead.shape, into) < OPEN:
            yield ruin("plug.shut", (sweep.bore, sweep.into), 0.0, "it does not reach the cavity")
        for name, shape in scene.rooms.items():
            if scene.kinds[name] in ("can", "cover", "battery", "pickup"):
                shared = float((room.solid(TOUCH) ^ shape.solid(TOUCH)).volume())
                if shared > BIT:
                    yield ruin("plug.in-part", (sweep.room, sweep.part, name), shared, "mm3")


def _links(scene: Scene) -> Iterator[Ruin]:
    """Every link has a way through cuts that open into each other, and into no wood."""
    cuts = {n: c for n, c in scene.wood.cuts.items() if not c.pilot}
    group = {name: name for name in cuts}

    def root(name: str) -> str:
        while group[name] != name:
            name = group[name]
        return name

    for cut in cuts.values():
        points, _ = cut.shape.sampled(3.0)
        points = points[scene.wood.skin.where(points) == IN]
        for other in scene.wood.near(scene.wood.boxes[cut.id], cut.id):
            if other.id in cuts and other.shape.holds(points).sum() >= 4:
                group[root(cut.id)] = root(other.id)
    ends = {}
    for terminal in scene.records("Terminal"):
        if terminal.voids:
            ends.setdefault(terminal.part, []).extend(terminal.voids)
    for link in scene.layout.links:
        one, two = (
            {root(v) for v in ends.get(part, ()) if v in cuts} for part in (link.one, link.two)
        )
        if not one & two:
            yield ruin("link.no-way", (link.one, link.two), 0.0)
