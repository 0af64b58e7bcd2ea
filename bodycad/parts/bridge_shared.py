"""What bridges share: rows of saddles, the plate and its screws, string holes and their ferrules,
the rear edge that holds string ends, posts in their bushes, and the ground wire's place.

A bridge's own u runs along the strings toward the nut, v across them toward the bass, w up from the
face that it stands on.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, field
from typing import Annotated, ClassVar

from bodycad.declare import Count, Spot, between, declared, mm
from bodycad.errors import InputError, number
from bodycad.geometry.plane.build import circle, rectangle
from bodycad.geometry.plane.profile import Profile
from bodycad.geometry.solids.bore import Bore, bore
from bodycad.geometry.solids.prism import Prism
from bodycad.geometry.solids.solid import Point3
from bodycad.instrument.strings import BRIDGE_PAIR, Courses, even_centres
from bodycad.layout.interface import Hardware, Interface, Land, Saddle, StringHole, Terminal
from bodycad.layout.place import Place
from bodycad.layout.void import Room, Void
from bodycad.layout.workpiece import Workpiece
from bodycad.parts.part import wood_screws
from bodycad.units import Derived, Size, default, follows, guessed
from bodycad.words import Face, Operation, RoomKind, Wire

CHOICE = {"size": False}
DOWN: Point3 = (0.0, 0.0, -1.0)
FRONT, BACK = frozenset({Face.FRONT}), frozenset({Face.BACK})
WIDEST = 10.2
"""No saddle is drawn wider than this, mm (common practice, no source)."""
PLAY = 0.3
"""Air between neighbouring saddles as drawn, mm."""

Travel = Annotated[float, mm(-100.0, 150.0)]
"""Where a saddle may stand along the strings."""
Tall = Annotated[float, mm(0.5, 60.0)]
"""A string's point on its saddle over the face."""
Spots = Annotated[tuple[tuple[Spot, Spot], ...], Count(0, 50)]
Strings = Annotated[int, between(1, 18)]


@dataclass(frozen=True)
@declared("a ferrule")
class Ferrule:
    """A string ferrule at the back, a plain sleeve. depth: how far it is let in, the sleeve's
    length; hole: the diameter drilled for it, the sleeve's outside. The string's ball end seats on
    its floor. It ends flush with the plain back, or stands out of it by `proud` mm where that is
    meant."""

    hole: Annotated[float, mm(1.0, 40.0)] = default(7.9, 0.1)
    depth: Annotated[float, mm(0.5, 80.0)] = default(11.0, 0.3)
    proud: Annotated[float, mm(0.0, 20.0)] = field(default=0.0, metadata=CHOICE)


@dataclass(frozen=True)
@declared("a bridge")
class Spread:
    """A bridge has its instrument's spread. spread: from outer string to outer string at the
    saddles."""

    spread: Annotated[float, mm(5.0, 200.0)]


@dataclass(frozen=True)
class Saddled(Spread):
    """A bridge with a saddle for each string. window_rear, window_front: least and greatest u of
    the string's point on a saddle; saddle_low, saddle_high: its height over the face at both ends
    of travel. courses: how many strings stand in each course, treble first (none: all single);
    pair: their distance within a course, centre to centre."""

    strings: Strings = field(default=6, metadata=CHOICE)
    window_rear: Travel = default(9.0, 0.5)
    window_front: Travel = default(21.0, 0.5)
    saddle_low: Tall = default(9.5, 0.5)
    saddle_high: Tall = default(14.0, 0.5)
    courses: Courses = field(default=(), metadata=CHOICE, kw_only=True)
    pair: Annotated[float, mm(0.2, 30.0)] | None = field(default=None, kw_only=True)

    def __post_init__(self) -> None:
        if self.courses and self.pair is None:
            object.__setattr__(self, "pair", BRIDGE_PAIR)
        in_order(
            "saddle window", "window_rear", self.window_rear, "window_front", self.window_front
        )
        in_order("saddle heights", "saddle_low", self.saddle_low, "saddle_high", self.saddle_high)
        if self.strings > 1:
            _ = self.saddle_offsets  # refuses courses that are not so many strings

    @property
    def saddle_offsets(self) -> tuple[float, ...]:
        """v of each saddle, treble side (-v) first, mm."""
        return even_centres(self.strings, self.spread, self.courses, self.apart)

    @property
    def apart(self) -> float:
        """From string to string of a course, mm."""
        return self.pair or 0.0

    def shared_sizes(self) -> dict[str, str]:
        """Spread and pair of the saddles are the instrument's."""
        return {"spread": "bridge_spread"} | ({"pair": "pair_bridge"} if self.courses else {})

    def saddles(self, part: str, place: Place) -> Iterator[Saddle]:
        """A record a saddle, number 1 the treble's."""
        window = self.window_rear, self.window_front
        for k, v in enumerate(self.saddle_offsets, 1):
            yield saddle(f"{part}.saddle.{k}", part, place, v, window, self.heights)

    @property
    def heights(self) -> tuple[float, float]:
        """Lowest and highest of a string's point over the face, mm."""
        return self.saddle_low, self.saddle_high

    def blocks(self, part: str, place: Place, under: float) -> Iterator[Room]:
        """A room a saddle, over the whole of its travel, from `under` mm over the face up."""
        offsets = self.saddle_offsets
        steps = [b - a for a, b in zip(offsets, offsets[1:])]
        width = min([WIDEST, *(step - PLAY for step in steps)])
        if width <= 0.0:
            thing, allowed = "a bridge's saddles", f"more than {PLAY:g} mm from string to string"
            raise InputError(thing, min(steps), allowed, "give courses a wider pair")
        for k, v in enumerate(offsets, 1):
            window = self.window_rear, self.window_front
            name = f"{part}.saddle.{k}"
            yield saddle_room(name, part, place, v, width, window, (under, self.saddle_low))


