"""Woodruff: active controls: battery box, push-pull, rotary, a jack on a side plate, strap locks
let in.

Woodruff's leaves stand in whorls; five points stand round this body, with bays between. A box for a
battery is let in from the back beside the control cavity. The cavity is a hull round a push-pull, a
small pot and a rotary switch, 7 mm off each, with a capacitor in it. The jack sits on a plate that
is screwed to what two small roundovers leave of a straight run of the edge; strap locks are let in
where the edge is flat and the wood behind it deep enough. The wires find their own ways. Drawn at
the Hedgerow bench, an invented one-bench shop.
"""

from dataclasses import replace

from bodycad import (
    BatteryBox,
    Bolt,
    Capacitor,
    Cavity,
    Cover,
    Depth,
    Design,
    Hardtail,
    Heel,
    Humbucker,
    Instrument,
    Link,
    Neck,
    NeckFerrule,
    NeckJoint,
    Place,
    Placed,
    PushPull,
    Rotary,
    Roundover,
    SideJack,
    Skin,
    SmallPot,
    StrapLock,
    blank_round,
    cavity_round,
    fall_away,
    heel_end_x,
    measured,
    on_edge,
    on_rim,
    pole_spacing_at,
    rounded,
    route,
    species,
    strings,
)

CORNERS = (
    (258, 40, 8),  # the neck's mouth
    (218, 46, 18),
    (232, 104, 30),  # the bass cutaway
    (316, 96, 12),  # the first point, for the strap
    (308, 146, 12),
    (150, 116, 150),  # the bay over the forearm
    (0, 130, 150),
    (-110, 178, 36),  # the second
    (-184, 140, 36),
    (-154, 72, 26),
    (-202, 30, 14),  # the third, at the tail, for the other strap
    (-202, -26, 14),
    (-156, -70, 26),
    (-196, -140, 36),  # the fourth
    (-130, -186, 36),
    (10, -138, 150),  # the bay for the knee
    (110, -128, 120),
    (196, -164, 30),  # the fifth
    (246, -120, 26),
    (222, -46, 18),  # the treble cutaway
    (258, -40, 8),
)
"""The outline as the bench draws it, with rule and discs: x and y of each corner, the disc's
radius."""


def design(
    scale: float = 650.0,
    thickness: float = 45.0,
    pocket_depth: float = 16.6,
    control_leave: float = 6.0,
    wall: float = 7.0,
    left_handed: bool = False,
) -> Design:
    heel = Heel(
        width_mouth=measured(55.0),
        width_end=measured(56.8),
        length=measured(68.0),
        thickness=measured(25.4),
        corner=measured(7.0),
        board_overlap=measured(5.0),
    )
    neck = Neck(
        scale=scale,
        frets=22,
        nut_width=measured(42.5),
        nut_spread=measured(35.5),
        width_at_last_fret=measured(56.8),
        heel=heel,
        overhang=measured(4.0),
        board_thickness=measured(6.4),
    )
    instrument = Instrument(
        neck,
        strings((".010", ".013", ".017", ".026w", ".036w", ".046w")),
        bridge_spread=measured(52.5),
    )
    outline = rounded([(x, y) for x, y, _ in CORNERS], [radius for *_, radius in CORNERS])
    contours = (
        fall_away("contour.forearm", "front", thickness, (-100, 104), 108.0, run=60.0, drop=14.0),
    )
    skin = Skin(outline, thickness, Roundover(2.0), Roundover(4.0), contours)

    heel_x = heel_end_x(neck)
    joint = NeckJoint(
        heel,
        pocket_depth,
        neck.board_thickness,
        ferrule=NeckFerrule(flange=measured(14.0)),
        masked=True,
        species="maple, sugar",
        bolts=tuple(
            Bolt(u, v, wood=20.0, length=36.0) for u in (14.0, 50.0) for v in (-17.0, 17.0)
        ),
    )

    def pickup(name: str, x: float) -> Placed:
        return Placed(f"pickup.{name}", Humbucker(pole_spacing_at(instrument, x)), Place(x))

    bush = measured(12.0)
    controls = (
        Placed("volume", PushPull("control", control_leave, bush=bush), Place(-30, -84)),
        Placed("tone", SmallPot("control", control_leave, bush=measured(11.0)), Place(-70, -92)),
        Placed("choice", Rotary("control", control_leave, bush=bush), Place(-112, -104)),
        Placed("capacitor", Capacitor("control", control_leave), Place(-70, -116)),
    )
    plan = cavity_round(*controls, wall=wall)
    control = Cavity(
        plan,
        Depth(leave=control_leave),
        Cover(gap=0.3, screws=on_rim(plan, (-8, -90), (-50, -66), (-96, -82), (-128, -114))),
    )
    parts = (
        Placed("neck", joint, Place(heel_x)),
        pickup("neck", 153.0),
        pickup("bridge", 41.0),
        Placed("bridge", Hardtail(measured(52.5)), Place(-17.0)),
        Placed("control", control),
        *controls,
        Placed("battery", BatteryBox(flange_width=measured(40.0)), Place(-90, -22, 90)),
        Placed(
            "jack",
            SideJack("control", -thickness / 2, 48.0),
            on_edge(outline, -66, -164),
        ),
        Placed("strap.tail", StrapLock(-thickness / 2), on_edge(outline, -202, 2)),
        Placed("strap.point", StrapLock(-thickness / 2), on_edge(outline, 316, 126)),
    )
    links = (
        Link("pickup.neck", "choice", 3.0),
        Link("pickup.bridge", "choice", 3.0),
        Link("choice", "volume"),
        Link("tone", "volume"),
        Link("battery", "volume"),
        Link("volume", "jack", 4.0),
    )
    body = Design(
        "woodruff",
        blank_round(outline, species("ash, white"), joints=(46.0,)),
        skin,
        instrument,
        parts,
        links,
        left_handed=left_handed,
    )
    return replace(body, parts=(*parts, *route(body)))
