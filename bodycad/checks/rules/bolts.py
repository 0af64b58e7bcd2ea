"""The neck screws: `bolt-seat`, `bolt-grip`, `bolt-tip`, `bolt-edge` on a heel that may be sculpted."""

from __future__ import annotations

import math
from collections.abc import Iterator

import numpy as np

from bodycad.checks.finding import Finding, judge, judge_gap, skip
from bodycad.checks.page import Page
from bodycad.geometry.distance.edge import edge_gap
from bodycad.geometry.distance.gap import Gap, gap
from bodycad.geometry.plane.profile import Profile
from bodycad.layout.layout import Layout, Placed
from bodycad.parts.neckjoint import Bolt, NeckJoint

NONE = "this design has no bolt-on neck"

SEAT_PAGE = Page(
    asks="Does the whole flange of each neck ferrule lie on wood at one depth, square to the screw, with enough wood between it and the pocket?",
    why="A ferrule whose rim hangs over the heel's carve rocks and splits the edge; too little wood under the pocket crushes or cracks.",
    limits=("bolt-seat", "bolt-seat.wood", "bolt-seat.wall", "bolt-seat.tilt"),
    cures="Move the screw away from the carve, set the ferrule deeper (leave less wood) or carve less.",
)
GRIP_PAGE = Page(
    asks="How much thread does each neck screw have in the neck?",
    why="Short thread strips out of the heel; it carries the whole string pull.",
    limits=("bolt-grip",),
    cures="Use a longer screw, set the ferrule deeper, or check which screw goes in which hole.",
)
TIP_PAGE = Page(
    asks="Does each neck screw stop short of the fretboard and pass beside the truss rod's channel?",
    why="A tip that lifts the board or touches the rod ruins the neck; a sculpted heel makes the same screw reach deeper.",
    limits=("bolt-tip", "bolt-tip.rod"),
    cures="Use a shorter screw in that hole, leave more wood under the pocket, or move the screw off the rod.",
)
EDGE_PAGE = Page(
    asks="How far are each screw and counterbore from the edges of heel and pocket, from the body's side and its roundover, and from each other?",
    why="Close to an edge the wood splits; two counterbores that nearly meet leave a fin that breaks.",
    limits=("bolt-edge",),
    cures="Move the screw inward, or use a smaller ferrule.",
)


def joints(layout: Layout) -> tuple[Placed, ...]:
    """The placed neck joints."""
    return layout.parts(NeckJoint)


def _each(layout: Layout) -> Iterator[tuple[Placed, NeckJoint, int, Bolt, tuple[float, float]]]:
    for placed in joints(layout):
        for index, bolt in enumerate(placed.part.bolts, 1):
            yield placed, placed.part, index, bolt, placed.place.point(bolt.u, bolt.v)


def seat(layout: Layout) -> Iterator[Finding]:
    """Overhang of each ferrule's flange, wood round and over it, and tilt of the screws to the
    pocket floor."""
    if not joints(layout):
        yield skip("bolt-seat", NONE)
    shop = layout.shop
    for placed, joint, index, bolt, (x, y) in _each(layout):
        name, z = f"{placed.id}.bolt.{index}.seat", joint.seat(bolt)
        screw = f"{placed.id} screw {index}"
        depth = layout.thickness + z
        if depth < -1e-9:
            yield judge(
                (name, "back"),
                depth,
                shop.limit("bolt-seat"),
                f"the seat of {screw}'s ferrule would lie {-depth:.2f} mm behind the back",
                f"leave less wood under screw {index}, or use thicker stock",
                at=((x, y, z), (x, y, -layout.thickness)),
            )
        else:
            reach, spot, what = level_reach(layout, x, y, z)
            for radius, limit, thing in (
                (joint.ferrule.flange / 2.0, "bolt-seat", "flange"),
                (_bed_radius(joint), "bolt-seat.wall", "counterbore"),
            ):
                spare = reach - radius
                if thing == "counterbore" and reach < joint.ferrule.flange / 2.0:
                    continue  # the flange itself hangs over: said once
                words = (
                    f"overhangs {what} by {-spare:.2f} mm"
                    if spare < 0
                    else f"lies {spare:.2f} mm inside {what}"
                )
                yield judge(
                    (name, what),
                    spare,
                    shop.limit(limit),
                    f"the {thing} of {screw}'s ferrule {words} at its seat's depth",
                    f"move screw {index} away from {what}, set its ferrule deeper, or carve less",
                    at=((*_rim(x, y, spot, math.copysign(radius, reach)), z), (*spot, z)),
                )
        # On a tilted floor the rim of the flange has least wood over it.
        wood = bolt.wood - joint.ferrule.flange / 2.0 * math.tan(math.radians(abs(joint.angle_deg)))
        yield judge(
            (name, f"{placed.id}.pocket"),
            wood,
            shop.limit("bolt-seat.wood"),
            f"{wood:.2f} mm of wood between the ferrule of {screw} and the pocket floor",
            f"leave more wood under screw {index}",
            at=((x, y, z), (x, y, z + wood)),
        )
    for placed in joints(layout):
        yield judge(
            (placed.id, f"{placed.id}.pocket"),
            abs(placed.part.angle_deg),
            shop.limit("bolt-seat.tilt"),
            f"the screws of {placed.id} stand {abs(placed.part.angle_deg):.2f} degrees off square to the pocket floor",
            "drill the screws square to the tilted floor, or take the angle into the heel",
            unit="deg",
        )


