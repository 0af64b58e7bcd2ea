"""Skerry: a four-string bass with two block pickups, for an invented harbour band."""

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
    hull,
    on_edge,
    on_rim,
    smooth_outline,
    species,
    string_height,
    strings,
)
from tests.oracle.bodies.soapbar import Soapbar

OUTLINE = (
    *((338, 0), (337, 24), (332, 38), (310, 46), (302, 58), (312, 74), (345, 92), (365, 112)),
    *((350, 130), (310, 138), (255, 134), (190, 122), (120, 116), (50, 124), (-20, 146)),
    *((-75, 160), (-130, 152), (-170, 118), (-188, 62), (-194, 0), (-194, -62), (-178, -115)),
    *((-140, -152), (-85, -165), (-25, -156), (45, -132), (115, -122), (185, -128), (245, -134)),
    *((285, -128), (296, -114), (286, -96), (268, -76), (262, -60), (272, -48), (300, -42)),
    *((328, -38), (336, -26)),
)


def design(
    scale: float = 864.0,
    thickness: float = 42.0,
    pocket_depth: float = 16.0,
    front_pickup_x: float = 165.0,
    rear_pickup_x: float = 47.0,
    under_strings: float = 5.5,
    forearm: float = 11.0,
) -> Design:
    heel = Heel(width_mouth=62.5, width_end=63.0, length=70.0, thickness=26.0, corner=7.0)
    neck = Neck(scale, 20, 42.0, 31.0, 63.0, heel, 6.0, 6.4)
    instrument = Instrument(
        neck,
        strings((".045w", ".065w", ".080w", ".100w")),
        bridge_spread=57.0,
        action12_treble=2.0,
        action12_bass=2.4,
    )
    outline = smooth_outline(OUTLINE, tolerance=0.03, name="the outline of skerry")
    carve = fall_away(
        "contour.forearm", "front", thickness, (-68, 104), 118.0, run=60.0, drop=forearm
    )
    skin = Skin(outline, thickness, Square(), Roundover(6.0), (carve,))
    heel_x = heel_end_x(neck)
    joint = NeckJoint(
        heel,
        pocket_depth,
        6.4,
        (
            Bolt(52.0, 17.0, 17.0, 34.0),
            Bolt(14.0, 18.0, 17.0, 34.0),
            Bolt(14.0, -18.0, 17.0, 34.0),
            Bolt(52.0, -17.0, 17.0, 34.0),
        ),
        masked=True,
        species="maple, sugar",
    )

    def pickup(x: float, spacing: float) -> Soapbar:
        over = string_height(instrument, pocket_depth, x) - under_strings
        return Soapbar(spacing, 4, across=92.0, along=32.0, over=over, deep=20.0, held=28.0)

    pots = hull([(-40, -100, 22), (-85, -115, 22), (-130, -100, 22)])
    control = Cavity(
        pots,
        Depth(leave=6.0),
        Cover(gap=0.3, screws=on_rim(pots, (-62, -85), (-108, -80), (-16, -108), (-108, -128))),
    )
    bridge = Hardtail(
        57.0,
        hole_pitch=19.0,
        strings=4,
        window_rear=6.0,
        window_front=22.0,
        saddle_low=9.0,
        saddle_high=16.0,
        plate_width=86.0,
        string_hole=4.0,
    )
    parts = (
        Placed("neck", joint, Place(heel_x)),
        Placed("pickup.front", pickup(front_pickup_x, 53.0), Place(front_pickup_x)),
        Placed("pickup.rear", pickup(rear_pickup_x, 55.0), Place(rear_pickup_x)),
        Placed("bridge", bridge, Place(-19.0)),
        Placed("control", control),
        Placed("volume", Pot("control", 6.0, bush=12.0), Place(-40.0, -100.0)),
        Placed("blend", Pot("control", 6.0, bush=12.0), Place(-85.0, -115.0)),
        Placed("tone", Pot("control", 6.0, bush=12.0), Place(-130.0, -100.0)),
        Placed(
            "jack",
            EndJack("control", -thickness / 2, 45.0, lip=25.0),
            on_edge(outline, -54, -163),
        ),
        Placed("strap.tail", StrapButton(-thickness / 2), on_edge(outline, -194, 0)),
        Placed("strap.horn", StrapButton(-thickness / 2), on_edge(outline, 364, 112)),
        Placed(
            "wire.pickups",
            Channel(
                (heel_x + 4, 6, -10.5),
                (60, 6, -13),
                ("neck.pocket", "pickup.front.route", "pickup.rear.route"),
            ),
        ),
        Placed(
            "wire.control",
            Channel((34, -32, -9.5), (-22, -90, -35.2), ("pickup.rear.route", "control.cavity")),
        ),
        Placed(
            "ground",
            Channel((-4, -34, 0), (-44, -92, -28), ("control.cavity",), 3.2, "front", "ground"),
        ),
    )
    links = (
        Link("pickup.front", "volume", 4.0),
        Link("pickup.rear", "volume", 4.0),
        Link("blend", "volume", 4.0),
        Link("tone", "volume"),
        Link("volume", "jack", 4.0),
    )
    blank = blank_round(outline, species("alder, red"))
    return Design("skerry", blank, skin, instrument, parts, links)
