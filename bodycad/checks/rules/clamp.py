"""`control-clamp`: what a control's bush or screws clamp, wood or a guard."""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Iterator, Sequence

import numpy as np

from bodycad.checks.finding import Finding, Witness, judge, skip, witness
from bodycad.checks.page import Page
from bodycad.geometry.plane.profile import Profile
from bodycad.geometry.plane.segments import crossed
from bodycad.geometry.solids.bore import Bore
from bodycad.layout.entry import entry
from bodycad.layout.interface import Bush, Fit, Screw
from bodycad.layout.layout import Layout
from bodycad.layout.void import mouth
from bodycad.layout.workpiece import Workpiece
from bodycad.shop import Shop
from bodycad.words import Face, FitKind, RoomKind

FAR = 100.0
"""How far outside the edge a line that measures the wood under a washer begins, mm."""
FLAT = 0.01
"""A face that falls by less than this (mm) under a washer is level."""
PLAY = 0.3
"""A hole this much wider than a bush's thread takes it with ease, mm (common practice, no
source)."""
NEAR = 8.0
"""Openings and parts farther than this from a washer are not listed, mm."""
LIES = (RoomKind.RING, RoomKind.PLATE, RoomKind.GUARD, RoomKind.PICKUP)
"""What a washer must not lie against."""

PAGE = Page(
    asks="Is each control's bush long enough for the wood or the guard it must clamp, nut and "
    "washer counted, does its hole let its thread through with little play, and does its washer "
    "lie on what it clamps? Where machine screws hold it, do they pass, and reach its own thread?",
    why="A bush that does not reach through leaves no thread for the nut; found when wiring. One "
    "that does not go in is reamed on the finished face; one in too wide a hole stands off its "
    "place, and its washer has little under it. A washer over an opening, a rim or a ring pulls "
    "the shaft askew.",
    limits=(
        "control-clamp",
        "control-clamp.play",
        "control-clamp.play.most",
        "control-clamp.seat",
        "control-clamp.askew",
        "control-clamp.sheet",
        "control-clamp.screw",
        "control-clamp.screw.play",
    ),
    cures="Leave less wood over the cavity, sink a seat, or buy the longer bush or screw; drill "
    "its hole 0.1 to 0.5 mm wider than the thread; move the control off the opening.",
)


def control_clamp(layout: Layout) -> Iterator[Finding]:
    """Thickest wood or guard under each washer against what the bush clamps, each hole against its
    bush, each washer against what it lies on; machine screws that hold a control."""
    bushes, screws = layout.stated(Bush), tuple(held(layout))
    if not bushes and not screws:
        yield skip("control-clamp", "no part of this design has a bush that clamps wood")
    many = Counter(bush.part for bush in bushes)
    for bush in bushes:
        name = bush.part if many[bush.part] == 1 else bush.hole
        home = layout.homes[bush.hole]
        if home is not layout.body:
            wood, at = _sheet(home, bush)
        elif bush.under is not None:
            wood, at = _under_washer(layout, bush, bush.under)
        else:
            continue  # `complete` says so
        what = "wood" if home is layout.body else home.id
        under = bush.under or home.id
        spare = bush.clamps - wood
        words = (
            f"{name}'s bush clamps {bush.clamps:.2f} mm at most; there is {wood:.2f} mm of {what}"
        )
        less = f"leave {max(-spare, 0.0) + 1.0:.1f} mm less wood over {under}, or "
        cure = f"{less if home is layout.body else ''}use a longer bush"
        limit = layout.shop.limit("control-clamp")
        yield judge((name, under), spare, limit, words, cure, at=at)
        if bush.diameter is not None:
            yield from _play(layout, bush, bush.diameter)
        yield from _seat(layout, home, bush)
        yield from _on_the_sheet(layout, bush)
    for screw, fit in screws:
        yield from _screwed(layout, screw, fit)
        yield from _on_the_sheet(layout, screw)


def _on_the_sheet(layout: Layout, one: Bush | Screw) -> Iterator[Finding]:
    """How far over the front of its guard, or under it, a control is drawn."""
    home = layout.homes[one.hole]
    if home is layout.body:
        return
    off, limit = home.frame.own(one.at)[2], layout.shop.limit("control-clamp.sheet")
    side = "over" if off >= 0.0 else "under"
    words = f"{one.part} is drawn {abs(off):.2f} mm {side} the front of {home.id}"
    cure = f"give {one.part} the panel {home.thickness:g}, the thickness of {home.id}"
    yield judge((home.id, one.hole), abs(off), limit, words, cure, at=(one.at, one.at))


