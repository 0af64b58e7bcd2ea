"""The neck screws on a heel that may be sculpted: `bolt-seat`, `-grip`, `-tip` and `-edge`."""

from __future__ import annotations

import math
from collections.abc import Iterator
from functools import partial
from itertools import combinations

import numpy as np

from bodycad.checks.finding import Finding, failed, judge, judge_gap
from bodycad.checks.page import Page
from bodycad.checks.rules.screw_figures import Screws, insert_point, inside
from bodycad.checks.rules.seated import Neck, necks, unscrewed
from bodycad.checks.wood.level import EDGE, SHELF
from bodycad.checks.wood.proud import proud_words, sunk, sunk_each
from bodycad.geometry.distance.edge import edge_gap
from bodycad.geometry.distance.gap import gap
from bodycad.geometry.distance.shelf import shelf_distances
from bodycad.geometry.solids.skin import Skin
from bodycad.geometry.solids.solid import Point3
from bodycad.layout.interface import Screw
from bodycad.layout.layout import Layout
from bodycad.layout.void import Void
from bodycad.words import Face, HeadForm

SEAT_PAGE = Page(
    asks="Does the whole flange of each neck ferrule lie on wood at one depth, square to the "
    "screw, with enough wood between it and the pocket, and do ferrule and head end under the "
    "shaped back?",
    why="A ferrule whose rim hangs over the heel's carve rocks and splits the edge; too little "
    "wood under the pocket crushes or cracks; a head that stands proud of a sculpted heel lies "
    "in the palm. One that is meant to says so (proud=).",
    limits=(
        "bolt-seat",
        "bolt-seat.wood",
        "bolt-seat.wall",
        "bolt-seat.tilt",
        "bolt-seat.proud",
        "bolt-seat.proud.plate",
    ),
    cures="Move the screw away from the carve, set the ferrule deeper (leave less wood), use a "
    "lower ferrule or carve less.",
)
GRIP_PAGE = Page(
    asks="How much thread does each neck screw have in the neck, or in its threaded insert, does "
    "the insert go into its hole to the end, and does the screw pull tight before it meets the "
    "end of that hole? Does it fall through the body?",
    why="Short thread strips out of the heel; it carries the whole string pull. An insert that "
    "stands out of the heel holds it off the pocket's floor. A machine screw that bottoms in its "
    "hole feels tight and clamps nothing, or lifts the fretboard.",
    limits=(
        "bolt-grip",
        "bolt-grip.insert",
        "bolt-grip.flush",
        "bolt-grip.bottom",
        "bolt-grip.free",
    ),
    cures="Use a longer screw, set the ferrule deeper, check which screw goes in which hole, or "
    "drill deeper for the insert.",
)
TIP_PAGE = Page(
    asks="Does each neck screw, or the hole for its insert, stop short of the fretboard and pass "
    "beside the truss rod's channel?",
    why="A tip that lifts the board or touches the rod ruins the neck; a sculpted heel makes the "
    "same screw reach deeper.",
    limits=("bolt-tip", "bolt-tip.rod"),
    cures="Use a shorter screw in that hole, leave more wood under the pocket, or move the screw "
    "off the rod.",
)
EDGE_PAGE = Page(
    asks="How far are each screw and counterbore from the edges of heel and pocket, from the "
    "body's side and its roundover, and from each other?",
    why="Close to an edge the wood splits; two counterbores that nearly meet leave a fin that "
    "breaks.",
    limits=("bolt-edge", "bolt-edge.diameters", "bolt-edge.insert"),
    cures="Move the screw inward, or use a thinner screw or a smaller ferrule.",
)

PROUD = "bolt-seat.proud"
STATED = 0.5
"""A screw that stands this far (mm) from where its own voids say is misstated."""
LAND = 40.0
"""What lies farther from a screw than this (mm) does not bound its seat."""
FAR = 15.0
"""Counterbores farther apart than this are not judged, mm."""


