"""`assembly`: the instrument put together, against the finished wood and against itself."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, replace
from functools import partial

import numpy as np

from bodycad.checks.finding import Finding, Witness, judge, passed
from bodycad.checks.page import Page
from bodycad.checks.rules.strung import on_saddles, over_parts, over_poles
from bodycad.checks.wood.finished import fins, step
from bodycad.checks.wood.near import room_inside, voids_within
from bodycad.checks.wood.rest import Rim, lying, on_side, outer, over_surface, under
from bodycad.checks.wood.stand import LOOK, Stand, stand
from bodycad.geometry.distance.gap import at_least, gap
from bodycad.geometry.distance.plan import inside_gap
from bodycad.geometry.distance.search import Gap
from bodycad.geometry.plane.region import near_pairs
from bodycad.geometry.solids.bore import bore
from bodycad.geometry.solids.solid import Point3, Shape, point3
from bodycad.layout.assembly import Seated, assembled, screws, seated, strung
from bodycad.layout.interface import Joint, Post, Screw
from bodycad.layout.layout import Layout
from bodycad.layout.void import Room, Void
from bodycad.words import SIDES, Face, RoomKind

PAGE = Page(
    asks="With every part where it goes (the neck where strings and scale want it, pickups at rest "
    "and lowered, strings open and pressed), does anything stand in the wood or in another part, "
    "does what lies on the wood lie on it, and does the finished wood end in a step or a fin?",
    why="It is the net under all other checks: each of them asks one question of one kind of part, "
    "and what none of them asks would pass. It looks at the body as drawn and states, for each "
    "part, the figure with the least to spare.",
    limits=(
        "assembly.wood",
        "assembly.rest",
        "assembly.sunk",
        "assembly.parts",
        "assembly.neck",
        "assembly.screw",
        "assembly.string",
        "assembly.saddle",
        "assembly.pole",
        "assembly.step",
        "assembly.fin",
    ),
    cures="Move or resize what is named, or its cut; the check that asks about it by name says by "
    "how much.",
)
NEAR = 2.0
"""Parts and screws farther than this from all else have no finding, and no thicker fin is looked
for, mm."""
LET_IN = (RoomKind.COVER, RoomKind.FERRULE, RoomKind.RING, RoomKind.PLATE)
"""What rests on the floor of a void that holds it."""
FLUSH = (RoomKind.COVER, RoomKind.FERRULE)
"""What is let in under the surface."""
LIES = (RoomKind.RING, RoomKind.PLATE, RoomKind.GUARD)
"""What lies on a face."""
ABOVE = (*LIES, RoomKind.SADDLE, RoomKind.POLE, RoomKind.KNOB)
"""What stands over a face by design: its height over it is no figure."""
ON_AXIS = 0.01
"""A screw stands on the axis of its hole within this, mm."""


def assembly(layout: Layout) -> Iterator[Finding]:
    """Everything that stands in or on the body, in the wood and against everything else."""
    rooms, necks = assembled(layout), seated(layout)
    found: list[Finding] = []
    found += _in_the_wood(layout, rooms)
    found += _together(layout, rooms)
    found += _necks(layout, necks)
    found += _screwed(layout, rooms)
    found += _surface(layout)
    for neck in necks:
        found += over_parts(layout, rooms, neck.seat)
        found += on_saddles(layout, neck.seat)
    found += over_poles(layout, rooms)
    yield from _least(found)
    yield passed("assembly", (), f"{len(rooms)} rooms of {len(layout.placed)} parts put together")


def _least(found: Iterable[Finding]) -> Iterator[Finding]:
    """Of the findings of one code and the same subjects the one with the least to spare, which says
    how many more fail."""
    groups: dict[tuple[str, tuple[str, ...]], list[Finding]] = {}
    for one in found:
        groups.setdefault(one.identity, []).append(one)
    for group in groups.values():
        worst = min(group, key=lambda f: (f.margin or 0.0) - f.bound)
        more = sum(f.status == "fail" for f in group) - 1
        yield replace(worst, text=f"{worst.text}, and {more} more") if more > 0 else worst


def _judge(
    layout: Layout,
    figure: str,
    part: str,
    value: float,
    text: str,
    cure: str,
    at: Witness | Point3,
    bound: float = 0.0,
) -> Finding:
    """A figure of one part against the limit assembly.`figure`."""
    limit = layout.shop.limit(f"assembly.{figure}")
    spots: Witness = at if isinstance(at[0], tuple) else (at, at)
    return judge((part,), value, limit, text, cure, at=spots, bound=bound)


def _in_the_wood(layout: Layout, rooms: Mapping[str, Room]) -> Iterator[Finding]:
    rims: list[tuple[Room, Rim, str]] = []
    for room, found in _stands(layout, rooms):
        above = room.kind in ABOVE and _over_a_face(layout, found.at[0])
        if found.value < 0.0 or not (above or found.value >= LOOK):
            yield _wood(layout, room, found)
        void = layout.body.by_id.get(found.against)
        if void is not None and room.kind in LET_IN:
            spot = under(room.shape, void)
            yield _rest(layout, room, spot.value, spot.of, spot.at)
        elif room.kind in LIES:
            rims.append((room, lying(room.id, room.shape, layout.body), "rest"))
        elif room.kind is RoomKind.BUTTON:
            spot = on_side(room.shape, layout.body)
            yield _rest(layout, room, spot.value, spot.of, spot.at)
        if void is not None and room.kind in FLUSH and void.face is not Face.EDGE:
            rims.append((room, outer(room.id, room.shape, void), "sunk"))
    heights = over_surface([rim for _, rim, _ in rims], layout.body)
    for (room, _, figure), spot in zip(rims, heights, strict=True):
        if figure == "rest":
            yield _rest(layout, room, spot.value, f"the {spot.of}", spot.at)
        else:
            side = "proud of" if spot.value > 0.0 else "under"
            words = f"{room.id} lies {abs(spot.value):.2f} mm {side} the shaped {spot.of}"
            cure = f"sink {room.id} deeper, or shape less away there"
            yield _judge(layout, figure, room.part, 0.0 - spot.value, words, cure, spot.at)


def _stands(layout: Layout, rooms: Mapping[str, Room]) -> Iterator[tuple[Room, Stand]]:
    """How every room but those that bite stands to the body's wood."""
    for room in rooms.values():
        if not _bites(room, layout):
            yield room, stand(room.shape, layout.body, partial(room_inside, layout))


