"""How a gap changes when a cut or a contour is moved, deepened or tilted, in closed form from its
contacts.

A gap is the distance of its witness points, and to first order only what moves them along their
line changes it. Every point of a void moves with the void's place, with the face it is cut from,
and turns with its drill; a point of the floor moves with the depth as well; faces and contours move
with the stock, a contour with its own carving too.

Two solids that run beside each other come nearest anywhere along them, and a small turn decides
where. So a gap has a contact wherever an error could bring it nearest: the gap of the body built is
the least of its contacts.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator
from dataclasses import dataclass, replace

import numpy as np

from bodycad.chance.variables import Variable
from bodycad.checks.finding import Finding
from bodycad.checks.wood.inwood import in_wood
from bodycad.fasteners import PILOT_SHARE
from bodycad.geometry.distance.edge import to_edge
from bodycad.geometry.distance.gap import contour_at_least, face_gap, gap
from bodycad.geometry.solids.bore import Bore
from bodycad.geometry.solids.skin import Contour
from bodycad.geometry.solids.solid import Shape, Solid, same
from bodycad.layout.layout import Layout
from bodycad.layout.void import Room, Void

ON = 0.02
"""A witness within this of a void's surface belongs to it, mm: gaps are known to half as much."""
EXACT = 1e-6
STEP = 0.05
"""How far into the wood (mm) it is looked what bounds the end of a drilled way."""
WINDOW = 2.0
"""A contact that keeps this much more (mm) than the nearest is no contact, the turn of a drill
apart."""
STEPS = 25
"""Places along a hole at which it is looked whether it runs beside another surface."""
AROUND = np.stack([f(np.arange(24) * (math.pi / 12.0)) for f in (np.cos, np.sin)])

Closest = Callable[[np.ndarray], tuple[np.ndarray, np.ndarray]]
Owner = Void | Room | Contour | str
"""Whose surface a contact lies on; "front", "back", "side" and the edges of both faces by name."""


@dataclass(frozen=True, eq=False)
class Slip:
    """Where a drilled way comes out of the wood into the air of `owner`: the unit `way` of the
    drill, the point of its side that is the last in the wood, and how far the end of the way in
    wood moves along the drill as that point and the wall of `owner` part (3,). Without an owner:
    where the last stretch of a hole, by itself, begins; it goes on with the depth."""

    way: np.ndarray
    spot: np.ndarray
    owner: Owner | None
    by: np.ndarray


@dataclass(frozen=True, eq=False)
class Contact:
    """Two points of two surfaces that may be the nearest, their owners, the unit way from the first
    to the second, how much farther apart they are than the gap as drawn, what the ends of drilled
    ways slip on, and how much the figure grows for each mm."""

    points: tuple[np.ndarray, np.ndarray]
    owners: tuple[Owner, Owner]
    out: np.ndarray
    more: float = 0.0
    slips: tuple[Slip | None, Slip | None] = (None, None)
    scale: float = 1.0


def as_gap(finding: Finding, drawn: Layout, flipped: bool) -> tuple[Contact, ...]:
    """The contacts of a finding whose figure is the distance in space of a void or a fitted part to
    another or to the outside; none where it is nothing so simple.

    `drawn` is right-handed; `flipped`: the finding's points are those of its mirrored twin. A gap
    in a workpiece beside the body is none of these: such cuts have no errors of their own."""
    two, value = finding.between, finding.value
    if value is None or finding.at is None or len(finding.subjects) != 2:
        return ()
    fitted = drawn.rooms_by_id
    owners = [
        drawn.body.by_id.get(s) or fitted.get(s) or outside(s, drawn) for s in finding.subjects
    ]
    one, other = owners
    if one is None or other is None or isinstance(one, (str, Contour)):
        return ()
    scale, axis, hole = 1.0, 0.0, one.shape.hole
    if finding.unit == "diameters" and hole and isinstance(one, Void):
        # Of the screw, from the pilot's axis.
        scale, axis, two = PILOT_SHARE / hole.diameter, hole.radius, _pilot(one, other, drawn)
    if two is None or (finding.unit != "mm" and not axis):
        return ()
    hand = (1.0, -1.0, 1.0) if flipped else (1.0, 1.0, 1.0)
    p, q = (np.array(w) * hand for w in finding.at)
    size = float(np.linalg.norm(q - p))
    if size < 1e-3 or abs((size + axis) * scale - value) > EXACT + finding.bound:
        return ()
    turned = flipped and not axis
    solids = [s.mirrored() if turned and isinstance(s, Solid) else s for s in two]
    way = (q - p) / size
    for owner, point, out in ((one, p, way), (other, q, -way)):
        if isinstance(owner, (Void, Room)) and not _on(owner, point, out):
            return ()
    if not all(_whole(owner, solid, drawn) for owner, solid in zip(owners, solids)):
        return ()
    first = Contact((p, q), (one, other), way, scale=scale)
    found = list(_contacts(first, size, solids, drawn))
    if axis and other != "side":  # the nearer of both faces
        for face in (f for f in ("front", "back") if f != other):
            p, q = map(np.array, face_gap(one.shape, drawn.skin, face).at)
            for second in _kept(replace(first, owners=(one, face)), size, (p, q), WINDOW):
                found += _contacts(second, size, [solids[0], face], drawn)
    return tuple(_slipping(contact, solids, drawn) for contact in found)


