"""Bridges and tailpieces on two posts: their bushes let into the body, a bar across them."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass, field, replace
from typing import Annotated

from bodycad.declare import Count, Spot, declared, mm
from bodycad.errors import InputError, number
from bodycad.geometry.plane.build import rectangle
from bodycad.geometry.solids.bore import bore
from bodycad.geometry.solids.prism import Prism
from bodycad.instrument.strings import BRIDGE_PAIR, Courses, even_centres
from bodycad.layout.interface import Anchor, Hardware, Interface, Mass, Post
from bodycad.layout.place import Place
from bodycad.layout.void import Room, Void
from bodycad.layout.workpiece import Workpiece
from bodycad.parts.bridge_shared import (
    CHOICE,
    DOWN,
    FRONT,
    Saddled,
    Spread,
    Strings,
    Tall,
    Travel,
    ends_at,
    ground,
    in_order,
    saddle,
)
from bodycad.units import default
from bodycad.words import Face, Operation, RoomKind

Wide = Annotated[float, mm(20.0, 250.0)]
Held = Annotated[float, mm(0.0, 60.0)]


@dataclass(frozen=True)
@declared("a pair of posts")
class Posts:
    """Two posts in press-fitted bushes.

           spread
      |<----------->|
    __|__         __|__   <- stud: thickness of the post over the face
    | | |         | | |
    |_|_|         |_|_|   bush: diameter of its hole, depth of the hole below the face
    """

    spread: Wide = default(74.0, 0.3)
    bush: Annotated[float, mm(2.0, 30.0)] = default(11.0, 0.1)
    depth: Annotated[float, mm(3.0, 60.0)] = default(20.0, 0.5)
    stud: Annotated[float, mm(1.0, 25.0)] = default(8.0, 0.3)

    def __post_init__(self) -> None:
        number("a post's stud", self.stud, high=self.bush)

    @property
    def offsets(self) -> tuple[float, float]:
        """v of both posts, treble side first, mm."""
        return -self.spread / 2.0, self.spread / 2.0

    def names(self, part: str) -> tuple[str, ...]:
        """Ids of the bushes' holes."""
        return tuple(f"{part}.post.{k}" for k in (1, 2))

    def holes(self, part: str, place: Place, u: float = 0.0) -> Iterator[Void]:
        """A hole for each bush."""
        for name, v in zip(self.names(part), self.offsets, strict=True):
            start = (*place.point(u, v), 0.0)
            hole = bore(start, DOWN, self.bush, place.below(self.depth), name=name)
            yield Void(name, part, Face.FRONT, Operation.POST, hole, FRONT)

    def leaning(
        self, part: str, place: Place, pivot: float = 0.0, springs: float | None = None
    ) -> Iterator[Post | Hardware]:
        """A record a post, which the strings pull toward the nut; and the posts as bought. pivot:
        over the face, where what they carry tips on them; springs: as of a `Post`."""
        turn = math.radians(place.turn_deg)
        pull = math.cos(turn), math.sin(turn), 0.0
        for name, v in zip(self.names(part), self.offsets, strict=True):
            at = None if springs is None else place.at(0.0, v, pivot)
            yield Post(part=part, hole=name, pull=pull, pivot=at, springs=springs)
        yield Hardware(
            part=part,
            what="post with its bush",
            count=2,
            fills=(RoomKind.POST,),
            sizes=(("bush diameter", self.bush), ("bush length", self.depth), ("post", self.stud)),
        )

    def solids(self, part: str, place: Place, top: float, u: float = 0.0) -> Iterator[Room]:
        """Bushes as deep as their holes, and the posts from them up to `top` over the face."""
        for k, v in enumerate(self.offsets, 1):
            face, up = place.at(u, v), place.at(u, v, top)
            bush = bore(face, DOWN, self.bush, self.depth)
            yield Room(f"{part}.bush.{k}", part, RoomKind.POST, bush)
            if top > 0.0:
                stud = bore(up, DOWN, self.stud, top)
                yield Room(f"{part}.stud.{k}", part, RoomKind.POST, stud)