def each(layout: Layout) -> Iterator[tuple[Neck, Screw, str, Screws]]:
    """Every screw of every neck, its name for people, and its figures."""
    for neck in necks(layout):
        for screw in neck.screws:
            at = np.array([screw.at])
            tip = insert_point(layout.shop, screw.insert) if screw.insert else 0.0
            sizes = screw.reach, screw.flange, screw.thread, screw.insert, tip
            one = Screws(neck, at, screw.way, *sizes)
            yield neck, screw, f"{screw.part} screw {screw.number}", one


def own_seat(neck: Neck, screw: Screw) -> str | None:
    """The counterbore of one screw alone; None where it has none, or seats with others on the floor
    of a recess (a plate that is let in)."""
    alone = sum(other.seat == screw.seat for other in neck.screws) == 1
    return screw.seat if alone else None


def bearing(neck: Neck, screw: Screw) -> str:
    """What takes a screw's head: countersunk heads without counterbores sit in a plate."""
    alone = own_seat(neck, screw) or screw.head is not HeadForm.COUNTERSUNK
    return "ferrule" if alone else "plate"


def seat(layout: Layout) -> Iterator[Finding]:
    """Overhang of each ferrule's flange, wood round and over it, and tilt of the screws to the
    pocket floor."""
    yield from unscrewed(layout, "bolt-seat")
    shop, back = layout.shop, -layout.thickness
    for neck, screw, name, one in each(layout):
        yield from _misstated(layout, neck, screw, name)
        yield from _proud(layout, neck, screw, name)
        subject, (x, y, z) = own_seat(neck, screw) or screw.hole, screw.at
        if z - back < -1e-9:
            bears = bearing(neck, screw)
            words = f"the seat of {name}'s {bears} would lie {back - z:.2f} mm behind the back"
            cure = f"leave less wood under screw {screw.number}, or use thicker stock"
            at = ((x, y, z), (x, y, back))
            yield judge((subject, "back"), z - back, shop.limit("bolt-seat"), words, cure, at=at)
        else:
            yield from _land(layout, neck, screw, name, one)
        wood = float(one.wood[0])
        subjects = (subject, neck.joint.pocket)
        between = f"the {bearing(neck, screw)} of {name} and the pocket floor"
        words = f"{wood:.2f} mm of wood between {between}"
        cure = f"leave more wood under screw {screw.number}"
        at = (screw.at, point(one.at + wood * np.array(screw.way)))
        yield judge(subjects, wood, shop.limit("bolt-seat.wood"), words, cure, at=at)
    for neck in necks(layout):
        tilts = [one.tilt_deg for its, _, _, one in each(layout) if its.joint is neck.joint]
        if tilts:
            tilt = max(tilts)
            subjects = (neck.id, neck.joint.pocket)
            words = (
                f"the screws of {neck.id} stand {tilt:.2f} degrees off square to the pocket floor"
            )
            cure = "drill the screws square to the tilted floor, or take the angle into the heel"
            yield judge(subjects, tilt, shop.limit("bolt-seat.tilt"), words, cure, unit="deg")


def _misstated(layout: Layout, neck: Neck, screw: Screw, name: str) -> Iterator[Finding]:
    """What a screw's record says otherwise than its own voids do."""
    hole, bed = layout.by_id[screw.hole], layout.by_id[screw.seat] if screw.seat else None
    depth, faults = screw.at[2] + layout.thickness, []
    if _off_axis(hole, screw) > STATED:
        faults.append(("axis", hole.id, f"{name} does not stand in {hole.id}"))
    if bed is None and depth > 1e-9:
        words = f"no counterbore leads to the seat of {name}, {depth:.2f} mm deep in the wood"
        faults.append(("bed", hole.id, words))
    if bed and (_off_axis(bed, screw) > STATED or abs(bed.high - screw.at[2]) > STATED):
        faults.append(("bed", bed.id, f"{bed.id} does not end at the seat of {name}"))
    if own_seat(neck, screw) and bed and 2.0 * radius_of(bed) < screw.flange - 1e-9:
        words = f"the {screw.flange:g} mm flange of {name} does not enter {bed.id}"
        faults.append(("enter", bed.id, words))
    if screw.bites != neck.joint.heel:
        faults.append(("bites", hole.id, f"{name} does not bite {neck.joint.heel}"))
    for code, subject, words in faults:
        cure = f"correct what {screw.part} states of screw {screw.number}, or its cuts"
        yield failed(f"bolt-seat.{code}", (subject, neck.joint.heel), words, cure, (screw.at,) * 2)


