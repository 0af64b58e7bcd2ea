"""Tansy: a thin left-handed body: machine screws in inserts, and a truss rod adjusted at the heel.

Tansies are yellow buttons on stalks: two at the tail with a dent between them, one that carries the
strap, one that is only just a button. The stock is a board that was planed once too often, 37 mm.
What it leaves under the neck's pocket is too little for ferrules and long screws, so a plate is let
in flush with the back, and machine screws go through it into threaded inserts in the heel. The
truss rod is adjusted there too: a notch past the pocket's end lets a pin reach its wheel, and the
only pickup keeps clear of it. Drawn at the Hedgerow bench, an invented one-bench shop.
"""

from dataclasses import replace

from bodycad import (
    Cavity,
    Cover,
    Depth,
    Design,
    EndJack,
    Heel,
    Humbucker,
    Insert,
    Instrument,
    Link,
    Neck,
    NeckPlate,
    Place,
    Placed,
    PlateJoint,
    Pot,
    RodNotch,
    Roundover,
    Skin,
    StrapButton,
    TopLoad,
    blank_round,
    heel_end_x,
    hull,
    measured,
    on_edge,
    on_rim,
    rounded,
    route,
    species,
    strings,
)

CORNERS = (
    (240, 38, 8),  # the neck's mouth
    (204, 44, 13),  # the bass cutaway
    (208, 74, 16),
    (270, 62, 24),  # the strap's button on its stalk
    (334, 62, 36),
    (336, 136, 38),
    (258, 142, 40),
    (190, 104, 50),
    (66, 84, 80),  # the waist
    (-20, 160, 80),  # the bass button of the tail
    (-190, 168, 85),
    (-214, 40, 50),
    (-126, 4, 16),  # the dent
    (-212, -34, 40),
    (-212, -172, 76),  # the treble button
    (-24, -166, 80),
    (70, -80, 70),
    (128, -118, 40),  # the smallest button
    (214, -126, 34),
    (216, -82, 18),
    (190, -54, 16),  # the treble cutaway
    (214, -44, 16),
    (240, -38, 8),
)
"""The outline as the bench draws it, right-handed, with rule and discs: x and y of each corner, the
disc's radius."""


def design(
    scale: float = 635.0,
    frets: int = 22,
    thickness: float = 37.0,
    pocket_depth: float = 16.0,
    pickup_x: float = 80.0,
    rod_at_heel: bool = True,
    left_handed: bool = True,
) -> Design:
    heel = Heel(
        width_mouth=measured(55.6),
        width_end=measured(56.2),
        length=measured(66.0),
        thickness=measured(24.6),
        corner=measured(7.0),
        rod_depth=measured(9.5),
        rod_at_heel=rod_at_heel,
    )
    neck = Neck(
        scale=scale,
        frets=frets,
        nut_width=measured(43.0),
        nut_spread=measured(35.5),
        width_at_last_fret=measured(56.2),
        heel=heel,
        overhang=measured(4.0),
        board_thickness=measured(6.2),
    )
    instrument = Instrument(
        neck,
        strings((".011", ".014", ".018w", ".028w", ".038w", ".049w")),
        bridge_spread=measured(52.5),
    )
    outline = rounded([(x, y) for x, y, _ in CORNERS], [radius for *_, radius in CORNERS])
    skin = Skin(outline, thickness, Roundover(2.0), Roundover(4.0))

    # Machine screws of 5 mm, 33 mm long: 2.5 mm of plate, 18.5 mm of wood, 12 mm in the inserts.
    joint = PlateJoint(
        heel,
        pocket_depth,
        neck.board_thickness,
        at=28.5,
        length=measured(33.0),
        plate=NeckPlate(
            length=measured(50.0),
            width=measured(46.0),
            thickness=measured(2.5),
            screw_length=measured(30.0),
            screw_width=measured(27.0),
            head=0.0,
            recess=2.5,
        ),
        insert=Insert(outside=measured(8.6), hole=measured(7.4), length=measured(12.5)),
        screw=measured(5.0),
        hole=5.5,
        masked=True,
        species="maple, sugar",
        rod=RodNotch(nut_length=measured(9.0), tool=measured(4.0)) if rod_at_heel else None,
    )
    pots = hull([(-54, -84, 22), (-104, -94, 22), (-146, -84, 22)])
    control = Cavity(
        pots,
        Depth(leave=6.0),
        Cover(gap=0.3, screws=on_rim(pots, (-38, -98), (-100, -118), (-158, -104), (-92, -66))),
    )
    parts = (
        Placed("neck", joint, Place(heel_end_x(neck))),
        Placed("pickup", Humbucker(measured(50.0)), Place(pickup_x)),
        Placed("bridge", TopLoad(spread=measured(52.5)), Place(-24.0)),
        Placed("control", control),
        Placed("volume", Pot("control", 6.0, bush=measured(12.0)), Place(-54, -84)),
        Placed("tone", Pot("control", 6.0, bush=measured(12.0)), Place(-104, -94)),
        Placed(
            "jack",
            EndJack("control", -thickness / 2, 60.0, lip=measured(25.0)),
            on_edge(outline, -212, -76),
        ),
        Placed(
            "strap.tail",
            StrapButton(-thickness / 2, pilot=measured(2.6)),
            on_edge(outline, -207, 80),
        ),
        Placed(
            "strap.button",
            StrapButton(-thickness / 2, pilot=measured(2.6)),
            on_edge(outline, 292, 139),
        ),
    )
    links = (
        Link("pickup", "volume", 3.0),
        Link("tone", "volume"),
        Link("volume", "jack", 4.0),
    )
    bare = Design(
        "tansy",
        blank_round(outline, species("ash, black"), joints=(-64.0, 58.0)),
        skin,
        instrument,
        parts,
        links,
        left_handed=left_handed,
    )
    return replace(bare, parts=bare.parts + route(bare))