def _bed_radius(joint: NeckJoint) -> float:
    """Radius of a ferrule's counterbore, mm."""
    return (joint.ferrule.flange + joint.ferrule.fit) / 2.0


def _rim(x: float, y: float, toward: tuple[float, float], radius: float) -> tuple[float, float]:
    """The point of a circle about (x, y) nearest to `toward` (farthest from it for a negative
    radius)."""
    away = math.hypot(toward[0] - x, toward[1] - y)
    if away < 1e-9:
        return x + abs(radius), y
    return x + radius * (toward[0] - x) / away, y + radius * (toward[1] - y) / away


def level_reach(
    layout: Layout, x: float, y: float, z: float
) -> tuple[float, tuple[float, float], str]:
    """Distance in the level plane at z from (x, y) to the air, where, and what the air belongs to.

    Negative when the point itself is in the air. The roundover or ledge at that level counts as
    edge; contours are cut by the plane (see `Carve.level_distance`).
    """
    skin, here = layout.skin, np.array([[x, y]])
    distance, foot, _ = skin.outline.segments.nearest(here)
    side, inset = 1.0 if skin.outline.contains(x, y) else -1.0, skin.edge_inset(z)
    reach = side * float(distance[0]) - inset
    found = [(reach, _rim(x, y, tuple(map(float, foot[0])), side * reach), "edge")]
    near, spot = skin.shelf_distances(here, z)
    found.append((float(near[0]), tuple(map(float, spot[0])), "edge"))
    for contour in skin.contours:
        # In the plane it is no nearer than in space.
        if contour.carve.closest(np.array([[x, y, z]]))[0][0] < max(min(found)[0], 1e-9):
            found.append((*contour.carve.level_distance(x, y, z), contour.id))
    return min(found, key=lambda f: f[0])


def grip(layout: Layout) -> Iterator[Finding]:
    """Thread of each screw in the neck."""
    if not joints(layout):
        yield skip("bolt-grip", NONE)
    for placed, joint, index, bolt, (x, y) in _each(layout):
        length = joint.grip(bolt)
        floor = joint.floor(bolt.u)
        yield judge(
            (f"{placed.id}.bolt.{index}.hole", f"{placed.id}.heel"),
            length,
            layout.shop.limit("bolt-grip"),
            f"{length:.2f} mm of {placed.id} screw {index}'s thread is in the neck",
            f"use a longer screw in hole {index} or set its ferrule deeper",
            at=((x, y, floor), (x, y, joint.tip(bolt))),
        )


