"""`pocket-fit`, `stack`, `saddle-window`, `string-margin`: neck, pocket, bridge and strings together."""

from __future__ import annotations

import math
from collections.abc import Iterator

import numpy as np

from bodycad.checks.finding import Finding, judge, skip
from bodycad.checks.page import Page
from bodycad.geometry.distance.plan import chain_gap
from bodycad.geometry.plane.inside import crossed
from bodycad.geometry.plane.segments import Segments
from bodycad.instrument.lines import Instrument
from bodycad.instrument.neck import board_half_width, last_fret_x
from bodycad.instrument.stack import instrument_stack, saddle_heights
from bodycad.layout.layout import Layout, Placed
from bodycad.parts.bridge import Hardtail
from bodycad.parts.neckjoint import NeckJoint

FIT_PAGE = Page(
    asks="How much play has the heel in its pocket, as cut and as finished, do its corners enter, and how thick are the pocket's walls?",
    why="Finish on both walls takes twice its film; a jammed heel cracks the finish, a loose one moves the strings sideways.",
    limits=("pocket-fit.least", "pocket-fit.most", "pocket-fit.wall", "pocket-fit.season"),
    cures="Change the pocket's clearance, mask it before finishing, ease the heel's corners or use a smaller cutter.",
)
STACK_PAGE = Page(
    asks="Do heel, fretboard, frets, action, pocket depth and neck angle put the strings within the saddles' height travel?",
    why="Saddle height is the only take-up; found too late it means a shim, a deeper pocket or another bridge.",
    limits=("stack",),
    cures="Change the pocket depth or the neck angle, or add a shim; the text gives the depth that centres the saddles.",
)
WINDOW_PAGE = Page(
    asks="Does every string's compensated point lie within its saddle's travel along the string?",
    why="A bridge a few millimetres off leaves the low strings sharp with the saddle at its stop.",
    limits=("saddle-window",),
    cures="Move the bridge along the centreline.",
)
MARGIN_PAGE = Page(
    asks="How far inside the fretboard's edge do the outer strings run at the last fret, and is it even?",
    why="Under about 2.5 mm the string slides off the board; uneven margins show that the neck line is off.",
    limits=("string-margin", "string-margin.difference"),
    cures="Use a narrower bridge spread, a wider fretboard, or move the bridge across.",
)


def pocket_fit(layout: Layout) -> Iterator[Finding]:
    """Side play as cut and as finished, heel corners against pocket corners, pocket wall
    thickness."""
    found = layout.parts(NeckJoint)
    if not found:
        yield skip("pocket-fit", "this design has no bolt-on neck")
    for placed in found:
        joint, pocket = placed.part, f"{placed.id}.pocket"
        film = 0.0 if joint.masked else 2.0 * layout.shop.finish
        for state, play in (("as cut", joint.play), ("as finished", joint.play - film)):
            how = "" if state == "as cut" or film else " (pocket masked)"
            yield judge(
                (pocket, f"{placed.id}.heel"),
                play,
                layout.shop.limit("pocket-fit.least"),
                f"{play:.2f} mm of side play {state}{how}",
                "give the pocket more side clearance, or mask it",
            )
        yield judge(
            (pocket, f"{placed.id}.heel"),
            joint.play,
            layout.shop.limit("pocket-fit.most"),
            f"{joint.play:.2f} mm of side play as cut; looser lets the neck swing",
            "give the pocket less side clearance",
        )
        corners = 2.0 * corner_room(joint)
        for state, play in (("as cut", corners), ("as finished", corners - film)):
            yield judge(
                (pocket, f"{placed.id}.heel"),
                play,
                layout.shop.limit("pocket-fit.least"),
                f"{play:.2f} mm of play between the heel's two corners (radius {joint.heel.corner:g}) and the pocket's "
                f"(radius {joint.corner:g}) {state}",
                "round the heel's corners more, or cut the pocket's with a smaller cutter",
            )
        yield from _pocket_walls(layout, placed)


def corner_room(joint: NeckJoint) -> float:
    """Room in mm between heel and pocket at the bridge-side end corners, negative where they
    foul."""
    s = joint.heel_profile.segments
    end = s.a[:, 0] < max(joint.corner, joint.heel.corner) + 1.0
    t = np.linspace(0.0, 1.0, 17)
    points = np.vstack([s.take(np.flatnonzero(end)).at(np.full(int(end.sum()), k)) for k in t])
    points = points[points[:, 0] < max(joint.corner, joint.heel.corner) + 1.0]
    return float(-joint.pocket_profile.signed_distance(points).max())


def _pocket_walls(layout: Layout, placed: Placed) -> Iterator[Finding]:
    """Least wood beside the pocket, away from the mouth, where its sides run out of the body."""
    joint, outline = placed.part, layout.skin.outline
    h = joint.pocket_heel
    for side, name in ((-1, "treble"), (1, "bass")):
        end = side * (h.width_end + joint.side_clearance) / 2.0
        mouth = side * (h.width_mouth + joint.side_clearance) / 2.0
        run = h.length + joint.overrun - joint.corner
        start, way = (
            np.array([placed.place.point(u, end + (mouth - end) * u / h.length)])
            for u in (joint.corner, joint.corner + 1.0)
        )
        # Up to where the side first runs out of the body: beyond, it may cross a horn again.
        out = (
            crossed(outline.segments, start, way - start, 0.0, run).min(initial=run)
            if outline.contains(*start[0])
            else 0.0
        )
        inner = joint.corner + float(out) - MOUTH
        if inner <= joint.corner:
            yield judge(
                (f"{placed.id}.pocket", "edge"),
                0.0,
                layout.shop.limit("pocket-fit.wall"),
                f"the pocket's {name} side has no wall",
                "move the cutaway toward the nut or narrow the pocket",
            )
            continue
        line = np.array(
            [
                placed.place.point(u, end + (mouth - end) * u / h.length)
                for u in (joint.corner, inner)
            ]
        )
        wall, p, q = chain_gap(Segments(line[:1], line[1:], np.zeros(1)), outline.segments)
        z = -joint.depth
        yield judge(
            (f"{placed.id}.pocket", "edge"),
            wall,
            layout.shop.limit("pocket-fit.wall"),
            f"{wall:.2f} mm of wood in the pocket's {name} wall, {MOUTH:g} mm and more from its mouth",
            f"move the {name} cutaway away from the pocket",
            at=((*map(float, p), z), (*map(float, q), z)),
        )


