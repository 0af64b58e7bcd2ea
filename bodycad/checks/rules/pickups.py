"""`pole-offset`, `pickup-room`, `ring-cover`: each pickup against its strings, route and ring."""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Iterable, Iterator, Mapping, Sequence
from functools import partial

import numpy as np

from bodycad.checks.finding import (
    Finding,
    both_ways,
    failed,
    judge,
    judge_gap,
    margin_key,
    passed,
    skip,
    witness,
)
from bodycad.checks.page import Page
from bodycad.checks.strings_served import running
from bodycad.checks.wood.near import remembered, room_inside
from bodycad.geometry.distance.gap import gap
from bodycad.geometry.distance.plan import inside_gap, plan_gap, rooms_inside
from bodycad.geometry.distance.search import Gap
from bodycad.geometry.plane.profile import Profile, flatten
from bodycad.geometry.solids.solid import Point3, Shape, boxes_apart, point3
from bodycad.instrument.lines import StringLine, course_lines
from bodycad.instrument.neck import board_half_width
from bodycad.instrument.serve import across, serve
from bodycad.layout.interface import Fit, Hides, Poles, Screw
from bodycad.layout.layout import Layout
from bodycad.layout.void import Room, Void, mouth
from bodycad.words import Face, FitKind, HideKind, RoomKind

NONE = "this design has no pickups"
SAGITTA = 0.005
"""A round rim is measured by chords that leave it by at most this, mm."""
NEAR = 15.0
"""A ring or pickup farther than this from fretboard, plate and other rings is not listed, mm."""

POLE_PAGE = Page(
    asks="How far is each pole piece, where it stands, from its string as it runs from the nut to "
    "its saddle, across the strings, and how far do a bar's ends reach beyond the outer strings?",
    why="Poles beside their strings look wrong and can sound uneven; spread differs at neck and "
    "bridge, and over both coils of a slanted pickup.",
    limits=("pole-offset", "pole-offset.bar"),
    cures="Choose another pole spacing or a longer bar, or move the pickup along the strings.",
)
PLACE_PAGE = Page(
    asks="Does each pole stand under its string as far before the saddle that the string swings "
    "there?",
    why="Behind its saddle a string is silent, and close before it hardly swings.",
    limits=("pickup-place",),
    cures="Move the pickup toward the nut.",
)
ROOM_PAGE = Page(
    asks="Do frame and feet fit their route on every side, with the travel wanted below, and "
    "does the ring clear the fretboard's end, the bridge's plate and the other rings?",
    why="A pickup that sits on the route's floor cannot be lowered; a foot that fouls a wall is "
    "found after finishing.",
    limits=("pickup-room.side", "pickup-room.depth", "pickup-room.neck"),
    cures="Route deeper or wider where wood allows, or use a lower ring.",
)
RING_PAGE = Page(
    asks="Does the ring hide the whole route, and do its screws stand in wood?",
    why="A corner of the route that shows, or a screw that falls into it, cannot be mended under "
    "a clear finish.",
    limits=("ring-cover", "ring-cover.screw"),
    cures="Use a smaller route or a larger ring; tighter corners need a smaller cutter.",
)

Off = tuple[float, StringLine, Point3]


def pole_offset(layout: Layout) -> Iterator[Finding]:
    """The worst pole of each pickup against its string; a bar's ends against the outer strings."""
    pickups: dict[str, list[Off]] = {one.part: [] for one in layout.stated(Poles)}
    if not pickups:
        yield skip("pole-offset", NONE)
    missed, wanted, counts = _missed(layout), len(layout.instrument.lines), _counts(layout)
    cure = "choose a pickup with one pole a string, or several that share the strings evenly"
    for part, words in _numbered(layout):
        yield failed("pole-offset.count", (part,), words, cure)
    bars, odd = dict[str, list[Poles]](), dict[str, int]()
    for poles in layout.stated(Poles):
        part, have = poles.part, len(poles.points)
        if poles.bar:
            bars.setdefault(part, []).append(poles)
        elif poles.strings or have in counts or not missed:
            pickups[part] += _offs(layout, poles)
        else:
            odd.setdefault(part, have)
    for part, have in odd.items():
        words = f"{part} has {have} poles for {wanted} strings: {missed}"
        yield failed("pole-offset.count", (part,), words, cure)
    for rows in bars.values():
        yield min((_bar(layout, poles) for poles in rows), key=margin_key)
    for part, offs in pickups.items():
        if offs:
            yield _worst(layout, part, offs)