@dataclass(frozen=True)
@declared("a bridge")
class PostBridge(Saddled):
    """A bridge of saddles on a bar between two posts; its datum is the middle between the posts.

                 posts.spread                          window: least and greatest u of the string's
        |<------------------------------->|            point on a saddle
       (o)=[=]==[=]==[=]==[=]==[=]==[=]==(o)   ^
                                               bar_width, along the strings
        <------------ bar_length -------->     v

                  /o\\      ^ saddle_rise: the string's point over the bar's top
        ~~~~~~~~~|   |~~~~ v
        |       bar      |   bar_height
        ~~~~~~~~~~~~~~~~~~
    saddle_low, saddle_high: height of the string's point over the face with the bar screwed down
    and up. The strings are held behind it, by a tailpiece or through the body; `grounded`: the
    strings' ground wire comes to one of its posts, not to the tailpiece's."""

    window_rear: Travel = default(-5.0, 0.5)
    window_front: Travel = default(5.0, 0.5)
    saddle_low: Tall = default(13.0, 0.5)
    saddle_high: Tall = default(20.0, 0.5)
    posts: Posts = Posts()
    bar_width: Annotated[float, mm(2.0, 60.0)] = default(14.0, 0.3)
    bar_length: Wide = default(92.0, 0.5)
    bar_height: Annotated[float, mm(1.0, 40.0)] = default(7.0, 0.5)
    saddle_rise: Annotated[float, mm(0.0, 30.0)] = default(3.5, 0.5)
    grounded: bool = False

    def __post_init__(self) -> None:
        super().__post_init__()
        least = self.bar_height + self.saddle_rise
        number("a bridge's saddle_low", self.saddle_low, low=least, remedy="the bar lies lower")
        number("a bridge's post spread", self.posts.spread, self.spread, self.bar_length)

    def voids(self, part: str, place: Place, thickness: float) -> tuple[Void, ...]:
        return tuple(self.posts.holes(part, place))

    def interfaces(self, part: str, place: Place, piece: Workpiece) -> tuple[Interface, ...]:
        """Saddles on their bar, posts with the strings' pull, and 0.12 kg (common practice, no
        source); the ground at a post where it is grounded."""
        carried = (replace(one, bar=f"{part}.bar") for one in self.saddles(part, place))
        wire = (ground(part, voids=self.posts.names(part)),) if self.grounded else ()
        bar = Hardware(
            part=part,
            what=f"bridge on two posts, {self.strings} strings",
            fills=(RoomKind.PART, RoomKind.SADDLE),
            sizes=(("string spread", self.spread), ("post spread", self.posts.spread)),
        )
        return *carried, *self.posts.leaning(part, place), *wire, Mass(part=part, kg=0.12), bar

    def rooms(self, part: str, place: Place, thickness: float) -> tuple[Room, ...]:
        top = self.saddle_low - self.saddle_rise
        under, plan = top - self.bar_height, rectangle(self.bar_width, self.bar_length, 1.0)
        solid = Prism(place.profile(plan), place.z + under, place.z + top)
        return (
            Room(f"{part}.bar", part, RoomKind.PART, solid),
            *self.blocks(part, place, top),
            *self.posts.solids(part, place, under),
        )


@dataclass(frozen=True)
@declared("a tailpiece")
class Tailpiece:
    """A bar on two posts that holds the strings' ends behind a bridge; its datum is the middle
    between the posts.

        (o)-----------------------------(o)   ^ bar_width
         |  o    o    o    o    o    o   |    v          o: string holes, hole_pitch apart, where
        <----------- bar_length --------->                  the strings leave its front

        held: the strings where they leave it, over the face; the bar reaches as far over as under
        them, bar_height in all

    courses, pair: as the bridge before it has them; hole_pitch is then that of their middles."""

    strings: Strings = field(default=6, metadata=CHOICE)
    hole_pitch: Annotated[float, mm(1.0, 60.0)] = default(10.4, 0.1)
    string_hole: Annotated[float, mm(0.5, 20.0)] = default(3.0, 0.2)
    posts: Posts = Posts(spread=default(82.0, 0.3), bush=default(11.5, 0.1))
    held: Held = default(9.5, 1.0)
    bar_width: Annotated[float, mm(2.0, 60.0)] = default(15.0, 0.3)
    bar_length: Wide = default(102.0, 0.5)
    bar_height: Annotated[float, mm(1.0, 40.0)] = default(9.0, 0.5)
    courses: Courses = field(default=(), metadata=CHOICE)
    pair: Annotated[float, mm(0.2, 30.0)] | None = None

    def __post_init__(self) -> None:
        if self.courses and self.pair is None:
            object.__setattr__(self, "pair", BRIDGE_PAIR)
        if self.strings > 1:
            _ = self.hole_offsets  # refuses courses that are not so many strings
        number("a tailpiece's post spread", self.posts.spread, high=self.bar_length)
        remedy = "its bar would lie in the wood"
        number("a tailpiece's held", self.held, low=self.bar_height / 2.0, remedy=remedy)

    @property
    def hole_offsets(self) -> tuple[float, ...]:
        """v of each string's hole, treble side (-v) first, mm."""
        return ends_at(self.strings, self.hole_pitch, self.courses, self.pair or 0.0)

    def voids(self, part: str, place: Place, thickness: float) -> tuple[Void, ...]:
        return tuple(self.posts.holes(part, place))

    def interfaces(self, part: str, place: Place, piece: Workpiece) -> tuple[Interface, ...]:
        """What holds the strings, the posts with their pull, the ground at a post, and 0.1 kg
        (common practice, no source)."""
        names, front = self.posts.names(part), self.bar_width / 2.0
        ends = tuple(place.at(front, v, self.held) for v in self.hole_offsets)
        anchor = Anchor(
            part=part, at=ends, strings=self.strings, posts=names, passes=self.string_hole
        )
        posts = self.posts.leaning(part, place)
        bar = Hardware(
            part=part,
            what=f"tailpiece on two posts, {self.strings} strings",
            fills=(RoomKind.PART,),
            sizes=(("hole pitch", self.hole_pitch), ("post spread", self.posts.spread)),
        )
        return anchor, *posts, ground(part, voids=names), Mass(part=part, kg=0.1), bar

    def rooms(self, part: str, place: Place, thickness: float) -> tuple[Room, ...]:
        half, plan = self.bar_height / 2.0, rectangle(self.bar_width, self.bar_length, 2.0)
        low, high = place.z + self.held - half, place.z + self.held + half
        bar = Room(f"{part}.bar", part, RoomKind.PART, Prism(place.profile(plan), low, high))
        return bar, *self.posts.solids(part, place, self.held - half)


