"""`complete`: is anything forgotten, in the wood or in what the parts state?"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from enum import StrEnum

from bodycad.checks.finding import Finding, failed, judge, passed
from bodycad.checks.page import Page
from bodycad.checks.strings_served import anchored, saddles, string_holes
from bodycad.checks.wood.near import open_into
from bodycad.checks.wood.onward import toward
from bodycad.geometry.distance.gap import gap
from bodycad.geometry.solids.solid import Shape
from bodycad.instrument.lines import StringLine
from bodycad.layout.bought import things
from bodycad.layout.interface import (
    KINDS,
    Bush,
    Core,
    Fit,
    Hardware,
    Hides,
    Interface,
    Joint,
    Land,
    Mass,
    Poles,
    Post,
    Saddle,
    Screw,
    StringHole,
    Sweep,
    Terminal,
    Way,
)
from bodycad.layout.layout import Layout
from bodycad.layout.void import Void
from bodycad.words import Face, Operation, RoomKind, SweepKind, Wire

PAGE = Page(
    asks="Has every part its holes, does every hole open where it should, does every cut lie "
    "within the blank, is every part that an instrument needs there, and does every part state "
    "what the other checks must ask of it, and once what it is bought as?",
    why="The forgotten hole is found at first stringing, with the finish on; what no part states "
    "no check asks and no list of parts has.",
    limits=("complete",),
    cures="Place the missing part, lengthen the hole that stops short, or let the part state what "
    "it needs.",
)

FITTED = (RoomKind.PICKUP, RoomKind.COVER, RoomKind.CAN, RoomKind.BATTERY)
"""What must go into a void."""
Need = tuple[type[Interface], ...]
"""Any of these records will do."""
SPOKEN_OF: Mapping[StrEnum, Need] = {
    RoomKind.NECK: (Joint,),
    RoomKind.BOARD: (Joint, Core),
    **dict.fromkeys(FITTED, (Fit,)),
    **dict.fromkeys((RoomKind.KNOB, RoomKind.PLUG, RoomKind.SWING, RoomKind.TOOL), (Sweep,)),
    RoomKind.RING: (Hides,),
    Operation.PILOT: (Screw,),
    Operation.CHANNEL: (Way,),
    Operation.POST: (Post,),
}
"""A room or void of this kind is spoken of by one of these."""
STATED: Mapping[StrEnum, Need] = {
    **dict.fromkeys((RoomKind.PICKUP, RoomKind.POLE), (Poles,)),
    **dict.fromkeys((RoomKind.RING, RoomKind.PLATE, RoomKind.BUTTON, RoomKind.GUARD), (Land,)),
    **dict.fromkeys((RoomKind.CAN, RoomKind.KNOB), (Bush, Screw)),
    RoomKind.SCREW: (Screw,),
    RoomKind.FERRULE: (Screw, StringHole),
    RoomKind.SADDLE: (Saddle,),
    RoomKind.POST: (Post,),
    RoomKind.JACK: (Sweep,),
}
"""The part of a room of this kind states one of these."""
BODILESS = (Way, Terminal, Screw, Mass, Hardware)
"""What a part without a room may state: ways and wires, screws, which stand for themselves, and
what is only weighed or bought."""
WIRED = (RoomKind.PICKUP, RoomKind.CAN, RoomKind.JACK, RoomKind.BATTERY)
"""Parts with rooms of these kinds have wires."""
SOLID = (RoomKind.PICKUP, RoomKind.POLE)
BESIDE = 0.01
"""A record may tell a place this far beside its hole's axis, mm."""
TOUCH = 1e-6
"""Rooms no farther apart than this touch, mm."""