def _proud(layout: Layout, neck: Neck, screw: Screw, name: str) -> Iterator[Finding]:
    """Ferrule and head to the shaped face, and how far they may stand out of it."""
    if screw.rise is None:
        return  # `complete` says so
    end = layout.skin, screw.at, screw.way, screw.rise, screw.flange
    deep, at = sunk(*end)
    lies = proud_words(deep, Face.BACK, screw.proud)
    words = f"the {bearing(neck, screw)} of {name} with its screw's head {lies}"
    cure = f"leave less wood under screw {screw.number}, or use a lower ferrule"
    if float(layout.skin.fall("back", np.array([at[0][:2]]))[0]) > 0.0:
        cure = (
            f"leave less wood under screw {screw.number}, use a lower ferrule, or carve less there"
        )
    plate, subject = bearing(neck, screw) == "plate", own_seat(neck, screw) or screw.hole
    if plate:
        cure = "let the plate in deeper, or use a thinner one"
    limit = layout.shop.limit("bolt-seat.proud.plate" if plate else "bolt-seat.proud")
    of = partial(sunk_each, *end, screw.proud)
    yield judge((subject, "head"), deep + screw.proud, limit, words, cure, at=at, of=of, code=PROUD)


def _land(layout: Layout, neck: Neck, screw: Screw, name: str, one: Screws) -> Iterator[Finding]:
    """The flange and the wall round its counterbore, at the level of its seat."""
    skin, shop, (x, y, _) = layout.skin, layout.shop, screw.at
    inset, foot = inside(skin.outline, one.at[:, :2], 0.0)
    reach, owner = (float(v[0]) for v in one.land(skin, inset))
    z = float(one.lowest[0])
    if owner == EDGE:
        side = math.copysign(1.0, float(inset[0]))
        what, spot = "edge", _rim(x, y, plan_point(foot), side * reach)
    elif owner == SHELF:
        (px, py), what = shelf_distances(skin, one.at[:, :2], z, np.array([np.inf]))[1][0], "edge"
        spot = float(px), float(py)
    else:
        contour = skin.contours[int(owner)]
        what, spot = contour.id, contour.carve.level_distances(np.array([[x, y]]), z)[1][0]
    flange, own = screw.flange / 2.0, own_seat(neck, screw)
    bed = radius_of(layout.by_id[own]) if own else flange
    for radius, limit, thing in ((flange, "", "flange"), (bed, ".wall", "counterbore")):
        spare = reach - radius
        if thing == "counterbore" and (reach < flange or not own):
            continue  # the flange itself hangs over: said once; or there is no counterbore
        over, within = f"overhangs {what} by {-spare:.2f} mm", f"lies {spare:.2f} mm inside {what}"
        words = over if spare < 0 else within
        subjects = (own or screw.hole, what)
        text = f"the {thing} of {name}'s {bearing(neck, screw)} {words} at its seat's depth"
        cure = f"move screw {screw.number} away from {what}, set its ferrule deeper, or carve less"
        if what == "edge":
            treated = skin.edge_inset(z) > 0.0 or owner == SHELF
            less = ", set its ferrule deeper or use a smaller edge treatment" if treated else ""
            cure = f"move screw {screw.number} inward{less}"
        at = ((*_rim(x, y, spot, math.copysign(radius, reach)), z), (*spot, z))
        of = partial(_lands, skin, one.at[:, :2], float(inset[0]), z, radius)
        yield judge(subjects, spare, shop.limit(f"bolt-seat{limit}"), text, cure, at=at, of=of)


