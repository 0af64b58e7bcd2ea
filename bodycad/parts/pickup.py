"""Pickups by kind: with feet (full-size and small humbucker, single coil), in one block (soapbar),
and in two halves (split pair)."""

from __future__ import annotations

import math
from abc import abstractmethod
from collections.abc import Iterator
from dataclasses import dataclass, field
from typing import Annotated, ClassVar

from bodycad.declare import between, declared, mm
from bodycad.errors import InputError, number
from bodycad.geometry.plane.boolean import union
from bodycad.geometry.plane.build import rectangle
from bodycad.geometry.plane.profile import Point
from bodycad.layout.interface import Hardware
from bodycad.layout.place import DEPTH, Depth
from bodycad.parts.cased import Across, Along, Case, Cased, Deep, Rim, Step
from bodycad.parts.mount import CHOICE, DirectMount, Ears, GuardMount, Ring
from bodycad.units import default, follows
from bodycad.words import RoomKind


@dataclass(frozen=True)
@declared("a pickup")
class Footed(Cased):
    """A pickup with feet or tabs at both ends, which its height screws go through.

    feet_span, feet_width: across and along the strings; leg_depth: from the top to their
    underside; ears: depth of the slot for them."""

    feet_span: Across = follows(83.0, 0.7)
    feet_width: Annotated[float, mm(1.0, 250.0)] = default(14.0, 0.5)
    leg_depth: Deep = default(24.0, 0.7)
    ears: Annotated[Depth, DEPTH] = Depth(26.0)
    mount: DirectMount | GuardMount | None = None

    LONGER: ClassVar[tuple[str, ...]] = ("frame_length", "feet_span")
    FOOT: ClassVar[float] = 1.5
    """Thickness of a foot, mm."""
    INSET: ClassVar[float] = 2.25
    """From a foot's end to its screw, mm."""

    @property
    def screws(self) -> tuple[Point, ...]:
        v = self.feet_span / 2.0 - self.INSET
        return (0.0, -v), (0.0, v)

    @property
    def hold(self) -> tuple[float, float]:
        return self.leg_depth - self.FOOT, float(self.leg_depth)

    @property
    def foot(self) -> float:
        """Height of the feet's underside over the face, mm."""
        return self.rest - self.leg_depth

    @property
    @abstractmethod
    def feet(self) -> tuple[float, float]:
        """Lowest and highest height of feet and height screws over the face, mm."""

    @property
    def tips(self) -> float | None:
        """Height of the tips of height screws that hang from a guard and stay where they are when
        the pickup goes down; None where they go with it."""
        guard = self.mount if isinstance(self.mount, GuardMount) else None
        return None if guard is None else guard.thickness - guard.screw_length

    @property
    def sinks(self) -> float:
        """How far below the lowest end at rest the feet come, lowered by the travel, mm."""
        if self.tips is None:
            return float(self.travel)
        return max(self.feet[0] - (self.foot - self.travel), 0.0)

    @property
    def steps(self) -> tuple[tuple[Step, ...], ...]:
        size = float(self.feet_width), float(self.feet_span)
        feet, cut = rectangle(*size, 1.0), self.round(*size)
        own = Step("feet", feet, *self.feet, "ears", cut, self.ears, self.sinks)
        return tuple((*steps, own) for steps in super().steps)


