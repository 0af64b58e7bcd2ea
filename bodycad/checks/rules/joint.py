"""`joint-load`: what pulls, pushes and twists the neck, against its screws in wood or its glue."""

from __future__ import annotations

import math
from collections.abc import Iterator

from bodycad.checks.finding import Finding, failed, judge, passed
from bodycad.checks.page import Page
from bodycad.checks.rules.bolts import bearing, each, own_seat, point, radius_of
from bodycad.checks.rules.loads import HELD, Load, loads, neck_species, own_group, pull_lever
from bodycad.checks.rules.screw_figures import Screws
from bodycad.checks.rules.seated import Neck, necks, unasked
from bodycad.fasteners import HAND_TORQUE, screw_torque
from bodycad.instrument.load import total_tension
from bodycad.layout.interface import Screw
from bodycad.layout.layout import Layout
from bodycad.safety import Danger
from bodycad.wood import AIR_DRY, Species, shearing_law, tearing_law
from bodycad.words import Mount

PAGE = Page(
    asks="Do the neck screws, or the glue, hold the strings' pull in the neck, and does the wood "
    "under the screws' ferrules bear it? Do the screws hold a push on the headstock, a knock from "
    "the side and a twist?",
    why="The strings turn the heel out of the pocket about its bridge-side end; a short thread, a "
    "lone screw near that end or soft wood under a small flange gives way slowly. A push back on "
    "the headstock turns it about the pocket's mouth, a twist about one of its sides, and a knock "
    "from the side turns it in the pocket: screws crowded at one place hold one of these and not "
    "the others. Advice from a simple model, no promise: rigid heel, screws as equal springs that "
    "share by their lever; how tight the screws are, the pocket's friction and its walls are left "
    "out, and the push, the knock and the twist are assumed (Shop(neck_push=, neck_side=, "
    "neck_twist=)). What dents soft wood first is the screwdriver: the torque that does (T = K d "
    "F) is a small part of what a hand reaches, and where it is too small to be felt it warns. "
    "Glue is taken to be as strong as the weaker wood: its faces share the pull "
    "evenly, and the pull, a push and a twist each peel the floor face, most at its rim.",
    limits=(
        "joint-load",
        "joint-load.crush",
        "joint-load.driver",
        "joint-load.pilot",
        "joint-load.pilot.insert",
        "joint-load.push",
        "joint-load.side",
        "joint-load.side.open",
        "joint-load.twist",
        "joint-load.glue",
        "joint-load.glue.knock",
    ),
    cures="Use longer screws, more of them, or move them toward the mouth for the strings' pull, "
    "apart for the rest (`bodycad pattern`); a wider flange spreads the load. Give glue a longer "
    "face.",
    dangers=(Danger.NECK,),
)


def joint_load(layout: Layout) -> Iterator[Finding]:
    """Each screw's share of the pull against its thread and its seat, its hole in the neck, and the
    other loads of the joint; a glued neck's faces against shear and peel."""
    yield from unasked(layout, "joint-load")
    for neck in necks(layout):
        found = [(s, name, one) for its, s, name, one in each(layout) if its.joint is neck.joint]
        carrying = [(s, name, one) for s, name, one in found if s.loaded]
        pull, lever = total_tension(layout.instrument), pull_lever(layout, neck)
        wood, assumed = neck_species(neck.joint)
        if neck.joint.mount == Mount.SCREWS and not any(own_group(layout, neck).u > 0.0):
            where = "stands inside the heel's bridge-side end"
            words = f"no screw of {neck.id} that carries the strings' pull {where}"
            yield failed("joint-load.screws", (neck.id,), words, "move the screws toward the mouth")
            continue
        where = f"{lever:.1f} mm over the pocket floor at the heel's end"
        taken = f"the neck is {'taken as ' if assumed else ''}{wood.name}"
        yield passed("joint-load", (neck.id,), f"the strings pull {pull:.0f} N, {where}; {taken}")
        if neck.joint.mount == Mount.GLUE:
            yield from _glue(layout, neck, wood)
            continue
        yield from _pilots(layout, neck, carrying)
        shares = zip(own_group(layout, neck).holds, pulls(layout, neck), strict=True)
        for (screw, name, one), (holds, force) in zip(carrying, shares, strict=True):
            yield from _screw(layout, neck, screw, name, one, float(holds), force)
        for load in loads(layout, neck)[1:]:
            yield _other(layout, neck, load, [name for _, name, _ in carrying])


