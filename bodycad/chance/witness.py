"""How a gap changes when a cut is moved, deepened or tilted, in closed form from its two witnesses.

A gap is the distance of its witness points, and to first order only what moves them along their
line changes it. Every point of a void moves with the void's place, with the face it is cut from,
and turns with its drill; a point of the floor moves with the depth as well; faces and contours move
with the stock.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from bodycad.chance.variables import Variable
from bodycad.checks.finding import Finding
from bodycad.fasteners import PILOT_SHARE
from bodycad.layout.layout import Layout
from bodycad.layout.void import Room, Void

ON = 0.02
"""A witness within this of a void's surface belongs to it, mm: gaps are known to half as much."""
EXACT = 1e-6


@dataclass(frozen=True, eq=False)
class Gap2:
    """A figure that stands on the distance of two witness points: the points, their owners, and the
    direction in which the second point moves when the figure grows, as long as the figure grows for
    each mm."""

    points: tuple[np.ndarray, np.ndarray]
    owners: tuple[Void | Room, Void | Room | str]
    out: np.ndarray


def as_gap(finding: Finding, drawn: Layout, flipped: bool) -> Gap2 | None:
    """A finding as a gap between two voids or fitted parts, or one and the outside; None when it is
    nothing so simple.

    `drawn` is right-handed; `flipped`: the finding's points are those of its mirrored twin. A gap
    in a workpiece beside the body is none of these: such cuts have no errors of their own.
    """
    if finding.value is None or finding.at is None or len(finding.subjects) != 2:
        return None
    fitted = {room.id: room for room in drawn.rooms}
    one, two = (
        drawn.body.by_id.get(s) or fitted.get(s) or _outside(s, drawn) for s in finding.subjects
    )
    if one is None or two is None or isinstance(one, str):
        return None
    p, q = (np.array(w) * ((1.0, -1.0, 1.0) if flipped else (1.0, 1.0, 1.0)) for w in finding.at)
    size, scale, more = float(np.linalg.norm(q - p)), 1.0, 0.0
    if finding.unit == "diameters" and (hole := one.shape.hole):
        # Of the screw, from the pilot's axis.
        scale, more = PILOT_SHARE / hole.diameter, hole.radius
    elif finding.unit != "mm":
        return None
    if size < 1e-3 or abs((size + more) * scale - abs(finding.value)) > EXACT + finding.bound:
        return None
    way = (q - p) / size * math.copysign(1.0, finding.value)
    if not _on(one, p, way) or not (isinstance(two, str) or _on(two, q, -way)):
        return None
    return Gap2((p, q), (one, two), way * scale)


def _outside(subject: str, drawn: Layout) -> str | None:
    """ "front", "back", "front edge", "back edge", "side" for what bounds the wood, by its name in
    findings."""
    name = subject.removeprefix("the plain ")
    if name in ("front", "back"):
        return name
    if name == "edge":
        return "side"
    if name.startswith("edge."):
        return name.removeprefix("edge.")
    return next((c.face for c in drawn.skin.contours if c.id == name), None)


def _on(void: Void | Room, point: np.ndarray, out: np.ndarray) -> bool:
    """Whether a point lies on the surface of a void or a fitted part that faces the way `out`."""
    here, beyond = void.shape.closest(np.stack([point, point + 3.0 * ON * out]))[0]
    return bool(here <= ON < beyond)


def changes(gap: Gap2, variable: Variable, drawn: Layout) -> tuple[float, float]:
    """How much the figure changes with a variable of the shop at plus and at minus its reach."""
    ways = [_way(p, owner, variable, drawn) for p, owner in zip(gap.points, gap.owners)]
    by = float(gap.out @ (ways[1] - ways[0])) * variable.reach
    turned = variable.kind == "tilt" and gap.owners[0].id == variable.subject
    other = _far_end(gap) if turned else None
    if other is None:
        return by, -by
    more = float(gap.out @ (gap.points[0] - other))
    its = -float(gap.out @ _way(other, gap.owners[0], variable, drawn)) * variable.reach
    return min(by, more + its), min(-by, more - its)


def _far_end(gap: Gap2) -> np.ndarray | None:
    """For a hole that runs along a plain face: the point beside the witness at the hole's other
    end, which comes nearer when the hole turns the other way."""
    shape = gap.owners[0].shape.hole
    plain = gap.owners[1] in ("front", "back") and abs(gap.out[2]) >= 1.0 - EXACT
    if not plain or shape is None or shape.upright:
        return None
    along = float((gap.points[0] - np.array(shape.start)) @ shape.axes[2])
    end = shape.shoulder if along < shape.length / 2.0 else 0.0
    other: np.ndarray = gap.points[0] + (end - along) * shape.axes[2]
    return other


def _way(
    point: np.ndarray, owner: Void | Room | str, variable: Variable, drawn: Layout
) -> np.ndarray:
    """How a witness point moves for each unit of a variable, mm."""
    kind = variable.kind
    if kind == "thickness":
        if isinstance(owner, Void):
            moves = owner.face == "back"
        elif isinstance(owner, Room):  # a cover, a sleeve: it lies in the back
            moves = owner.shape.box[2] <= -drawn.thickness + ON
        elif owner == "side":
            rim = -drawn.thickness + drawn.skin.edge_at("back", point[None, :2])[1][0]
            moves = bool(point[2] < rim)
        else:
            moves = owner == "back"
        return np.array([0.0, 0.0, -1.0 if moves else 0.0])
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
