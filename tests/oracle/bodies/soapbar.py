"""A pickup in a plain block, screwed down into the floor of its own route: a class of a maker's
own."""

from __future__ import annotations

from dataclasses import dataclass

from bodycad import (
    Fit,
    Hardware,
    Mass,
    Poles,
    Prism,
    Room,
    Screw,
    Terminal,
    Void,
    bore,
    from_front,
    rectangle,
)

DOWN = (0.0, 0.0, -1.0)


@dataclass(frozen=True)
class Soapbar:
    """A block `across` mm long across the strings and `along` mm along them, `tall` mm high.

    spacing: first to last pole; over: its top over the front; deep: its route's depth; play: of the
    block in the route, each side; lower: how far it must go down; held: distance of its two screws
    from its middle; drill, bite: diameter and depth of their holes under the floor."""

    spacing: float = 50.0
    poles: int = 6
    across: float = 85.5
    along: float = 35.0
    tall: float = 21.0
    over: float = 6.5
    deep: float = 19.0
    play: float = 0.8
    radius: float = 6.35
    lower: float = 3.0
    held: float = 10.0
    drill: float = 2.0
    bite: float = 11.0

    def voids(self, part, place, thickness):
        plan = rectangle(self.along + 2.0 * self.play, self.across + 2.0 * self.play, self.radius)
        route = f"{part}.route"
        cut = from_front(place.profile(plan), self.deep)
        found = [Void(route, part, "front", "POCKET", cut, {"front"})]
        for k, v in enumerate((-self.held, self.held), 1):
            hole = bore((*place.point(0.0, v), -self.deep), DOWN, self.drill, self.bite)
            name, meets = f"{part}.hold.{k}", frozenset({route})
            found.append(Void(name, part, "front", "PILOT", hole, frozenset(), meets))
        return tuple(found)

    def rooms(self, part, place, thickness):
        plan = place.profile(rectangle(self.along, self.across, self.radius))
        body = Prism(plan, self.over - self.tall, self.over)
        return (Room(f"{part}.block", part, "pickup", body),)

    def interfaces(self, part, place, piece):
        step = self.spacing / (self.poles - 1)
        spots = (-self.spacing / 2.0 + k * step for k in range(self.poles))
        points = tuple((*place.point(0.0, v), self.over) for v in spots)
        route = f"{part}.route"
        screws = (
            Screw(
                part=part,
                number=k,
                hole=f"{part}.hold.{k}",
                at=(*place.point(0.0, v), -self.deep),
                way=DOWN,
                flange=5.5,
                thread=2.9,
                reach=self.bite,
            )
            for k, v in enumerate((-self.held, self.held), 1)
        )
        return (
            Poles(part=part, points=points),
            Fit(
                part=part,
                kind="pickup",
                name="block",
                room=f"{part}.block",
                outer=route,
                below=self.lower,
            ),
            Terminal(part=part, kind="signal", voids=(route,)),
            Mass(part=part, kg=0.14),
            Hardware(part=part, what="soapbar pickup", fills=("pickup",)),
            *screws,
        )
