"""Vetch: twelve strings in six pairs over a plate that carries a slanted coil.

A vetch's leaflets stand in pairs along the stalk, and so do the strings: six pairs, the four lower
ones an octave apart, 1.9 mm from string to string at the nut and 2.6 at the saddles. The outline
has three pairs of leaflets too. Each string has a saddle of its own on a plate that carries a
slanted coil, one pole a pair; its rear edge holds all twelve ends, for ferrules would not stand so
close. The pickup at the neck has blades, which no string can miss. Ways for wires are found, not
typed. Drawn at the Hedgerow bench, an invented one-bench shop.
"""

from dataclasses import replace

from bodycad import (
    Blade,
    Bolt,
    Cavity,
    Coil,
    Cover,
    Depth,
    Design,
    EndJack,
    Heel,
    Humbucker,
    Instrument,
    Link,
    MiniToggle,
    Neck,
    NeckFerrule,
    NeckJoint,
    PickupBridge,
    Place,
    Placed,
    Pot,
    Ring,
    Roundover,
    Skin,
    StrapButton,
    blank_round,
    board_gap_x,
    heel_end_x,
    hull,
    measured,
    on_edge,
    pole_spacing_at,
    rounded,
    route,
    species,
    strings,
)

CORNERS = (
    (244, 45, 8),  # the neck's mouth
    (206, 50, 14),
    (216, 92, 18),
    (288, 84, 18),  # the first leaflet of the bass
    (308, 116, 22),
    (240, 150, 50),
    (134, 150, 28),
    (92, 106, 28),
    (44, 152, 34),  # the second
    (-40, 148, 34),
    (-74, 112, 26),
    (-112, 160, 32),  # the third
    (-190, 112, 44),
    (-204, -16, 130),  # the tail
    (-178, -128, 44),  # the treble's three
    (-100, -160, 32),
    (-62, -116, 26),
    (-26, -152, 30),
    (52, -150, 34),
    (96, -104, 26),
    (134, -138, 26),
    (204, -104, 26),
    (190, -64, 14),
    (208, -50, 12),
    (244, -45, 8),
)
"""The outline as the bench draws it, with rule and discs: x and y of each corner, the disc's
radius."""
PAIRS = (2,) * 6


def design(
    scale: float = 634.0,
    pair_nut: float = 1.9,
    pair_bridge: float = 2.6,
    bridge_spread: float = 55.0,
    thickness: float = 44.0,
    pocket_depth: float = 17.0,
    control_leave: float = 6.0,
    left_handed: bool = False,
) -> Design:
    heel = Heel(
        width_mouth=measured(58.5),
        width_end=measured(60.5),
        length=measured(70.0),
        thickness=measured(25.4),
        corner=measured(7.0),
        board_overlap=measured(4.0),
    )
    neck = Neck(
        scale=scale,
        frets=22,
        nut_width=measured(48.0),
        nut_spread=measured(41.0),
        width_at_last_fret=measured(61.0),
        heel=heel,
        overhang=measured(4.0),
        board_thickness=measured(6.4),
    )
    high = ".010", ".010", ".014", ".014"
    low = ".009", ".023w", ".012", ".030w", ".020w", ".039w", ".027w", ".047w"
    instrument = Instrument(
        neck,
        strings((*high, *low)),
        bridge_spread=measured(bridge_spread),
        courses=PAIRS,
        pair_nut=measured(pair_nut),
        pair_bridge=measured(pair_bridge),
    )
    outline = rounded([(x, y) for x, y, _ in CORNERS], [radius for *_, radius in CORNERS])
    skin = Skin(outline, thickness, front=Roundover(2.0), back=Roundover(5.0))
    heel_x = heel_end_x(neck)
    joint = NeckJoint(
        heel,
        pocket_depth,
        neck.board_thickness,
        ferrule=NeckFerrule(flange=measured(14.0)),
        corner=6.35,
        masked=True,
        species="maple, sugar",
        bolts=tuple(Bolt(u, v, 18.0, 35.0) for u in (14.0, 50.0) for v in (-17.0, 17.0)),
    )
    bridge = PickupBridge(
        spread=measured(bridge_spread),
        strings=12,
        courses=PAIRS,
        pair=measured(pair_bridge),
        through=False,
        coil=Coil(pole_spacing=measured(52.6)),
    )
    ring = Ring(width=measured(46.5))
    neck_x = board_gap_x(instrument, ring.width / 2.0, 2.5)
    poles = pole_spacing_at(instrument, neck_x)
    bars = Blade(length=measured(poles + 7.0))
    pickup = Humbucker(poles, ring=ring, blade=bars)

    pots = hull([(-30, -84, 22), (-76, -84, 21), (-122, -88, 24)])
    near = (-8, -84), (-56, -110), (-104, -112), (-128, -64), (-60, -60)
    control = Cavity(pots, Depth(leave=control_leave), Cover(gap=0.3, screws=_rim(pots, near)))
    side = -thickness / 2.0
    parts = (
        Placed("neck", joint, Place(heel_x)),
        Placed("pickup.neck", pickup, Place(neck_x)),
        Placed("bridge", bridge, Place(-18.0)),
        Placed("control", control),
        Placed("volume", Pot("control", control_leave, bush=measured(12.0)), Place(-30, -84)),
        Placed(
            "toggle", MiniToggle("control", control_leave, bush=measured(11.5)), Place(-76, -84)
        ),
        Placed("tone", Pot("control", control_leave, bush=measured(12.0)), Place(-122, -88)),
        Placed(
            "jack", EndJack("control", side, 52.0, lip=measured(25.0)), on_edge(outline, -192, -84)
        ),
        Placed("strap.tail", StrapButton(side), on_edge(outline, -202, 0)),
        Placed("strap.leaf", StrapButton(side), on_edge(outline, 302, 108)),
    )
    links = (
        Link("pickup.neck", "toggle", 3.0),
        Link("bridge", "toggle", 3.0),
        Link("toggle", "volume", 3.0),
        Link("tone", "volume"),
        Link("volume", "jack", 4.0),
    )
    body = Design(
        "vetch",
        blank_round(outline, species("ash, white"), joints=(60.0,)),
        skin,
        instrument,
        parts,
        links,
        left_handed=left_handed,
    )
    return replace(body, parts=(*parts, *route(body)))


def _rim(shape, near):
    """The points of a cavity's rim nearest to the given ones: half of each screw's boss stands in
    the ledge."""
    return tuple((place.x, place.y) for place in (on_edge(shape, x, y) for x, y in near))