def _lands(
    skin: Skin, spot: np.ndarray, inset: float, z: float, radius: float
) -> tuple[float, ...]:
    """What is spare round a seat of `radius` about a plan point (1, 2), in the level plane at `z`,
    to the edge, its shelves and each contour in turn, as far as LAND; mm."""
    found = [inset - skin.edge_inset(z)]
    if skin.shelves:
        found.append(float(shelf_distances(skin, spot, z, np.array([np.inf]))[0][0]))
    found += [float(c.carve.level_distances(spot, z)[0][0]) for c in skin.contours]
    return tuple(min(one, LAND) - radius for one in found)


def grip(layout: Layout) -> Iterator[Finding]:
    """Thread of each screw in the neck."""
    yield from unscrewed(layout, "bolt-grip")
    for neck, screw, name, one in each(layout):
        yield _free(layout, screw, name)
        length = float(one.grip[0])
        bare = screw.grip is not None and screw.grip < length
        length = length if screw.grip is None else min(length, screw.grip)
        subjects, limit = (screw.hole, neck.joint.heel), layout.shop.limit("bolt-grip")
        words = f"{length:.2f} mm of {name}'s thread is in the neck"
        cure = f"use a longer screw in hole {screw.number} or set its ferrule deeper"
        cure = f"use a screw with more thread in hole {screw.number}" if bare else cure
        if screw.insert:
            yield from _in_insert(layout, screw, name, one)
            continue
        yield judge(subjects, length, limit, words, cure, at=(point(one.mouths), point(one.tips)))


def _free(layout: Layout, screw: Screw, name: str) -> Finding:
    """How much wider a screw's hole in the body is than its thread."""
    hole, limit = layout.by_id[screw.hole], layout.shop.limit("bolt-grip.free")
    play = 2.0 * radius_of(hole) - screw.thread
    words = f"the hole for {name} in the body is {play:.2f} mm wider than its thread"
    cure = "drill a wider hole in the body: a thread that bites there holds the joint open"
    return judge((screw.hole, "thread"), play, limit, words, cure, at=(screw.at, screw.at))


def _in_insert(layout: Layout, screw: Screw, name: str, one: Screws) -> Iterator[Finding]:
    """A machine screw's thread in its insert, and what is left of the hole before the insert's end
    and before the screw's tip."""
    assert screw.insert and screw.bites
    long, insert, shop = float(one.grip[0]), screw.insert, layout.shop
    subjects, at = (screw.hole, screw.bites), (point(one.mouths), point(one.tips))
    held = min(long, insert.length, long if screw.grip is None else screw.grip)
    words = f"{held / screw.thread:.2f} diameters of {name}'s thread are in its insert"
    cure = f"use a longer screw or insert in hole {screw.number}, or set the head deeper"
    limit = shop.limit("bolt-grip.insert")
    yield judge(subjects, held / screw.thread, limit, words, cure, at=at, unit="diameters")
    left = insert.depth - insert.length
    lies = f"ends {left:.2f} mm above" if left >= 0.0 else f"stands {-left:.2f} mm out of"
    end = "the end of its hole at full diameter" if left >= 0.0 else "the heel: its hole is short"
    cure = f"drill hole {screw.number} of the neck deeper, or use a shorter insert"
    limit = shop.limit("bolt-grip.flush")
    yield judge(subjects, left, limit, f"the insert of {name} {lies} {end}", cure, at=at)
    left = insert.depth - long
    words = f"the tip of {name} ends {left:.2f} mm before the end of its insert's hole"
    cure = f"use a shorter screw in hole {screw.number}, or drill the neck deeper"
    yield judge(subjects, left, shop.limit("bolt-grip.bottom"), words, cure, at=at)