def complete(layout: Layout) -> Iterator[Finding]:
    """Strings, neck, straps and wires; rooms and voids and their records; openings; the blank."""
    yield from _strings(layout)
    yield from _whole(layout)
    yield from _records(layout)
    yield from _roomless(layout)
    yield from _placed(layout)
    yield from _wires(layout)
    yield from _bought(layout)
    for placed in layout.placed:
        cut = any(v.part == placed.id for piece in layout.pieces for v in piece.voids)
        if not cut and not any(room.part == placed.id for room in layout.rooms):
            code, words = "complete.empty", f"{placed.id} has no cut, no hole and no room"
            yield failed(code, (placed.id,), words, "give the part its holes or leave it out")
    opened = 0
    for piece in layout.pieces:
        for void in piece.voids:
            for other in sorted(void.meets):
                if open_into(piece, void, piece.by_id[other]):
                    opened += 1
                else:
                    yield _short(layout, void, piece.by_id[other])
    for void, beyond in outside(layout):
        words = f"{void.id} lies {beyond:.2f} mm outside the blank"
        yield failed("complete.blank", (void.id, "blank"), words, f"move {void.part} into the body")
    words = f"{len(layout.placed)} parts, {len(layout.voids)} cuts and holes, {opened} openings"
    yield passed("complete", (), f"{words}, {len(layout.links)} connections")


def _short(layout: Layout, void: Void, other: Void) -> Finding:
    found = gap(void.shape, other.shape)
    subjects = (void.id, other.id)
    short = f"{found.distance:.2f} mm short of {other.id}"
    words = f"{void.id} stops {short}, which it should open into"
    cure = toward(void, other)
    return judge(subjects, -found.distance, layout.shop.limit("complete"), words, cure, at=found.at)


def _strings(layout: Layout) -> Iterator[Finding]:
    """Each string has one saddle, and one hole, one anchor or both that hold its end."""
    bearing, holes, anchors = saddles(layout), string_holes(layout), anchored(layout)
    yield from _unserved(layout, "saddle", "Saddle", bearing)
    yield from _unserved(layout, "anchor", "StringHole or Anchor", (*holes, *anchors))
    for what, served in (("saddle", bearing), ("hole", holes), ("anchor", anchors)):
        taken: dict[int, str] = {}
        over: dict[tuple[str, str], str] = {}
        for one, line in served:
            name = getattr(one, "id", getattr(one, "hole", one.part))
            if line is None:
                over[name, "strings"] = "no string"
            elif (first := taken.setdefault(line.number, name)) != name:
                over[name, f"string.{line.number}"] = f"a string that {first} serves"
        for (name, string), words in over.items():
            text = f"{name} serves {words}: there are {len(layout.instrument.lines)} strings"
            cure = f"leave {name} out, or say which string it serves"
            yield failed(f"complete.{what}.over", (name, string), text, cure)


def _unserved(
    layout: Layout, code: str, kind: str, served: Iterable[tuple[Interface, StringLine | None]]
) -> Iterator[Finding]:
    parts = dict.fromkeys(one.part for one, _ in served)
    have = {line.number for _, line in served if line}
    rows = [line.number for line in layout.instrument.lines if line.number not in have]
    names = f"{' and '.join(parts)} state{'s' if len(parts) == 1 else ''} no {kind} for string"
    for subject, words in (
        [((*parts, f"string.{k}"), f"{names} {k}") for k in rows]
        if parts
        else [(("strings",), f"no part states a {kind} for any string")]
    ):
        cure = "place a bridge, or let its part state one for each string"
        yield failed(f"complete.{code}", subject, words, cure)


def _whole(layout: Layout) -> Iterator[Finding]:
    """What the instrument as a whole needs some part to state."""
    buttons = {room.part for room in layout.rooms if room.kind is RoomKind.BUTTON}
    straps = [one for one in layout.stated(Land) if one.face is Face.EDGE and one.part in buttons]
    plugs = [one for one in layout.stated(Sweep) if one.kind is SweepKind.PLUG]
    necks = (*layout.stated(Joint), *layout.stated(Core))
    needed = [
        ("joint", necks, 1, "a neck joint", "a Joint or a Core for the neck"),
        ("strap", straps, 2, "two strap buttons", "a Land on the edge and a button's room"),
    ]
    if _picked_up(layout):
        needed += [
            ("control", layout.stated(Bush), 1, "a control", "a Bush"),
            ("jack", plugs, 1, "a jack", "a Sweep of a plug"),
        ]
    for code, found, count, words, record in needed:
        if len(found) < count:
            text = f"the design has {len(found)} of {words}; a part that is one states {record}"
            yield failed(f"complete.{code}", (words,), text, f"place {words}")


