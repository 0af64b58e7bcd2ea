"""A string-through hardtail bridge with individual saddles and ferrules at the back."""

from __future__ import annotations

from dataclasses import dataclass, field

from bodycad.errors import InputError, number
from bodycad.geometry.plane.build import rectangle
from bodycad.geometry.solids.shapes import Prism, bore
from bodycad.instrument.scale import whole
from bodycad.layout.interface import Interface
from bodycad.layout.place import Place
from bodycad.layout.void import Room, Void
from bodycad.layout.workpiece import Workpiece
from bodycad.units import default

CHOICE = {"size": False}


@dataclass(frozen=True)
class Ferrule:
    """A string ferrule at the back: a plain sleeve let in `depth` mm.

    `hole` is the diameter drilled for it. The string's ball end seats on its floor.
    """

    hole: float = default(7.9, 0.1)
    depth: float = default(11.0, 0.3)

    def __post_init__(self) -> None:
        number("a ferrule's hole", self.hole, above=0.0)
        number("a ferrule's depth", self.depth, above=0.0)


@dataclass(frozen=True)
class Hardtail:
    """A fixed bridge plate; its datum is the middle of the row of string holes.

          u <---- toward the nut
        +-----------------------------+   ^
        |  s       [====]         o   |   |      o: string holes, hole_pitch apart
        |          [====]         o   |   plate_width
        |  s       [====]         o   |   |      s: screws (u, v)
        |          [====]         o   |   |
        +-----------------------------+   v
        <--front-->             row <-rear->     window: least and greatest u of the string's point
                                                 on a saddle

    The plate reaches `plate_front` mm from the row toward the nut and `plate_rear` behind it.
    saddle_low, saddle_high: height of the string's point over the plain front at both ends of
    travel."""

    spread: float
    hole_pitch: float = default(10.5, 0.05)
    strings: int = field(default=6, metadata=CHOICE)
    window_rear: float = default(9.0, 0.5)
    window_front: float = default(21.0, 0.5)
    saddle_low: float = default(9.5, 0.5)
    saddle_high: float = default(14.0, 0.5)
    plate_front: float = default(33.0, 0.3)
    plate_rear: float = default(7.0, 0.3)
    plate_width: float = default(80.0, 0.3)
    plate_thickness: float = default(2.5, 0.2)
    string_hole: float = default(3.2)
    ferrule: Ferrule = Ferrule()
    screws: tuple[tuple[float, float], ...] = field(
        default=((27.0, -30.0), (27.0, 0.0), (27.0, 30.0), (-2.0, -34.0), (-2.0, 34.0)),
        metadata=CHOICE,
    )
    screw_pilot: float = default(2.4)
    screw_depth: float = default(20.0)

    def __post_init__(self) -> None:
        for name in (
            "spread",
            "hole_pitch",
            "string_hole",
            "plate_width",
            "plate_front",
            "plate_thickness",
            "screw_pilot",
            "screw_depth",
        ):
            number(f"a bridge's {name}", getattr(self, name), above=0.0)
        number("a bridge's plate_rear", self.plate_rear, above=-self.plate_front)
        for name in ("window_rear", "window_front", "saddle_low", "saddle_high"):
            number(f"a bridge's {name}", getattr(self, name))
        whole("a bridge's number of strings", self.strings, 1, 18)
        for index, (u, v) in enumerate(self.screws, 1):
            number(
                f"the u of a bridge's screw {index}",
                u,
                -self.plate_rear,
                self.plate_front,
                remedy="screws go through the plate",
            )
            number(
                f"the v of a bridge's screw {index}",
                v,
                -self.plate_width / 2.0,
                self.plate_width / 2.0,
                remedy="screws go through the plate",
            )
        if not self.window_rear < self.window_front:
            raise InputError(
                "a bridge's saddle window",
                (float(self.window_rear), float(self.window_front)),
                "window_rear less than window_front",
            )
        if not self.saddle_low < self.saddle_high:
            raise InputError(
                "a bridge's saddle heights",
                (float(self.saddle_low), float(self.saddle_high)),
                "saddle_low less than saddle_high",
            )
        if self.ferrule.hole <= self.string_hole:
            raise InputError(
                "a ferrule's hole",
                float(self.ferrule.hole),
                f"more than the {self.string_hole:g} mm string hole",
            )

    @property
    def hole_offsets(self) -> tuple[float, ...]:
        """v of each string hole, treble side (-v) first, mm."""
        return tuple((i - (self.strings - 1) / 2.0) * self.hole_pitch for i in range(self.strings))

    def voids(self, part: str, place: Place, thickness: float) -> tuple[Void, ...]:
        number(
            f"the depth of {part}'s ferrules",
            self.ferrule.depth,
            high=thickness - 1.0,
            remedy="use thicker stock or shorter ferrules",
        )
        found = []
        for index, v in enumerate(self.hole_offsets, 1):
            x, y = place.point(0.0, v)
            hole, sleeve = f"{part}.string.{index}", f"{part}.ferrule.{index}"
            found.append(
                Void(
                    hole,
                    part,
                    "front",
                    "BORE",
                    bore((x, y, 0.0), (0, 0, -1), self.string_hole, thickness, name=hole),
                    frozenset({"front", "back"}),
                    frozenset({sleeve}),
                )
            )
            found.append(
                Void(
                    sleeve,
                    part,
                    "back",
                    "BORE",
                    bore(
                        (x, y, -thickness),
                        (0, 0, 1),
                        self.ferrule.hole,
                        self.ferrule.depth,
                        name=sleeve,
                    ),
                    frozenset({"back"}),
                )
            )
        for index, (u, v) in enumerate(self.screws, 1):
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
                        self.screw_pilot,
                        self.screw_depth,
                        name=name,
                    ),
                    frozenset({"front"}),
                )
            )
        return tuple(found)

    def interfaces(self, part: str, place: Place, piece: Workpiece) -> tuple[Interface, ...]:
        return ()

    def rooms(self, part: str, place: Place, thickness: float) -> tuple[Room, ...]:
        middle = (self.plate_front - self.plate_rear) / 2.0
        plate = rectangle(self.plate_front + self.plate_rear, self.plate_width, 3.0, middle, 0.0)
        found = [
            Room(
                f"{part}.plate",
                part,
                "plate",
                Prism(place.profile(plate), 0.0, self.plate_thickness),
            )
        ]
        step = self.spread / max(self.strings - 1, 1)
        length = self.window_front - self.window_rear
        for index in range(self.strings):
            v = -self.spread / 2.0 + index * step
            block = rectangle(
                length, min(step - 0.3, 10.2), 0.5, (self.window_rear + self.window_front) / 2.0, v
            )
            found.append(
                Room(
                    f"{part}.saddle.{index + 1}",
                    part,
                    "saddle",
                    Prism(place.profile(block), self.plate_thickness, self.saddle_low),
                )
            )
        for index, v in enumerate(self.hole_offsets, 1):
            x, y = place.point(0.0, v)
            found.append(
                Room(
                    f"{part}.sleeve.{index}",
                    part,
                    "ferrule",
                    bore(
                        (x, y, -thickness), (0, 0, 1), self.ferrule.hole - 0.05, self.ferrule.depth
                    ),
                )
            )
        return tuple(found)
