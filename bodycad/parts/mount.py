"""What holds a pickup: a ring, screws into the wood, a guard, or ears of its own."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field, replace
from typing import Annotated

from bodycad.declare import Count, Id, Spot, between, declared, mm
from bodycad.errors import number
from bodycad.geometry.plane.build import hull, rectangle
from bodycad.geometry.plane.profile import Profile
from bodycad.units import Derived, default, follows

CHOICE = {"size": False}
Spots = Annotated[tuple[tuple[Spot, Spot], ...], Count(0, 12)]
"""(u, v) of screws in the pickup's own axes: u along the strings, v across them."""
Span = Annotated[float, mm(1.0, 250.0)]
Thread = Annotated[float, mm(0.5, 12.0)]
Pilot = Annotated[float, mm(0.5, 12.0)]
PilotDepth = Annotated[float, mm(1.0, 100.0)]
Spring = Annotated[float, mm(0.0, 60.0)]


def worked_out(thing: object, **values: float) -> None:
    """Give a dataclass those sizes which nobody has given: each that `follows` others."""
    for name, value in values.items():
        old = getattr(thing, name)
        if isinstance(old, Derived):
            object.__setattr__(thing, name, Derived(value, old.origin, old.tolerance))


@dataclass(frozen=True)
@declared()
class Ring:
    """The mounting ring that hides the route.

        +----------------------------+  ^
        | o                        o |  |
        |   +--------------------+   |  width (along the strings)
        |   +--------------------+   |  |
        | o                        o |  |
        +----------------------------+  v
        <--------- length ----------->      o: screws, screw_length apart across the strings,
                                               screw_width apart along them

    `height` is the ring's own height, in its middle; slope_deg: how far its base falls toward the
    nut under its level top, for an arched front; the pilots are for its four wood screws. Sizes
    that are not given are those of the pickup's usual ring, as much longer as the pickup is."""

    length: Annotated[float, mm(5.0, 250.0)] = follows(91.0, 0.5)
    width: Annotated[float, mm(5.0, 250.0)] = follows(46.5, 0.5)
    height: Annotated[float, mm(0.2, 50.0)] = default(5.0, 0.5)
    screw_length: Span = follows(82.0, 0.3)
    screw_width: Span = follows(37.5, 0.3)
    pilot: Pilot = default(2.0)
    pilot_depth: PilotDepth = default(10.0)
    slope_deg: Annotated[float, between(-15.0, 15.0, "degrees")] = field(
        default=0.0, metadata=CHOICE
    )

    def __post_init__(self) -> None:
        # What is still to be worked out is held against the ring by `sized`.
        if not isinstance(self.screw_length, Derived):
            number("a ring's screw_length", self.screw_length, high=self.length)
        if not isinstance(self.screw_width, Derived):
            number("a ring's screw_width", self.screw_width, high=self.width)

    def sized(self, length: float, width: float, screws: tuple[float, float]) -> Ring:
        """The ring with these sizes where nobody has given its own; screws: their distances across
        and along the strings."""
        made = replace(self)
        across, along = screws
        worked_out(made, length=length, width=width, screw_length=across, screw_width=along)
        number("a ring's screw_length", made.screw_length, high=made.length)
        number("a ring's screw_width", made.screw_width, high=made.width)
        return made

    @property
    def screws(self) -> tuple[tuple[float, float], ...]:
        """(u, v) of the four screws: u along the strings, v across them."""
        u, v = self.screw_width / 2.0, self.screw_length / 2.0
        return (u, v), (u, -v), (-u, v), (-u, -v)


@dataclass(frozen=True)
@declared("a direct mount")
class DirectMount:
    """Screws through the pickup into the floor of its own cut, on springs or foam that hold it up.

             (==)          head; under it the pickup: its foot, or its cover with the screw inside
        ======||======
             {||}          spring: spring_free long unloaded, spring_flat pressed flat
        _____{||}_____     floor of the cut
              ||           pilot, pilot_depth deep under the floor
              \\/           screw_length: from under the head to the tip

    `screws` are their (u, v) from the middle of the pickup, or of each half of a split one; left
    out, they stand where its kind has them. Sizes are common practice, no source."""

    screws: Spots = ()
    screw_length: Annotated[float, mm(3.0, 100.0)] = default(20.0, 0.3)
    thread: Thread = default(2.9, 0.1)
    head: Annotated[float, mm(1.0, 20.0)] = default(5.5, 0.3)
    pilot: Pilot = default(2.0)
    pilot_depth: PilotDepth = default(12.0)
    spring_free: Spring = default(14.0, 1.0)
    spring_flat: Spring = default(3.0, 0.5)

    def __post_init__(self) -> None:
        number("a direct mount's pilot", self.pilot, high=self.thread)
        number("a direct mount's spring_flat", self.spring_flat, high=self.spring_free)