@dataclass(frozen=True)
@declared("a pickup")
class Humbucker(Footed):
    """A two-coil pickup hung from a ring by its feet; its datum is the centre of the frame.

                 feet_span
        <------------------------->
        +--+--------------------+--+  ^ feet_width
        |  |  o  o  o  o  o  o  |  |  |     o: pole pieces, pole_spacing from first to last, a row
        |  |  o  o  o  o  o  o  |  |  |        over each coil, coil_spacing apart
        +--+--------------------+--+  v
           <--- frame_length --->           frame_width: across this view, along the strings

    rest_height: cover top over the front when set up, by default under the strings; pole_height:
    of the poles over the cover; body_depth: cover top to the underside; leg_depth: to the lowest
    point of the feet; foot_depth: at rest, to the tips of the height screws; travel: how far it
    must go down from rest. The height screws hang from the ring and stay where they are when the
    pickup goes down; without a ring they go with it. gap: room left each side in the route;
    corner: the route's corner radius.
    `route` and `ears` are the depths of the main route and of the deeper slot for the feet. Without
    a ring (None) there is no rim to cover the route and there are no ring screws; its room in the
    route and its way to fretboard, plate and other pickups are asked as ever. `mount` then says
    what holds it, DirectMount or GuardMount; DirectMount under a ring leaves the ring for show."""

    foot_depth: Annotated[float, mm(1.0, 100.0)] = default(27.0, 1.0)
    ring: Ring | None = Ring()
    coil_spacing: Annotated[float, mm(0.0, 100.0)] = default(19.0, 0.5)

    WHAT: ClassVar[str] = "humbucker"
    RING: ClassVar[tuple[float, float, float, float]] = (91.0, 46.5, 82.0, 37.5)
    """Length and width of its usual ring, and the distances of the ring's screws."""

    def __post_init__(self) -> None:
        super().__post_init__()
        number("a pickup's coil_spacing", self.coil_spacing, high=self.frame_width)
        if self.ring is None:
            return
        if isinstance(self.mount, GuardMount):
            thing, found = "the ring of a pickup", "one beside GuardMount"
            raise InputError(thing, found, "None: it hides its route otherwise", "say ring=None")
        long, wide, across, along = self.RING
        more = self.longer
        ring = self.ring.sized(long + more, wide, (across + more, along))
        object.__setattr__(self, "ring", ring)

    def bought(self, part: str) -> Iterator[Hardware]:
        """The pickup, and its ring with the screws and springs that it hangs by."""
        yield from super().bought(part)
        if (ring := self.ring) is not None:
            hung = " with height screws and springs" if self.mount is None else ""
            sizes = ("length", ring.length), ("width", ring.width), ("height", ring.height)
            what, kinds = f"ring for a {self.WHAT}{hung}", (RoomKind.RING,)
            yield Hardware(part=part, what=what, fills=kinds, sizes=sizes)

    @property
    def rows(self) -> tuple[float, float]:
        """u of the two rows of poles, the nut's side first, mm."""
        return self.coil_spacing / 2.0, -self.coil_spacing / 2.0

    @property
    def rim(self) -> Rim | None:
        ring = self.ring
        if ring is None:
            return super().rim
        size, held = (ring.width, ring.length), (ring.screws, ring.pilot, ring.pilot_depth)
        falls = math.tan(math.radians(ring.slope_deg))
        return Rim("ring", rectangle(*size), rectangle(*size, 2.0), ring.height, *held, falls)

    @property
    def tips(self) -> float | None:
        hung = self.ring is not None and self.mount is None
        return self.rest - self.foot_depth if hung else super().tips

    @property
    def feet(self) -> tuple[float, float]:
        own = self.rest - self.foot_depth if self.mount is None else self.tips
        low = self.foot if own is None else min(own, self.foot)
        return low, self.rest - self.body_depth + 2


@dataclass(frozen=True)
@declared("a pickup")
class SmallHumbucker(Humbucker):
    """A two-coil pickup in a small frame, hung from a small ring by its feet; sizes as drawn at
    `Humbucker`.

        +--+------------------+--+
        |  |  o o o o o o     |  |     frame_length x frame_width, feet_span x feet_width
        +--+------------------+--+

    Without a ring DirectMount holds it: its feet are too short for screws beside an opening. Sizes
    are common practice, no source."""

    frame_length: Across = follows(67.0, 0.5)
    frame_width: Along = default(29.0, 0.5)
    body_depth: Deep = default(18.0, 0.7)
    route: Annotated[Depth, DEPTH] = Depth(17.0)
    feet_span: Across = follows(73.0, 0.7)
    feet_width: Annotated[float, mm(1.0, 250.0)] = default(12.0, 0.5)
    leg_depth: Deep = default(21.0, 0.7)
    ears: Annotated[Depth, DEPTH] = Depth(23.0)
    mount: DirectMount | None = None
    foot_depth: Annotated[float, mm(1.0, 100.0)] = default(24.0, 1.0)
    coil_spacing: Annotated[float, mm(0.0, 100.0)] = default(13.0, 0.5)

    WHAT: ClassVar[str] = "small humbucker"
    RING: ClassVar[tuple[float, float, float, float]] = (81.0, 41.0, 75.0, 35.5)