def tip(layout: Layout) -> Iterator[Finding]:
    """Each screw's tip to the underside of the fretboard and its side to the truss-rod channel."""
    yield from unscrewed(layout, "bolt-tip")
    for neck, screw, name, one in each(layout):
        under, (x, y, end) = float(one.to_board[0]), point(one.holes)
        words = f"ends {under:.2f} mm short of" if under >= -1e-9 else f"runs {-under:.2f} mm into"
        subjects, limit = (screw.hole, neck.joint.board), layout.shop.limit("bolt-tip")
        tip_of = f"the hole for the insert of {name}" if screw.insert else f"the tip of {name}"
        text = f"{tip_of} {words} the fretboard"
        cure = f"use a shorter screw in hole {screw.number} or leave more wood under it"
        yield judge(subjects, under, limit, text, cure, at=((x, y, end), (x, y, end + under)))
        beside = float(one.to_rod[0])
        if math.isfinite(beside):
            u, v = map(float, neck.uv(one.holes[:, :2])[0])
            flank, near = (
                neck.place.point(u, math.copysign(aside, v))
                for aside in (abs(v) - one.outside / 2.0, neck.joint.rod_width / 2.0)
            )
            subjects, limit = (screw.hole, f"{neck.id}.rod"), layout.shop.limit("bolt-tip.rod")
            text = f"{beside:.2f} mm between {name} and the truss-rod channel"
            cure = f"move screw {screw.number} off the centreline or use a shorter screw"
            yield judge(subjects, beside, limit, text, cure, at=((*flank, end), (*near, end)))


def edge(layout: Layout) -> Iterator[Finding]:
    """Screws to heel and pocket edges, counterbores to the body's edge and to each other."""
    yield from unscrewed(layout, "bolt-edge")
    limit, shop = layout.shop.limit("bolt-edge"), layout.shop
    for neck, screw, name, one in each(layout):
        x, y, z = point(one.mouths)
        joint, hole = neck.joint, layout.by_id[screw.hole]
        for what, owner, shape, radius in (
            ("heel", joint.heel, neck.block, _hole_in_neck(screw) / 2.0),
            ("pocket", joint.pocket, neck.pocket, radius_of(hole)),
        ):
            room, foot = inside(shape.profile, one.mouths[:, :2], radius)
            spot, spare = plan_point(foot), float(room[0])
            rim = _rim(x, y, spot, math.copysign(radius, spare + radius))
            thing = "insert" if screw.insert and what == "heel" else "hole"
            words = f"{spare:.2f} mm from {name}'s {thing} to the {what}'s edge"
            cure = f"move screw {screw.number} inward"
            yield judge((hole.id, owner), spare, limit, words, cure, at=((*rim, z), (*spot, z)))
        room, foot = inside(neck.block.profile, one.mouths[:, :2], 0.0)
        wide, foot_at = float(room[0]) / one.outside, (*plan_point(foot), z)
        bites = "its insert" if screw.insert else "it"
        words = f"{wide:.1f} diameters of {bites} from {name}'s axis to the heel's edge"
        words = words if screw.insert else words.replace(" of it", "")
        cure = f"move screw {screw.number} inward, or use a thinner one"
        subjects, at = (hole.id, joint.heel), ((x, y, z), foot_at)
        thin = shop.limit("bolt-edge.insert" if screw.insert else "bolt-edge.diameters")
        yield judge(subjects, wide, thin, words, cure, at=at, unit="diameters")
        yield _to_side(layout, neck, screw, name)
    for neck in necks(layout):
        yield from _inserts_apart(layout, neck)
        beds = [(s.number, layout.by_id[own]) for s in neck.screws if (own := own_seat(neck, s))]
        for (i, bed), (j, other) in combinations(beds, 2):
            found = gap(bed.shape, other.shape)
            if found.distance < FAR:
                subjects = (bed.id, other.id)
                away, two = f"{found.distance:.2f} mm", f"{neck.id} screws {i} and {j}"
                words = f"{away} between the counterbores of {two}"
                yield judge_gap(subjects, found, limit, words, f"move screws {i} and {j} apart")