def _play(layout: Layout, bush: Bush, thread: float) -> Iterator[Finding]:
    """How much wider a hole is than the thread that goes through it, where it is narrowest and
    where it is widest."""
    shape, subjects, at = layout.by_id[bush.hole].shape, (bush.part, bush.hole), (bush.at, bush.at)
    if shape.hole is not None:
        narrow = wide = 2.0 * shape.hole.radius
    else:
        axis = np.array([layout.homes[bush.hole].frame.own(bush.at)[:2]])
        narrow = -2.0 * float(shape.plan.signed_distance(axis)[0])
        wide = 2.0 * float(np.linalg.norm(shape.ends[0].rim[:, :2] - axis, axis=1).max())
    for code, across in (("control-clamp.play", narrow), ("control-clamp.play.most", wide)):
        words = f"{bush.hole} is {across:.2f} mm across, the thread in it {thread:.2f} mm"
        cure = f"drill {bush.hole} to {_wide(layout.shop, thread)}"
        limit = layout.shop.limit(code)
        yield judge(subjects, across - thread, limit, words, cure, at=at)


def _wide(shop: Shop, thread: float) -> str:
    """How wide a bush's hole is drilled: by the drill on hand that leaves about PLAY, in words."""
    least, most = (shop.limit(f"control-clamp.play{end}").warn for end in ("", ".most"))
    able = [d.diameter for d in shop.drills if least <= d.diameter - thread <= most]
    if not able:
        return f"about {thread + PLAY:.1f} mm"
    return f"{min(able, key=lambda size: abs(size - thread - PLAY)):g} mm"


def _washer(washer: float, x: float, y: float) -> np.ndarray:
    """Points (m, 2) over a washer about (x, y)."""
    turn = np.linspace(0.0, 2.0 * math.pi, 73)
    ring = np.column_stack([x + washer * np.cos(turn), y + washer * np.sin(turn)])
    return np.vstack([ring, [[x, y]]])


def _sheet(home: Workpiece, bush: Bush) -> tuple[float, Witness]:
    """Thickness (mm) of a guard under a washer, and two points as far apart."""
    x, y, _ = home.frame.own(bush.at)
    plan = _washer(bush.washer, x, y)
    top = float(home.skin.height("front", plan).max())
    low = float(home.skin.height("back", plan).min())
    return top - low, witness(home.frame.point((x, y, low)), home.frame.point((x, y, top)))


def _under_washer(layout: Layout, bush: Bush, below: str) -> tuple[float, Witness]:
    """Thickest wood (mm) between a washer and its bush's void, and two points as far apart."""
    hole, under, (x, y, _) = layout.by_id[bush.hole], layout.by_id[below], bush.at
    if hole.face is not Face.EDGE:
        plan = _washer(bush.washer, x, y)
        if hole.face is Face.FRONT:
            top = float(layout.skin.height("front", plan).max())
            return top - under.high, ((x, y, under.high), (x, y, top))
        low = float(layout.skin.height("back", plan).min())
        floor = under.shape.full[0]
        return floor - low, ((x, y, floor), (x, y, low))
    lines, outer, inner = _through_the_side(layout, bush, below)
    k = int(np.argmax(inner - outer))
    way = np.array(lines[k].direction)
    ends = lines[k].start + outer[k] * way, lines[k].start + inner[k] * way
    return float(inner[k] - outer[k]), witness(*ends)


def _through_the_side(
    layout: Layout, bush: Bush, below: str
) -> tuple[list[Bore], np.ndarray, np.ndarray]:
    """Lines parallel to a hole through the side, round its washer and in its axis; how far along
    each enters the body, and the void."""
    hole = layout.by_id[bush.hole].shape.hole
    assert hole
    turn = np.linspace(0.0, 2.0 * math.pi, 73)
    across, along = bush.washer * np.cos(turn), bush.washer * np.sin(turn)
    u, v, way = hole.axes
    feet = np.vstack([[bush.at], bush.at + across[:, None] * u + along[:, None] * v])
    feet = feet - FAR * way
    most = FAR + hole.length + bush.clamps
    inner = crossed(
        layout.by_id[below].shape.plan.segments,
        feet[:, :2],
        np.tile(way[:2], (len(feet), 1)),
        0.0,
        most,
    ).min(axis=1, initial=most)
    lines = [Bore((x0, y0, z0), hole.direction, 1.0, most) for x0, y0, z0 in feet.tolist()]
    return lines, np.array([entry(line, layout.skin) for line in lines]), inner


def _askew(layout: Layout, home: Workpiece, bush: Bush) -> Iterator[Finding]:
    """How askew a washer lies on a shaped face, or a nut stands on the wall of its void."""
    hole, limit = layout.by_id[bush.hole], layout.shop.limit("control-clamp.askew")
    if hole.face is not Face.EDGE:
        x, y, _ = home.frame.own(bush.at)
        heights = home.skin.height(hole.face, _washer(bush.washer, x, y))
        askew, what = float(heights.max() - heights.min()), str(hole.face)
        if askew <= FLAT:
            return
        words = f"the {what} falls by {askew:.2f} mm under the washer of {bush.part}"
        cure = f"seat the washer of {bush.part} in a flat, or move it to where the face is level"
    elif home is layout.body and bush.under is not None:
        _, _, inner = _through_the_side(layout, bush, bush.under)
        askew, what = float(inner.max() - inner.min()), bush.under
        words = f"the wall of {what} stands {askew:.2f} mm out of square under {bush.part}'s nut"
        cure = f"turn {bush.part} square to the wall of {what}, or seat the nut with a file"
    else:
        return
    yield judge((bush.hole, what), askew, limit, words, cure, at=(bush.at, bush.at))