def _pilot(void: Void, other: Owner, drawn: Layout) -> tuple[Solid | str, Solid | str] | None:
    """What of a pilot lies in wood, and what its axis is measured to."""
    kept = next((one.shape for one in in_wood(void, drawn.body)), None)
    if kept is None or isinstance(other, (Void, Room)):
        return None
    away = other.carve if isinstance(other, Contour) else "edge" if other == "side" else other
    return kept, away


def outside(subject: str, drawn: Layout) -> Contour | str | None:
    """What bounds the wood, by its name in findings: a contour; "front", "back", "front edge",
    "back edge", "side"."""
    name = subject.removeprefix("the plain ")
    if name in ("front", "back"):
        return name
    if name == "edge":
        return "side"
    if name.startswith("edge."):
        return name.removeprefix("edge.")
    return next((c for c in drawn.skin.contours if c.id == name), None)


def _on(void: Void | Room, point: np.ndarray, out: np.ndarray) -> bool:
    """Whether a point lies on the surface of a void or a fitted part that faces the way `out`."""
    here, beyond = void.shape.closest(np.stack([point, point + 3.0 * ON * out]))[0]
    return bool(here <= ON < beyond)


def _whole(owner: Owner | None, solid: Solid | str, drawn: Layout) -> bool:
    """Whether what is measured of a drilled hole is the hole, what of it lies in wood, or its last
    stretch."""
    if not isinstance(owner, Void) or owner.shape.hole is None or not isinstance(solid, Solid):
        return True
    kept = (owner, *in_wood(owner, drawn.body))
    last = isinstance(solid, Shape) and solid.hole
    return bool(last and _last(last, owner.shape.hole)) or any(same(solid, v.shape) for v in kept)


def _last(part: Bore, hole: Bore) -> bool:
    """Whether a bore is the last stretch of a hole."""
    same_size = part.diameter == hole.diameter and part.tip_deg == hole.tip_deg
    return same_size and math.dist(part.end, hole.end) < EXACT


def _contacts(
    first: Contact, size: float, solids: list[Solid | str], drawn: Layout
) -> Iterator[Contact]:
    """The nearest points, and the others that errors may bring nearer."""
    yield first
    wander = math.tan(math.radians(drawn.shop.wander_deg))
    for k in (0, 1):
        one, other = solids[k], solids[1 - k]
        if isinstance(one, Shape) and one.hole:
            window = WINDOW + 2.0 * one.hole.length * wander
            for p, q in _beside(one.hole, _to(other, drawn), first.out, size):
                yield from _kept(first, size, (q, p) if k else (p, q), window)
    face = first.owners[1].face if isinstance(first.owners[1], Contour) else first.owners[1]
    shape = solids[0]
    if face not in ("front", "back") or not isinstance(shape, Shape):
        return
    level = drawn.skin.level(str(face))
    x, y, z = shape.highest if face == "front" else shape.lowest
    others: list[tuple[Owner, tuple[np.ndarray, np.ndarray]]] = []
    if isinstance(first.owners[1], Contour):
        others.append((str(face), (np.array((x, y, z)), np.array((x, y, level)))))
    reach = size + WINDOW + 2.0 * drawn.shop.contour_tolerance
    for contour in drawn.skin.contours:
        if contour.face != face or contour is first.owners[1]:
            continue
        if contour_at_least(shape, contour.carve) < reach:
            p, q = map(np.array, gap(shape, contour.carve).at)
            others.append((contour, (p, q)))
    for owner, pair in others:
        for contact in _kept(first, size, pair, reach - size):
            yield replace(contact, owners=(first.owners[0], owner))