def tip(layout: Layout) -> Iterator[Finding]:
    """Each screw's tip to the underside of the fretboard and its side to the truss-rod channel."""
    if not joints(layout):
        yield skip("bolt-tip", NONE)
    for placed, joint, index, bolt, (x, y) in _each(layout):
        name, end = f"{placed.id}.bolt.{index}.hole", joint.tip(bolt)
        under = joint.floor(bolt.u) + joint.heel.thickness - joint.board_thickness
        words = (
            f"ends {under - end:.2f} mm short of"
            if end <= under + 1e-9
            else f"runs {end - under:.2f} mm into"
        )
        yield judge(
            (name, f"{placed.id}.board"),
            under - end,
            layout.shop.limit("bolt-tip"),
            f"the tip of {placed.id} screw {index} {words} the fretboard",
            f"use a shorter screw in hole {index} or leave more wood under it",
            at=((x, y, end), (x, y, under)),
        )
        rod = under - joint.heel.rod_depth
        if joint.heel.rod_width > 0.0 and end > rod:
            beside = abs(bolt.v) - joint.heel.rod_width / 2.0 - joint.screw / 2.0
            side = math.copysign(1.0, bolt.v)
            flank, near = (
                placed.place.point(bolt.u, side * v)
                for v in (abs(bolt.v) - joint.screw / 2.0, joint.heel.rod_width / 2.0)
            )
            yield judge(
                (name, f"{placed.id}.rod"),
                beside,
                layout.shop.limit("bolt-tip.rod"),
                f"{beside:.2f} mm between {placed.id} screw {index} and the truss-rod channel",
                f"move screw {index} off the centreline or use a shorter screw",
                at=((*flank, end), (*near, end)),
            )


def edge(layout: Layout) -> Iterator[Finding]:
    """Screws to heel and pocket edges, counterbores to the body's edge and to each other."""
    if not joints(layout):
        yield skip("bolt-edge", NONE)
    limit = layout.shop.limit("bolt-edge")
    for placed, joint, index, bolt, (x, y) in _each(layout):
        name, z = f"{placed.id}.bolt.{index}", joint.floor(bolt.u)
        for what, shape, radius in (
            ("heel", joint.heel_profile, joint.pilot / 2.0),
            ("pocket", joint.pocket_profile, joint.hole / 2.0),
        ):
            spare, rim, foot = _inside(placed.place.profile(shape), x, y, radius)
            yield judge(
                (f"{name}.hole", f"{placed.id}.{what}"),
                spare,
                limit,
                f"{spare:.2f} mm from {placed.id} screw {index}'s hole to the {what}'s edge",
                f"move screw {index} inward",
                at=((*rim, z), (*foot, z)),
            )
        yield _to_side(layout, placed, index, x, y)
    for placed in joints(layout):
        beds = [
            (i, layout.by_id.get(f"{placed.id}.bolt.{i}.seat"))
            for i in range(1, len(placed.part.bolts) + 1)
        ]
        beds = [(i, bed) for i, bed in beds if bed is not None]
        for k, (i, one) in enumerate(beds):
            for j, two in beds[k + 1 :]:
                found: Gap = gap(one.shape, two.shape)
                if found.distance < 15.0:
                    yield judge_gap(
                        (one.id, two.id),
                        found,
                        limit,
                        f"{found.distance:.2f} mm between the counterbores of {placed.id} screws {i} and {j}",
                        f"move screws {i} and {j} apart",
                    )


def _to_side(layout: Layout, placed: Placed, index: int, x: float, y: float) -> Finding:
    """A screw's counterbore (its hole where it has none) to the body's side, roundover and
    ledge."""
    name = f"{placed.id}.bolt.{index}"
    void = layout.by_id.get(f"{name}.seat", layout.by_id[f"{name}.hole"])
    found = edge_gap(void.shape, layout.skin)
    spare, at, between = found.distance, found.at, found.between
    if spare <= 0.0:
        z = at[0][2]
        spare, rim, foot = _inside(layout.skin.outline, x, y, void.shape.radius)
        spare, at, between = min(spare, 0.0), ((*rim, z), (*foot, z)), None
    return judge(
        (void.id, "edge"),
        spare,
        layout.shop.limit("bolt-edge"),
        f"{spare:.2f} mm from {placed.id} screw {index}'s counterbore to the body's edge",
        f"move screw {index} inward, use a smaller ferrule, or stop the roundover short of it",
        at=at,
        between=between,
    )


def _inside(outline: Profile, x: float, y: float, radius: float):
    """Room (mm) from a circle inside an outline to it, negative where it pokes out, and the witness
    points."""
    distance, foot, _ = outline.segments.nearest(np.array([[x, y]]))
    sign = 1.0 if outline.contains(x, y) else -1.0
    spot = tuple(map(float, foot[0]))
    return sign * float(distance[0]) - radius, _rim(x, y, spot, sign * radius), spot
