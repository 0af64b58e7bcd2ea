"""`control-clamp`: what a control's bush or screws clamp, wood or a guard."""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Iterator

import numpy as np

from bodycad.checks.finding import Finding, Witness, judge, skip, witness
from bodycad.checks.page import Page
from bodycad.geometry.distance.plan import plan_gap
from bodycad.geometry.plane.build import circle
from bodycad.geometry.plane.segments import crossed
from bodycad.geometry.solids.bore import Bore
from bodycad.layout.entry import entry
from bodycad.layout.interface import Bush, Fit, Screw
from bodycad.layout.layout import Layout
from bodycad.layout.void import mouth
from bodycad.layout.workpiece import Workpiece
from bodycad.words import Face, FitKind, RoomKind

FAR = 100.0
"""How far outside the edge a line that measures the wood under a washer begins, mm."""
FLAT = 0.01
"""A face that falls by less than this (mm) under a washer is level."""
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
        "control-clamp.screw",
        "control-clamp.screw.play",
    ),
    cures="Leave less wood over the cavity, sink a seat, or buy the longer bush or screw; drill "
    "its hole 0.1 to 0.5 mm wider than the thread; move the control off the opening.",
)


def control_clamp(layout: Layout) -> Iterator[Finding]:
    """Thickest wood or guard under each washer against what the bush clamps, each hole against its
    bush, each washer against what it lies on; machine screws that hold a control."""
    bushes, screws = layout.stated(Bush), tuple(_held(layout))
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
    for screw, fit in screws:
        yield from _screwed(layout, screw, fit)


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
        cure = f"drill {bush.hole} to about {thread + 0.3:.1f} mm"
        limit = layout.shop.limit(code)
        yield judge(subjects, across - thread, limit, words, cure, at=at)


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


def _seat(layout: Layout, home: Workpiece, bush: Bush) -> Iterator[Finding]:
    """A washer to the rim of what it lies on and to the openings and parts beside it; through the
    side, how askew its nut stands on the wall."""
    hole, limit = layout.by_id[bush.hole], layout.shop.limit("control-clamp.seat")
    if hole.face is Face.EDGE:
        if home is layout.body and bush.under is not None:
            _, _, inner = _through_the_side(layout, bush, bush.under)
            askew = float(inner.max() - inner.min())
            limit, words = layout.shop.limit("control-clamp.askew"), f"{askew:.2f} mm out of square"
            words = f"the wall of {bush.under} under the nut of {bush.part} stands {words}"
            cure = (
                f"turn {bush.part} square to the wall of {bush.under}, or seat the nut with a file"
            )
            yield judge(
                (bush.hole, bush.under),
                askew,
                limit,
                words,
                cure,
                at=(bush.at, bush.at),
                code="control-clamp.askew",
            )
        return
    x, y, _ = home.frame.own(bush.at)
    spot, disc = np.array([[x, y]]), circle(2.0 * bush.washer, x, y)
    heights = home.skin.height(hole.face, _washer(bush.washer, x, y))
    askew = float(heights.max() - heights.min())
    if askew > FLAT:
        words = f"the {hole.face} falls by {askew:.2f} mm under the washer of {bush.part}"
        cure = f"seat the washer of {bush.part} in a flat, or move it to where the face is level"
        yield judge(
            (bush.hole, str(hole.face)),
            askew,
            layout.shop.limit("control-clamp.askew"),
            words,
            cure,
            at=(bush.at, bush.at),
            code="control-clamp.askew",
        )
    rows = [
        (float(home.skin.inset(spot)[0]) - bush.washer - home.skin.edge(hole.face).reach, home.edge)
    ]
    for void in home.voids:
        if void is not hole and hole.face in void.opens:
            rows.append((plan_gap(disc, mouth(void, hole.face, home.thickness))[0], void.id))
    level = home.frame.point((x, y, float(home.skin.height(hole.face, spot)[0])))[2]
    over = circle(2.0 * bush.washer, *bush.at[:2])
    for room in layout.rooms:
        beside = room.part not in (bush.part, home.part) and room.kind in LIES
        if beside and room.shape.box[2] < level + 1.0 and room.shape.box[5] > level - 1.0:
            rows.append((plan_gap(over, room.shape.plan)[0], room.id))
    spare, what = min(rows)
    if spare < NEAR:
        words = f"clears {what} by {spare:.2f} mm" if spare > 0.0 else f"lies over {what}"
        at, cure = (bush.at, bush.at), f"move {bush.part} away from {what}, or use a smaller washer"
        yield judge(
            (bush.hole, what), spare, limit, f"the washer of {bush.part} {words}", cure, at=at
        )


def _held(layout: Layout) -> Iterator[tuple[Screw, Fit]]:
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