def _kept(
    first: Contact, size: float, pair: tuple[np.ndarray, np.ndarray], window: float
) -> Iterator[Contact]:
    """Those two points as a contact, where they are near enough to become the nearest."""
    apart = pair[1] - pair[0]
    far = float(np.linalg.norm(apart))
    if 1e-3 < far < size + window:
        more = max(far - size, 0.0) * first.scale
        yield replace(first, points=pair, out=apart / far, more=more)


def _to(other: Solid | str, drawn: Layout) -> Closest:
    """Distances and nearest points of one side of a gap."""
    if isinstance(other, Solid):
        return other.closest
    if other == "edge":
        return lambda points: to_edge(points, drawn.skin)
    for contour in drawn.skin.contours:
        if contour.id == other:  # what it takes inside the outline
            return contour.carve.closest
    level = drawn.skin.level(other)

    def plane(points: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
        foot = points * (1.0, 1.0, 0.0) + (0.0, 0.0, level)
        return np.abs(points[:, 2] - level), foot

    return plane


def _beside(
    hole: Bore, to: Closest, out: np.ndarray, size: float
) -> Iterator[tuple[np.ndarray, np.ndarray]]:
    """Where a hole comes near another surface, `size` away: at the ends of its side, where that
    last runs beside the other, or all round the rim of an end that faces it."""
    way, ends = hole.axes[2], hole.at(np.array([0.0, hole.shoulder]))
    if abs(float(out @ way)) > 1.0 - 1e-3:
        rim = hole.radius * (
            AROUND[0, ::3, None] * hole.axes[0] + AROUND[1, ::3, None] * hole.axes[1]
        )
        spots = (ends[:, None] + rim[None]).reshape(-1, 3)
    else:
        spots = _side(hole, to, np.array([0.0, hole.shoulder]))
        steps = np.linspace(0.0, hole.shoulder, STEPS)
        for _ in range(2):  # where it last runs beside the other, to a hundredth of its length
            beside = _side(hole, to, steps)
            near = np.flatnonzero(to(beside)[0] < size + EXACT)
            if len(beside) < len(steps) or not len(near):
                break
            first, last = near[0], near[-1]
            spots = np.vstack([spots, beside[[first, last]]])
            before, after = steps[max(first - 1, 0)], steps[min(last + 1, STEPS - 1)]
            here = np.linspace(before, steps[first], STEPS // 2 + 1)
            steps = np.concatenate([here, np.linspace(steps[last], after, STEPS // 2)])
    if len(spots):
        yield from zip(spots, to(spots)[1])


def _side(hole: Bore, to: Closest, along: np.ndarray) -> np.ndarray:
    """Points of a hole's side at places along it, each toward the other surface."""
    axis, way = hole.at(along), hole.axes[2]
    apart = to(axis)[1] - axis
    apart = apart - (apart @ way)[:, None] * way
    away = np.linalg.norm(apart, axis=1)
    there = away > 1e-9
    found: np.ndarray = axis[there] + hole.radius * apart[there] / away[there, None]
    return found


def _slipping(contact: Contact, solids: list[Solid | str], drawn: Layout) -> Contact:
    """The contact with what the ends of drilled ways slip on."""
    found = [
        _slip(point, owner, solid, drawn) if isinstance(owner, Void) else None
        for point, owner, solid in zip(contact.points, contact.owners, solids)
    ]
    if not any(found):
        return contact
    return replace(contact, slips=(found[0], found[1]))


def _slip(point: np.ndarray, owner: Void, solid: Solid | str, drawn: Layout) -> Slip | None:
    """What bounds the end of a drilled way on which a contact lies; None where the drill's own end
    does, or the contact lies elsewhere."""
    kept = solid.hole if isinstance(solid, Shape) else None
    if kept is None or owner.shape.hole is None or kept is owner.shape.hole:
        return None
    way, whole = kept.axes[2], owner.shape.hole
    if _last(kept, whole) and not any(same(kept, v.shape) for v in in_wood(owner, drawn.body)):
        begins = float((point - kept.at(np.zeros(1))[0]) @ way) <= ON
        return Slip(way, point, None, np.zeros(3)) if begins else None
    along, start = float((point - kept.at(np.zeros(1))[0]) @ way), np.array(whole.start)
    if along <= ON and float((np.array(kept.start) - start) @ way) > ON:
        end, inward = 0.0, way
    elif along >= kept.shoulder - ON and float((point - start) @ way) < whole.shoulder - ON:
        end, inward = kept.shoulder, -way
    else:
        return None
    ring = kept.radius * (AROUND[0, :, None] * kept.axes[0] + AROUND[1, :, None] * kept.axes[1])
    spots = kept.at(np.array([end])) + ring
    best: tuple[float, Slip] | None = None
    airs: tuple[Void | str, ...] = (*drawn.openings.get(owner.id, ()), "front", "back")
    for other in airs:
        inside, step = spots - STEP * inward, spots + STEP * inward
        if isinstance(other, str):
            level = drawn.skin.level(other)
            sign = 1.0 if other == "front" else -1.0
            before, after = (sign * (s[:, 2] - level) for s in (inside, step))
            deep, out = -after, np.array([0.0, 0.0, -sign])
            if before.min() < 0.0 or deep.max() <= 0.0:
                continue
            k = int(deep.argmax())
        else:
            if other.shape.closest(inside)[0].max() > ON:
                continue
            deep, foot = other.shape.closest(step)
            k = int(deep.argmax())
            if deep[k] <= 1e-6:
                continue
            out = (step[k] - foot[k]) / deep[k]
        found = Slip(inward, spots[k], other, out / float(out @ inward))
        if best is None or deep[k] < best[0]:
            best = float(deep[k]), found
    return best and best[1]


def change(contact: Contact, variable: Variable, drawn: Layout) -> float:
    """How much a contact grows with a variable of the shop at plus its reach, mm; at minus it, as
    much less."""
    ways = []
    for point, owner, slip in zip(contact.points, contact.owners, contact.slips):
        way = _way(point, owner, variable, drawn)
        if slip is not None and slip.owner is None:
            own = isinstance(owner, Void) and owner.id == variable.subject
            way = way + slip.way * float(own and variable.kind == "depth")
        elif slip is not None and slip.owner is not None:
            apart = _way(slip.spot, slip.owner, variable, drawn)
            apart = apart - _way(slip.spot, owner, variable, drawn)
            way = way + float(slip.by @ apart) * slip.way
        ways.append(way)
    return float(contact.out @ (ways[1] - ways[0])) * variable.reach * contact.scale


def _way(point: np.ndarray, owner: Owner, variable: Variable, drawn: Layout) -> np.ndarray:
    """How a point of a surface moves for each unit of a variable, mm."""
    kind = variable.kind
    if kind == "thickness":
        if isinstance(owner, Void):
            moves = owner.face == "back"
        elif isinstance(owner, Room):  # a cover, a sleeve: it lies in the back
            moves = owner.shape.box[2] <= -drawn.thickness + ON
        elif isinstance(owner, Contour):
            moves = owner.face == "back"
        elif owner == "side":
            rim = -drawn.thickness + drawn.skin.edge_at("back", point[None, :2])[1][0]
            moves = bool(point[2] < rim)
        else:
            moves = owner == "back"
        return np.array([0.0, 0.0, -1.0 if moves else 0.0])
    if isinstance(owner, Contour):
        if kind != "carve" or owner.id != variable.subject:
            return np.zeros(3)
        down = -1.0 if owner.face == "front" else 1.0
        return np.array([float(axis == variable.axis) for axis in range(3)]) * (1.0, 1.0, down)
    if isinstance(owner, str):
        return np.zeros(3)
    if kind == "shift" and owner.part == variable.subject:
        return np.array([float(axis == variable.axis) for axis in range(3)])
    if kind == "depth" and owner.id == variable.subject and isinstance(owner, Void):
        return _floor_way(point, owner)
    if kind == "tilt" and owner.id == variable.subject and (hole := owner.shape.hole):
        axis = hole.axes[variable.axis]
        turned: np.ndarray = np.cross(axis, point - np.array(hole.start))
        return math.radians(1.0) * turned
    return np.zeros(3)


def _floor_way(point: np.ndarray, owner: Void) -> np.ndarray:
    """How a point of a void moves for each mm of depth: only one of the floor does."""
    hole, pocket = owner.shape.hole, owner.shape.prism
    if hole:
        along = float((point - np.array(hole.start)) @ hole.axes[2])
        return hole.axes[2] if along >= hole.shoulder - ON else np.zeros(3)
    if owner.face == "back":
        return np.array([0.0, 0.0, 1.0 if point[2] >= owner.high - ON else 0.0])
    floor = pocket.floor(float(point[0]), float(point[1])) if pocket else owner.low
    return np.array([0.0, 0.0, -1.0 if point[2] <= floor + ON else 0.0])