def pulls(layout: Layout, neck: Neck) -> tuple[float, ...]:
    """N of the strings' pull that each loaded screw of a neck carries."""
    own = own_group(layout, neck)
    return tuple(map(float, loads(layout, neck)[0].carried(own.u, own.v)))


def _other(layout: Layout, neck: Neck, load: Load, names: list[str]) -> Finding:
    """One load but the strings' pull, against the screw that gives way first."""
    own, code = own_group(layout, neck), f"joint-load.{load.name}"
    strength, does = (own.slips, "bends") if load.edge is None else (own.holds, "draws out")
    carried = load.carried(own.u, own.v)
    first, times = int((carried / strength.clip(1e-12)).argmax()), float(load.times(own))
    gives = f"{names[first]} {does} first, at about {strength[first]:.0f} N, {times:.1f} times the"
    words = f"{load.words}, {gives} {carried[first]:.0f} N it carries"
    if not math.isfinite(carried[first]):
        words = f"{load.words}, no screw of {neck.id} holds it"
    cure = "move the screws apart, or use longer or more of them"
    subjects, limit = (neck.joint.pocket, neck.joint.heel), layout.shop.limit(load.limit)
    return judge(subjects, times, limit, words, cure, unit="times", code=code)


def _pilots(
    layout: Layout, neck: Neck, found: list[tuple[Screw, str, Screws]]
) -> Iterator[Finding]:
    """The holes in the neck, the widest to its thread."""
    for screw, name, _ in found:
        if screw.pilot is None:
            words = f"no hole is drilled in the neck for {name}"
            cure = "state the pilot, a little over the root of the thread"
            yield failed("joint-load.drilled", (screw.hole, neck.joint.heel), words, cure)
    for code, kind in (("joint-load.pilot", "thread"), ("joint-load.pilot.insert", "insert")):
        drilled = [
            (s.pilot / one.outside, s.pilot, one.outside)
            for s, _, one in found
            if s.pilot and (s.insert is not None) == (kind == "insert")
        ]
        if drilled:
            (share, hole, over), limit = max(drilled), layout.shop.limit(code)
            words = f"the {hole:.2f} mm holes in the neck are {share:.2f} of the {over:.2f} mm"
            cure = "drill smaller holes in the neck, and try one in an offcut"
            subjects = neck.id, neck.joint.heel
            yield judge(subjects, share, limit, f"{words} {kind}", cure, unit="times")


