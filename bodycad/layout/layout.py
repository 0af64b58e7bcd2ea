"""The layout: workpieces, placed parts, rooms and interfaces of one instrument. The single source
for checks, solids and every export."""

from __future__ import annotations

import sys
from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass, field, replace
from functools import cached_property
from pathlib import Path
from typing import Annotated, Any, TypeVar

from bodycad.declare import Answers, Id, declared, mm
from bodycad.errors import Asked, InputError, nearest, place_of, whole_names
from bodycad.geometry.solids.skin import Skin
from bodycad.geometry.solids.solid import Shape, same
from bodycad.instrument.lines import Instrument
from bodycad.layout.blank import Blank
from bodycad.layout.core import neck_plan
from bodycad.layout.interface import Interface, known
from bodycad.layout.place import Place
from bodycad.layout.void import Room, Void
from bodycad.layout.workpiece import BODY, MOST_VOIDS, Workpiece
from bodycad.shop import Shop
from bodycad.tools import Drill
from bodycad.waiver import Waiver
from bodycad.words import Face, Operation

I = TypeVar("I", bound=Interface)  # noqa: E741


@dataclass(frozen=True, eq=False)
@declared("{id}")
class Placed:
    """A part with its id and place."""

    id: Id
    part: Annotated[Any, Answers("voids rooms interfaces")]
    place: Annotated[Place, "write Placed(id, part, Place(x, y))"] = field(default_factory=Place)


@dataclass(frozen=True)
@declared("the link from {one} to {two}")
class Link:
    """A connection that must have a way through the wood: ids of two placed parts, and the
    diameter of its bundle of wires, mm."""

    one: Id
    two: Id
    bundle: Annotated[float, mm(0.2, 60.0)] = 3.0


@dataclass(frozen=True, eq=False)
class Layout:
    """Everything about one instrument, mm.

    pieces: the workpieces, the body first. rooms and interfaces are in the instrument's frame,
    which is the body's own. asked: names of the sizes that the script asks its tables for."""

    name: str
    parameters: Mapping[str, Any]
    pieces: tuple[Workpiece, ...]
    instrument: Instrument
    placed: tuple[Placed, ...]
    rooms: tuple[Room, ...]
    interfaces: tuple[Interface, ...]
    links: tuple[Link, ...]
    shop: Shop
    left_handed: bool = False
    waivers: tuple[Waiver, ...] = ()
    revision: str = "1"
    asked: tuple[str, ...] = ()

    @property
    def body(self) -> Workpiece:
        """The workpiece that everything else is fitted to."""
        return self.pieces[0]

    @property
    def hand(self) -> str:
        """Of the player whom it is for: "left" or "right"."""
        return "left" if self.left_handed else "right"

    @property
    def skin(self) -> Skin:
        """The body's skin."""
        return self.body.skin

    @property
    def blank(self) -> Blank:
        """The body's blank."""
        assert self.body.blank is not None
        return self.body.blank

    @property
    def voids(self) -> tuple[Void, ...]:
        """The body's voids."""
        return self.body.voids

    @property
    def thickness(self) -> float:
        """Of the body's plain stock, mm."""
        return self.body.thickness

    @property
    def openings(self) -> Mapping[str, tuple[Void, ...]]:
        """The body's voids that are declared to open into each of its voids, by id."""
        return self.body.openings

    @cached_property
    def by_id(self) -> Mapping[str, Void]:
        """The voids of every workpiece by id."""
        return {void.id: void for piece in self.pieces for void in piece.voids}

    @cached_property
    def homes(self) -> Mapping[str, Workpiece]:
        """The workpiece that each void is cut in, by the void's id."""
        return {void.id: piece for piece in self.pieces for void in piece.voids}

    @cached_property
    def rooms_by_id(self) -> Mapping[str, Room]:
        """Rooms by id."""
        return {room.id: room for room in self.rooms}

    @cached_property
    def memo(self) -> dict[Any, Any]:
        """Figures derived from this layout that several checks ask for, each worked out once."""
        return {}

    @property
    def cut_memo(self) -> dict[Any, Any]:
        """The same for figures that depend on the body's cuts and skin alone."""
        return self.body.cut_memo

    def stated(self, kind: type[I]) -> tuple[I, ...]:
        """The records of one kind, in the order of the placed parts."""
        if kind not in self._stated:
            self._stated[kind] = tuple(one for one in self.interfaces if isinstance(one, kind))
        return self._stated[kind]

    @cached_property
    def _stated(self) -> dict[type, tuple[Any, ...]]:
        """Records by the kinds that were asked for."""
        return {}

    def with_parts(self, placed: tuple[Placed, ...], links: tuple[Link, ...]) -> Layout:
        """The same cuts with other placed parts and links, and what those parts state."""
        ids = {one.id for one in placed}
        stated = tuple(one for one in self.interfaces if one.part in ids)
        return replace(self, placed=placed, links=links, interfaces=stated)

    def with_body(self, **changes: Any) -> Layout:
        """The same layout with other fields of the body's workpiece."""
        return replace(self, pieces=(replace(self.body, **changes), *self.pieces[1:]))

    def voids_of(self, part: str) -> tuple[Void, ...]:
        """The body's voids that serve one placed part."""
        return self.body.voids_of(part)

    def meant(self, one: Void, two: Void) -> bool:
        """Whether two voids are declared to open into each other."""
        return self.body.meant(one, two)

    def mirrored(self) -> Layout:
        """The left-handed twin: all reflected in the centreline; parts keep their own shape."""
        return replace(
            self,
            pieces=tuple(piece.mirrored() for piece in self.pieces),
            instrument=self.instrument.mirrored(),
            placed=tuple(replace(p, place=p.place.mirrored()) for p in self.placed),
            rooms=tuple(room.mirrored() for room in self.rooms),
            interfaces=tuple(one.mirrored() for one in self.interfaces),
            left_handed=not self.left_handed,
        )