@dataclass(frozen=True)
class Pitched(Spread):
    """A bridge that also leads or holds the strings' ends, `hole_pitch` mm apart (of courses, their
    middles)."""

    hole_pitch: Annotated[float, mm(1.0, 60.0)] = follows(10.5, 0.05)


@dataclass(frozen=True)
class Plated(Saddled, Pitched):
    """A plate with saddles. Left out, these follow from the others (common practice, no source),
    each a default to be measured. hole_pitch: from one string's end to the next, left out the
    saddles' own; plate_width: across the strings, left out the spread and 13.75 mm a side."""

    plate_front: Annotated[float, mm(1.0, 200.0)] = default(33.0, 0.3)
    plate_rear: Annotated[float, mm(-200.0, 200.0)] = default(7.0, 0.3)
    plate_width: Annotated[float, mm(5.0, 300.0)] = follows(80.0, 0.3)
    plate_thickness: Annotated[float, mm(0.3, 30.0)] = default(2.5, 0.2)

    def __post_init__(self) -> None:
        super().__post_init__()
        number("a bridge's plate_rear", self.plate_rear, above=-self.plate_front)
        # Worked out once: a part that turns out otherwise in one size keeps the others.
        if isinstance(self.hole_pitch, Derived):
            object.__setattr__(self, "hole_pitch", default(self._pitch(), 0.05))
        if isinstance(self.plate_width, Derived):
            object.__setattr__(self, "plate_width", default(self.spread + 27.5, 0.3))

    def _pitch(self) -> float:
        """The saddles' own pitch, from course to course."""
        steps, wide = outer(self.strings, self.courses, self.apart)
        return max((self.spread - wide) / steps, 1.0) if steps else 10.5

    @property
    def hole_offsets(self) -> tuple[float, ...]:
        """v of each string's end, treble side (-v) first, mm."""
        return ends_at(self.strings, self.hole_pitch, self.courses, self.apart)

    def plan(self, place: Place) -> Profile:
        """The plate's outline in plan."""
        middle = (self.plate_front - self.plate_rear) / 2.0
        length = self.plate_front + self.plate_rear
        return place.profile(rectangle(length, self.plate_width, 3.0, middle, 0.0))

    def bought(self, part: str, what: str, fills: tuple[RoomKind, ...]) -> Hardware:
        """The whole as it is bought."""
        sizes = (
            ("string spread", self.spread),
            ("hole pitch", self.hole_pitch),
            ("plate ahead of the holes", self.plate_front),
            ("plate width", self.plate_width),
        )
        words = f"{what}, {self.strings} strings"
        return Hardware(part=part, what=words, fills=fills, sizes=sizes)