@dataclass(frozen=True)
@declared("a bridge")
class WrapBar(Spread):
    """One bar on two posts that is bridge and anchor: the strings come out of its front, lie round
    its back and over its top. Its datum is the middle between the posts.

                 posts.spread
        |<------------------------------->|    steps: how far the ridge under each string lies
       (o)====-__====-__-------==========(o)   toward the nut (+u), treble first; none for a
        <---------- bar_length ----------->    straight one
                                               adjust: how far the bar goes forward and back on its
          ridge ___                            posts by its set screws, each way
          __---    ---\\   ^
         | o           )  bar_height           the strings bend round the back half way up
          ~~~---___---~   v
         <- bar_width ->

    saddle_low, saddle_high: height of the ridge over the face with the bar screwed down and up.
    Raises InputError where there is not one step a string, or a step lies beside the bar."""

    strings: Strings = field(default=6, metadata=CHOICE)
    saddle_low: Tall = default(12.0, 0.5)
    saddle_high: Tall = default(19.0, 0.5)
    posts: Posts = Posts(spread=default(82.0, 0.3), bush=default(11.5, 0.1))
    bar_width: Annotated[float, mm(2.0, 60.0)] = default(16.0, 0.3)
    bar_length: Wide = default(100.0, 0.5)
    bar_height: Annotated[float, mm(1.0, 40.0)] = default(10.0, 0.5)
    adjust: Annotated[float, mm(0.0, 20.0)] = default(2.5, 0.3)
    steps: Annotated[tuple[Spot, ...], Count(0, 18)] = field(default=(), metadata=CHOICE)
    string_hole: Annotated[float, mm(0.5, 20.0)] = default(3.0, 0.2)

    def __post_init__(self) -> None:
        in_order("saddle heights", "saddle_low", self.saddle_low, "saddle_high", self.saddle_high)
        remedy = "the bar would lie in the wood"
        number("a bridge's saddle_low", self.saddle_low, low=self.bar_height, remedy=remedy)
        number("a bridge's post spread", self.posts.spread, self.spread, self.bar_length)
        if self.steps and len(self.steps) != self.strings:
            raise InputError("the steps of a bridge's ridge", self.steps, "one a string, or none")
        for step in self.steps:
            half = self.bar_width / 2.0
            number("a step of a bridge's ridge", step, -half, half)

    def shared_sizes(self) -> dict[str, str]:
        """The ridge's spread is the instrument's."""
        return {"spread": "bridge_spread"}

    def voids(self, part: str, place: Place, thickness: float) -> tuple[Void, ...]:
        return tuple(self.posts.holes(part, place))

    def interfaces(self, part: str, place: Place, piece: Workpiece) -> tuple[Interface, ...]:
        """The ridge under each string, what holds its end, the posts with their pull, the ground at
        a post, and 0.15 kg (common practice, no source)."""
        names, offsets = self.posts.names(part), even_centres(self.strings, self.spread)
        back, half = -self.bar_width / 2.0, self.bar_height / 2.0
        ends = tuple(place.at(back, v, self.saddle_low - half) for v in offsets)
        anchor = Anchor(
            part=part, at=ends, strings=self.strings, posts=names, passes=self.string_hole
        )
        heights = self.saddle_low, self.saddle_high
        ridges = [
            replace(
                saddle(f"{part}.ridge.{k}", part, place, v, self._window(k), heights),
                bar=f"{part}.bar",
            )
            for k, v in enumerate(offsets, 1)
        ]
        posts = self.posts.leaning(part, place)
        wire = ground(part, voids=names)
        bar = Hardware(
            part=part,
            what=f"wrap-over bar on two posts, {self.strings} strings",
            fills=(RoomKind.PART,),
            sizes=(("string spread", self.spread), ("post spread", self.posts.spread)),
        )
        return *ridges, anchor, *posts, wire, Mass(part=part, kg=0.15), bar

    def _window(self, k: int) -> tuple[float, float]:
        """Where the ridge under string `k` may stand, mm along the bridge's u."""
        step = self.steps[k - 1] if self.steps else 0.0
        return step - self.adjust, step + self.adjust

    def rooms(self, part: str, place: Place, thickness: float) -> tuple[Room, ...]:
        low = self.saddle_low - self.bar_height
        plan = place.profile(rectangle(self.bar_width, self.bar_length, 2.0))
        bar = Prism(plan, place.z + low, place.z + self.saddle_low)
        return Room(f"{part}.bar", part, RoomKind.PART, bar), *self.posts.solids(part, place, low)
