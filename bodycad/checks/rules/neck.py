"""`pocket-fit`: the heel in its pocket."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from functools import partial

import numpy as np

from bodycad.checks.finding import Finding, failed, judge, judge_gap, passed, witness
from bodycad.checks.page import Page
from bodycad.checks.rules.seated import Neck, necks, unasked
from bodycad.geometry.distance.edge import edge_gap
from bodycad.geometry.distance.plan import inside_gap
from bodycad.geometry.plane.boolean import intersection
from bodycad.geometry.plane.profile import trusted
from bodycad.geometry.plane.segments import crossed
from bodycad.geometry.solids.solid import Shape
from bodycad.layout.layout import Layout
from bodycad.words import SIDES, Mount

FIT_PAGE = Page(
    asks="How much play has the heel in its pocket, as cut and as finished, do its corners "
    "enter, and how thick are the pocket's walls, but for a side that is meant to be open at the "
    "cutaway? What is left of a long tenon under the pickups that are cut into it?",
    why="Finish on both walls takes twice its film; a jammed heel cracks the finish, a loose one "
    "moves the strings sideways.",
    limits=(
        "pocket-fit.least",
        "pocket-fit.most",
        "pocket-fit.most.glue",
        "pocket-fit.wall",
        "pocket-fit.tongue",
        "pocket-fit.season",
    ),
    cures="Change the pocket's clearance, mask it before finishing, ease the heel's corners or "
    "use a smaller cutter.",
)


def pocket_fit(layout: Layout) -> Iterator[Finding]:
    """Side play as cut and finished, heel corners in pocket corners, thickness of the walls."""
    yield from unasked(layout, "pocket-fit")
    least = layout.shop.limit("pocket-fit.least")
    for neck in necks(layout):
        subjects = neck.joint.pocket, neck.joint.heel
        if abs(float(neck.block.profile.signed_distance(np.array([neck.end[:2]]))[0])) > ON_RIM:
            text = f"the end that {neck.id} states does not lie on the rim of {neck.joint.heel}"
            mend = "state the middle of the block's bridge-side end"
            yield failed("pocket-fit.end", subjects, text, mend)
            continue
        film, masked = film_of(layout, neck)
        # The room of the bridge-side corners is negative where they foul.
        plays = side_plays(neck)
        aslant = abs(neck.slant) * np.ptp(neck.outlines[0].box[1::2]) / 2.0
        play, corners = min(plays), 2.0 * _room(neck, max(neck.corners) + 1.0 + aslant)
        heel, socket = (f"(radius {radius:g})" for radius in neck.corners)
        words = f"mm of play between the heel's two corners {heel} and the pocket's {socket}"
        side = "give the pocket more side clearance"
        side += ", or mask it" if film > 0.0 and min(plays) >= least.fail else ""
        ease = "round the heel's corners more, or cut the pocket's with a smaller cutter"
        for kind, rooms, what, cure in (
            ("", plays, "mm of side play", side),
            (".corners", (corners,), words, ease),
        ):
            for state, lost, end in (
                ("as cut", 0.0, ""),
                (f"as finished{masked}", film, ".finished"),
            ):
                each = [room - lost for room in rooms]
                text, code = f"{min(each):.2f} {what} {state}", f"pocket-fit.least{kind}{end}"
                of = partial(tuple, each)
                yield judge(subjects, min(each), least, text, cure, code=code, of=of)
        glued = neck.joint.mount is Mount.GLUE
        looser = "a thicker glue line is weak" if glued else "looser lets the neck swing"
        text = f"{play:.2f} mm of side play as cut; {looser}"
        cure, of = "give the pocket less side clearance", partial(tuple, plays)
        most = layout.shop.limit("pocket-fit.most.glue" if glued else "pocket-fit.most")
        yield judge(subjects, play, most, text, cure, of=of, either=True)
        for sign, name in ((-1.0, "treble"), (1.0, "bass")):
            ask = _opening if name in neck.joint.open else _pocket_wall
            yield ask(layout, neck, sign, name)
        yield from _tongue(layout, neck)


def _tongue(layout: Layout, neck: Neck) -> Iterator[Finding]:
    """The tongue of a tenon in its slot, and how thick it is left under each cut of another part
    that is let into it."""
    joint, shop = neck.joint, layout.shop
    if joint.tongue is None or joint.slot is None:
        return
    slot, tongue = layout.by_id[joint.slot].shape, layout.rooms_by_id[joint.tongue].shape
    subjects, z = (joint.slot, joint.tongue), tongue.box[5]
    room, p, q = inside_gap(tongue.plan, slot.plan)
    text = f"{2.0 * room:.2f} mm of play between the tenon's tongue and its slot"
    at = witness(p, q, z)
    for code, cure in (
        ("pocket-fit.least", "give the tongue's slot more clearance"),
        ("pocket-fit.most.glue", "give the tongue's slot less clearance"),
    ):
        limit = shop.limit(code)
        yield judge(subjects, 2.0 * room, limit, text, cure, at=at, code=f"{code}.tongue")
    for void in layout.body.voids:
        if void.part == neck.id or void.high < slot.box[2] or not void.operation.routed:
            continue
        shared = intersection(void.shape.plan, tongue.plan)
        if not shared:
            continue
        spots = np.vstack([region.outer.segments.a for region in shared])
        cut = void.shape.prism.floor_at(spots) if void.shape.prism else np.full(1, void.low)
        low = _underside(tongue, spots)
        k = int(np.argmin(cut - low))
        left = float((cut - low)[k])
        over = f"is left under {void.id}" if left > 0.0 else f"is missing: {void.id} cuts through"
        text = f"{abs(left):.2f} mm of the tenon's tongue {over}"
        cure = f"make {void.id} shallower, the tenon deeper, or end it before {void.part}"
        limit, (x, y) = shop.limit("pocket-fit.tongue"), map(float, spots[k])
        at = (x, y, float(cut[k])), (x, y, float(low[k]))
        yield judge((void.id, joint.tongue), left, limit, text, cure, at=at)


def _underside(shape: Shape, spots: np.ndarray) -> np.ndarray:
    """Heights (m,) of the lower end of a solid at plan points (m, 2), mm."""
    found = shape.prism.floor_at(spots) if shape.prism else np.full(len(spots), shape.box[2])
    return np.asarray(found)


def film_of(layout: Layout, neck: Neck) -> tuple[float, str]:
    """mm of finish on both walls of a pocket together, and why there is none: glue faces are
    masked."""
    if neck.joint.mount == Mount.GLUE:
        return 0.0, " (glue faces are masked)"
    return (0.0, " (pocket masked)") if neck.joint.masked else (2.0 * layout.shop.finish, "")


def side_play(neck: Neck) -> float:
    """Least side play of the block in its pocket as cut, both sides together, mm (negative: it does
    not enter)."""
    return min(side_plays(neck))


def side_plays(neck: Neck) -> tuple[float, ...]:
    """Side play at the bridge-side end and at the mouth, mm; of curved sides the least only."""
    if neck.widths is None:
        return (2.0 * _room(neck, neck.length),)
    block, socket = neck.widths
    return tuple(wide - narrow for wide, narrow in zip(socket, block))


def _room(neck: Neck, far: float) -> float:
    """Least room (mm) between pocket and block, of the block's outline up to u = `far`."""
    block, socket = neck.outlines
    s = block.segments
    near = s.take(np.flatnonzero(s.a[:, 0] < far))
    points = np.vstack([near.at(np.full(len(near), t)) for t in np.linspace(0.0, 1.0, 17)])
    return float(-socket.signed_distance(points[points[:, 0] < far]).max())