def _numbered(layout: Layout) -> Iterator[tuple[str, str]]:
    """What is wrong, in words, with the numbers of strings that a part's poles state: together they
    serve each string."""
    every, said = {line.number for line in layout.instrument.lines}, dict[str, set[int]]()
    for poles in layout.stated(Poles):
        if poles.strings:
            said.setdefault(poles.part, set()).update(poles.strings)
    served = set[int]().union(*said.values())
    for part, own in said.items():
        if over := sorted(own - every):
            yield part, f"{part} has poles for string {_and(over)}: there are {len(every)} strings"
        elif short := sorted(every - served):
            yield part, f"{part} has no pole for string {_and(short)}"


def _and(numbers: Iterable[int]) -> str:
    return " and ".join(map(str, numbers))


def _counts(layout: Layout) -> tuple[int, int]:
    """How many poles make a row: one a string, or one a course."""
    return len(layout.instrument.lines), len(layout.instrument.courses)


def _followed(layout: Layout, poles: Poles) -> dict[int, StringLine]:
    """The lines that a row of poles follows, by number: the strings', or the middles of their
    courses where it has one pole a course."""
    lines, (_, many) = running(layout), _counts(layout)
    courses = layout.instrument.courses if len(poles.points) == many else ()
    return lines if poles.strings else course_lines(lines, courses)


def _offs(layout: Layout, poles: Poles) -> Iterator[Off]:
    """Each pole's distance from the string that it serves, as that runs from the nut to its saddle;
    none for a pole beyond the strings."""
    lines = list(_followed(layout, poles).values())
    served = serve(lines, [spot[:2] for spot in poles.points], poles.strings)
    for (x, y, z), line in zip(poles.points, served, strict=True):
        if line is not None:
            yield abs(y - line.y_at(x)), line, (x, y, z)


def _missed(layout: Layout) -> str:
    """What the pickups with another number of poles than there are strings leave wrong, in words:
    each string wants as many of their poles as the next, and no pole may be over."""
    lines = layout.instrument.lines
    odd = [
        p
        for p in layout.stated(Poles)
        if not p.bar and not p.strings and len(p.points) not in _counts(layout)
    ]
    if any(len(poles.points) > len(lines) for poles in odd):
        return "state one point a string, between the poles that sense it"
    count = Counter(line.number for poles in odd for _, line, _ in _offs(layout, poles))
    short = [one.number for one in lines if count[one.number] < max(count.values(), default=0)]
    return f"string {_and(short)} has no pole there" if short else ""


def _worst(layout: Layout, part: str, offs: list[Off]) -> Finding:
    worst, line, (x, y, _) = max(offs, key=lambda o: (round(o[0], 9), -o[1].number))
    subjects, limit = (part, f"string.{line.number}"), layout.shop.limit("pole-offset")
    most = f"{worst:.2f} mm at most, at string {line.number}"
    words = f"the poles of {part} miss their strings by {most}"
    cure = f"a pole spacing of {_spacing(layout, part):.1f} mm follows the strings here"
    if abs(_spacing(layout, part) - _drawn(layout, part)) < worst:
        aside = math.fsum(its.y_at(x) - y for _, its, (x, y, _) in offs) / len(offs)
        side = "bass" if (aside > 0.0) != layout.left_handed else "treble"
        cure = f"turn {part} so that its poles follow the strings"
        if abs(aside) > worst / 2.0:
            cure = f"move {part} by {abs(aside):.2f} mm toward the {side}"
    at = ((x, y, 0.0), (x, line.y_at(x), 0.0))
    of = both_ways(y - its.y_at(x) for _, its, (x, y, _) in offs)
    return judge(subjects, worst, limit, words, cure, at=at, of=of)


