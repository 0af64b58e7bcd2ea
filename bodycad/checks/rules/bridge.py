"""`string-holes`, `ferrule-wall`: the row of string holes and the seats behind it."""

from __future__ import annotations

import math
from collections.abc import Iterator
from functools import partial

from bodycad.checks.finding import Finding, both_ways, failed, judge, judge_gap, skip
from bodycad.checks.page import Page
from bodycad.checks.strings_served import advice, anchored, by_string, running, saddles
from bodycad.checks.strings_served import string_holes as holes_served
from bodycad.checks.wood.inwood import face_wood
from bodycad.checks.wood.near import REACH
from bodycad.checks.wood.proud import proud_words, sunk, sunk_each
from bodycad.geometry.distance.gap import at_least, gap
from bodycad.instrument.lines import Point, StringLine
from bodycad.instrument.serve import across
from bodycad.layout.interface import Screw, StringHole
from bodycad.layout.layout import Layout
from bodycad.layout.void import Void

NONE = "no string of this design passes through the body"

HOLES_PAGE = Page(
    asks="Do the string holes stand at the strings' own pitch and behind the strings as they come "
    "from the nut over their saddles, and the saddles on the strings' own lines; how far may the "
    "drill wander through the body, how much wood is over each ferrule's seat, and does each "
    "ferrule end under the shaped back?",
    why="A row that wanders at the back is the trade's classic blemish; a string that bends aside "
    "over its saddle, as on a turned plate, pushes it off its place; a thin seat pulls through to "
    "the top; a ferrule that stands proud on a carve scratches. Within a few tenths it is flush; "
    "one that is meant to stand out says so (proud=).",
    limits=(
        "string-holes.pitch",
        "string-holes.way",
        "string-holes.drift",
        "string-holes.wood",
        "string-holes.proud",
    ),
    cures="Match the pitch to the bridge, turn and move it as the text says, drill from both faces "
    "off one datum, use shorter ferrules or drill their seats deeper.",
)
FERRULE_PAGE = Page(
    asks="How much wood stands between neighbouring ferrules at the back, and between the "
    "bridge's screws and its string holes?",
    why="Thin walls between press-fitted ferrules split along the grain.",
    limits=("ferrule-wall", "ferrule-wall.season"),
    cures="Use smaller ferrules or a wider string pitch.",
)

SIDE_BY_SIDE = 0.5
"""A wall that begins farther than this (mm) from a pilot's end is beside it, not under it."""

Row = list[tuple[StringHole, StringLine | None]]


def string_holes(layout: Layout) -> Iterator[Finding]:
    """Pitch against the saddles of the same strings, saddles against their strings' lines, drift of
    a wandering drill, wood over each seat."""
    rows = _by_part(layout)
    if not rows:
        yield skip("string-holes", NONE)
    for part, row in rows.items():
        spare = sum(line is None for _, line in row)
        if spare:
            code = "string-holes.count"
            there = f"there are {len(layout.instrument.lines)} strings"
            words = (
                f"{part} has {len(row)} string holes, and {spare} of them serve no string: {there}"
            )
            yield failed(code, (part,), words, "give the instrument one hole a string")
        else:
            yield from _pitch(layout, part, row)
            yield from _way_down(layout, part, row)
        yield from _drift(layout, part, row)
        yield from _seats(layout, part, row)
    yield from _saddles_to_strings(layout)


def _by_part(layout: Layout) -> dict[str, Row]:
    found: dict[str, Row] = {}
    for hole, line in holes_served(layout):
        found.setdefault(hole.part, []).append((hole, line))
    return found


def _pitch(layout: Layout, part: str, row: Row) -> Iterator[Finding]:
    """The worst of a part's holes beside its string's saddle, square to that saddle's travel."""
    bearing, offs, signed = by_string(layout), [], []
    pairs = [(hole, bearing[line.number]) for hole, line in row if line and line.number in bearing]
    for hole, saddle in pairs:
        x, y, _ = saddle.along
        off = (saddle.at[1] - hole.at[1]) * x - (saddle.at[0] - hole.at[0]) * y
        beside = (hole.at[0] - off * y, hole.at[1] + off * x, hole.at[2])
        offs.append((abs(off), hole.at, beside))
        signed.append(off)
    if not offs:
        return
    worst, here, there = max(offs)
    wide = math.dist(pairs[0][1].at[:2], pairs[-1][1].at[:2]) / max(len(pairs) - 1, 1)
    limit = layout.shop.limit("string-holes.pitch")
    words = f"the string holes of {part} stand {worst:.2f} mm at most beside their saddles"
    drawn = math.dist(pairs[0][0].at[:2], pairs[-1][0].at[:2]) / max(len(pairs) - 1, 1)
    cure = f"a hole pitch of {wide:.2f} mm matches the saddles"
    if len(pairs) == 1 or abs(wide - drawn) * (len(pairs) - 1) < worst:
        cure = f"drill each hole of {part} behind its own saddle, along that saddle's travel"
    yield judge((part,), worst, limit, words, cure, at=(here, there), of=both_ways(signed))


