"""`control-clamp`, `control-room`, `cover-fit`: controls in their cavity and the cover over it."""

from __future__ import annotations

import math
from collections.abc import Iterator

import numpy as np

from bodycad.checks.finding import Finding, judge, skip
from bodycad.checks.page import Page
from bodycad.geometry.distance.plan import inside_gap, plan_gap
from bodycad.layout.layout import Layout, Placed
from bodycad.parts.cavity import Cavity
from bodycad.parts.control import Control

WASHER = 4.0
"""How far the washer reaches beyond the hole, mm (common practice, no source)."""

CLAMP_PAGE = Page(
    asks="Is each control's bush long enough for the wood it must clamp, nut and washer counted?",
    why="A bush that does not reach through leaves no thread for the nut; found when wiring.",
    limits=("control-clamp",),
    cures="Leave less wood over the cavity, sink a seat, or buy the longer bush.",
)
ROOM_PAGE = Page(
    asks="Does each control stand clear of the cavity's walls, of the other controls and of the cover?",
    why="A lug on the cover shorts; a can against a wall cannot be turned or fitted.",
    limits=("control-room.depth", "control-room.side"),
    cures="Deepen or widen the cavity, move the control, or use a shorter one.",
)
COVER_PAGE = Page(
    asks="Does the cover drop in with a fair gap, lie on a wide enough ledge, and do its screws have wood round them?",
    why="A cover with a wide gap looks bad, one with none binds when the wood moves; a screw at the rim splits it out.",
    limits=(
        "cover-fit.gap",
        "cover-fit.gap.most",
        "cover-fit.gap.finished",
        "cover-fit.ledge",
        "cover-fit.boss",
        "cover-fit.season",
    ),
    cures="Change gap or ledge, or move the screws to where the ledge is wide.",
)


def hung(layout: Layout) -> list[tuple[Placed, Placed]]:
    """Each placed control with its placed cavity."""
    cavities = {p.id: p for p in layout.parts(Cavity)}
    return [
        (p, cavities[p.part.cavity]) for p in layout.parts(Control) if p.part.cavity in cavities
    ]


def control_clamp(layout: Layout) -> Iterator[Finding]:
    """Thickest wood under each washer against what the bush clamps."""
    pairs = hung(layout)
    if not pairs:
        yield skip("control-clamp", "this design has no controls in a cavity")
    for control, cavity in pairs:
        x, y = control.place.x, control.place.y
        ceiling = layout.by_id[f"{cavity.id}.cavity"].high
        turn = np.linspace(0.0, 2.0 * math.pi, 73)
        reach = control.part.hole / 2.0 + WASHER
        rim = np.column_stack([x + reach * np.cos(turn), y + reach * np.sin(turn)])
        wood = float(layout.skin.front_height(np.vstack([rim, [[x, y]]])).max()) - ceiling
        spare = control.part.clamps - wood
        yield judge(
            (control.id, f"{cavity.id}.cavity"),
            spare,
            layout.shop.limit("control-clamp"),
            f"{control.id}'s bush clamps {control.part.clamps:.2f} mm at most; there is {wood:.2f} mm of wood",
            f"leave {max(-spare, 0.0) + 1.0:.1f} mm less wood over {cavity.id}, or use a longer bush",
            at=((x, y, ceiling), (x, y, ceiling + wood)),
        )