def _inserts_apart(layout: Layout, neck: Neck) -> Iterator[Finding]:
    """Wood between each two inserts of a neck that stand near each other."""
    for one, two in combinations([s for s in neck.screws if s.insert], 2):
        assert one.insert and two.insert
        (x0, y0, _), (x1, y1, _) = one.at, two.at
        spare = math.dist((x0, y0), (x1, y1)) - (one.insert.outside + two.insert.outside) / 2.0
        if spare < FAR:
            subjects, limit = (one.hole, two.hole), layout.shop.limit("bolt-edge")
            words = f"{spare:.2f} mm between the inserts of {neck.id} screws {one.number} and "
            words, cure = f"{words}{two.number}", f"move screws {one.number} and {two.number} apart"
            at = (x0, y0, one.at[2]), (x1, y1, two.at[2])
            yield judge(subjects, spare, limit, words, cure, at=at)


def _hole_in_neck(screw: Screw) -> float:
    """Diameter of what a screw takes of the neck's wood, mm: its pilot, or its insert."""
    return screw.insert.outside if screw.insert else screw.pilot or screw.thread


def _to_side(layout: Layout, neck: Neck, screw: Screw, name: str) -> Finding:
    """A screw's counterbore (else its hole) to the body's side, roundover and ledge."""
    own = own_seat(neck, screw)
    void = layout.by_id[own or screw.hole]
    found = edge_gap(void.shape, layout.skin)
    spare, at, between = found.distance, found.at, found.between
    if spare <= 0.0:
        (x, y, _), z, radius = screw.at, at[0][2], radius_of(void)
        room, foot = inside(layout.skin.outline, np.array([[x, y]]), radius)
        spot = plan_point(foot)
        rim = _rim(x, y, spot, math.copysign(radius, float(room[0]) + radius))
        spare, at, between = min(float(room[0]), 0.0), ((*rim, z), (*spot, z)), None
    limit = layout.shop.limit("bolt-edge")
    thing = "counterbore" if bearing(neck, screw) == "ferrule" else "hole"
    words = f"{spare:.2f} mm from {name}'s {thing} to the body's edge"
    stop = ", or stop the edge treatment there" if layout.skin.drop("back") > 0.0 else ""
    cure = f"move screw {screw.number} inward or use a smaller ferrule{stop}"
    return judge((void.id, "edge"), spare, limit, words, cure, at=at, between=between)


def point(rows: np.ndarray) -> Point3:
    """The first of points (m, 3)."""
    x, y, z = map(float, rows[0])
    return x, y, z


def plan_point(rows: np.ndarray) -> tuple[float, float]:
    """The first of plan points (m, 2)."""
    return float(rows[0, 0]), float(rows[0, 1])


def radius_of(void: Void) -> float:
    """Half the width of a hole, mm."""
    x0, y0, _, x1, y1, _ = void.shape.box
    return float(getattr(void.shape, "radius", min(x1 - x0, y1 - y0) / 2.0))


def _off_axis(void: Void, screw: Screw) -> float:
    """Distance of the middle of a screw's seat from the axis of a hole, mm; 0 for a routed one."""
    return void.shape.hole.off_axis(screw.at) if void.shape.hole else 0.0


def _rim(x: float, y: float, toward: tuple[float, float], radius: float) -> tuple[float, float]:
    """The point of a circle nearest to `toward` (farthest from it for a negative radius)."""
    away = math.hypot(toward[0] - x, toward[1] - y)
    if away < 1e-9:
        return x + abs(radius), y
    return x + radius * (toward[0] - x) / away, y + radius * (toward[1] - y) / away
