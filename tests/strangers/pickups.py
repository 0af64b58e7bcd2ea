"""Pickups of the maker's own, written as in a script: the package knows none of them."""

from __future__ import annotations

from dataclasses import dataclass

from bodycad import (
    Fit,
    Hardware,
    Hides,
    Land,
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
class Slab:
    """A cast pickup that hangs from a frame by two lugs.

    spacing: outer magnets; over: its top over the front; (frame_u, frame_v): the frame's size along
    and across the strings, screws at (hold_u, hold_v) from its middle; play: round body and lugs.
    framed: without, it is mounted to the wood. blade: a bar in place of the magnets, of `spacing`.
    fitted, sensing: whether it states its fits, its poles.
    """

    spacing: float = 50.5
    magnets: int = 6
    over: float = 7.0
    deep: float = 20.0
    lugs: float = 27.0
    play: float = 1.0
    frame_u: float = 46.5
    frame_v: float = 91.0
    hold_u: float = 18.75
    hold_v: float = 41.0
    framed: bool = True
    blade: bool = False
    fitted: bool = True
    sensing: bool = True

    def _steps(self):
        return (("well", 38.0, 70.0, 19.0), ("slot", 14.0, 83.0, 26.0))

    def _holds(self):
        u, v = self.hold_u, self.hold_v
        return enumerate(((u, v), (u, -v), (-u, v), (-u, -v)) if self.framed else (), 1)

    def voids(self, part, place, thickness):
        found = []
        for name, u, v, depth in self._steps():
            plan = place.profile(rectangle(u + 2.0 * self.play, v + 2.0 * self.play, 3.2))
            meets = frozenset({f"{part}.well"} if name == "slot" else ())
            cut = from_front(plan, depth)
            found.append(Void(f"{part}.{name}", part, "front", "POCKET", cut, {"front"}, meets))
        for k, spot in self._holds():
            pilot = bore((*place.point(*spot), 0.0), DOWN, 2.0, 10.0)
            found.append(Void(f"{part}.hold.{k}", part, "front", "PILOT", pilot, {"front"}))
        return tuple(found)

    def rooms(self, part, place, thickness):
        body = place.profile(rectangle(38.0, 70.0, 2.0))
        lugs = place.profile(rectangle(14.0, 83.0, 1.0))
        under = self.over - self.deep
        found = [
            Room(f"{part}.cast", part, "pickup", Prism(body, under, self.over)),
            Room(f"{part}.lugs", part, "pickup", Prism(lugs, self.over - self.lugs, under + 2.0)),
        ]
        if self.framed:
            plan = place.profile(rectangle(self.frame_u, self.frame_v, 2.0))
            found.append(Room(f"{part}.frame", part, "ring", Prism(plan, 0.0, 5.0)))
        return tuple(found)

    def interfaces(self, part, place, piece):
        wells = f"{part}.well", f"{part}.slot"
        found = [Terminal(part=part, kind="signal", voids=wells), Mass(part=part, kg=0.16)]
        kinds = ("pickup", "ring") if self.framed else ("pickup",)
        found.append(Hardware(part=part, what="cast pickup", fills=kinds))
        if self.sensing:
            half = self.spacing / 2.0
            count = 2 if self.blade else self.magnets
            step = self.spacing / (count - 1)
            spots = [(*place.point(0.0, half - k * step), self.over) for k in range(count)]
            found.append(Poles(part=part, points=tuple(spots), bar=self.blade))
        if self.fitted:
            for name, outer in zip(("cast", "lugs"), wells, strict=True):
                found.append(
                    Fit(
                        part=part,
                        kind="pickup",
                        name=name,
                        room=f"{part}.{name}",
                        outer=outer,
                        # The screws of the lugs hang from the frame and stay where they are.
                        below=4.0
                        if name == "cast" or not self.framed
                        else max(24.0 + 4.0 - self.lugs, 0.0),
                    )
                )
        if self.framed:
            found += self._frame(part, place, wells)
        return tuple(found)

    def _frame(self, part, place, wells):
        name, rim = f"{part}.frame", place.profile(rectangle(self.frame_u, self.frame_v))
        plan = place.profile(rectangle(self.frame_u, self.frame_v, 2.0))
        yield Hides(
            part=part,
            kind="on",
            name="frame",
            rim=rim,
            room=name,
            face="front",
            voids=wells,
            screws=tuple(f"{part}.hold.{k}" for k, _ in self._holds()),
        )
        yield Land(part=part, name=name, face="front", plan=plan)
        for k, spot in self._holds():
            yield Screw(
                part=part,
                number=k,
                hole=f"{part}.hold.{k}",
                at=(*place.point(*spot), 0.0),
                way=DOWN,
                flange=6.0,
                thread=3.3,
                reach=10.0,
            )
