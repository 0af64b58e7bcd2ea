"""`pickup-mount`: what holds each pickup, and whether its height can be set."""

from __future__ import annotations

import math
from collections.abc import Iterator

import numpy as np

from bodycad.checks.finding import Finding, failed, judge, passed, skip
from bodycad.checks.page import Page
from bodycad.geometry.solids.solid import Point3
from bodycad.layout.interface import Fit, Hides, Screw, Sprung
from bodycad.layout.layout import Layout
from bodycad.layout.workpiece import Workpiece
from bodycad.words import Face, FitKind, HideKind

PAGE = Page(
    asks="Do the height screws of a pickup go through it, do they bite wood or reach its tabs, "
    "from rest down to the end of its travel; do their pilots take them; do its springs hold it "
    "up, not pressed flat; and does a guard that it hangs from have a hole for each screw and "
    "hide its route?",
    why="A short screw lets go when the pickup is raised, a long one bottoms in its pilot; a slack "
    "spring rattles, one pressed flat stops the pickup short of its height.",
    limits=(
        "pickup-mount.rim",
        "pickup-mount.bite",
        "pickup-mount.pilot",
        "pickup-mount.reach",
        "pickup-mount.flat",
        "pickup-mount.slack",
        "pickup-mount.hole",
        "pickup-mount.sheet",
    ),
    cures="Choose another length of screw or spring, drill deeper, or route the floor to suit.",
)
ON_FRONT = 6.0
"""A sheet carries a screw whose head is meant to lie within this of its top, mm."""


def pickup_mount(layout: Layout) -> Iterator[Finding]:
    """Each sprung solid at rest and lowered; each pickup that nothing holds."""
    fitted = dict.fromkeys(f.part for f in layout.stated(Fit) if f.kind == FitKind.PICKUP)
    if not fitted and not layout.stated(Sprung):
        yield skip("pickup-mount", "this design has no pickups")
        return
    held = {one.part for kind in (Sprung, Screw) for one in layout.stated(kind)}
    for part in fitted:
        if part not in held:
            words = f"{part} states no screws: nothing says what holds it"
            cure = f"give {part} a mount, or let it state its Screws or a Sprung"
            yield Finding("pickup-mount.none", "warn", (part,), words, cure=cure)
    for one in layout.stated(Sprung):
        yield _through(layout, one)
        yield from _in_wood(layout, one) if one.holes else _from_guard(layout, one)
    words = f"{len(fitted.keys() & held)} of {len(fitted)} pickups say which screws hold them"
    yield passed("pickup-mount", (), words)


def _through(layout: Layout, one: Sprung) -> Finding:
    """How far inside the solid the screw nearest to its rim goes through it."""
    plan = layout.rooms_by_id[one.room].shape.plan
    spots = np.array([spot[:2] for spot in one.at])
    inside = -plan.signed_distance(spots) - one.thread / 2.0
    k = int(np.argmin(inside))
    value = max(float(inside[k]), -100.0)
    where = "inside" if value >= 0.0 else "beyond"
    words = f"a height screw goes through {one.room} {abs(value):.2f} mm {where} its rim"
    cure = f"give the mount of {one.part} the place of its screws in the pickup"
    return _judge(layout, "rim", (one.room,), value, words, cure, one.at[k])


def _in_wood(layout: Layout, one: Sprung) -> Iterator[Finding]:
    """Screws through a solid into the floor under it: the worst of them for each question."""
    rows = []
    for (x, y, z), name in zip(one.at, one.holes, strict=True):
        hole = layout.by_id[name].shape.hole
        if hole is not None:
            floor, end = hole.start[2], hole.start[2] - hole.shoulder
            rows.append((floor - (z - one.reach), (z - one.reach) - one.travel - end, name, x, y))
            level = floor
    if not rows:
        return
    bite, _, name, x, y = min(rows)
    tip = one.at[0][2] - one.reach
    words = f"the height screw in {name} bites {bite:.2f} mm of wood with the pickup at rest"
    cure = f"use a screw {max(8.0 - bite, 0.0):.1f} mm longer"
    yield _judge(layout, "bite", (one.room, name), bite, words, cure, (x, y, tip))
    _, spare, name, x, y = min(rows, key=lambda row: row[1])
    words = f"{name} goes {abs(spare):.2f} mm {'past' if spare >= 0.0 else 'short of'} the tip of "
    words += f"its height screw when the pickup is lowered {one.travel:g} mm"
    cure = f"drill {name} {max(1.0 - spare, 0.0):.1f} mm deeper, or use a shorter screw"
    yield _judge(layout, "pilot", (one.room, name), spare, words, cure, (x, y, tip - one.travel))
    yield from _springs(
        layout, one, one.press - one.travel - level, one.press - level, (x, y, level)
    )