def _over_a_face(layout: Layout, spot: Point3) -> bool:
    """Whether a place lies on or over the shaped front, or on or under an arched back."""
    x, y, z = spot
    if z >= 0.0:
        return True
    front, back = (float(layout.skin.height(f, np.array([[x, y]]))[0]) for f in SIDES)
    return z >= front or -layout.skin.thickness < z <= back


def _bites(room: Room, layout: Layout) -> bool:
    """Whether a room is that of a screw or post that holds in the wood round its own hole."""
    if room.kind not in (RoomKind.SCREW, RoomKind.POST) or room.shape.hole is None:
        return False
    own = [s.hole for s in layout.stated(Screw) if s.bites is None]
    own += [post.hole for post in layout.stated(Post)]
    holes = (layout.by_id[name].shape.hole for name in own)
    start = room.shape.hole.start
    return any(hole is not None and hole.off_axis(start) < ON_AXIS for hole in holes)


def _wood(layout: Layout, room: Room, found: Stand) -> Finding:
    words = (
        f"{room.id} stands {found.value:.2f} mm clear of {found.against}"
        if found.value >= 0.0
        else f"{room.id} stands {-found.value:.2f} mm in the wood"
    )
    cure = f"move {room.part}, or make room for {room.id}"
    return _judge(layout, "wood", room.part, found.value, words, cure, found.at, found.bound)


def _rest(layout: Layout, room: Room, gap: float, on: str, at: Point3) -> Finding:
    air = max(gap, 0.0)
    words = f"{air:.2f} mm of air under {room.id}, which should lie on {on or 'the wood'}"
    cure = f"let {room.id} down, or move {room.part} to where the wood carries it"
    return _judge(layout, "rest", room.part, air, words, cure, at)


def _together(layout: Layout, rooms: Mapping[str, Room]) -> Iterator[Finding]:
    """Rooms and screws of different parts against each other."""
    for one, two, value, found in _pairs(layout, rooms):
        words = f"clears {two.id} by" if value >= 0.0 else f"stands in {two.id} by"
        words, cure = f"{one.id} {words} {abs(value):.2f} mm", f"move {one.part} or {two.part}"
        part = one.part if one.part < two.part else two.part
        yield _judge(layout, "parts", part, value, words, cure, found.at, found.bound)


def _pairs(layout: Layout, rooms: Mapping[str, Room]) -> Iterator[tuple[Room, Room, float, Gap]]:
    """Rooms and screws of different parts that come within NEAR of each other, how far they clear
    (mm; less than nothing where they share so much), and their gap."""
    solids = [*rooms.values(), *screws(layout).values()]
    boxes = np.array([s.shape.box for s in solids]).reshape(-1, 6)[:, [0, 1, 3, 4, 2, 5]]
    for i, j in near_pairs(boxes, NEAR):
        one, two = solids[i], solids[j]
        if one.part == two.part or at_least(one.shape, two.shape) > NEAR:
            continue
        found = gap(one.shape, two.shape)
        value = found.distance if found.distance > 0.0 else -_shared(one.shape, two.shape)
        if value <= NEAR and not (value < 0.0 and lets_through(layout, one, two)):
            yield one, two, value, found