def _drawn(layout: Layout, part: str) -> float:
    """From the first to the last pole of a pickup's rows as they are, on average, mm."""
    own = [p.points for p in layout.stated(Poles) if p.part == part and not p.bar]
    wide = [max(math.dist(a[:2], b[:2]) for a in row for b in row) for row in own]
    return sum(wide) / len(wide)


def _spacing(layout: Layout, part: str) -> float:
    """From the first to the last string along a pickup's rows of poles, turned as they are, on
    average, mm."""
    found = list[float]()
    for poles in layout.stated(Poles):
        if poles.part == part and not poles.bar and len(poles.points) > 1:
            first, last = outer(_followed(layout, poles), poles)
            spots = sorted(poles.points, key=lambda spot: across((first, last), spot[:2]))
            (x0, y0, _), (x1, y1, _) = spots[0], spots[-1]
            shares = [_crossing(line, spots[0], spots[-1]) for line in (first, last)]
            found.append(abs(shares[1] - shares[0]) * math.hypot(x1 - x0, y1 - y0))
    return sum(found) / len(found) if found else layout.instrument.spread_at(0.0)


def outer(lines: Mapping[int, StringLine], poles: Poles) -> tuple[StringLine, StringLine]:
    """The first and the last of the strings that a row of poles or a bar serves."""
    own = [number for number in poles.strings if number in lines] or list(lines)
    return lines[min(own)], lines[max(own)]


def _bar(layout: Layout, poles: Poles) -> Finding:
    """How far the ends of a bar reach beyond the outer strings, the lesser of both."""
    lines, rows = outer(running(layout), poles), []
    for spot in poles.points:
        share = across(lines, spot[:2])
        line = lines[-1] if share > 0.5 else lines[0]
        out = abs(spot[1] - line.y_at(spot[0]))
        rows.append((out if not 0.0 < share < 1.0 else -out, line, spot))
    spare, line, (x, y, z) = min(rows, key=lambda row: row[0])
    subjects, limit = (poles.part, f"string.{line.number}"), layout.shop.limit("pole-offset.bar")
    side = "beyond" if spare >= 0.0 else "short of"
    words = f"the bar of {poles.part} ends {abs(spare):.2f} mm {side} string {line.number}"
    long = abs(lines[-1].y_at(x) - lines[0].y_at(x)) + 2.0
    cure = f"a bar {long:.1f} mm long reaches past the strings here"
    return judge(subjects, spare, limit, words, cure, at=((x, y, z), (x, line.y_at(x), z)))


def pickup_place(layout: Layout) -> Iterator[Finding]:
    """How far before its saddle the pole of each pickup that is nearest to one stands."""
    pickups: dict[str, list[Off]] = {}
    for poles in layout.stated(Poles):
        sensed = _barred if poles.bar else _offs
        pickups.setdefault(poles.part, []).extend(sensed(layout, poles))
    if not pickups:
        yield skip("pickup-place", NONE)
    for part, offs in pickups.items():
        if not offs:
            continue  # `pole-offset` says that its poles serve no string
        aheads = [x - line.saddle[0] for _, line, (x, _, _) in offs]
        k = min(range(len(offs)), key=lambda i: (round(aheads[i], 9), offs[i][1].number))
        ahead, (_, line, (x, y, z)) = aheads[k], offs[k]
        side = "before" if ahead >= 0.0 else "behind"
        words = f"{part} senses string {line.number} {abs(ahead):.1f} mm {side} its saddle"
        limit, of = layout.shop.limit("pickup-place"), partial(tuple, aheads)
        at, cure = ((x, y, z), (line.saddle[0], y, z)), f"move {part} toward the nut"
        yield judge((part, f"string.{line.number}"), ahead, limit, words, cure, at=at, of=of)


def _barred(layout: Layout, poles: Poles) -> Iterator[Off]:
    """Where a bar senses each string that it runs under."""
    one, two = poles.points
    for line in running(layout).values():
        if not poles.strings or line.number in poles.strings:
            share = min(max(_crossing(line, one, two), 0.0), 1.0)
            x, y, z = point3(np.array(one) + share * np.subtract(two, one))
            yield abs(y - line.y_at(x)), line, (x, y, z)


