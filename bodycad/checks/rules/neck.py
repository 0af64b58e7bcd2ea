"""`pocket-fit`: the heel in its pocket."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np

from bodycad.checks.finding import Finding, judge, skip
from bodycad.checks.page import Page
from bodycad.geometry.distance.plan import chain_gap
from bodycad.geometry.plane.inside import crossed
from bodycad.geometry.plane.segments import Segments
from bodycad.layout.layout import Layout, Placed
from bodycad.parts.neckjoint import NeckJoint

FIT_PAGE = Page(
    asks="How much play has the heel in its pocket, as cut and as finished, do its corners "
    "enter, and how thick are the pocket's walls?",
    why="Finish on both walls takes twice its film; a jammed heel cracks the finish, a loose one "
    "moves the strings sideways.",
    limits=("pocket-fit.least", "pocket-fit.most", "pocket-fit.wall", "pocket-fit.season"),
    cures="Change the pocket's clearance, mask it before finishing, ease the heel's corners or "
    "use a smaller cutter.",
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
                f"{play:.2f} mm of play between the heel's two corners (radius "
                f"{joint.heel.corner:g}) and the pocket's "
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
            f"{wall:.2f} mm of wood in the pocket's {name} wall, {MOUTH:g} mm and more from its "
            "mouth",
            f"move the {name} cutaway away from the pocket",
            at=((*map(float, p), z), (*map(float, q), z)),
        )


MOUTH = 8.0
"""The pocket's walls are not judged over this length from where they run out of the body, mm."""