def _opening(layout: Layout, neck: Neck, sign: float, name: str) -> Finding:
    """Whether a pocket that is meant to be open on one side comes out of the body there, beside all
    of the block that has no wall: at the outer rim of its opening there must be no wood."""
    block, socket = neck.outlines
    s = socket.segments
    ends = np.vstack([s.at(np.full(len(s), t)) for t in np.linspace(0.0, 1.0, 33)])
    rim = ends[(sign * ends[:, 1] > np.abs(block.box[1::2]).max()) & (ends[:, 0] < neck.length)]
    rim = rim[sign * rim[:, 1] > (sign * rim[:, 1]).max(initial=0.0) - 1.0]
    subjects, code = (neck.joint.pocket, "edge"), f"pocket-fit.open.{name}"
    if not len(rim):
        text = f"the pocket is not cut wider than its heel on the {name} side, which is to be open"
        return failed(code, subjects, text, f"run the pocket out of the body on the {name} side")
    spots = neck.points(*rim.T)
    inset = layout.skin.inset(spots)
    k = int(inset.argmax())
    deep, (x, y) = float(inset[k]), map(float, spots[k])
    if deep > 0.0:
        text = f"{deep:.2f} mm of wood stands beyond the pocket's {name} side, which is to be open"
        cure = f"deepen the {name} cutaway, or begin the opening nearer the mouth"
        return failed(code, subjects, text, cure, witness((x, y, 0.0), (x, y, -neck.depth)))
    return passed(code, subjects, f"the pocket is open on the {name} side, at the cutaway")