@dataclass(frozen=True)
@declared("a pickup")
class SingleCoil(Footed):
    """A one-coil pickup with a tab at each end; straight, or slanted by its place's `turn_deg`: the
    poles of a slanted one stand off straight strings as the slant brings them.

                  feet_span
        <---------------------------->
           .------------------------.
        +-(                          )-+     feet_width: of the tabs, along the strings
        |o(  o    o    o    o   o  o )o|     o in a tab: a height screw
        +-(                          )-+
           '------------------------'
           <----- frame_length ----->        frame_width: of the cover, along the strings

    body_depth: cover top to the magnets' lower ends; leg_depth: to the tabs' underside;
    pole_height: of the poles over the cover. route, ears: depths for the cover and for the tabs.
    mount: DirectMount, or GuardMount under a guard. Sizes are common practice, no source."""

    frame_length: Across = follows(70.0, 0.5)
    frame_width: Along = default(18.0, 0.3)
    body_depth: Deep = default(18.0, 0.7)
    route: Annotated[Depth, DEPTH] = Depth(18.0)
    pole_height: Annotated[float, mm(0.0, 20.0)] = default(1.0, 0.5)
    mount: DirectMount | GuardMount | None = DirectMount(
        screw_length=default(22.0, 0.3),
        pilot_depth=default(13.0),
    )
    feet_span: Across = follows(84.0, 0.5)
    feet_width: Annotated[float, mm(1.0, 250.0)] = default(14.0, 0.5)
    leg_depth: Deep = default(15.0, 0.5)
    ears: Annotated[Depth, DEPTH] = Depth(18.0)

    WHAT: ClassVar[str] = "single coil pickup"
    CORNER: ClassVar[float] = 8.0
    FOOT: ClassVar[float] = 2.0
    INSET: ClassVar[float] = 2.5
    KG: ClassVar[float] = 0.09

    @property
    def feet(self) -> tuple[float, float]:
        low = self.foot if self.tips is None else min(self.tips, self.foot)
        return low, self.foot + self.FOOT


@dataclass(frozen=True)
@declared("a pickup")
class Soapbar(Cased):
    """A pickup in one block without feet, for guitar or bass: its screws go down inside its cover,
    or it has ears.

        +------------------------------+  ^
        |  o   o * o   o   o * o   o   |  |  frame_width (along the strings)
        +------------------------------+  v
        <-------- frame_length -------->       *: height screws, between the poles

    The screws stand midway between two poles, as near as may be to a quarter of the pole spacing
    from its middle. mount: DirectMount, or Ears on the front. Four strings 57 mm apart make it 4 mm
    longer, five 70 mm apart 17 (the rule of WIDE; common practice, no source, like the sizes)."""

    frame_length: Across = follows(85.5, 0.5)
    frame_width: Along = default(35.0, 0.5)
    body_depth: Deep = default(21.0, 0.7)
    travel: Annotated[float, mm(0.0, 50.0)] = default(3.0)
    gap: Annotated[float, mm(0.0, 20.0)] = default(0.75)
    mount: DirectMount | Ears | None = DirectMount(
        screw_length=default(33.0, 0.3),
        spring_free=default(12.0, 1.0),
        spring_flat=default(2.0, 0.5),
    )

    WHAT: ClassVar[str] = "soapbar pickup"
    CORNER: ClassVar[float] = 3.2
    KG: ClassVar[float] = 0.14

    @property
    def screws(self) -> tuple[Point, ...]:
        step = self.pole_spacing / (self.poles - 1)
        first = 0.5 if self.poles % 2 else 1.0
        whole = max(int((self.poles - 1) / 4.0 - first + 0.5), 0)
        v = step * (first + whole)
        return (0.0, -v), (0.0, v)


