"""Bridges of the maker's own, written as in a script: the package knows none of them."""

from __future__ import annotations

import math
from dataclasses import dataclass

from bodycad import (
    Anchor,
    Hardware,
    Land,
    Mass,
    Place,
    Prism,
    Room,
    Saddle,
    Screw,
    StringHole,
    Terminal,
    Void,
    bore,
    circle,
    rectangle,
)

DOWN, UP = (0.0, 0.0, -1.0), (0.0, 0.0, 1.0)


@dataclass(frozen=True)
class Comb:
    """A bent plate with one roller a string, its strings through the body.

    The rollers stand `spread` mm from first to last, the holes `pitch` apart, `back` mm behind the
    nearer end of the rollers' travel of `way` mm. low, high: of the string on its roller. cup:
    (diameter, depth) of the seat at the back, None for none. less: numbers of rollers left out;
    loose: numbers of strings without a hole; bar: it holds the ends with its own edge; numbered:
    which string each roller is said to serve.
    """

    spread: float = 52.5
    pitch: float = 10.5
    count: int = 6
    back: float = 9.0
    way: float = 12.0
    low: float = 9.5
    high: float = 14.0
    cup: tuple[float, float] | None = (7.9, 11.0)
    screws: tuple[tuple[float, float], ...] = (
        (27.0, -30.0),
        (27.0, 0.0),
        (27.0, 30.0),
        (-2.0, -34.0),
        (-2.0, 34.0),
    )
    less: tuple[int, ...] = ()
    loose: tuple[int, ...] = ()
    bar: bool = False
    numbered: tuple[int | None, ...] = ()
    grounded: bool = True
    broad: float = 80.0

    def _row(self, width: float) -> list[tuple[int, float]]:
        step = width / max(self.count - 1, 1)
        return [(k + 1, (k - (self.count - 1) / 2.0) * step) for k in range(self.count)]

    def _holes(self) -> list[tuple[int, float]]:
        return [(k, v) for k, v in self._row(self.pitch * (self.count - 1)) if k not in self.loose]

    def _rollers(self) -> list[tuple[int, float]]:
        return [(k, v) for k, v in self._row(self.spread) if k not in self.less]

    def voids(self, part, place, thickness):
        found = []
        for k, v in self._holes():
            x, y = place.point(0.0, v)
            hole, cup = f"{part}.thread.{k}", f"{part}.cup.{k}"
            way = bore((x, y, 0.0), DOWN, 3.2, thickness)
            meets = frozenset({cup} if self.cup else ())
            found.append(Void(hole, part, "front", "BORE", way, {"front", "back"}, meets))
            if self.cup:
                seat = bore((x, y, -thickness), UP, *self.cup)
                found.append(Void(cup, part, "back", "BORE", seat, {"back"}))
        for k, (u, v) in enumerate(self.screws, 1):
            pilot = bore((*place.point(u, v), 0.0), DOWN, 2.4, 20.0)
            found.append(Void(f"{part}.fixing.{k}", part, "front", "PILOT", pilot, {"front"}))
        return found

    def _plan(self, place: Place):
        return place.profile(rectangle(37.0, self.broad, 3.0, 11.5, 0.0))

    def rooms(self, part, place, thickness):
        found = [Room(f"{part}.bent", part, "plate", Prism(self._plan(place), 0.0, 2.5))]
        for k, v in self._rollers():
            roller = place.profile(rectangle(self.way, 6.0, 0.5, self.back + self.way / 2.0, v))
            found.append(Room(f"{part}.roller.{k}", part, "saddle", Prism(roller, 2.5, self.low)))
        return found

    def interfaces(self, part, place, piece):
        turn = math.radians(place.turn_deg)
        found = [Land(part=part, name=f"{part}.bent", face="front", plan=self._plan(place))]
        numbered = dict(enumerate(self.numbered, 1))
        # Bass first, as this maker counts: which string each serves is told by where it stands.
        for k, v in reversed(self._rollers()):
            found.append(
                Saddle(
                    part=part,
                    id=f"{part}.roller.{k}",
                    at=(*place.point(self.back + self.way / 2.0, v), self.low),
                    along=(math.cos(turn), math.sin(turn), 0.0),
                    ahead=self.way / 2.0,
                    behind=self.way / 2.0,
                    low=self.low,
                    high=self.high,
                    string=numbered.get(k),
                )
            )
        for k, v in reversed(self._holes()):
            x, y = place.point(0.0, v)
            seat = f"{part}.cup.{k}" if self.cup else None
            wide, deep = self.cup or (0.0, None)
            hole = StringHole(
                part=part,
                hole=f"{part}.thread.{k}",
                seat=seat,
                at=(x, y, 0.0),
                rise=deep,
                flange=wide,
            )
            found.append(hole)
            if self.cup:
                plan = circle(self.cup[0], x, y)
                found.append(Land(part=part, name=seat, face="back", plan=plan))
        if self.bar:
            ends = [(*place.point(-4.0, v), 2.5) for v in (-self.spread / 2.0, self.spread / 2.0)]
            found.append(Anchor(part=part, at=tuple(ends), strings=self.count))
        for k, (u, v) in enumerate(self.screws, 1):
            found.append(
                Screw(
                    part=part,
                    number=k,
                    hole=f"{part}.fixing.{k}",
                    at=(*place.point(u, v), 0.0),
                    way=DOWN,
                    flange=8.0,
                    thread=4.0,
                    reach=20.0,
                )
            )
        if self.grounded:
            found.append(Terminal(part=part, kind="ground", under=f"{part}.bent", linked=False))
        kinds = "plate", "saddle"
        bought = Hardware(part=part, what="bent bridge with rollers", fills=kinds)
        return [*found, Mass(part=part, kg=0.25), bought]