def _pocket_wall(layout: Layout, neck: Neck, sign: float, name: str) -> Finding:
    """Least wood beside one side of the pocket, away from the mouth, up to the body's side, its
    roundover and its ledge."""
    socket, outline, corner = neck.outlines[1], layout.skin.outline, neck.corners[1]
    subjects, code = (neck.joint.pocket, "edge"), f"pocket-fit.wall.{name}"
    limit, ends = layout.shop.limit("pocket-fit.wall"), neck.side(socket, sign)
    if ends is None:
        text = f"the pocket's {name} side is curved: its wall cannot be measured"
        return failed(code, subjects, text, "give the pocket straight sides")

    def at(u: float) -> tuple[float, float]:
        return neck.place.point(u, ends[0] + (ends[1] - ends[0]) * u / neck.length)

    start, way = np.array([at(corner)]), np.array([at(corner + 1.0)])
    run = socket.box[2] - corner
    # Up to where the side first runs out of the body: beyond, it may cross a horn again.
    meets = crossed(outline.segments, start, way - start, 0.0, run).min(initial=run)
    inner = corner + (float(meets) if outline.contains(*start[0]) else 0.0) - MOUTH
    if inner <= corner:
        text = f"the pocket's {name} side has no wall"
        cure = "move the cutaway toward the nut or narrow the pocket"
        return judge(subjects, 0.0, limit, text, cure, code=code)
    line = np.array([at(corner), at(inner)])
    back = SLIVER * sign * np.array([line[1, 1] - line[0, 1], line[0, 0] - line[1, 0]])
    back /= np.linalg.norm(line[1] - line[0])
    # The wall itself: a sliver of the pocket along it, from the floor to the front.
    back *= 1.0 if neck.place.flipped else -1.0
    plan = trusted([(*p, 0.0) for p in (*line, *(line[::-1] - back))], f"the {name} wall")
    found = edge_gap(replace(neck.pocket, profile=plan), layout.skin)
    where = f"{MOUTH:g} mm and more from its mouth"
    text = f"{found.distance:.2f} mm of wood in the pocket's {name} wall, {where}"
    cure = f"move the {name} cutaway away from the pocket"
    if any(layout.skin.drop(face) > 0.0 for face in SIDES):
        cure += ", or use a smaller edge treatment there"
    return judge_gap(subjects, found, limit, text, cure, code=code)


ON_RIM = 0.5
"""The stated end of a block lies this near (mm) to its rim."""
SLIVER = 1e-3
"""How far into the pocket the sliver reaches that stands for one of its walls, mm."""
MOUTH = 8.0
"""The pocket's walls are not judged over this length from where they run out of the body, mm. What
stands at its end is as far from the mouth, less a ledge or a roundover there: the limits allow for
a binding of two layers."""