def _drift(layout: Layout, part: str, row: Row) -> Iterator[Finding]:
    """How far a drill that is not square comes out beside the deepest hole's own axis."""
    shapes = [layout.by_id[hole.hole] for hole, _ in row]
    lengths = (v.shape.hole.length if v.shape.hole else v.high - v.low for v in shapes)
    drift = max(lengths) * math.tan(math.radians(layout.shop.wander_deg))
    drill = f"a drill {layout.shop.wander_deg:g} degrees off square"
    words = f"{drill} comes out {drift:.2f} mm off at the back"
    cure = "drill from both faces off one datum, or guide the drill better"
    yield judge((part, "back"), drift, layout.shop.limit("string-holes.drift"), words, cure)


def _seats(layout: Layout, part: str, row: Row) -> Iterator[Finding]:
    """Wood over the seat of each ball end; a hole without a seat wants an anchor of the same part
    for its string."""
    held = {line.number for one, line in anchored(layout) if one.part == part and line}
    for name in dict.fromkeys(hole.seat for hole, _ in row if hole.seat):
        over = layout.by_id[name].face.opposite
        found, _ = face_wood(layout.by_id[name], layout.body, over)
        subjects, limit = (name, str(over)), layout.shop.limit("string-holes.wood")
        words = f"{found.distance:.2f} mm of wood over the seat of {name}"
        yield judge_gap(subjects, found, limit, words, "use shorter ferrules or thicker stock")
    for hole, line in row:
        yield from _proud(layout, hole)
        if hole.seat is None and (line is None or line.number not in held):
            words = f"{hole.hole} has no seat: the ball end bears on bare wood and pulls into it"
            cure = (
                f"give {hole.hole} a ferrule, or state the Anchor of {part} that holds its string"
            )
            yield failed("string-holes.seat", (hole.hole,), words, cure)


def _proud(layout: Layout, hole: StringHole) -> Iterator[Finding]:
    """A ferrule's outer end to the shaped face that it is let into."""
    seat = layout.by_id[hole.seat] if hole.seat else None
    if seat is None or hole.rise is None or seat.shape.hole is None:
        return  # there is no ferrule, or `complete` says that its rise is not stated
    bed = seat.shape.hole
    end = layout.skin, bed.end, bed.direction, hole.rise, hole.flange
    deep, at = sunk(*end)
    words = f"the ferrule in {seat.id} {proud_words(deep, seat.face, hole.proud)}"
    cure = f"drill {seat.id} deeper, use a shorter ferrule, or carve less there"
    limit = layout.shop.limit("string-holes.proud")
    of = partial(sunk_each, *end, hole.proud)
    yield judge((seat.id, "head"), deep + hole.proud, limit, words, cure, at=at, of=of)


def _saddles_to_strings(layout: Layout) -> Iterator[Finding]:
    """Of each part the saddle that stands most beside its string's line from the nut."""
    parts: dict[str, list[tuple[float, StringLine, Point]]] = {}
    for saddle, line in saddles(layout):
        if line is not None:
            x, y, _ = saddle.at
            parts.setdefault(saddle.part, []).append((abs(y - line.y_at(x)), line, (x, y)))
    for part, row in parts.items():
        off, line, (x, y) = max(row, key=lambda f: (round(f[0], 9), -f[1].number))
        subjects, limit = (part, f"string.{line.number}"), layout.shop.limit("string-holes.pitch")
        words = f"the saddles of {part} stand {off:.2f} mm at most beside their strings' lines"
        told = [advice(layout, part)]
        (x0, y0), (x1, y1) = min(row, key=_number)[2], max(row, key=_number)[2]
        wide = math.hypot(x1 - x0, y1 - y0)
        if abs(wide - layout.instrument.bridge_spread) > limit.fail:
            told.append("give the instrument the bridge's own string spread")
        cure = ", or ".join(filter(None, told)) or f"give {part} the strings' own spacing"
        at = ((x, y, 0.0), (x, line.y_at(x), 0.0))
        of = both_ways(b - its.y_at(a) for _, its, (a, b) in row)
        yield judge(subjects, off, limit, words, cure, at=at, of=of)