def _picked_up(layout: Layout) -> bool:
    """Whether the design has pickups."""
    return bool(layout.stated(Poles)) or any(r.kind is RoomKind.PICKUP for r in layout.rooms)


def _kind(record: Interface) -> type[Interface]:
    """Which of KINDS a record is: it may be of a subclass of a maker's own."""
    return next(kind for kind in KINDS if isinstance(record, kind))


def _records(layout: Layout) -> Iterator[Finding]:
    """Rooms and voids of a kind that some check must hear of are spoken of, and screws bear."""
    stated = {(_kind(one), one.part) for one in layout.interfaces}
    named = {
        (kind, holds, name)
        for kind in KINDS
        for one in layout.stated(kind)
        for holds in ("room", "void")
        for name in one.names(holds)
    }
    said: set[tuple[str, Need]] = set()
    for name, part, kind, holds in (
        *((room.id, room.part, room.kind, "room") for room in layout.rooms),
        *((void.id, void.part, void.operation, "void") for void in layout.by_id.values()),
    ):
        need = SPOKEN_OF.get(kind, ())
        if need and not any((one, holds, name) in named for one in need):
            yield _unstated(part, need, name)
        need = STATED.get(kind, ())
        if need and (part, need) not in said and not any((one, part) in stated for one in need):
            said.add((part, need))
            yield _unstated(part, need, name)
    solid = {room.part for room in layout.rooms if room.kind is RoomKind.PICKUP}
    for part in dict.fromkeys(one.part for one in layout.stated(Poles)):
        if part not in solid and (Fit, part) not in stated and layout.voids_of(part):
            yield _unstated(part, (Fit,), part)
    hidden = {name for one in layout.stated(Hides) for name in (*one.voids, one.recess)}
    for one in layout.stated(Hides):
        for void in layout.voids_of(one.part):
            if void.face == one.face and void.operation.routed and void.id not in hidden:
                yield _unstated(one.part, (Hides,), void.id)
    for screw in layout.stated(Screw):
        if screw.seat is None and screw.flange <= 0.0:
            words = f"the screw of {screw.hole} has neither a seat nor a flange: nothing stops it"
            cure = "give the Screw the void of its counterbore, or the diameter of its head"
            yield failed("complete.screw.seat", (screw.hole,), words, cure)
        if screw.length is not None and screw.length < screw.reach - TOUCH:
            words = f"the screw of {screw.hole} is {screw.length:.2f} mm long and reaches"
            words, cure = (
                f"{words} {screw.reach:.2f} mm",
                "give the Screw the length it is bought in",
            )
            yield failed("complete.screw.length", (screw.hole,), words, cure)
        if screw.clamps and screw.rise is None:
            words = f"the screw of {screw.hole} does not say how far it stands out from its seat"
            cure = "give the Screw its rise: the height of head and ferrule over the seat, mm"
            yield failed("complete.screw.rise", (screw.hole,), words, cure)
        if screw.free and screw.head is None:
            words = f"the screw of {screw.hole} does not say how its head sits on {screw.free}"
            cure = 'give the Screw head="countersunk", or "flat" and its rise'
            yield failed("complete.screw.head", (screw.hole,), words, cure)
    for bush in layout.stated(Bush):
        if bush.diameter is None:
            words = f"the bush in {bush.hole} does not say how wide it is"
            cure = "give the Bush the outside diameter of its thread, mm"
            yield failed("complete.bush.diameter", (bush.hole,), words, cure)
        if bush.under is None and layout.homes[bush.hole] is layout.body:
            words = f"the bush in {bush.hole} does not say what void its wood ends at"
            cure = "give the Bush the void under it: its ceiling is the lower face of the wood"
            yield failed("complete.bush.under", (bush.hole,), words, cure)
    for hole in layout.stated(StringHole):
        if hole.seat and hole.rise is None:
            words = f"the ferrule in {hole.seat} does not say how far it reaches out of its seat"
            cure = "give the StringHole its rise and its flange, mm"
            yield failed("complete.stringhole.rise", (hole.seat,), words, cure)