def _springs(
    layout: Layout, one: Sprung, least: float, most: float, at: Point3
) -> Iterator[Finding]:
    """The springs of a solid between the least and the most room that they have."""
    flat, slack = least - one.flat, one.free - most
    words = f"the springs of {one.room} have {flat:.2f} mm left where they are pressed most"
    cure = "use shorter springs, route deeper, or accept less travel"
    yield _judge(layout, "flat", (one.room,), flat, words, cure, at)
    words = f"the springs of {one.room} are pressed together by {slack:.2f} mm where least"
    cure = f"use springs {max(2.0 - slack, 0.0):.1f} mm longer, or a shim under them"
    yield _judge(layout, "slack", (one.room,), slack, words, cure, at)


def _from_guard(layout: Layout, one: Sprung) -> Iterator[Finding]:
    """Screws that hang from a sheet on the front: the sheet, its holes and the tabs they reach."""
    guard = next((p for p in layout.pieces[1:] if _over(p, one.at[0])), None)
    cuts = [v.id for v in layout.voids_of(one.part) if v.operation.routed]
    on = [r for r in layout.stated(Hides) if r.kind == HideKind.ON and r.face == Face.FRONT]
    hidden = {name for record in on for name in record.voids}
    if guard is None:
        words = f"{one.room} hangs from a guard, but no sheet lies over its height screws"
        cure = f"place a guard over {one.part}, or give it another mount"
        yield failed("pickup-mount.guard", (one.room,), words, cure)
        return
    for name in cuts:
        if name not in hidden:
            words = f"{one.part} hangs from {guard.id}, but no rim says that it hides {name}"
            cure = f"let the part of {guard.id} state that it hides {name}"
            yield failed("pickup-mount.hides", (guard.id, name), words, cure)
    rows = [(*_play(guard, spot, one.thread), spot) for spot in one.at]
    play, name, spot = min(rows)
    words = f"a height screw of {one.room} has {play:.2f} mm to spare in {name}"
    cure = f"put a hole of {guard.id} where {one.part} hangs, or make it wider"
    yield _judge(layout, "hole", (one.room, guard.id), play, words, cure, spot)
    (x, y, z), top, under = one.at[0], guard.envelope.high, guard.envelope.low
    words = f"{guard.id} is {abs(top - z):.2f} mm {'thicker' if top > z else 'thinner'} than the "
    words += f"screws of {one.room} are told"
    cure = f"give the mount of {one.part} the thickness of {guard.id}"
    yield _judge(layout, "sheet", (one.room, guard.id), abs(top - z), words, cure, (x, y, top))
    spare = one.bite - one.travel - (top - one.reach)
    words = f"the height screws of {one.room} reach {abs(spare):.2f} mm "
    words += f"{'past' if spare >= 0.0 else 'short of'} its tabs, lowered {one.travel:g} mm"
    cure = f"use screws {max(1.0 - spare, 0.0):.1f} mm longer"
    yield _judge(layout, "reach", (one.room,), spare, words, cure, (x, y, z - one.reach))
    least = under - one.press
    yield from _springs(layout, one, least, least + one.travel, (x, y, under))


def _over(piece: Workpiece, spot: Point3) -> bool:
    """Whether a sheet's top lies about a screw's head, over its place."""
    mine = piece.envelope
    return abs(mine.high - spot[2]) <= ON_FRONT and mine.profile.contains(*spot[:2])


def _play(guard: Workpiece, spot: Point3, thread: float) -> tuple[float, str]:
    """How much room (mm) a screw has in the hole of a sheet nearest to it; less than nothing by its
    whole radius where there is none."""
    found = [
        (void.shape.hole.radius - thread / 2.0 - math.dist((x, y), spot[:2]), void.id)
        for void in guard.voids
        if void.shape.hole
        for x, y, _ in [guard.frame.point(void.shape.hole.start)]
    ]
    play, name = max(found, default=(-thread / 2.0, f"no hole of {guard.id}"))
    return max(play, -thread / 2.0), name


def _judge(
    layout: Layout,
    figure: str,
    subjects: tuple[str, ...],
    value: float,
    words: str,
    cure: str,
    at: Point3,
) -> Finding:
    limit = layout.shop.limit(f"pickup-mount.{figure}")
    return judge(subjects, value, limit, words, cure, at=(at, at))