def lay_out(
    name: str,
    blank: Blank,
    skin: Skin,
    instrument: Instrument,
    parts: Sequence[Placed],
    links: Sequence[Link] = (),
    shop: Shop | None = None,
    *,
    left_handed: bool = False,
    parameters: Mapping[str, Any] | None = None,
    waivers: Sequence[Waiver] = (),
    pieces: Sequence[Workpiece] = (),
    revision: str = "1",
    asked: Sequence[str] = (),
) -> Layout:
    """Ask each part for its voids, rooms, pieces and interfaces at its place, and mirror the whole
    for a left hand. `pieces` are further workpieces that serve no part.

    Raises InputError for a part that does not answer, repeated ids, a `meets`, a link or an
    interface that names nothing, and words outside the vocabularies."""
    voids: list[Void] = []
    rooms: list[Room] = []
    more = list(pieces)
    for placed in parts:
        given = placed.id, placed.place, skin.thickness
        own = _answer(placed, "voids", Void, given), _answer(placed, "rooms", Room, given)
        if placed.place.z:
            _heeded(placed, skin.thickness, [one.shape for one in (*own[0], *own[1])])
        voids += own[0]
        rooms += own[1]
    if len(voids) > MOST_VOIDS:
        allowed = f"at most {MOST_VOIDS}, so that checks and kernel take seconds"
        remedy = "leave out rows of alike holes, and drill them by a template"
        raise InputError("the cuts of the body", f"{len(voids)} of them", allowed, remedy)
    shop = shop or Shop()
    body = drilled(Workpiece(BODY, skin, tuple(voids), blank), shop)
    for placed in parts:
        if hasattr(placed.part, "pieces"):
            more += _answer(placed, "pieces", Workpiece, (placed.id, placed.place, body))
    for piece in pieces:
        if piece.part:
            allowed = "none: a part answers its own pieces"
            raise InputError(f"the part of the workpiece {piece.id}", piece.part, allowed)
    more = [drilled(opened(piece, parts), shop) for piece in more]
    every = [v for piece in (body, *more) for v in piece.voids]
    _unique("part", [p.id for p in parts])
    # On some file systems "Cover" and "cover" are one name.
    _unique("workpiece", [BODY, *(piece.file_id.casefold() for piece in more)])
    _unique("void", [v.id for v in every])
    _unique("room", [r.id for r in rooms])
    for piece in (body, *more):
        _meetings(piece)
    _linked(links, {p.id for p in parts})
    void_ids, room_ids = frozenset(v.id for v in every), frozenset(r.id for r in rooms)
    stated: list[Interface] = []
    for placed in parts:
        answer = _answer(placed, "interfaces", object, (placed.id, placed.place, body))
        stated += [known(one, placed.id, void_ids, room_ids) for one in answer]
    body = replace(body, neck=neck_plan(stated, rooms, instrument))
    made = name, dict(parameters or {}), (body, *more), instrument
    said = tuple(parts), tuple(rooms), tuple(stated), tuple(links)
    layout = Layout(
        *made, *said, shop, waivers=tuple(waivers), revision=revision, asked=tuple(asked)
    )
    return layout.mirrored() if left_handed else layout


def answered_anew(layout: Layout, parts: Sequence[Placed]) -> Layout:
    """A right-handed layout whose parts answer anew for rooms and interfaces where `parts` has
    another of the same cuts in their place."""
    rooms, stated = list[Room](), list[Interface]()
    names = {one.id for one, old in zip(parts, layout.placed, strict=True) if one is not old}
    if not names:
        return layout
    for one in parts:
        if one.id in names:
            rooms += _answer(one, "rooms", Room, (one.id, one.place, layout.thickness))
        else:
            rooms += [room for room in layout.rooms if room.part == one.id]
    void_ids, room_ids = frozenset(layout.by_id), frozenset(room.id for room in rooms)
    for one in parts:
        if one.id not in names:
            stated += [record for record in layout.interfaces if record.part == one.id]
            continue
        answer = _answer(one, "interfaces", object, (one.id, one.place, layout.body))
        stated += [known(record, one.id, void_ids, room_ids) for record in answer]
    return replace(layout, placed=tuple(parts), rooms=tuple(rooms), interfaces=tuple(stated))