def _roomless(layout: Layout) -> Iterator[Finding]:
    """Parts without a room whose cuts no record speaks of, or whose records are of a solid thing:
    no check could hold them against the wood."""
    roomy = {room.part for room in layout.rooms}
    spoken = {name for one in layout.interfaces for name in one.names("void")}
    things: dict[str, list[str]] = {}
    for void in layout.body.voids:
        if void.id not in spoken and void.operation not in SPOKEN_OF:
            things.setdefault(void.part, []).append(void.id)
    for one in layout.interfaces:
        if not isinstance(one, BODILESS):
            things.setdefault(one.part, []).append(f"a {_kind(one).__name__}")
    for placed in layout.placed:
        if placed.id not in roomy and placed.id in things:
            named = " and ".join(dict.fromkeys(things[placed.id]))
            words = f"{placed.id} has {named} but no room: nothing is held against the wood"
            cure = f"let rooms of {placed.id} return the solids it fills; a hollow that stays empty"
            cure = f"{cure} states a Terminal, linked=False"
            yield failed("complete.rooms", (placed.id,), words, cure)


def _unstated(part: str, need: Need, thing: str) -> Finding:
    words = " or ".join(one.__name__ for one in need)
    text = f"{part} states no {words} for {thing}: no check can ask about it"
    cure = f"let interfaces of {part} return a {words} that speaks of it"
    return failed(f"complete.{need[0].__name__.lower()}", (thing,), text, cure)


def _placed(layout: Layout) -> Iterator[Finding]:
    """What a record says of a place agrees with the hole or the room that it speaks of."""
    bored: list[StringHole | Screw | Bush] = [*layout.stated(StringHole), *layout.stated(Screw)]
    for one in (*bored, *layout.stated(Bush)):
        bore = layout.by_id[one.hole].shape.hole
        at = layout.homes[one.hole].frame.own(one.at)
        if bore and (off := bore.off_axis(at)) > BESIDE:
            yield _astray(one, one.hole, f"{off:.2f} mm beside the axis of {one.hole}")
    for saddle in layout.stated(Saddle):
        room = layout.rooms_by_id.get(saddle.id)
        if room and not room.shape.plan.contains(*saddle.at[:2]):
            yield _astray(saddle, saddle.id, "outside its own room")
    for poles in layout.stated(Poles):
        solid = [r.shape.plan for r in layout.rooms if r.part == poles.part and r.kind in SOLID]
        if solid and not all(any(p.contains(x, y) for p in solid) for x, y, _ in poles.points):
            yield _astray(poles, poles.part, "outside the pickup's rooms")


def _astray(one: Interface, subject: str, words: str) -> Finding:
    text = f"{one.part} states a {_kind(one).__name__} that stands {words}"
    cure = "give the record the place where the part is cut and stands"
    return failed("complete.place", (subject,), text, cure)


