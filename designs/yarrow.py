"""Yarrow: a neck that runs through the body, a wing glued to each side of its core.

A yarrow's stem goes straight up into its head of buds, and so does this one's: a maple core, 64 mm
wide, from the headstock to the tail, and a walnut wing with a leaf glued to each side of it. There
is no pocket and no screw: the fretboard lies on the core, leans back by less than half a degree,
and the heel is carved until the hand forgets it. The strings end in the core; the bench asks how
much of it the pickups leave, and how much of each glue line the cavities. Drawn at the Hedgerow
bench, an invented one-bench shop.
"""

from dataclasses import replace

from bodycad import (
    Cavity,
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
    NeckThrough,
    Place,
    Placed,
    Pot,
    Ring,
    Roundover,
    Skin,
    StrapButton,
    Toggle,
    blank_round,
    board_end_x,
    fall_away,
    heel_end_x,
    hull,
    measured,
    on_edge,
    on_rim,
    rectangle,
    rounded,
    route,
    species,
    strings,
)

CORNERS = (
    (244, 36, 10),  # the stem
    (208, 46, 18),  # the bass cutaway
    (222, 92, 30),
    (296, 140, 14),  # the bass leaf, which carries the strap
    (274, 176, 16),
    (170, 116, 70),
    (58, 100, 110),  # the waist
    (-60, 152, 60),
    (-138, 172, 36),  # the head: three buds
    (-178, 108, 26),
    (-154, 74, 20),
    (-204, 50, 30),
    (-208, -14, 22),
    (-166, -40, 16),
    (-212, -66, 18),
    (-200, -132, 40),
    (-140, -168, 44),
    (-46, -140, 90),
    (44, -106, 100),
    (140, -112, 60),
    (212, -136, 16),  # the treble leaf
    (226, -108, 16),
    (190, -54, 16),  # the treble cutaway
    (214, -42, 16),
    (244, -36, 10),
)
"""The outline as the bench draws it, with rule and discs: x and y of each corner, the disc's
radius."""


def design(
    scale: float = 635.0,
    frets: int = 24,
    core: float = 64.0,
    angle_deg: float = 0.4,
    thickness: float = 43.0,
    heel_carve: float = 19.0,
    left_handed: bool = False,
) -> Design:
    heel = Heel(
        width_mouth=measured(53.6),
        width_end=measured(56.8),
        length=measured(89.0),
        thickness=measured(25.0),
        rod_depth=measured(9.0),
    )
    neck = Neck(
        scale=scale,
        frets=frets,
        nut_width=measured(42.5),
        nut_spread=measured(35.5),
        width_at_last_fret=measured(56.7),
        heel=heel,
        overhang=measured(4.0),
        board_thickness=measured(6.2),
    )
    instrument = Instrument(
        neck,
        strings((".010", ".013", ".017", ".026w", ".036w", ".046w")),
        bridge_spread=measured(52.5),
    )
    outline = rounded([(x, y) for x, y, _ in CORNERS], [radius for *_, radius in CORNERS])
    carve = fall_away(
        "contour.heel", "back", thickness, (211, 0), 0.0, 46.0, heel_carve, span=(-60, 60)
    )
    skin = Skin(outline, thickness, Roundover(3.0), Roundover(6.0), contours=(carve,))
    through = NeckThrough(
        heel,
        neck.board_thickness,
        core=measured(core),
        rise=0.6,
        angle_deg=angle_deg,
        species="maple, sugar",
    )

    ring = Ring(length=measured(91.0), width=measured(46.5))
    neck_x = board_end_x(neck) - 2.0 - ring.width / 2
    bridge_x = 38.0
    bridge = Hardtail(
        spread=measured(52.5),
        hole_pitch=measured(10.5),
        plate_front=measured(30.0),
        screws=((26.0, -26.0), (26.0, 0.0), (26.0, 26.0)),
    )
    pots = hull([(-48, -76, 21), (-92, -86, 21), (-140, -84, 21)])
    control = Cavity(
        pots,
        Depth(leave=6.0),
        Cover(gap=0.3, screws=on_rim(pots, (-36, -94), (-92, -112), (-154, -68), (-70, -56))),
    )
    frame = rectangle(54, 32, 8)
    switch = Cavity(
        frame, Depth(leave=6.0), Cover(gap=0.3, screws=on_rim(frame, (-27, 0), (27, 0)))
    )
    parts = (
        Placed("neck", through, Place(heel_end_x(neck))),
        Placed(
            "pickup.neck", Humbucker(measured(50.0), route=Depth(22.0), ring=ring), Place(neck_x)
        ),
        Placed("pickup.bridge", Humbucker(measured(52.0), ring=ring), Place(bridge_x)),
        Placed("bridge", bridge, Place(-17.0)),
        Placed("control", control),
        Placed("volume", Pot("control", 6.0, bush=measured(12.0)), Place(-48, -76)),
        Placed("tone", Pot("control", 6.0, bush=measured(12.0)), Place(-92, -86)),
        Placed("switch", switch, Place(66, -72)),
        Placed("toggle", Toggle("switch", 6.0), Place(66, -72)),
        Placed(
            "jack",
            EndJack("control", -thickness / 2, 60.0, lip=measured(25.0)),
            on_edge(outline, -204, -94),
        ),
        Placed("strap.tail", StrapButton(-thickness / 2), on_edge(outline, -205, 12)),
        Placed(
            "strap.leaf",
            StrapButton(-thickness / 2, pilot_depth=measured(22.0)),
            on_edge(outline, 285, 158),
        ),
    )
    links = (
        Link("pickup.neck", "toggle", 3.0),
        Link("pickup.bridge", "toggle", 3.0),
        Link("toggle", "volume", 3.0),
        Link("tone", "volume"),
        Link("volume", "jack", 4.0),
    )
    bare = Design(
        "yarrow",
        blank_round(outline, species("walnut, black"), core=core),
        skin,
        instrument,
        parts,
        links,
        left_handed=left_handed,
    )
    return replace(bare, parts=bare.parts + route(bare))