def control_room(layout: Layout) -> Iterator[Finding]:
    """Cans to cover, to cavity walls and to each other."""
    pairs = hung(layout)
    if not pairs:
        yield skip("control-room", "this design has no controls in a cavity")
    side, depth = layout.shop.limit("control-room.side"), layout.shop.limit("control-room.depth")
    plans = []
    for control, cavity in pairs:
        void = layout.by_id[f"{cavity.id}.cavity"]
        plan = control.place.profile(control.part.can)
        lowest = void.high - control.part.depth
        inner = -layout.thickness + cavity.part.cover.thickness
        x, y = control.place.x, control.place.y
        yield judge(
            (control.id, f"{cavity.id}.cover"),
            lowest - inner,
            depth,
            f"{lowest - inner:.2f} mm between {control.id} and the inside of {cavity.id}'s cover",
            f"deepen {cavity.id}, use thicker stock or a shorter control",
            at=((x, y, lowest), (x, y, inner)),
        )
        spare, p, q = inside_gap(plan, void.shape.profile)
        yield judge(
            (control.id, void.id),
            spare,
            side,
            f"{spare:.2f} mm between {control.id} and the wall of {void.id}",
            f"widen {void.id} or move {control.id}",
            at=((*map(float, p), lowest), (*map(float, q), lowest)),
        )
        plans.append((control.id, plan, void.high))
    plans.sort(key=lambda row: row[0])
    for k, (one, plan, z) in enumerate(plans):
        for two, other, _ in plans[k + 1 :]:
            gap, p, q = plan_gap(plan, other)
            if gap < 30.0:
                yield judge(
                    (one, two),
                    gap,
                    side,
                    f"{gap:.2f} mm between {one} and {two}",
                    f"move {one} and {two} apart",
                    at=((*map(float, p), z), (*map(float, q), z)),
                )


def cover_fit(layout: Layout) -> Iterator[Finding]:
    """Gap, ledge and screw bosses of each cover."""
    cavities = layout.parts(Cavity)
    if not cavities:
        yield skip("cover-fit", "this design has no covered cavity")
    for placed in cavities:
        cover, shop = placed.part.cover, layout.shop
        cavity, recess = layout.by_id[f"{placed.id}.cavity"], layout.by_id[f"{placed.id}.recess"]
        z = recess.high
        plate = placed.place.profile(placed.part.plate)
        gap, p, q = inside_gap(plate, recess.shape.profile)
        at = ((*map(float, p), z), (*map(float, q), z))
        subjects = (f"{placed.id}.cover", recess.id)
        yield judge(
            subjects,
            gap,
            shop.limit("cover-fit.gap"),
            f"{gap:.2f} mm round {placed.id}'s cover, as cut",
            "give the cover more gap",
            at=at,
        )
        yield judge(
            subjects,
            gap,
            shop.limit("cover-fit.gap.most"),
            f"{gap:.2f} mm round {placed.id}'s cover, as cut; wider shows",
            "give the cover less gap",
            at=at,
        )
        finished = gap - layout.shop.finish
        yield judge(
            subjects,
            finished,
            shop.limit("cover-fit.gap.finished"),
            f"{finished:.2f} mm round {placed.id}'s cover once the recess is finished",
            "give the cover more gap",
            at=at,
        )
        ledge, p, q = inside_gap(cavity.shape.profile, recess.shape.profile)
        yield judge(
            (cavity.id, recess.id),
            ledge,
            shop.limit("cover-fit.ledge"),
            f"{placed.id}'s ledge is {ledge:.2f} mm wide at its narrowest",
            "give the cover a wider ledge",
            at=((*map(float, p), z), (*map(float, q), z)),
        )
        spots = np.array([placed.place.point(u, v) for u, v in cover.screws]).reshape(-1, 2)
        around = np.minimum(
            2.0 * cavity.shape.profile.signed_distance(spots),
            -2.0 * recess.shape.profile.signed_distance(spots),
        )
        feet = cavity.shape.profile.segments.nearest(spots)[1]
        for index, (spot, wood, foot) in enumerate(zip(spots, around, feet), 1):
            yield judge(
                (f"{placed.id}.screw.{index}", cavity.id),
                float(wood),
                shop.limit("cover-fit.boss"),
                f"screw {index} of {placed.id}'s cover stands in {wood:.2f} mm of wood across",
                "move the screw to the middle of a wider boss",
                at=((*map(float, spot), z), (*map(float, foot), z)),
            )