def _shared(one: Shape, two: Shape) -> float:
    """How deep (mm) two solids that meet stand in each other, as far as their boxes tell."""
    a, b = one.box, two.box
    return max(min(min(a[k + 3], b[k + 3]) - max(a[k], b[k]) for k in range(3)), 0.0)


def lets_through(layout: Layout, one: Room, two: Room) -> bool:
    """Whether one of two parts is a sheet with an opening that the other stands in, or a tenon's
    tongue that a cut for the other is let into."""
    tongues = {joint.tongue for joint in layout.stated(Joint)}
    for a, b in ((one, two), (two, one)):
        own = layout.body.voids_of(b.part) if a.id in tongues else ()
        if any(inside_gap(b.shape.plan, void.shape.plan)[0] >= 0.0 for void in own):
            return True
        for piece in layout.pieces[1:]:
            for void in piece.voids if piece.part == a.part else ():
                hole = piece.frame.profile(void.shape.plan)
                if inside_gap(b.shape.plan, hole)[0] >= 0.0:
                    return True
    return False


def _necks(layout: Layout, necks: Iterable[Seated]) -> Iterator[Finding]:
    """How far the neck that a joint states lies from where strings and scale want it, how far that
    stands from the end of its pocket, and whether its shaft finds a way out of the body."""
    own = layout.instrument.neck
    for neck in necks:
        joint, heel, off = neck.stated, neck.heel, 0.0
        if heel is not None and isinstance(joint, Joint):
            drawn = layout.rooms_by_id[joint.heel].shape
            plan = heel.profile.vertices[:, :2], drawn.plan.vertices[:, :2]
            off = max(
                float(np.abs(drawn.plan.signed_distance(plan[0])).max()),
                float(np.abs(heel.profile.signed_distance(plan[1])).max()),
                abs(_thick(drawn, neck.seat.mouth) - own.heel.thickness + own.board_thickness),
            )
        # A slanted fretboard's end is held at its middle.
        board = layout.rooms_by_id[joint.board].shape.plan
        off = max(off, abs(float(board.signed_distance(np.array([neck.board_end]))[0])))
        words = f"the neck stated for {joint.part} lies {off:.2f} mm beside or over the one"
        words = f"{words} that strings and scale want"
        cure = f"place {joint.part} at heel_end_x(neck), with the heel of the instrument's neck"
        yield _judge(layout, "neck", joint.part, off, words, cure, neck.seat.end)
        if not isinstance(joint, Joint):
            continue
        pocket = layout.by_id[joint.pocket].shape
        if neck.shaft is not None:
            found = stand(neck.shaft, layout.body, partial(room_inside, layout))
            if found.value < LOOK:
                words = f"the neck's shaft past {joint.heel} has {found.value:.2f} mm of air"
                cure = f"run {joint.pocket} on out of the body"
                spot, bound = found.at, found.bound
                yield _judge(layout, "wood", joint.part, found.value, words, cure, spot, bound)
        x, y, z = neck.seat.end
        end = np.array([[x, y]])
        air = float(-pocket.plan.signed_distance(end)[0])
        words = f"{max(air, 0.0):.2f} mm of air behind the end of {joint.heel} in {joint.pocket}"
        cure = f"move {joint.pocket} to where strings and scale want the neck"
        yield _judge(layout, "rest", joint.part, max(air, 0.0), words, cure, (x, y, z))


def _thick(block: Shape, mouth: Point3) -> float:
    """How thick a block is drawn at its mouth, mm: its floor may be tilted, its top is level."""
    low = block.box[2] if block.prism is None else float(block.prism.floor(*mouth[:2]))
    return block.box[5] - low


