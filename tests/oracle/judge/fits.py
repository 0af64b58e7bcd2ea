"""Parts in the wood, against each other, and on their faces.

Ruined is: a part that shares more than BIT mm3 with wood once drawn in by TOUCH (a pickup also
when lowered by its travel, a control where it hangs from the ceiling that was cut); two parts that
share as much; a corner that no cutter of the shop reaches where a part must sit, or a depth that
none reaches; a pole more than ASIDE from its string, or nearer than NEAR to it when it is pressed
at the last fret, or farther than FAR; a string through a part; a knob within HAND of a string; a
part on a face of whose flat more than LOST hangs over a contour, an edge treatment or the air; a
foot on the edge that stands off or leans by more than OFF, or is not wholly on the side; a rim
that does not hide its voids; a cover without a ledge under it, or loose by more than WIDE; a bush
whose hole does not reach its cavity or whose nut cannot reach its thread."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

import numpy as np
import shapely

from tests.oracle.judge.ruin import Ruin, ruin
from tests.oracle.judge.scene import BIT, TOUCH, Scene, lowered
from tests.oracle.judge.solids import Block, Hole, Solid, along, grid_in, inside, polygon
from tests.oracle.judge.wood import IN

ASIDE, NEAR, FAR, HAND = 3.0, 0.3, 15.0, 6.0
LOST, OFF, WIDE, NUT = 0.05, 2.0, 1.0, 0.3
LOOSE_KINDS = {"neck", "board", "screw", "plug", "swing"}


def ruins(scene: Scene) -> Iterator[Ruin]:
    yield from _in_wood(scene)
    yield from _pairs(scene)
    yield from _reach(scene)
    yield from _poles(scene)
    yield from _paths(scene)
    yield from _lands(scene)
    yield from _hides(scene)
    yield from _bushes(scene)


def _moved(scene: Scene) -> dict[str, Block | Hole]:
    """Every room that fills wood, at rest; controls under the ceiling that was cut."""
    found = {n: s for n, s in scene.rooms.items() if scene.kinds[n] not in LOOSE_KINDS}
    for fit in scene.records("Fit"):
        outer = scene.wood.cuts.get(fit.outer)
        if fit.hangs and outer is not None and isinstance(found.get(fit.room), Block):
            room = found[fit.room]
            down = outer.shape.high - room.high
            found[fit.room] = Block(room.rim, room.low + down, room.high + down, room.slope)
    return found


def _in_wood(scene: Scene) -> Iterator[Ruin]:
    below = {f.room: (f.below or 0.0, f.outer) for f in scene.records("Fit")}
    for name, shape in _moved(scene).items():
        down, outer = below.get(name, (0.0, ""))
        if down and isinstance(shape, Block):
            shape = lowered(shape, down)
        part = shape.solid(TOUCH)
        held = scene.wood.shared(part)
        who = (name, scene.parts[name]) + ((outer,) if outer else ())
        # A button's foot beds into the edge on its felt: how far it is off or askew is asked apart.
        if held > BIT and scene.kinds[name] != "button":
            yield ruin("part.in-wood", who, held, "mm3")
        for cut, corner in scene.left:
            rest = float((part ^ corner).volume())
            if rest > BIT:
                yield ruin("part.in-corner", (name, cut), rest, "mm3 that no cutter reaches")


def _pairs(scene: Scene) -> Iterator[Ruin]:
    made: list[tuple[str, str, Solid, np.ndarray]] = []
    for name, shape in _moved(scene).items():
        made.append((name, scene.parts[name], shape.solid(TOUCH), shape.box))
    if scene.seated is not None:
        joint = scene.joint
        for name, solid in ((joint.heel, scene.seated.block), (joint.board, scene.seated.board)):
            one = solid(TOUCH)
            box = np.array(one.bounding_box()).reshape(2, 3)
            made.append((name, joint.part, one, box))
    for k, (one, part, solid, box) in enumerate(made):
        for two, other, second, outer in made[k + 1 :]:
            if part == other or (box[0] > outer[1]).any() or (outer[0] > box[1]).any():
                continue
            shared = float((solid ^ second).volume())
            if shared > BIT:
                yield ruin("part.in-part", (one, two, part, other), shared, "mm3")


def _reach(scene: Scene) -> Iterator[Ruin]:
    for cut in scene.wood.cuts.values():
        if cut.routed and scene.cutter(cut) is None:
            yield ruin("cut.no-cutter", (cut.id,), scene.depth(cut), "mm deep")


def _poles(scene: Scene) -> Iterator[Ruin]:
    if not scene.strings:
        return
    for poles in scene.records("Poles"):
        spots = sorted(((tuple(map(float, p))) for p in poles.points), key=lambda p: p[1])
        if poles.bar:
            (x0, y0, z0), (x1, y1, z1) = spots
            for string in scene.strings:
                y = string.y_at((x0 + x1) / 2.0)
                over = max(y0 - y, y - y1)
                if over > 0.5:
                    yield ruin("pole.aside", (poles.part, f"string.{string.number}"), over, "mm")
        elif len(spots) != len(scene.strings):
            yield ruin("pole.count", (poles.part,), len(spots))
            continue
        else:
            for string, (x, y, _) in zip(scene.strings, spots):
                aside = abs(y - string.y_at(x))
                if aside > ASIDE:
                    yield ruin("pole.aside", (poles.part, f"string.{string.number}"), aside, "mm")
        for string in scene.strings:
            x, _, z = min(spots, key=lambda p: abs(p[1] - string.y_at(p[0])))
            gap = float(string.line(True, np.array([x]))[0, 2]) - z
            if not NEAR <= gap <= FAR:
                yield ruin("pole.height", (poles.part, f"string.{string.number}"), gap, "mm")
    for name, shape in scene.rooms.items():
        if scene.kinds[name] != "pole":
            continue
        x, y = shape.rim.mean(axis=0) if isinstance(shape, Block) else shape.start[:2]
        aside = min(abs(y - s.y_at(x)) for s in scene.strings)
        if aside > ASIDE:
            yield ruin("pole.aside", (scene.parts[name], name), aside, "mm")


def _paths(scene: Scene) -> Iterator[Ruin]:
    bridge = {s.part for s in scene.saddles}
    for name, shape in _moved(scene).items():
        part = scene.parts[name]
        if part in bridge or shape.box[1, 2] < 0.5:
            continue
        for string in scene.strings:
            xs = np.arange(string.end[0] + 1.0, scene.want.board_end, 2.0)
            hit = any(
                shape.holds(string.line(p, xs) - [0.0, 0.0, 0.4]).any() for p in (False, True)
            )
            if hit:
                yield ruin("string.through-part", (name, part), 0.0, f"string {string.number}")
                break
        if scene.kinds[name] == "knob" and isinstance(shape, Hole):
            near = min(abs(shape.start[1] - s.y_at(shape.start[0])) for s in scene.strings)
            if near - shape.radius < HAND and shape.start[0] > -40.0:
                yield ruin("knob.at-string", (name, part), near - shape.radius, "mm")


def _lands(scene: Scene) -> Iterator[Ruin]:
    skin = scene.wood.skin
    for land in scene.records("Land"):
        if land.carved:
            continue
        who = (land.name, land.part)
        if land.plan is not None:
            rim = polygon(np.asarray(land.plan.vertices, float))
            spots = np.vstack([grid_in(rim, 2.0), along(rim, 2.0)[0]])
            z = -0.3 if land.face == "front" else -skin.thickness + 0.3
            lost = float(
                (skin.where(np.column_stack([spots, np.full(len(spots), z)])) != IN).mean()
            )
            if lost > LOST:
                yield ruin("land.lost", (*who, str(land.face)), lost, "of its flat")
        else:
            yield from _on_edge(scene, land, who)


def _on_edge(scene: Scene, land: Any, who: tuple[str, str]) -> Iterator[Ruin]:
    skin = scene.wood.skin
    at, way, r = np.array(land.at, float), np.array(land.inward, float), land.diameter / 2.0
    inset = float(skin.inset(at[None, :2])[0])
    if abs(inset) > OFF:
        yield ruin("land.off", (*who, "edge"), inset, "mm from the edge")
        return
    beside = (at + 0.5 * r * np.array([[way[1], -way[0], 0.0], [-way[1], way[0], 0.0]]))[:, :2]
    lean = abs(float(np.diff(skin.inset(beside))[0]))
    if lean > OFF:
        yield ruin("land.askew", (*who, "edge"), lean, "mm from one side of its foot to the other")
    side = np.array([way[1], -way[0], 0.0])
    up = np.array([0.0, 0.0, 1.0])
    for sign in (1.0, -1.0):
        spot = at + 1.0 * way + sign * 0.95 * r * up
        if skin.where(spot[None])[0] != IN:
            yield ruin("land.over-edge", (*who, "edge"), float(spot[2]), "z of its rim")
        if land.flat:
            gap = float(skin.inset((at + sign * r * side)[None, :2])[0])
            if abs(gap) > OFF:
                yield ruin("land.not-flat", (*who, "edge"), gap, "mm off the edge at its rim")


def _hides(scene: Scene) -> Iterator[Ruin]:
    for rim in scene.records("Hides"):
        plan = shapely.Polygon(polygon(np.asarray(rim.rim.vertices, float)))
        inner = plan.buffer(-1.0) if rim.kind == "in" else plan
        for name in rim.voids:
            cut = scene.wood.cuts.get(name)
            if cut is None or not isinstance(cut.shape, Block):
                continue
            shows = shapely.Polygon(cut.shape.rim).difference(inner).area
            if shows > 2.0:
                yield ruin("rim.shows", (rim.part, name, rim.room), shows, "mm2")
    for fit in scene.records("Fit"):
        outer = scene.wood.cuts.get(fit.outer)
        if fit.kind != "cover" or outer is None:
            continue
        room = scene.rooms[fit.room]
        gap = (shapely.Polygon(outer.shape.rim).area - shapely.Polygon(room.rim).area) / (
            shapely.Polygon(room.rim).length
        )
        if gap > WIDE:
            yield ruin("cover.loose", (fit.room, fit.outer, fit.part), gap, "mm round it")
        spots = np.vstack([grid_in(room.rim, 1.5), along(room.rim, 1.5)[0] * 0.999])
        over = np.column_stack([spots, np.full(len(spots), room.high + 0.1)])
        rests = float(scene.wood.is_wood(over).mean())
        if rests < 0.05:
            yield ruin("cover.unheld", (fit.room, fit.outer, fit.part), rests, "of it on its ledge")


def _bushes(scene: Scene) -> Iterator[Ruin]:
    skin = scene.wood.skin
    for bush in scene.records("Bush"):
        hole, under = scene.wood.cuts.get(bush.hole), scene.wood.cuts.get(bush.under)
        who = (bush.part, bush.hole, bush.under)
        if hole is None or under is None or not isinstance(under.shape, Block):
            continue
        x, y = float(bush.at[0]), float(bush.at[1])
        if not inside(under.shape.plan, np.array([[x, y]]))[0]:
            yield ruin("bush.no-cavity", who, 0.0, "its axis misses the cavity")
            continue
        turn = np.linspace(0.0, 2.0 * np.pi, 16, endpoint=False)
        ring = np.column_stack([np.cos(turn), np.sin(turn)])
        hole_rim = np.array([[x, y]]) + 0.95 * hole.shape.radius * ring
        top = skin.height(hole_rim, "front")
        for share in np.linspace(0.02, 0.98, 9):
            z = top + share * (under.shape.high - top)
            if scene.wood.is_wood(np.column_stack([hole_rim, z])).mean() > 0.1:
                yield ruin("bush.blocked", who, float(z[0]), "wood in its hole")
                break
        washer = np.array([[x, y]]) + bush.washer * ring
        thick = float(skin.height(np.vstack([washer, [[x, y]]]), "front").max() - under.shape.high)
        if thick > bush.clamps + NUT:
            yield ruin("bush.short", who, thick - bush.clamps, "mm of thread missing")