def _seat(layout: Layout, home: Workpiece, bush: Bush) -> Iterator[Finding]:
    """A washer to the rim of the face that it lies on and to the openings and parts beside it."""
    yield from _askew(layout, home, bush)
    hole, limit = layout.by_id[bush.hole], layout.shop.limit("control-clamp.seat")
    if hole.face is Face.EDGE:
        return
    (x, y, _), reach = home.frame.own(bush.at), bush.washer + NEAR
    spot, edge = np.array([[x, y]]), home.skin.edge(hole.face).reach
    foot = home.skin.outline.segments.nearest(spot)[1][0]
    inset = float(home.skin.inset(spot)[0])
    rows = [(inset - bush.washer - edge, home.edge, foot + edge * _toward(foot, spot[0]))]
    for void in home.voids:
        if void is not hole and hole.face in void.opens and _near(void.shape.box, x, y, reach):
            spare, foot = _beside(mouth(void, hole.face, home.thickness), spot, bush)
            rows.append((spare, void.id, foot))
    level = home.frame.point((x, y, float(home.skin.height(hole.face, spot)[0])))[2]
    for room in layout.rooms:
        box = room.shape.box
        beside = room.part not in (bush.part, home.part) and room.kind in LIES
        beside = beside and box[2] < level + 1.0 and box[5] > level - 1.0
        if beside and _near(box, *bush.at[:2], reach):
            spare, foot = _beside(home.frame.own_profile(room.shape.plan), spot, bush)
            rows.append((spare, room.id, foot))
    spare, what, foot = min(rows, key=lambda row: (row[0], row[1]))
    if spare < NEAR:
        words = f"clears {what} by {spare:.2f} mm"
        words = words if spare > 0.0 else f"lies {-spare:.2f} mm over {what}"
        cure = f"move {bush.part} away from {what}, or use a smaller washer"
        rim = foot + spare * _toward(foot, spot[0])
        one, two = (home.frame.point((float(u), float(v), 0.0)) for u, v in (rim, foot))
        words = f"the washer of {bush.part} {words}"
        yield judge((bush.hole, what), spare, limit, words, cure, at=(one, two))


def _toward(one: np.ndarray, two: np.ndarray) -> np.ndarray:
    """The unit way from one plan point to another; (0, 0) where they are one."""
    away = two - one
    return np.asarray(away / max(float(np.hypot(*away)), 1e-12))


def _beside(plan: Profile, spot: np.ndarray, bush: Bush) -> tuple[float, np.ndarray]:
    """How far (mm) a washer about `spot` clears a plan, and the nearest point of its rim."""
    away = float(plan.signed_distance(spot)[0])
    return away - bush.washer, plan.segments.nearest(spot)[1][0]


def _near(box: Sequence[float], x: float, y: float, reach: float) -> bool:
    """Whether a plan point is within `reach` mm of a box on both axes."""
    return max(box[0] - x, x - box[3], box[1] - y, y - box[4]) <= reach


def held(layout: Layout) -> Iterator[tuple[Screw, Fit]]:
    """The screws that hold what hangs in a cavity, each with its Fit."""
    hung = {fit.room: fit for fit in layout.stated(Fit) if fit.kind is FitKind.CONTROL}
    for screw in layout.stated(Screw):
        if screw.bites in hung:
            yield screw, hung[screw.bites]


def _screwed(layout: Layout, screw: Screw, fit: Fit) -> Iterator[Finding]:
    """How far a machine screw reaches past what it clamps, less the thread wanted there, and its
    play in its hole."""
    home, void = layout.homes[screw.hole], layout.by_id[fit.outer]
    x, y, _ = screw.at
    if home is layout.body:
        top = float(layout.skin.height("front", np.array([[x, y]])).max())
        wood, what, low = top - void.high, "wood", void.high
    else:
        wood, what = home.thickness, home.id
        low = home.frame.point((0.0, 0.0, -home.thickness))[2]
    spare = screw.reach - wood - (screw.grip or 0.0)
    words = f"the screw in {screw.hole} reaches {screw.reach - wood:.2f} mm past {wood:.2f} mm of "
    words = f"{words}{what}; its thread wants {screw.grip or 0.0:.2f} mm there"
    at, cure = ((x, y, low), (x, y, low + wood)), "use a longer screw, or leave less under its head"
    limit = layout.shop.limit("control-clamp.screw")
    yield judge((screw.hole, what), spare, limit, words, cure, at=at)
    hole = layout.by_id[screw.hole].shape.hole
    if hole is not None and screw.free is None:
        play, limit = hole.diameter - screw.thread, layout.shop.limit("control-clamp.screw.play")
        words = f"{screw.hole} is {hole.diameter:.2f} mm across, the screw in it {screw.thread:.2f}"
        cure = f"drill {screw.hole} wider"
        yield judge((screw.part, screw.hole), play, limit, words, cure, at=(screw.at, screw.at))