@dataclass(frozen=True)
class Screwed(Plated):
    """A plate that wood screws hold, by a rule of its kind where they are not given."""

    screws: Spots | None = None
    screw_pilot: Annotated[float, mm(0.5, 12.0)] = default(2.4)
    screw_depth: Annotated[float, mm(1.0, 100.0)] = default(20.0)

    def __post_init__(self) -> None:
        super().__post_init__()
        if self.screws is None:
            object.__setattr__(self, "screws", usual(self._rule()))
        for index, (u, v) in enumerate(self.fixing, 1):
            thing, remedy = f"the u of a bridge's screw {index}", "screws go through the plate"
            number(thing, u, -self.plate_rear, self.plate_front, remedy=remedy)
            thing, remedy = f"the v of a bridge's screw {index}", "screws go through the plate"
            number(thing, v, -self.plate_width / 2.0, self.plate_width / 2.0, remedy=remedy)

    def _rule(self) -> Iterator[tuple[float, float]]:
        """(u, v) of the screws where none are given: three before the saddles, 6 mm before their
        window (3 mm inside the plate's end at most), in the middle and 10 mm inside each side, and
        two 2 mm behind the row of string ends, 6 mm inside each side."""
        ahead, half = min(self.window_front + 6.0, self.plate_front - 3.0), self.plate_width / 2.0
        yield from ((ahead, v) for v in (10.0 - half, 0.0, half - 10.0))
        yield from ((max(-2.0, 2.0 - self.plate_rear), v) for v in (6.0 - half, half - 6.0))

    @property
    def fixing(self) -> tuple[tuple[float, float], ...]:
        """(u, v) of the plate's screws."""
        return self.screws or ()

    def fixed(self, part: str, place: Place, name: str = "screw") -> Iterator[Void]:
        """The pilots of the plate's screws."""
        yield from pilots(part, place, self.fixing, self.screw_pilot, self.screw_depth, name)


@dataclass(frozen=True)
class Plate(Screwed):
    """A plate with saddles, screwed to the face; u = 0 is the row of the strings' ends. WHAT: what
    it is bought as; ITS_OWN: the kinds of its rooms that come with it."""

    WHAT: ClassVar[str] = "bridge on a plate"
    ITS_OWN: ClassVar[tuple[RoomKind, ...]] = (RoomKind.PLATE, RoomKind.SADDLE)

    def standing(self, part: str, place: Place, piece: Workpiece) -> Iterator[Interface]:
        """The plate as it is bought, saddles, its flat, its screws and the ground under it."""
        yield self.bought(part, self.WHAT, self.ITS_OWN)
        yield from self.saddles(part, place)
        yield Land(part=part, name=f"{part}.plate", face=Face.FRONT, plan=self.plan(place))
        names = (f"{part}.screw.{k}" for k in range(1, len(self.fixing) + 1))
        yield from wood_screws(part, piece, names, place.z, self.plate_thickness)
        yield ground(part, under=f"{part}.plate")

    def solids(self, part: str, place: Place) -> Iterator[Room]:
        """The plate and its saddles."""
        plate = Prism(self.plan(place), place.z, place.z + self.plate_thickness)
        yield Room(f"{part}.plate", part, RoomKind.PLATE, plate)
        yield from self.blocks(part, place, self.plate_thickness)


def outer(strings: int, courses: tuple[int, ...], pair: float) -> tuple[int, float]:
    """Steps from the middle of the first course to that of the last, and how much farther apart the
    outer strings are than those, mm."""
    many = courses or (1,) * strings
    return len(many) - 1, (many[0] + many[-1] - 2) * pair / 2.0


def ends_at(strings: int, pitch: float, courses: tuple[int, ...], pair: float) -> tuple[float, ...]:
    """v of string ends whose courses are `pitch` mm apart from middle to middle, treble first."""
    steps, wide = outer(strings, courses, pair)
    return even_centres(strings, pitch * steps + wide, courses, pair)


def usual(spots: Iterable[tuple[float, float]]) -> tuple[tuple[Size, Size], ...]:
    """Where the screws of a bridge usually stand: defaults, to be measured, and give or take
    0.5."""
    return tuple((default(u, 0.5), default(v, 0.5)) for u, v in spots)


def in_order(thing: str, one: str, low: float, two: str, high: float) -> None:
    """Raise InputError where `low` is not less than `high`."""
    if not low < high:
        raise InputError(f"a bridge's {thing}", (float(low), float(high)), f"{one} less than {two}")


def saddle(
    name: str,
    part: str,
    place: Place,
    v: float,
    window: tuple[float, float],
    heights: tuple[float, float],
    string: int | None = None,
) -> Saddle:
    """The record of a saddle at `v` that travels through `window` (u of both ends) along the
    bridge's own u, at `heights` over the face."""
    turn, middle = math.radians(place.turn_deg), (window[0] + window[1]) / 2.0
    half = (window[1] - window[0]) / 2.0
    return Saddle(
        part=part,
        id=name,
        at=place.at(middle, v, heights[0]),
        along=(math.cos(turn), math.sin(turn), 0.0),
        ahead=half,
        behind=half,
        low=place.z + heights[0],
        high=place.z + heights[1],
        string=string,
    )


def saddle_room(
    name: str,
    part: str,
    place: Place,
    v: float,
    width: float,
    window: tuple[float, float],
    span: tuple[float, float],
) -> Room:
    """What a saddle takes over its travel, from the first to the second height of `span`."""
    middle, length = (window[0] + window[1]) / 2.0, window[1] - window[0]
    block = place.profile(rectangle(length, width, min(0.5, length / 4.0), middle, v))
    return Room(name, part, RoomKind.SADDLE, Prism(block, place.z + span[0], place.z + span[1]))