def opened(piece: Workpiece, parts: Sequence[Placed]) -> Workpiece:
    """A workpiece with what other parts cut in it: the holes in a guard of what hangs from it."""
    found: list[Void] = []
    for one in parts:
        if one.id != piece.part and hasattr(one.part, "openings"):
            found += _answer(one, "openings", Void, (one.id, one.place, piece))
    return replace(piece, voids=(*piece.voids, *found)) if found else piece


def drilled(piece: Workpiece, shop: Shop) -> Workpiece:
    """The piece with its holes as they are drilled: those square to their face in from that face,
    whichever end was drawn first; pilots with full diameter as deep as drawn, and beyond it the
    point of the shop's drill, unless they have a point of their own."""
    voids = []
    for void in piece.voids:
        if (shape := led_in(void)) is not void.shape:
            void = replace(void, shape=shape)
        hole = void.shape.hole
        if void.operation is Operation.PILOT and hole is not None and not hole.tip > 0.0:
            drill = shop.drill_for(hole.diameter, hole.length) or Drill(hole.diameter, hole.length)
            void = replace(void, shape=hole.with_point(drill.point_deg))
        voids.append(void)
    return replace(piece, voids=tuple(voids))


def led_in(void: Void) -> Shape:
    """The void's shape; of an upright hole with flat ends that was drawn toward its face, the same
    hole from its other end."""
    hole, up = void.shape.hole, 1.0 if void.face is Face.FRONT else -1.0
    outward = hole is not None and hole.upright and up * hole.direction[2] > 0.0
    if hole is None or not outward or hole.tip > 0.0 or void.face is Face.EDGE:
        return void.shape
    return replace(hole, start=hole.end, direction=(0.0, 0.0, -up))


def _heeded(placed: Placed, thickness: float, shapes: Sequence[Shape]) -> None:
    """Refuse a height of a place that moves nothing of its part: who gave it meant something."""
    flat = placed.id, replace(placed.place, z=0.0), thickness
    asked = (_answer(placed, name, object, flat) for name in ("voids", "rooms"))
    level = [one.shape for found in asked for one in found]
    if len(level) == len(shapes) and all(map(same, level, shapes)):
        thing = f"the height z of the place of {placed.id}"
        allowed = f"0: nothing of a {type(placed.part).__name__} counts from it"
        remedy = "leave it out; place.below(depth) is a depth under the front as one from the plain"
        raise InputError(thing, placed.place.z, allowed, f"{remedy} front")


def _answer(placed: Placed, name: str, kind: type, given: tuple[Any, ...]) -> list[Any]:
    """What a part answers to one question: items of the kind wanted, named after the part."""
    part, thing = placed.part, f"the part {placed.id}"
    question: Callable[..., Iterable[Any]] = getattr(part, name)
    try:
        found = question(*given)
    except InputError as error:
        error.of(placed.id)
        module = type(part).__module__
        own = getattr(sys.modules.get(module), "__file__", None)
        if own and not module.startswith("bodycad."):
            error.at(place_of(error, str(Path(own).resolve().parent)))
        raise
    except BaseException as error:
        error.add_note(Asked(f"{name} of {thing}"))
        raise
    if not isinstance(found, (tuple, list)):
        raise InputError(f"what {name} of {thing} returns", found, f"a tuple of {kind.__name__}")
    for one in found:
        if not isinstance(one, kind):
            raise InputError(f"an item of {name} of {thing}", one, f"a {kind.__name__}")
        named = (one, *one.voids) if isinstance(one, Workpiece) else (one,)
        for it in named:
            if isinstance(it, (Void, Room, Workpiece)) and it.part != placed.id:
                raise InputError(
                    f"the part of {it.id}, which {thing} answers", it.part, repr(placed.id)
                )
    return list(found)


def _meetings(piece: Workpiece) -> None:
    for void in piece.voids:
        if void.id in void.meets:
            thing = f"the cut that {void.id} leads into"
            raise InputError(thing, void.id, "another cut", "leave out its own id")
        for other in sorted(void.meets - piece.by_id.keys()):
            thing, known = f"the cut that {void.id} leads into", sorted(piece.by_id)
            allowed = f"the id of a cut in {piece.id}"
            remedy = nearest(other, known) or f"known: {whole_names(known)}"
            raise InputError(thing, other, allowed, remedy)


def _linked(links: Sequence[Link], parts: set[str]) -> None:
    for link in links:
        for end in (link.one, link.two):
            if end not in parts:
                remedy = nearest(end, parts) or f"known: {whole_names(sorted(parts))}"
                raise InputError("an end of a link", end, "the id of a placed part", remedy)


def _unique(kind: str, ids: list[str]) -> None:
    seen: set[str] = set()
    for one in ids:
        if one in seen:
            allowed = "an id used once in the design"
            raise InputError(f"a {kind} id", one, allowed, f"give each {kind} its own id")
        seen.add(one)
