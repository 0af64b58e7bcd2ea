"""A full-size humbucker on a mounting ring."""

from __future__ import annotations

from dataclasses import dataclass, field

from bodycad.errors import number
from bodycad.geometry.plane.build import circle, rectangle
from bodycad.geometry.solids.shapes import Prism, bore
from bodycad.instrument.scale import whole
from bodycad.layout.interface import Interface
from bodycad.layout.place import Depth, Place
from bodycad.layout.void import Room, Void, from_front
from bodycad.layout.workpiece import Workpiece
from bodycad.units import default

CHOICE = {"size": False}


@dataclass(frozen=True)
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

    `height` is the ring's own height; the pilots are for its four wood screws.
    """

    length: float = default(91.0, 0.5)
    width: float = default(46.5, 0.5)
    height: float = default(5.0, 0.5)
    screw_length: float = default(82.0, 0.3)
    screw_width: float = default(37.5, 0.3)
    pilot: float = default(2.0)
    pilot_depth: float = default(10.0)

    def __post_init__(self) -> None:
        for name in (
            "length",
            "width",
            "height",
            "screw_length",
            "screw_width",
            "pilot",
            "pilot_depth",
        ):
            number(f"a ring's {name}", getattr(self, name), above=0.0)
        number("a ring's screw_length", self.screw_length, high=self.length)
        number("a ring's screw_width", self.screw_width, high=self.width)

    @property
    def screws(self) -> tuple[tuple[float, float], ...]:
        """(u, v) of the four screws: u along the strings, v across them."""
        u, v = self.screw_width / 2.0, self.screw_length / 2.0
        return (u, v), (u, -v), (-u, v), (-u, -v)


@dataclass(frozen=True)
class Humbucker:
    """A two-coil pickup hung from a ring by its feet; its datum is the centre of the frame.

                 feet_span
        <------------------------->
        +--+--------------------+--+  ^ feet_width
        |  |  o  o  o  o  o  o  |  |  |
        +--+--------------------+--+  v     o: pole pieces, pole_spacing from first to last
           <--- frame_length --->           frame_width: across this view, along the strings

    rest_height: cover top over the plain front when set up; body_depth: cover top to the underside;
    foot_depth: cover top to the lowest end of the feet and height screws; travel: how far it must
    go down from rest. gap: room left each side in the route; corner: the route's corner radius.
    `route` and `ears` are the depths of the main route and of the deeper slot for the feet."""

    pole_spacing: float
    poles: int = field(default=6, metadata=CHOICE)
    frame_length: float = default(70.0, 0.5)
    frame_width: float = default(38.0, 0.5)
    feet_span: float = default(83.0, 0.7)
    feet_width: float = default(14.0, 0.5)
    body_depth: float = default(20.0, 0.7)
    foot_depth: float = default(27.0, 1.0)
    rest_height: float = default(8.0, 0.5)
    travel: float = default(4.0)
    gap: float = default(1.0)
    corner: float = default(3.2)
    route: Depth = Depth(19.0)
    ears: Depth = Depth(26.0)
    ring: Ring = Ring()

    def __post_init__(self) -> None:
        for name in (
            "pole_spacing",
            "frame_length",
            "frame_width",
            "feet_span",
            "feet_width",
            "body_depth",
            "foot_depth",
            "corner",
        ):
            number(f"a pickup's {name}", getattr(self, name), above=0.0)
        number("a pickup's rest_height", self.rest_height)
        whole("a pickup's number of poles", self.poles, 2, 36)
        number("a pickup's gap in its route", self.gap, low=0.0)
        number("a pickup's travel", self.travel, low=0.0)

    @property
    def pole_offsets(self) -> tuple[float, ...]:
        """v of each pole piece, treble side (-v) first, mm."""
        step = self.pole_spacing / (self.poles - 1)
        return tuple(-self.pole_spacing / 2.0 + step * i for i in range(self.poles))

    def voids(self, part: str, place: Place, thickness: float) -> tuple[Void, ...]:
        route = f"{part}.route"
        front = frozenset({"front"})
        main = rectangle(
            self.frame_width + 2 * self.gap, self.frame_length + 2 * self.gap, self.corner
        )
        slot = rectangle(self.feet_width + 2 * self.gap, self.feet_span + 2 * self.gap, self.corner)
        found = [
            Void(
                route,
                part,
                "front",
                "POCKET",
                from_front(place.profile(main), self.route.below(thickness, route)),
                front,
            ),
            Void(
                f"{part}.ears",
                part,
                "front",
                "POCKET",
                from_front(place.profile(slot), self.ears.below(thickness, f"{part}.ears")),
                front,
                frozenset({route}),
            ),
        ]
        for index, (u, v) in enumerate(self.ring.screws, 1):
            name = f"{part}.screw.{index}"
            found.append(
                Void(
                    name,
                    part,
                    "front",
                    "PILOT",
                    bore(
                        (*place.point(u, v), 0.0),
                        (0, 0, -1),
                        self.ring.pilot,
                        self.ring.pilot_depth,
                        name=name,
                    ),
                    front,
                )
            )
        return tuple(found)

    def interfaces(self, part: str, place: Place, piece: Workpiece) -> tuple[Interface, ...]:
        return ()

    def rooms(self, part: str, place: Place, thickness: float) -> tuple[Room, ...]:
        top = self.rest_height
        frame = place.profile(rectangle(self.frame_width, self.frame_length, 2.0))
        feet = place.profile(rectangle(self.feet_width, self.feet_span, 1.0))
        ring = place.profile(rectangle(self.ring.width, self.ring.length, 2.0))
        poles = tuple(
            Room(
                f"{part}.pole.{i}",
                part,
                "pole",
                Prism(circle(4.8, *place.point(self.frame_width / 4.0, v)), top, top + 0.5),
            )
            for i, v in enumerate(self.pole_offsets, 1)
        )
        return (
            Room(f"{part}.body", part, "pickup", Prism(frame, top - self.body_depth, top)),
            Room(
                f"{part}.feet",
                part,
                "pickup",
                Prism(feet, top - self.foot_depth, top - self.body_depth + 2.0),
            ),
            Room(f"{part}.ring", part, "ring", Prism(ring, 0.0, self.ring.height)),
            *poles,
        )