def pilots(
    part: str,
    place: Place,
    spots: Sequence[tuple[float, float]],
    diameter: float,
    depth: float,
    name: str = "screw",
) -> Iterator[Void]:
    """Pilots of wood screws at (u, v), `depth` mm below the face, numbered from 1."""
    for index, spot in enumerate(spots, 1):
        own, start = f"{part}.{name}.{index}", (*place.point(*spot), 0.0)
        pilot = bore(start, DOWN, diameter, place.below(depth), name=own)
        marked = guessed(spot)
        yield Void(own, part, Face.FRONT, Operation.PILOT, pilot, FRONT, guessed=marked)


def fitting(ferrule: Ferrule | None, string_hole: float) -> None:
    """Raise InputError where a ferrule is not wider than the string hole it seats over."""
    if ferrule and ferrule.hole <= string_hole:
        allowed = f"more than the {string_hole:g} mm string hole"
        raise InputError("a ferrule's hole", float(ferrule.hole), allowed)


def bored(
    part: str,
    place: Place,
    offsets: Sequence[float],
    string_hole: float,
    ferrule: Ferrule | None,
    thickness: float,
    u: float = 0.0,
) -> Iterator[Void]:
    """String holes through the body at `u`, each with its ferrule's seat at the back."""
    if ferrule:
        thing = f"the depth of {part}'s ferrules"
        remedy = "use thicker stock or shorter ferrules"
        number(thing, ferrule.depth, high=thickness - 1.0, remedy=remedy)
    for index, v in enumerate(offsets, 1):
        x, y = place.point(u, v)
        name, sleeve = f"{part}.string.{index}", f"{part}.ferrule.{index}"
        hole = bore((x, y, 0.0), DOWN, string_hole, thickness, name=name)
        meets = frozenset({sleeve} if ferrule else ())
        yield Void(name, part, Face.FRONT, Operation.BORE, hole, FRONT | BACK, meets)
        if ferrule:
            seat = _sleeve(x, y, thickness, 0.0, ferrule)
            yield Void(sleeve, part, Face.BACK, Operation.BORE, seat, BACK)


def _sleeve(x: float, y: float, thickness: float, less: float, ferrule: Ferrule) -> Bore:
    """A ferrule's place at the back, `less` mm narrower than its hole."""
    return bore((x, y, -thickness), (0.0, 0.0, 1.0), ferrule.hole - less, ferrule.depth)


def threaded(
    part: str,
    place: Place,
    offsets: Sequence[float],
    ferrule: Ferrule | None,
    piece: Workpiece,
    u: float = 0.0,
    string: int | None = None,
) -> Iterator[Interface]:
    """The records of `bored`'s holes and seats (number 1 is the treble's), and the ferrules."""
    if ferrule:
        sizes: tuple[tuple[str, float], ...] = ("diameter", ferrule.hole), ("length", ferrule.depth)
        if ferrule.proud:
            sizes = (*sizes, ("of that proud of the back", ferrule.proud))
        kinds = (RoomKind.FERRULE,)
        yield Hardware(
            part=part, what="string ferrule", count=len(offsets), fills=kinds, sizes=sizes
        )
    for k, v in enumerate(offsets, 1):
        x, y = place.point(u, v)
        hole, sleeve, at = f"{part}.string.{k}", f"{part}.ferrule.{k}", (x, y, place.z)
        if ferrule and sleeve in piece.by_id:
            yield StringHole(
                part=part,
                hole=hole,
                seat=sleeve,
                at=at,
                string=string,
                rise=ferrule.depth + ferrule.proud,
                flange=ferrule.hole,
                proud=ferrule.proud,
            )
            plan = circle(ferrule.hole, x, y)
            yield Land(part=part, name=sleeve, face=Face.BACK, plan=plan)
        else:
            yield StringHole(part=part, hole=hole, at=at, string=string)


def sleeves(
    part: str,
    place: Place,
    offsets: Sequence[float],
    ferrule: Ferrule | None,
    thickness: float,
    u: float = 0.0,
) -> Iterator[Room]:
    """The ferrules themselves."""
    for index, v in enumerate(offsets if ferrule else (), 1):
        assert ferrule
        sleeve = _sleeve(*place.point(u, v), thickness, 0.05, ferrule)
        yield Room(f"{part}.sleeve.{index}", part, RoomKind.FERRULE, sleeve)


def ground(part: str, under: str | None = None, voids: tuple[str, ...] = ()) -> Terminal:
    """Where the strings' ground wire meets the metal: under a plate, or in the holes of posts."""
    return Terminal(part=part, kind=Wire.GROUND, under=under, voids=voids, linked=False)