def _wires(layout: Layout) -> Iterator[Finding]:
    """Every electrical part says where its wires end and is connected; the strings are grounded."""
    ends = {end for link in layout.links for end in (link.one, link.two)}
    terminals = layout.stated(Terminal)
    wired = {room.part for room in layout.rooms if room.kind in WIRED} | ends
    for part in sorted(wired - {one.part for one in terminals}):
        yield _unstated(part, (Terminal,), part)
    for part in dict.fromkeys(one.part for one in terminals if one.linked):
        if part not in ends:
            words = f"{part} has no connection to anything"
            yield failed("complete.link", (part,), words, f"add a Link for {part}")
    yield from _heard(layout)
    if not _picked_up(layout):
        return
    grounds = [one for one in terminals if one.kind == Wire.GROUND]
    under = [layout.rooms_by_id[one.under].shape for one in grounds if one.under]
    grounded = {one.part for one in grounds}
    touched = (*saddles(layout), *string_holes(layout), *anchored(layout))
    for line in layout.instrument.lines:
        parts = {one.part for one, served in touched if served is line}
        if parts and not parts & grounded and not _lies_on(layout, parts, under):
            words = f"string {line.number} touches no metal that states a Terminal of kind ground"
            cure = f"let {' or '.join(sorted(parts))} state where its ground wire ends"
            yield failed("complete.ground", (*sorted(parts), f"string.{line.number}"), words, cure)


def _heard(layout: Layout) -> Iterator[Finding]:
    """Every connected part leads to a jack, over others or by itself: a pickup that is joined to
    another one alone is not heard."""
    jacks = {room.part for room in layout.rooms if room.kind is RoomKind.JACK}
    jacks &= {end for link in layout.links for end in (link.one, link.two)}
    groups: list[set[str]] = []
    for link in layout.links:
        joined = {link.one, link.two}.union(*(g for g in groups if {link.one, link.two} & g))
        groups = [g for g in groups if not g & joined] + [joined]
    for group in groups if jacks else ():
        if not group & jacks:
            own = tuple(sorted(group))
            words = f"{', '.join(own)} are connected with each other, and not with a jack"
            cure = f"add a Link from one of them to {min(jacks)}"
            yield failed("complete.heard", own, words, cure)


def _bought(layout: Layout) -> Iterator[Finding]:
    """The list of parts names each thing that fills a room once: what no part says is not bought,
    what two records say is bought twice."""
    for one in things(layout):
        part, room = one.part, one.rooms[0]
        if not one.times:
            words = f"{part} does not say what {room} is bought as: the list of parts lacks it"
            cure = f'let interfaces of {part} return a Hardware with fills=("{one.kind}",)'
            yield Finding("complete.hardware", "warn", (room,), words, cure=cure)
        elif one.times > 1:
            own = " beside its workpiece" if one.cut else ""
            words = f"{part} says {len(one.said)} times{own} what {room} is bought as"
            cure = f"let one Hardware of {part} fill its {one.kind}, or none where it is cut"
            yield failed("complete.hardware.twice", (room,), words, cure)
        elif one.kind is RoomKind.FERRULE and one.said[0].count != len(one.rooms):
            words = f"{part} has {len(one.rooms)} ferrules, and {one.said[0].count} are bought"
            cure = f"give the Hardware of {part} count={len(one.rooms)}"
            yield failed("complete.hardware.count", (room,), words, cure)


def _lies_on(layout: Layout, parts: set[str], metal: list[Shape]) -> bool:
    """Whether a room of those parts touches grounded metal, which grounds it."""
    rooms = [room.shape for room in layout.rooms if room.part in parts]
    return any(gap(room, one).distance <= TOUCH for room in rooms for one in metal)


def outside(layout: Layout) -> list[tuple[Void, float]]:
    """The cuts from a face that reach beyond the blank of their workpiece, or beyond its outline
    where it has none, and how far (mm); those that open in the edge may."""
    found = []
    for piece in layout.pieces:
        blank, plan = piece.blank, piece.skin.outline.box
        u0, v0, u1, v1 = (blank.x0, blank.y0, blank.x1, blank.y1) if blank else plan
        for void in piece.voids:
            x0, y0, _, x1, y1, _ = void.shape.box
            beyond = max(u0 - x0, v0 - y0, x1 - u1, y1 - v1)
            if Face.EDGE not in void.opens and beyond > 1e-3:
                found.append((void, beyond))
    return found