def _crossing(line: StringLine, one: Point3, two: Point3) -> float:
    """At what share of the way from one place to another a string's line is met in plan: the
    distance from it grows evenly; 0 where it stays the same."""
    here, there = one[1] - line.y_at(one[0]), two[1] - line.y_at(two[0])
    return here / (here - there) if here != there else 0.0


def pickup_room(layout: Layout) -> Iterator[Finding]:
    """Room beside and below each pickup, and from what shows of it on the front to the fretboard's
    end, the bridge's plate and the next pickup."""
    fits = [fit for fit in layout.stated(Fit) if fit.kind == FitKind.PICKUP]
    rims = tuple(shown_rims(layout))
    if not fits and not rims:
        yield skip("pickup-room", NONE)
    into = Counter((fit.part, fit.outer) for fit in fits)
    for fit in fits:
        yield from _fit(layout, fit, fit.part if into[fit.part, fit.outer] == 1 else fit.room)
    shown = Counter(part for part, _, _ in rims)
    for part, room, rim in rims:
        yield from _rim_to_board(layout, part if shown[part] == 1 else room.id, room, rim)
    yield from _rims_apart(layout, [room for _, room, _ in rims])


def _fit(layout: Layout, fit: Fit, subject: str) -> Iterator[Finding]:
    void, solid = layout.by_id[fit.outer], layout.rooms_by_id[fit.room].shape
    plans = solid.plan, void.shape.plan
    side, p, q = room_inside(layout, *plans)
    subjects, limit = (subject, void.id), layout.shop.limit("pickup-room.side")
    words = f"{side:.2f} mm of room beside the {fit.name} of {fit.part}"
    cure, at, of = f"make {void.id} wider", witness(p, q, void.low), partial(rooms_inside, *plans)
    yield judge(subjects, side, limit, words, cure, at=at, of=of)
    if fit.below is None:
        return
    floor = void.shape.floor_over(solid.plan)[1] if void.shape.prism else void.low
    bottom = solid.box[2] - fit.below
    spare, (x, y) = bottom - floor, solid.plan.centroid
    limit = layout.shop.limit("pickup-room.depth")
    when = f"when it is lowered {fit.below:g} mm"
    words = f"{spare:.2f} mm left under the {fit.name} of {fit.part} {when}"
    cure = f"make {void.id} deeper by {max(-spare, 0.0) + 2.0:.1f} mm, or accept less travel"
    yield judge((subject, void.id), spare, limit, words, cure, at=((x, y, bottom), (x, y, floor)))


def shown_rims(layout: Layout) -> Iterator[tuple[str, Room, Profile]]:
    """What shows of each pickup on the front: the rim of its ring, else its solids that stand over
    the face, each with its part and room."""
    fits = [fit for fit in layout.stated(Fit) if fit.kind == FitKind.PICKUP]
    ringed = set()
    for one in layout.stated(Hides):
        room = layout.rooms_by_id[one.room]
        if one.kind == HideKind.ON and one.face == Face.FRONT and room.kind is not RoomKind.GUARD:
            ringed.add(one.part)
            yield one.part, room, one.rim
    for fit in fits:
        room = layout.rooms_by_id[fit.room]
        if fit.part not in ringed and room.shape.box[5] > 0.0:
            yield fit.part, room, room.shape.plan


def _rim_to_board(layout: Layout, subject: str, room: Room, rim: Profile) -> Iterator[Finding]:
    """A rim to the fretboard's end, over the board's width there."""
    end = layout.instrument.board_end
    half = board_half_width(layout.instrument.neck, end.x)
    corners = flatten(rim, SAGITTA)
    spots = [c for c in corners if abs(c[1]) <= half]
    for one, two in zip(corners, np.roll(corners, -1, axis=0), strict=True):
        spots += [
            one + (y - one[1]) / (two[1] - one[1]) * (two - one)
            for y in (half, -half)
            if min(one[1], two[1]) < y < max(one[1], two[1])
        ]
    if not spots:
        return
    spare, x, y = min((float(end.x_at(y) - x), float(x), float(y)) for x, y in spots)
    if spare < NEAR:
        subjects, limit = (subject, "fretboard"), layout.shop.limit("pickup-room.neck")
        words = f"{spare:.2f} mm between {room.id} and the fretboard's end"
        cure, at = f"move {room.part} toward the bridge", ((x, y, 0.0), (end.x_at(y), y, 0.0))
        bound = SAGITTA if rim.segments.arc.any() else 0.0
        yield judge(subjects, spare, limit, words, cure, at=at, bound=bound)


