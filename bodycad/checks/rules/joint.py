"""`joint-load`: the strings' pull against what the neck screws and the wood under their ferrules hold."""

from __future__ import annotations

import math
from collections.abc import Iterator

from bodycad.checks.finding import Finding, failed, judge, passed, skip
from bodycad.checks.page import Page
from bodycad.fasteners import screw_withdrawal
from bodycad.instrument.load import joint_lever, screw_pulls, total_tension
from bodycad.layout.layout import Layout, Placed
from bodycad.parts.neckjoint import Bolt, NeckJoint
from bodycad.wood import AIR_DRY, Species, species

NECK_SPECIES = "maple, sugar"
"""The neck's wood where the joint does not name it (common practice, no source)."""

PAGE = Page(
    asks="Do the neck screws hold the strings' pull in the neck, and does the wood under their ferrules bear it?",
    why="The strings turn the heel out of the pocket about its bridge-side end; a short thread, a lone screw near that end or soft "
    "wood under a small flange gives way slowly. Advice from a simple model, no promise: rigid heel, straight pull, screws share by "
    "their lever; the clamping by the screws, the pocket's friction, knocks and the player's hand are left out.",
    limits=("joint-load", "joint-load.crush", "joint-load.pilot"),
    cures="Use longer screws, more of them, or move them toward the mouth; a wider flange spreads the load.",
)


def joint_load(layout: Layout) -> Iterator[Finding]:
    """Each screw's share of the pull against its thread and its seat, and its hole in the neck."""
    joints = layout.parts(NeckJoint)
    if not joints:
        yield skip("joint-load", "this design has no bolt-on neck")
    for placed in joints:
        joint: NeckJoint = placed.part
        if all(bolt.u <= 0.0 for bolt in joint.bolts):
            yield failed(
                "joint-load",
                (placed.id,),
                f"no screw of {placed.id} stands inside the heel's bridge-side end",
                "move the screws toward the mouth",
            )
            continue
        wood, assumed = neck_species(joint)
        pull, lever = total_tension(layout.instrument), pull_lever(layout, placed)
        yield passed(
            "joint-load",
            (placed.id,),
            f"the strings pull {pull:.0f} N, {lever:.1f} mm over the pocket floor at the heel's end; "
            f"the neck is {'taken as ' if assumed else ''}{wood.name}",
        )
        share = joint.pilot / joint.screw
        yield judge(
            (placed.id, f"{placed.id}.heel"),
            share,
            layout.shop.limit("joint-load.pilot"),
            f"the {joint.pilot:.2f} mm holes in the neck are {share:.2f} of the {joint.screw:.2f} mm thread",
            "drill smaller holes in the neck, and try one in an offcut",
            unit="times",
        )
        for index, (bolt, force) in enumerate(zip(joint.bolts, pulls(layout, placed)), 1):
            yield from _screw(layout, placed, index, bolt, force, wood)


def neck_species(joint: NeckJoint) -> tuple[Species, bool]:
    """The neck's wood and whether it is only assumed (`NECK_SPECIES`): a joint may name it as
    `species`."""
    named = getattr(joint, "species", None)
    if named is None:
        return species(NECK_SPECIES), True
    return (named if isinstance(named, Species) else species(named)), False


def pull_lever(layout: Layout, placed: Placed) -> float:
    """mm from the pocket floor at the heel's bridge-side end, the pivot, up to the strings."""
    joint = placed.part
    return joint_lever(
        layout.instrument, joint.depth, placed.place.x, joint.floor(0.0), joint.angle_deg
    )


def pulls(layout: Layout, placed: Placed) -> tuple[float, ...]:
    """N that each screw of a joint carries; see the page for the model."""
    moment = total_tension(layout.instrument) * max(pull_lever(layout, placed), 0.0)
    return screw_pulls(moment, tuple(bolt.u for bolt in placed.part.bolts))


def _screw(
    layout: Layout, placed: Placed, index: int, bolt: Bolt, force: float, wood: Species
) -> Iterator[Finding]:
    joint, shop = placed.part, layout.shop
    (x, y), name = placed.place.point(bolt.u, bolt.v), f"{placed.id}.bolt.{index}"
    floor, seat, grip = joint.floor(bolt.u), joint.seat(bolt), max(joint.grip(bolt), 0.0)
    if force <= 0.0:
        yield passed(
            "joint-load",
            (f"{name}.hole", f"{placed.id}.heel"),
            f"{placed.id} screw {index} stands at the heel's bridge-side end and carries none of the pull",
        )
        return
    holds = screw_withdrawal(wood.gravity_at(AIR_DRY), joint.screw, grip)
    yield judge(
        (f"{name}.hole", f"{placed.id}.heel"),
        holds / force,
        shop.limit("joint-load"),
        f"{placed.id} screw {index} draws out of {wood.name} at about {holds:.0f} N, {holds / force:.1f} times the {force:.0f} N "
        f"it carries",
        f"give screw {index} more thread in the neck, or move screws toward the mouth",
        unit="times",
        at=((x, y, floor), (x, y, joint.tip(bolt))),
    )
    area = math.pi / 4.0 * (joint.ferrule.flange**2 - joint.hole**2)
    body = layout.blank.species
    bears = body.crushing * area
    yield judge(
        (f"{name}.seat", f"{placed.id}.pocket"),
        bears / force,
        shop.limit("joint-load.crush"),
        f"{body.name} dents under the ferrule of {placed.id} screw {index} at about {bears:.0f} N ({body.crushing:.1f} MPa, "
        f"{'from memory' if body.crush_mpa is not None else 'by a law of specific gravity'}), {bears / force:.1f} times the "
        f"{force:.0f} N it carries",
        f"use a wider flange under screw {index}",
        unit="times",
        at=((x, y, seat), (x, y, floor)),
    )