MOUTH = 8.0
"""The pocket's walls are not judged over this length from where they run out of the body, mm."""


def stack(layout: Layout) -> Iterator[Finding]:
    """Saddle height needed at treble and bass against the bridge's travel."""
    joints, bridges = layout.parts(NeckJoint), layout.parts(Hardtail)
    if not (joints and bridges):
        yield skip("stack", "this design has no bolt-on neck over a hardtail bridge")
        return
    joint, bridge = joints[0].part, bridges[0].part
    found = instrument_stack(layout.instrument, joint.depth, joint.angle_deg)
    middle = (bridge.saddle_low + bridge.saddle_high) / 2.0
    heights = saddle_heights(found)
    best = joint.depth + sum(heights) / 2.0 - middle
    for side, height, line in zip(
        ("treble", "bass"), heights, (layout.instrument.lines[0], layout.instrument.lines[-1])
    ):
        spare = min(height - bridge.saddle_low, bridge.saddle_high - height)
        x, y = line.saddle
        yield judge(
            (bridges[0].id, f"{joints[0].id}.pocket"),
            spare,
            layout.shop.limit("stack"),
            f"the {side} saddle must stand {height:.2f} mm over the body; it travels {bridge.saddle_low:g} to "
            f"{bridge.saddle_high:g} mm",
            f"a pocket {best:.1f} mm deep would centre the saddles",
            at=((x, y, 0.0), (x, y, height)),
        )


def saddle_window(layout: Layout) -> Iterator[Finding]:
    """Each compensated saddle point against its travel, measured along the bridge's own axis. The
    text gives the spread between stiff-string theory with pinned and with clamped ends."""
    bridges = layout.parts(Hardtail)
    if not bridges:
        yield skip("saddle-window", "this design has no bridge with saddles")
        return
    bridge, place = bridges[0].part, bridges[0].place
    turn = math.radians(place.turn_deg)
    for line, (x, y), setback in zip(
        layout.instrument.lines, layout.instrument.saddle_points, layout.instrument.setbacks
    ):
        u = (x - place.x) * math.cos(turn) + (y - place.y) * math.sin(turn)
        ahead, behind = bridge.window_front - u, u - bridge.window_rear
        spare = min(ahead, behind)
        more = ahead if ahead < behind else -behind
        stop = (x + more * math.cos(turn), y + more * math.sin(turn), 0.0)
        yield judge(
            (f"{bridges[0].id}.saddle.{line.number}",),
            spare,
            layout.shop.limit("saddle-window"),
            f"string {line.number} wants its saddle {setback.value:.1f} mm (theory: {setback.low:.1f} to "
            f"{setback.high:.1f}) behind the scale line, {abs(spare):.2f} mm {'within' if spare >= 0.0 else 'beyond'} the end of its travel",
            "move the bridge " + ("toward the nut" if ahead < behind else "away from the nut"),
            at=((x, y, 0.0), stop),
        )


def string_margin(layout: Layout) -> Iterator[Finding]:
    """Outer strings, from the nut to the saddles of the bridge as it is placed, to the board's edge
    at the last fret: both sides and their difference."""
    instrument: Instrument = layout.instrument
    x = last_fret_x(instrument.neck)
    half, saddles, margins = board_half_width(instrument.neck, x), outer_saddles(layout), []
    for side, line, (x1, y1) in zip(
        ("treble", "bass"), (instrument.lines[0], instrument.lines[-1]), saddles
    ):
        (x0, y0) = line.nut
        y = y1 + (y0 - y1) * (x - x1) / (x0 - x1)
        margins.append(half - y * math.copysign(1.0, y0))
        yield judge(
            (f"string.{line.number}",),
            margins[-1],
            layout.shop.limit("string-margin"),
            f"{margins[-1]:.2f} mm from the {side} string to the fretboard's edge at the last fret",
            "use a narrower bridge spread or a wider fretboard",
            at=((x, y, 0.0), (x, math.copysign(half, y0), 0.0)),
        )
    uneven = abs(margins[0] - margins[1])
    yield judge(
        ("strings",),
        uneven,
        layout.shop.limit("string-margin.difference"),
        f"the two margins differ by {uneven:.2f} mm",
        "centre the bridge on the neck's own line",
    )


def outer_saddles(layout: Layout) -> tuple[tuple[float, float], tuple[float, float]]:
    """Plan points where the treble and the bass string leave their saddles: those of the placed
    bridge, in the middle of their travel, or the instrument's own where there is no bridge with
    saddles."""
    bridges = layout.parts(Hardtail)
    if not bridges:
        return layout.instrument.lines[0].saddle, layout.instrument.lines[-1].saddle
    bridge, place = bridges[0].part, bridges[0].place
    middle, half = (bridge.window_front + bridge.window_rear) / 2.0, bridge.spread / 2.0
    return place.point(middle, -half), place.point(middle, half)