@dataclass(frozen=True)
@declared("a guard mount")
class GuardMount:
    """The pickup hangs from the guard by machine screws, its springs between guard and tabs.

        ====(==)========     guard, `thickness` thick, on the front; countersunk heads in its top
             ||{ }           spring: spring_free long unloaded, spring_flat pressed flat
        =====||=====         tab, threaded
             ||              screw_length: over all, from the guard's top to the tip

    guard: the id of the placed guard, in whose workpiece the pickup cuts its opening, `opening` mm
    wider than its cover each side, and a hole for each screw. `screws` as in a direct mount. Sizes
    are common practice, no source."""

    guard: Id = field(default="guard", metadata=CHOICE)
    screws: Spots = ()
    thickness: Annotated[float, mm(0.3, 10.0)] = default(2.4, 0.1)
    screw_length: Annotated[float, mm(3.0, 100.0)] = default(16.0, 0.3)
    thread: Thread = default(3.0, 0.1)
    spring_free: Spring = default(12.0, 1.0)
    spring_flat: Spring = default(3.0, 0.5)
    hole: Pilot = default(3.4)
    opening: Annotated[float, mm(0.0, 10.0)] = default(0.5)

    def __post_init__(self) -> None:
        number("a guard mount's spring_flat", self.spring_flat, high=self.spring_free)


def screwed(
    mount: DirectMount | GuardMount, spots: Sequence[tuple[float, float]]
) -> DirectMount | GuardMount:
    """The mount with its screws at (u, v), give or take 0.5, where nobody has given their own."""
    if any(not isinstance(x, Derived) for spot in mount.screws for x in spot):
        return mount
    return replace(mount, screws=tuple((follows(u, 0.5), follows(v, 0.5)) for u, v in spots))


@dataclass(frozen=True)
@declared("the ears of a pickup")
class Ears:
    """Ears of the cover that lie on the front and are screwed to it: the cover hides its route.

             ____________________
        o  < |  o o o o o o     | >  o      o: wood screws, screw_length apart; each ear runs out
             |__________________|              to a round of ear_width, to `length` over all
        <----------- length ----------->

    height: from the front to the cover's top, as such a pickup stands as high as it is made, and is
    raised by shims; over: what the cover is wider than what goes into the route, each side. Sizes
    are common practice, no source."""

    length: Annotated[float, mm(20.0, 250.0)] = follows(112.0, 0.5)
    ear_width: Annotated[float, mm(2.0, 40.0)] = default(12.0, 0.5)
    height: Annotated[float, mm(0.5, 40.0)] = default(8.5, 0.5)
    over: Annotated[float, mm(0.2, 20.0)] = default(4.0, 0.3)
    screw_length: Span = follows(100.0, 0.3)
    pilot: Pilot = default(2.0)
    pilot_depth: PilotDepth = default(12.0)

    def sized(self, length: float, screw_length: float) -> Ears:
        """The ears with these sizes where nobody has given their own."""
        made = replace(self)
        worked_out(made, length=length, screw_length=screw_length)
        return made

    @property
    def screws(self) -> tuple[tuple[float, float], ...]:
        """(u, v) of the two screws."""
        return (0.0, -self.screw_length / 2.0), (0.0, self.screw_length / 2.0)

    def rim(self, width: float, length: float, corner: float) -> Profile:
        """Outline of a cover of that width and length with its ears."""
        u, v, r = width / 2.0 - corner, length / 2.0 - corner, self.ear_width / 2.0
        ears = [(0.0, side * (self.length / 2.0 - r), r) for side in (-1.0, 1.0)]
        if ears[1][1] <= v:
            return rectangle(width, length, corner)
        corners = [(a * u, b * v, corner) for a in (-1.0, 1.0) for b in (-1.0, 1.0)]
        return hull((*corners, *ears), "a pickup's cover with its ears")
