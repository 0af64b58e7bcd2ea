"""The layout: stock, skin, placed parts, voids and rooms of one body. The single source for checks,
solid and every export."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from functools import cached_property
from typing import Any

from bodycad.errors import InputError, number
from bodycad.geometry.solids.skin import Skin
from bodycad.instrument.lines import Instrument
from bodycad.layout.void import Place, Room, Void, mirrored_shape, mirrored_void
from bodycad.shop import Shop
from bodycad.waiver import Waiver
from bodycad.wood import Species


@dataclass(frozen=True)
class Pin:
    """A datum pin hole in the blank, outside the body: centre and diameter, mm."""

    x: float
    y: float
    diameter: float = 6.0


@dataclass(frozen=True)
class Blank:
    """The board before shaping: its rectangle x0..x1, y0..y1, glue joints (y of each), species,
    pins."""

    x0: float
    y0: float
    x1: float
    y1: float
    species: Species
    joints: tuple[float, ...] = ()
    pins: tuple[Pin, ...] = ()
    moisture: float = 8.0
    grain: str = "tangential"

    def __post_init__(self) -> None:
        if not (self.x0 < self.x1 and self.y0 < self.y1):
            raise InputError(
                "the blank", (self.x0, self.y0, self.x1, self.y1), "x0 < x1 and y0 < y1"
            )
        for joint in self.joints:
            number("a glue joint's y", joint, self.y0, self.y1)

    def mirrored(self) -> Blank:
        return replace(
            self,
            y0=-self.y1,
            y1=-self.y0,
            joints=tuple(-y for y in self.joints),
            pins=tuple(Pin(p.x, -p.y, p.diameter) for p in self.pins),
        )


@dataclass(frozen=True, eq=False)
class Placed:
    """A part with its id and place."""

    id: str
    part: Any
    place: Place = field(default_factory=Place)

    def __post_init__(self) -> None:
        if not isinstance(self.place, Place):
            raise InputError(
                f"the place of {self.id}",
                self.place,
                "a Place(x, y, turn_deg) in mm and degrees",
                f"write Placed({self.id!r}, part, Place(x, y))",
            )


@dataclass(frozen=True)
class Link:
    """A connection that must have a way through the wood: ids of two placed parts, and the diameter
    of its bundle of wires, mm."""

    one: str
    two: str
    bundle: float = 3.0

    def __post_init__(self) -> None:
        number(f"the bundle from {self.one} to {self.two}", self.bundle, above=0.0)


@dataclass(frozen=True, eq=False)
class Layout:
    """Everything about one body, in the body frame, mm."""

    name: str
    parameters: Mapping[str, Any]
    blank: Blank
    skin: Skin
    instrument: Instrument
    placed: tuple[Placed, ...]
    voids: tuple[Void, ...]
    rooms: tuple[Room, ...]
    links: tuple[Link, ...]
    shop: Shop
    left_handed: bool = False
    waivers: tuple[Waiver, ...] = ()

    @property
    def thickness(self) -> float:
        return self.skin.thickness

    @cached_property
    def by_id(self) -> Mapping[str, Void]:
        """Voids by id."""
        return {void.id: void for void in self.voids}

    @cached_property
    def memo(self) -> dict[Any, Any]:
        """Figures derived from this layout that several checks ask for, each worked out once."""
        return {}

    @cached_property
    def cut_memo(self) -> dict[Any, Any]:
        """The same for figures that depend on the cuts and the skin alone."""
        return {}

    def with_parts(self, placed: tuple[Placed, ...], links: tuple[Link, ...]) -> Layout:
        """The same cuts and rooms with other placed parts and connections; what is known of the
        cuts is kept."""
        made = replace(self, placed=placed, links=links)
        vars(made)["cut_memo"] = self.cut_memo
        return made

    def parts(self, kind: type) -> tuple[Placed, ...]:
        """The placed parts of one class."""
        return tuple(p for p in self.placed if isinstance(p.part, kind))

    def voids_of(self, part: str) -> tuple[Void, ...]:
        """The voids that serve one placed part."""
        return tuple(v for v in self.voids if v.part == part)

    @cached_property
    def openings(self) -> Mapping[str, tuple[Void, ...]]:
        """The voids that are declared to open into each void, by its id, in the layout's order."""
        found: dict[str, set[str]] = {void.id: set(void.meets) - {void.id} for void in self.voids}
        for void in self.voids:
            for other in (void.meets & found.keys()) - {void.id}:
                found[other].add(void.id)
        return {
            name: tuple(v for v in self.voids if v.id in ids) if ids else ()
            for name, ids in found.items()
        }

    def meant(self, one: Void, two: Void) -> bool:
        """Whether two voids are declared to open into each other."""
        return two.id in one.meets or one.id in two.meets

    def mirrored(self) -> Layout:
        """The left-handed twin: everything reflected in the centreline; parts keep their own
        shape."""
        return replace(
            self,
            blank=self.blank.mirrored(),
            skin=self.skin.mirrored(),
            instrument=self.instrument.mirrored(),
            placed=tuple(replace(p, place=p.place.mirrored()) for p in self.placed),
            voids=tuple(map(mirrored_void, self.voids)),
            rooms=tuple(replace(r, shape=mirrored_shape(r.shape)) for r in self.rooms),
            left_handed=not self.left_handed,
        )


def lay_out(design) -> Layout:
    """The layout of a design: each part asked for its voids and rooms at its place, then mirrored
    for a left hand.

    Raises InputError for repeated ids, a `meets` or a link that names nothing, or a face or
    operation that does not exist.
    """
    voids, rooms = [], []
    for placed in design.parts:
        voids += placed.part.voids(placed.id, placed.place, design.skin.thickness)
        rooms += placed.part.rooms(placed.id, placed.place, design.skin.thickness)
    _unique("part", [p.id for p in design.parts])
    _unique("void", [v.id for v in voids])
    known, parts = {v.id for v in voids}, {p.id for p in design.parts}
    for void in voids:
        if void.id in void.meets:
            raise InputError(
                f"{void.id} meets", void.id, "the ids of other voids", "leave out its own"
            )
        for other in void.meets - known:
            raise InputError(
                f"{void.id} meets",
                other,
                "the id of a void of this design",
                f"known: {', '.join(sorted(known))}",
            )
    for link in design.links:
        for end in (link.one, link.two):
            if end not in parts:
                raise InputError(
                    "an end of a link",
                    end,
                    "the id of a placed part",
                    f"known: {', '.join(sorted(parts))}",
                )
    layout = Layout(
        design.name,
        design.parameters,
        design.blank,
        design.skin,
        design.instrument,
        tuple(design.parts),
        tuple(voids),
        tuple(rooms),
        tuple(design.links),
        design.shop,
        waivers=design.waivers,
    )
    return layout.mirrored() if design.left_handed else layout


def _unique(kind: str, ids: list[str]) -> None:
    seen: set[str] = set()
    for one in ids:
        if one in seen:
            raise InputError(
                f"a {kind} id",
                one,
                "an id used once in the design",
                "give each placed part its own id",
            )
        seen.add(one)