def _rims_apart(layout: Layout, rims: Iterable[Room]) -> Iterator[Finding]:
    """What shows of the pickups to each other and to the bridges' plates, on the top."""
    rings = sorted(rims, key=lambda room: room.id)
    plates = sorted((r for r in layout.rooms if r.kind == RoomKind.PLATE), key=lambda r: r.id)
    for index, ring in enumerate(rings):
        for other in (*rings[index + 1 :], *plates):
            if other.part == ring.part or boxes_apart(ring.shape, other.shape) >= NEAR:
                continue
            away, p, q = plan_gap(ring.shape.plan, other.shape.plan)
            if away < NEAR:
                limit = layout.shop.limit("pickup-room.neck")
                words = f"{away:.2f} mm between {ring.id} and {other.id}"
                cure = f"move {ring.part} and {other.part} apart"
                yield judge((ring.id, other.id), away, limit, words, cure, at=witness(p, q, 0.0))


def hides(layout: Layout, one: Hides, void: str) -> tuple[float, np.ndarray, np.ndarray]:
    """How far (mm) a rim reaches past one of the cuts that it hides, and the witness points."""
    return remembered(
        layout,
        ("rim", one.room, void),
        lambda: inside_gap(mouth(layout.by_id[void], one.face, layout.thickness), one.rim),
    )


def rings(layout: Layout) -> list[Hides]:
    """The rims that lie on a face."""
    return [one for one in layout.stated(Hides) if one.kind == HideKind.ON]


def ring_cover(layout: Layout) -> Iterator[Finding]:
    """Each ring over what it hides, and wood between its screws and that."""
    stated = rings(layout)
    fitted = {fit.part for fit in layout.stated(Fit) if fit.kind == FitKind.PICKUP}
    hidden = {name for one in stated for name in one.voids}
    under = {
        part
        for part in fitted
        if (own := [v.id for v in layout.voids_of(part) if v.operation.routed])
        and hidden.issuperset(own)
    }
    bare = sorted(fitted - {one.part for one in stated} - under)
    if not stated and not bare:
        yield skip("ring-cover", NONE)
    for part in bare:
        words = f"{part} has no ring: its route shows, and stands round it by what pickup-room says"
        yield passed("ring-cover.none", (part,), words)
    for one in stated:
        yield from _cover(layout, one)


def _cover(layout: Layout, one: Hides) -> Iterator[Finding]:
    for name in one.voids:
        hidden, p, q = hides(layout, one, name)
        limit = layout.shop.limit("ring-cover")
        words = f"the {one.name} of {one.part} covers {name} by {hidden:.2f} mm"
        cure = f"make {name} smaller or use a larger {one.name}"
        yield judge((one.part, name), hidden, limit, words, cure, at=witness(p, q, 0.0))
    own = (s.hole for s in layout.stated(Screw) if s.part == one.part)
    driven = [name for name in own if name not in one.voids]
    for name in one.screws or driven:
        pilot = layout.by_id[name].shape
        found, void = _nearest(pilot, [layout.by_id[v] for v in one.voids])
        limit = layout.shop.limit("ring-cover.screw")
        screw = f"{name} of {one.part}'s {one.name}"
        words = f"{found.distance:.2f} mm of wood between {screw} and {void}"
        yield judge_gap((name, void), found, limit, words, f"make {void} smaller there")


def _nearest(shape: Shape, voids: Sequence[Void]) -> tuple[Gap, str]:
    """The gap from a shape to the nearest of some voids, the first of equals, and its id."""
    away = [boxes_apart(shape, void.shape) for void in voids]
    found, least = dict[int, Gap](), math.inf
    for k in sorted(range(len(voids)), key=away.__getitem__):
        if away[k] <= least:
            found[k] = gap(shape, voids[k].shape)
            least = min(least, found[k].distance)
    k = min(sorted(found), key=lambda k: found[k].distance)
    return found[k], voids[k].id