def _screw(
    layout: Layout,
    neck: Neck,
    screw: Screw,
    name: str,
    one: Screws,
    holds: float,
    force: float,
) -> Iterator[Finding]:
    subjects, shop, wood = (screw.hole, neck.joint.heel), layout.shop, neck_species(neck.joint)[0]
    if force <= 0.0:
        words = f"{name} stands at the heel's bridge-side end and carries none of the pull"
        yield passed("joint-load.idle", subjects, words)
        return
    mouth, tip = point(one.mouths), point(one.tips)
    limit, load = shop.limit("joint-load"), f"times the {force:.0f} N it carries"
    what = f"the insert of {name}" if screw.insert else name
    words = f"{what} draws out of {wood.name} at about {holds:.0f} N, {holds / force:.1f} {load}"
    cure = f"give screw {screw.number} more thread in the neck, or move screws toward the mouth"
    yield judge(subjects, holds / force, limit, words, cure, unit="times", at=(mouth, tip))
    hole, body = radius_of(layout.by_id[screw.hole]), layout.blank.species
    area = math.pi * ((screw.flange / 2.0) ** 2 - hole**2)
    bears = body.crushing * max(area, 0.0)
    law = "from memory" if body.crush_mpa is not None else "by a law of specific gravity"
    seat = own_seat(neck, screw) or screw.hole
    names, limit = (seat, neck.joint.pocket), shop.limit("joint-load.crush")
    about = f"about {bears:.0f} N ({body.crushing:.1f} MPa, {law}), {bears / force:.1f} {load}"
    words = f"{body.name} dents under the {bearing(neck, screw)} of {name} at {about}"
    cure = f"use a wider flange under screw {screw.number}"
    yield judge(names, bears / force, limit, words, cure, unit="times", at=(screw.at, mouth))
    torque, limit = screw_torque(bears, screw.thread), shop.limit("joint-load.driver")
    reach = f"{torque / HAND_TORQUE:.0%} of the {HAND_TORQUE:g} N m that a screwdriver reaches"
    words = f"{name}, turned on with {torque:.2f} N m, dents {body.name}: {reach}"
    cure = f"use a wider flange under screw {screw.number}, and stop when it is snug"
    yield judge(names, torque, limit, words, cure, unit="N m", at=(screw.at, mouth))


def _glue(layout: Layout, neck: Neck, wood: Species) -> Iterator[Finding]:
    """Mean shear over the glued faces, and peel at the floor face's rim by the strings, by a push
    and by a twist, in the weaker wood."""
    joint, floor = neck.joint, neck.block.profile
    subjects, area, most = (joint.pocket, joint.heel), joint.glue, floor.area
    most += floor.length * max(neck.depth, -neck.end[2])
    if joint.tongue is not None:
        tongue = layout.rooms_by_id[joint.tongue].shape
        low, high = tongue.box[2], tongue.box[5]
        most += tongue.plan.area + tongue.plan.length * (high - low)
    if not 0.0 < area <= most:
        have = f"its floor and sides have at most {most:.0f} mm2"
        words = f"{neck.id} is glued over {area:.0f} mm2; {have}"
        yield failed("joint-load.glue.area", subjects, words, "state the area of its glue faces")
        return
    weak = min(wood, layout.blank.species, key=lambda one: one.gravity_at(AIR_DRY))
    pull, lever = total_tension(layout.instrument), max(pull_lever(layout, neck), 0.0)
    gravity, x, y = weak.gravity_at(AIR_DRY), neck.place.x, neck.place.y
    at = (neck.end, (x, y, neck.end[2] + lever))
    torn, glued = tearing_law(gravity), min(area, floor.area)
    rows = [("", "", "shear along the grain", pull / area, shearing_law(gravity))]
    for load in loads(layout, neck):
        if load.edge is not None:
            # Stress over the floor face grows with the distance from its middle: 6 M / (A L).
            run = neck.length if load.edge[0] else glued / neck.length
            name, when = load.name, f" when {load.words}"
            name, when = ("peel", "") if name == "pull" else (name, when)
            stress = 6.0 * load.moment / (glued * run)
            rows.append((f".{name}", when, "pull across the grain", stress, torn))
    for name, when, way, stress, strength in rows:
        times = strength / stress if stress > 0.0 else HELD
        limit = layout.shop.limit("joint-load.glue.knock" if when else "joint-load.glue")
        about = f"about {strength:.1f} MPa (a law of specific gravity, from memory)"
        held = f"{times:.1f} times the {stress:.3f} MPa on the glue of {neck.id}{when}"
        words = f"{weak.name} fails in {way} at {about}, {held}"
        cure = "make the glued faces longer or wider, or the pocket deeper"
        code = f"joint-load.glue{name}"
        yield judge(subjects, times, limit, words, cure, unit="times", at=at, code=code)