def _number(row: tuple[float, StringLine, Point]) -> int:
    return row[1].number


def _way_down(layout: Layout, part: str, row: Row) -> Iterator[Finding]:
    """The worst of a part's holes beside its string, carried on from the nut over the saddle."""
    runs, rows, signed = running(layout), [], []
    for hole, line in row:
        if line is not None and line.number in by_string(layout):
            (x, y, z), way = hole.at, runs[line.number]
            aside = (y - way.y_at(x)) * math.cos(math.radians(way.angle_deg))
            rows.append((abs(aside), hole, (x, way.y_at(x), z)))
            signed.append(aside)
    if not rows:
        return
    worst, hole, there = max(rows, key=lambda f: (round(f[0], 9), f[1].hole))
    words = f"{hole.hole} stands {worst:.2f} mm beside its string, carried on over the saddle"
    cure = advice(layout, part) or f"drill the holes of {part} behind the strings' own lines"
    limit = layout.shop.limit("string-holes.way")
    at, of = (hole.at, there), both_ways(signed)
    yield judge((part, "strings"), worst, limit, words, cure, at=at, of=of)


def ferrule_wall(layout: Layout) -> Iterator[Finding]:
    """Wood between seats that are neighbours across the strings or near each other, and between a
    bridge's screws, its string holes and its other cuts."""
    rows = _by_part(layout)
    if not rows:
        yield skip("ferrule-wall", NONE)
    lines = layout.instrument.lines
    holes = sorted(layout.stated(StringHole), key=lambda hole: across(lines, hole.at[:2]))
    for k, one in enumerate(holes):
        for j, two in enumerate(holes[k + 1 :]):
            yield from _seats_apart(layout, one, two, j == 0)
    for part, row in rows.items():
        yield from _beside(layout, part, {name for hole, _ in row for name in hole.names("void")})


def _seats_apart(
    layout: Layout, one: StringHole, two: StringHole, next_to: bool
) -> Iterator[Finding]:
    """Wood between the seats of two string holes, or the holes where they have none; between holes
    of two parts also from each hole to the other and to its seat."""
    for a in filter(None, (one.seat, one.hole)):
        for b in filter(None, (two.seat, two.hole)):
            seats = a == (one.seat or one.hole) and b == (two.seat or two.hole)
            if seats or one.part != two.part:
                cure = "use smaller ferrules or a wider pitch"
                if not (one.seat or two.seat):
                    cure = "drill thinner string holes or use a wider pitch"
                yield from _wall(layout, layout.by_id[a], layout.by_id[b], cure, seats and next_to)


def _beside(layout: Layout, part: str, strung: set[str]) -> Iterator[Finding]:
    """Wood between a part's screws, its string holes and seats, and whatever else it cuts."""
    own = layout.voids_of(part)
    stated = [one for one in layout.stated(Screw) if one.part == part]
    driven = {name for one in stated for name in one.names("void")}
    screws = [v for v in own if v.id in driven]
    strings = [v for v in own if v.id in strung]
    others = [v for v in own if v.id not in driven | strung]
    for k, screw in enumerate(screws):
        for other in strings + others + screws[k + 1 :]:
            one, two = sorted((screw, other), key=lambda v: v.id)
            yield from _wall(layout, one, two, f"move {screw.id} away from {other.id}", screw=screw)
    for void in strings:
        for other in others:
            yield from _wall(layout, void, other, f"move {other.id} away from {void.id}")


def _wall(
    layout: Layout,
    one: Void,
    two: Void,
    cure: str,
    always: bool = False,
    screw: Void | None = None,
) -> Iterator[Finding]:
    """The wall between two cuts that are not meant to meet; where it is thick, only if `always`.
    `screw`: the pilot of the two, which is drilled less deep where that helps."""
    if (
        one is two
        or layout.meant(one, two)
        or not (always or at_least(one.shape, two.shape) < REACH)
    ):
        return
    found = gap(one.shape, two.shape)
    if always or found.distance < REACH:
        words = f"{found.distance:.2f} mm between {one.id} and {two.id}"
        if screw is not None and min(abs(z - screw.low) for _, _, z in found.at) < SIDE_BY_SIDE:
            cure = f"drill {screw.id} less deep, or {cure}"
        yield judge_gap((one.id, two.id), found, layout.shop.limit("ferrule-wall"), words, cure)