@dataclass(frozen=True)
class Block:
    """A mounting block for one string: a saddle on a foot 9 mm wide, its string through the body
    11 mm behind the middle of the saddle's travel, two screws."""

    low: float = 9.5
    high: float = 14.0
    aside: float = 0.0

    def _plan(self, place):
        return place.profile(rectangle(36.0, 9.0, 1.0, -4.0, 0.0))

    def voids(self, part, place, thickness):
        x, y = place.point(-11.0, self.aside)
        hole, cup = bore((x, y, 0.0), DOWN, 3.2, thickness), bore((x, y, -thickness), UP, 7.0, 11.0)
        opens, meets = {"front", "back"}, frozenset({f"{part}.cup"})
        found = [
            Void(f"{part}.hole", part, "front", "BORE", hole, opens, meets),
            Void(f"{part}.cup", part, "back", "BORE", cup, {"back"}),
        ]
        for k, u in enumerate((-19.0, 11.0), 1):
            pilot = bore((*place.point(u, 0.0), 0.0), DOWN, 2.0, 14.0)
            found.append(Void(f"{part}.fixing.{k}", part, "front", "PILOT", pilot, {"front"}))
        return tuple(found)

    def rooms(self, part, place, thickness):
        foot = Prism(self._plan(place), 0.1, 3.0)
        saddle = Prism(place.profile(rectangle(12.0, 6.0)), 3.0, self.low)
        return (
            Room(f"{part}.foot", part, "plate", foot),
            Room(f"{part}.saddle", part, "saddle", saddle),
        )

    def interfaces(self, part, place, piece):
        turn, plan = math.radians(place.turn_deg), self._plan(place)
        x, y = place.point(-11.0, self.aside)
        screws = (
            Screw(
                part=part,
                number=k,
                hole=f"{part}.fixing.{k}",
                at=(*place.point(u, 0.0), 0.0),
                way=DOWN,
                flange=6.0,
                thread=3.3,
                reach=14.0,
            )
            for k, u in enumerate((-19.0, 11.0), 1)
        )
        return (
            Saddle(
                part=part,
                id=f"{part}.saddle",
                at=(*place.point(0.0, 0.0), self.low),
                along=(math.cos(turn), math.sin(turn), 0.0),
                ahead=6.0,
                behind=6.0,
                low=self.low,
                high=self.high,
            ),
            StringHole(
                part=part,
                hole=f"{part}.hole",
                seat=f"{part}.cup",
                at=(x, y, 0.0),
                rise=11.0,
                flange=7.0,
            ),
            Land(part=part, name=f"{part}.foot", face="front", plan=plan),
            Land(part=part, name=f"{part}.cup", face="back", plan=circle(7.0, x, y)),
            Mass(part=part, kg=0.04),
            Hardware(part=part, what="block for one string", fills=("plate", "saddle")),
            *screws,
        )


@dataclass(frozen=True)
class Foil:
    """A copper foil let lie under the blocks: the ground wire comes out beneath it."""

    length: float = 30.0
    width: float = 72.0

    def voids(self, part, place, thickness):
        return ()

    def rooms(self, part, place, thickness):
        plan = place.profile(rectangle(self.length, self.width))
        return (Room(f"{part}.sheet", part, "part", Prism(plan, 0.0, 0.1)),)

    def interfaces(self, part, place, piece):
        return (
            Terminal(part=part, kind="ground", under=f"{part}.sheet", linked=False),
            Mass(part=part, kg=0.01),
            Hardware(part=part, what="sheet of foil", fills=("part",)),
        )