def _screwed(layout: Layout, rooms: Mapping[str, Room]) -> Iterator[Finding]:
    """Wood round the half of each screw that holds: in the body, or in the neck that it bites."""
    solids, body, rows = screws(layout), layout.body, list[Screw]()
    for screw in layout.stated(Screw):
        if screw.hole not in solids:
            continue
        if screw.bites is None:
            rows.append(screw)
            continue
        solid, host = solids[screw.hole].shape, rooms[screw.bites].shape
        up, tip = screw.way[2] > 0.0, np.add(screw.at, screw.reach * np.array(screw.way))[2]
        value = min(
            inside_gap(solid.plan, host.plan)[0],
            float(host.box[5] - tip if up else tip - host.box[2]),
        )
        if value < LOOK:
            yield _screw(layout, screw, value, f"the outside of {screw.bites}", solid.highest)
    if not rows:
        return
    share = np.linspace(0.5, 1.0, 4)
    points = np.array([np.add(s.at, t * s.reach * np.array(s.way)) for s in rows for t in share])
    skin, plan, z = body.skin, points[:, :2], points[:, 2]
    front, back = -skin.fall("front", plan), skin.fall("back", plan) - skin.thickness
    air = np.minimum(np.minimum(front - z, z - back), skin.inset(plan)).reshape(len(rows), -1)
    for screw, row, spots in zip(rows, air, points.reshape(len(rows), -1, 3), strict=True):
        k, own = int(np.argmin(row)), body.by_id[screw.hole]
        solid = _in_hole(screw, own, solids[screw.hole].shape)
        value, at, what = float(row[k]) - screw.thread / 2.0, point3(spots[k]), "the outside"
        for void in voids_within(body, solid.box, NEAR):
            if void is own or body.meant(own, void) or at_least(solid, void.shape) > NEAR:
                continue
            found = gap(solid, void.shape)
            if found.distance < value:
                value, at, what = found.distance, found.at[0], void.id
        if value < LOOK:
            yield _screw(layout, screw, value, what, at)


def _in_hole(screw: Screw, own: Void, solid: Shape) -> Shape:
    """What of a screw stands in its own hole: on the way there it may pass other cuts."""
    hole = own.shape.hole
    lead = 0.0 if hole is None else float(np.dot(np.subtract(hole.start, screw.at), screw.way))
    if not 0.0 < lead < screw.reach:
        return solid
    x, y, z = np.add(screw.at, lead * np.array(screw.way)).tolist()
    return bore((x, y, z), screw.way, screw.thread, screw.reach - lead)


def _screw(layout: Layout, screw: Screw, value: float, what: str, at: Point3) -> Finding:
    words = f"{value:.2f} mm of wood between the screw in {screw.hole} and {what}"
    cure = f"move {screw.part}, or use a shorter screw"
    return _judge(layout, "screw", screw.part, value, words, cure, at)


def _surface(layout: Layout) -> Iterator[Finding]:
    """Steps that contours leave, and fins beside voids."""
    for contour in layout.skin.contours:
        found = step(contour, layout.body)
        if found is not None:
            words = f"{contour.id} ends in a step of {found.value:.2f} mm within the outline"
            cure = "let the contour run out of the edge, or end it where it has no depth"
            yield _judge(layout, "step", contour.id, found.value, words, cure, found.at)
    for fin in fins(layout.body, NEAR):
        words = f"a fin of {max(fin.value, 0.0):.2f} mm stands between {fin.of} and the air"
        cure = f"move {fin.of} away from the edge or the contour, or take the fin away"
        yield _judge(layout, "fin", fin.of, fin.value, words, cure, fin.at)


@dataclass(frozen=True, eq=False)
class Claim:
    """What `assembly` holds of a solid and a workpiece: that it stands no deeper in its wood than
    `deep` (mm, 0 where it is clear of it), within `bound`."""

    id: str
    piece: str
    shape: Shape
    deep: float
    bound: float


def claims(layout: Layout) -> tuple[Claim, ...]:
    """What the check holds of everything that does not bite: rooms, the neck's shaft and the
    strings against the body, and rooms and screws against every other part's workpiece."""
    return tuple(_claims(layout))


def _claims(layout: Layout) -> Iterator[Claim]:
    rooms, necks = assembled(layout), seated(layout)
    body, *sheets = layout.pieces
    for room, found in _stands(layout, rooms):
        yield Claim(room.id, body.id, room.shape, max(-found.value, 0.0), found.bound)
    rods = []
    for neck in necks:
        if neck.shaft is not None:
            found = stand(neck.shaft, body, partial(room_inside, layout))
            deep = max(-found.value, 0.0)
            yield Claim(f"{neck.stated.part}.shaft", body.id, neck.shaft, deep, found.bound)
        for number in (line.number for line in layout.instrument.lines):
            for pressed, pose in ((False, "open"), (True, "pressed")):
                rods.append((f"string.{number}.{pose}", strung(layout, neck.seat, number, pressed)))
    deep_in: dict[tuple[str, str], tuple[float, float]] = {}
    for one, two, value, gap_found in _pairs(layout, rooms) if sheets else ():
        deep_in[one.id, two.id] = deep_in[two.id, one.id] = max(-value, 0.0), gap_found.bound
    for piece in layout.pieces:
        yield from (Claim(name, piece.id, rod, 0.0, 0.0) for name, rod in rods)
    for piece in sheets:
        for room in (*rooms.values(), *screws(layout).values()):
            if room.part != piece.part:
                yield Claim(
                    room.id, piece.id, room.shape, *deep_in.get((piece.id, room.id), (0.0, 0.0))
                )
