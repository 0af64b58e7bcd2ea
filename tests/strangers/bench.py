"""Quoin: a small body for the relief keeper of an invented lighthouse, who packs it in a sea chest.

One pickup, one volume, a bolt-on neck; a plain rounded board 400 mm long, its heel carved off
toward the treble side. It is written with `from bodycad import ...` alone, as a maker writes a
script. Each test of this folder swaps one of its parts, by id, for a part of the maker's own.
"""

from __future__ import annotations

from bodycad import (
    Bolt,
    Cavity,
    Channel,
    Cover,
    Depth,
    Design,
    EndJack,
    Hardtail,
    Heel,
    Humbucker,
    Instrument,
    Link,
    Neck,
    NeckJoint,
    Place,
    Placed,
    Pot,
    Roundover,
    Skin,
    Square,
    StrapButton,
    blank_round,
    fall_away,
    heel_end_x,
    on_edge,
    rectangle,
    species,
    strings,
)

THICKNESS = 44.0
HEEL = Heel(width_mouth=56.0, width_end=56.0, length=76.0, thickness=25.4, corner=7.0)
NECK = Neck(610.0, 22, 43.0, 35.0, 56.0, HEEL)
HEEL_X = heel_end_x(NECK)
OUTLINE = rectangle(400.0, 270.0, 60.0, 50.0, 0.0)
BOLTS = (
    Bolt(60.0, 16.0, 18.0, 35.0),
    Bolt(14.0, 16.0, 18.0, 35.0),
    Bolt(14.0, -16.0, 17.0, 34.0),
    Bolt(48.0, -12.0, 16.0, 33.0),
)


def instrument(**changes) -> Instrument:
    """Six strings on a 610 mm scale, 52.5 mm wide at the bridge."""
    sizes = {"bridge_spread": 52.5, **changes}
    return Instrument(NECK, strings((".010", ".013", ".017", ".026w", ".036w", ".046w")), **sizes)


def skin(drop: float = 11.0) -> Skin:
    """The body's skin, its heel carved `drop` mm deep over 33 mm from a line beside the screws."""
    carve = fall_away("contour.heel", "back", THICKNESS, (215.0, -7.0), -28.0, 33.0, drop)
    return Skin(OUTLINE, THICKNESS, Square(), Roundover(5.0), (carve,) if drop else ())


def own_parts() -> dict[str, Placed]:
    """The shipped parts of the body by id, in order."""
    cavity = rectangle(96.0, 44.0, 8.0)
    parts = (
        Placed("neck", NeckJoint(HEEL, 17.0, 6.4, BOLTS, masked=True), Place(HEEL_X)),
        Placed("pickup", Humbucker(50.5, rest_height=7.0), Place(50.0)),
        Placed("bridge", Hardtail(52.5, hole_pitch=10.5, plate_front=30.0), Place(-17.0)),
        Placed(
            "control",
            Cavity(cavity, Depth(leave=6.0), Cover(gap=0.3, screws=((-48.0, 0.0), (48.0, 0.0)))),
            Place(-60.0, -85.0),
        ),
        Placed("volume", Pot("control", 6.0, bush=12.0), Place(-32.0, -85.0)),
        Placed("jack", EndJack("control", -22.0, 40.0, lip=25.0), on_edge(OUTLINE, -85.0, -135.0)),
        Placed("strap.tail", StrapButton(-22.0), on_edge(OUTLINE, -150.0, 0.0)),
        Placed("strap.horn", StrapButton(-22.0), on_edge(OUTLINE, 230.0, 125.0)),
        Placed(
            "wire.pickup",
            Channel(
                (34.0, -26.0, -11.0), (-24.0, -78.0, -36.0), ("pickup.route", "control.cavity")
            ),
        ),
        Placed(
            "ground",
            Channel(
                (-4.0, -30.0, 0.0),
                (-50.0, -80.0, -30.0),
                ("control.cavity",),
                3.2,
                "front",
                "ground",
            ),
        ),
    )
    return {one.id: one for one in parts}


LINKS = (Link("pickup", "volume", 4.0), Link("volume", "jack", 4.0))


def quoin(
    *more: Placed,
    swap: dict[str, Placed | None] | None = None,
    links: tuple[Link, ...] = LINKS,
    **changes,
) -> Design:
    """The design with some parts swapped by id (None leaves one out) and `more` added; `changes`
    are fields of Design."""
    parts = own_parts() | (swap or {})
    given = {
        "blank": blank_round(OUTLINE, species("alder, red")),
        "skin": skin(),
        "instrument": instrument(),
        "links": links,
        **changes,
    }
    placed = (*(one for one in parts.values() if one is not None), *more)
    return Design("quoin", parts=placed, **given)