@dataclass(frozen=True)
@declared("a pickup")
class SplitPair(Cased):
    """Two half-pickups for a bass, offset along the strings, each under its own strings; its datum
    is the middle between them.

                        frame_length
                   <------------------->
                   +-------------------+  ^          nut
                   |*  oo    oo       *|  | frame_width
        +----------+-------+-----------+  v
        |*  oo    oo      *|                         bridge
        +------------------+
           treble half       bass half        oo: the two poles of a string, pole_pair apart
                                              *: height screws in the ends of the cover
    pole_spacing: from the first string to the last, of `poles` strings; stagger: how far the bass
    half stands nearer the nut than the treble half, middle to middle (negative: nearer the
    bridge); bass_strings: how many the bass half serves, None for half of them, the odd one with
    it. A half is as long as the distance of its outer strings and 38 mm. Sizes are common practice,
    no source."""

    poles: Annotated[int, between(2, 36)] = field(default=4, metadata=CHOICE)
    frame_length: Across = follows(57.0, 0.5)
    frame_width: Along = default(28.0, 0.5)
    travel: Annotated[float, mm(0.0, 50.0)] = default(3.0)
    gap: Annotated[float, mm(0.0, 20.0)] = default(0.75)
    pole_height: Annotated[float, mm(0.0, 20.0)] = default(1.0, 0.3)
    pole_pair: Annotated[float, mm(0.0, 30.0)] = default(9.5, 0.3)
    mount: DirectMount | None = DirectMount(
        screw_length=default(33.0, 0.3),
        spring_free=default(12.0, 1.0),
        spring_flat=default(2.0, 0.5),
    )
    stagger: Annotated[float, mm(-150.0, 150.0)] = default(28.0)
    bass_strings: Annotated[int, between(1, 35)] | None = field(default=None, metadata=CHOICE)

    WHAT: ClassVar[str] = "split pair of pickups"
    CORNER: ClassVar[float] = 3.2
    KG: ClassVar[float] = 0.2
    END: ClassVar[float] = 4.5
    """From a half's end to its screw, mm."""

    def __post_init__(self) -> None:
        super().__post_init__()
        thing, least = "a split pair's bass_strings", self.poles - 1
        number(thing, self._counts[1], 1, least, remedy="each half serves a string")
        treble, bass = self.cases
        if bass.v - treble.v < self.frame_length and abs(self.stagger) < self.frame_width:
            allowed = f"{self.frame_width:g} mm or more either way"
            remedy = "the halves would stand in each other"
            raise InputError("a split pair's stagger", float(self.stagger), allowed, remedy)

    @property
    def _counts(self) -> tuple[int, int]:
        """How many strings the treble and the bass half serve."""
        bass = (self.poles + 1) // 2 if self.bass_strings is None else self.bass_strings
        return self.poles - bass, bass

    @property
    def longer(self) -> float:
        step = self.pole_spacing / (self.poles - 1)
        return step * (max(self._counts) - 1) - 19.0

    @property
    def cases(self) -> tuple[Case, ...]:
        """The treble half, then the bass half."""
        found, first, step = list[Case](), 0, self.pole_spacing / (self.poles - 1)
        for count, u in zip(self._counts, (-self.stagger / 2.0, self.stagger / 2.0), strict=True):
            v = -self.pole_spacing / 2.0 + step * (first + (count - 1) / 2.0)
            numbers = tuple(range(first + 1, first + count + 1))
            found.append(Case(float(u), v, count, numbers))
            first += count
        return tuple(found)

    @property
    def screws(self) -> tuple[Point, ...]:
        v = self.frame_length / 2.0 - self.END
        return (0.0, -v), (0.0, v)

    @property
    def steps(self) -> tuple[tuple[Step, ...], ...]:
        """A body for each half, in one route where the two routes meet."""
        size = float(self.frame_width), float(self.frame_length)
        cuts = [self.round(*size, one.u, one.v) for one in self.cases]
        joined = union(cuts)
        low, high, found = self.rest - self.body_depth, self.rest, list[tuple[Step, ...]]()
        for k, (one, cut) in enumerate(zip(self.cases, cuts, strict=True), 1):
            room = rectangle(*size, self.CORNER, one.u, one.v)
            name, plan = ("route", joined[0].outer) if len(joined) == 1 else (f"route.{k}", cut)
            below = float(self.travel)
            found.append((Step(f"body.{k}", room, low, high, name, plan, self.route, below),))
        return tuple(found)
