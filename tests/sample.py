"""A small made-up body for tests of solids, files and gaps: every kind of void, no trade
meaning."""

from __future__ import annotations

from dataclasses import dataclass

from bodycad.design import Design
from bodycad.geometry.plane.build import circle, rectangle
from bodycad.geometry.plane.profile import profile
from bodycad.geometry.solids.bore import bore
from bodycad.geometry.solids.carve import Carve
from bodycad.geometry.solids.edge import Ledge, Roundover
from bodycad.geometry.solids.prism import Prism
from bodycad.geometry.solids.skin import Contour, Skin
from bodycad.instrument.lines import Instrument
from bodycad.instrument.neck import Neck
from bodycad.instrument.strings import strings
from bodycad.layout.blank import Blank, Pin
from bodycad.layout.interface import Interface
from bodycad.layout.layout import Placed
from bodycad.layout.void import Room, Void, from_back, from_front
from bodycad.wood import species

THICKNESS = 44.0


@dataclass(frozen=True)
class Loose:
    """A part that only hands over ready-made voids, rooms and records."""

    cut: tuple[Void, ...] = ()
    room: tuple[Room, ...] = ()
    says: tuple[Interface, ...] = ()

    def voids(self, part, place, thickness):
        return self.cut

    def rooms(self, part, place, thickness):
        return self.room

    def interfaces(self, part, place, piece):
        return self.says


def instrument() -> Instrument:
    neck = Neck(scale=635.0, frets=22, nut_width=43.0, nut_spread=35.0, width_at_last_fret=56.0)
    return Instrument(
        neck, strings((".010", ".013", ".017", ".026w", ".036w", ".046w")), bridge_spread=52.5
    )


def skin(contours: bool = True) -> Skin:
    """A 400 x 300 mm board with 20 mm corners, binding in front, roundover behind, two contours."""
    bevel = profile([(0.0, 0.0), (60.0, -15.0), (60.0, 10.0), (0.0, 10.0)])
    scoop = circle(200.0, 0.0, -THICKNESS - 88.0)
    carves = (
        Contour("contour.forearm", "front", Carve(bevel, (-100.0, 100.0), 135.0, (-200.0, 200.0))),
        Contour("contour.belly", "back", Carve(scoop, (-150.0, 150.0), 90.0, (-40.0, 40.0))),
    )
    return Skin(
        rectangle(400.0, 300.0, 20.0),
        THICKNESS,
        Ledge((1.5,), 6.4),
        Roundover(6.0),
        carves if contours else (),
    )


def voids() -> tuple[Void, ...]:
    t = THICKNESS
    return (
        Void(
            "a.route",
            "a",
            "front",
            "POCKET",
            from_front(rectangle(40.0, 80.0, 4.0, 60.0, 0.0), 19.0),
            frozenset({"front"}),
        ),
        Void(
            "a.ears",
            "a",
            "front",
            "POCKET",
            from_front(rectangle(14.0, 90.0, 4.0, 60.0, 0.0), 27.0),
            frozenset({"front"}),
            frozenset({"a.route"}),
        ),
        Void(
            "b.cavity",
            "b",
            "back",
            "POCKET",
            from_back(rectangle(60.0, 50.0, 10.0, -60.0, -60.0), 37.0, t),
            frozenset({"back"}),
            frozenset({"b.recess"}),
        ),
        Void(
            "b.recess",
            "b",
            "back",
            "RECESS",
            from_back(rectangle(70.0, 60.0, 15.0, -60.0, -60.0), 3.0, t),
            frozenset({"back"}),
        ),
        Void(
            "b.shaft",
            "b",
            "front",
            "BORE",
            bore((-60.0, -60.0, 0.0), (0, 0, -1), 9.5, 8.0),
            frozenset({"front"}),
            frozenset({"b.cavity"}),
        ),
        Void(
            "wire",
            "wire",
            "front",
            "CHANNEL",
            bore((60.0, -20.0, -12.0), (-100.0, -40.0, -8.0), 6.35, 100.0),
            frozenset(),
            frozenset({"a.route", "b.cavity", "a.ears"}),
        ),
        Void(
            "bridge.string.1",
            "bridge",
            "front",
            "BORE",
            bore((-10.0, 20.0, 0.0), (0, 0, -1), 3.2, t),
            frozenset({"front", "back"}),
            frozenset({"bridge.ferrule.1"}),
        ),
        Void(
            "bridge.ferrule.1",
            "bridge",
            "back",
            "BORE",
            bore((-10.0, 20.0, -t), (0, 0, 1), 8.0, 10.0),
            frozenset({"back"}),
        ),
        Void(
            "bridge.screw.1",
            "bridge",
            "front",
            "PILOT",
            bore((10.0, 20.0, 0.0), (0, 0, -1), 2.4, 20.0, 118.0),
            frozenset({"front"}),
        ),
        Void(
            "neck.pocket",
            "neck",
            "front",
            "POCKET",
            Prism(rectangle(80.0, 56.0, 5.0, 170.0, 0.0), -16.0, 0.0, (0.01, 0.0), (170.0, 0.0)),
            frozenset({"front", "edge"}),
        ),
        Void(
            "jack.bore",
            "jack",
            "edge",
            "BORE",
            bore((-200.0, -60.0, -22.0), (1.0, 0.0, 0.0), 22.2, 125.0),
            frozenset({"edge"}),
            frozenset({"b.cavity"}),
        ),
    )


def design(contours: bool = True, left_handed: bool = False) -> Design:
    room = Room("a.body", "a", "pickup", Prism(rectangle(37.0, 70.0, 2.0, 60.0, 0.0), -17.0, 4.0))
    parts = tuple(
        Placed(
            name, Loose(tuple(v for v in voids() if v.part == name), (room,) if name == "a" else ())
        )
        for name in ("a", "b", "wire", "bridge", "neck", "jack")
    )
    blank = Blank(
        -215.0,
        -165.0,
        215.0,
        165.0,
        species("alder, red"),
        joints=(-30.0,),
        pins=(Pin(-208.0, 0.0), Pin(208.0, 120.0)),
    )
    return Design("sample", blank, skin(contours), instrument(), parts, left_handed=left_handed)
