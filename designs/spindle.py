"""Spindle: a soapbar on ears at the neck, and a slanted single coil that follows the strings.

A spindle tree's seed is drawn to a point at both ends, and so is the tail of this body. A soapbar
with ears lies on the front under the neck: it stands as high as it is made, and the pocket's depth
brings the strings to it. At the bridge a single coil is slanted, its bass end toward the neck; it
stands under a node of the strings, its poles as far apart as they follow the strings on a slant,
and as high as the strings want. It is screwed to the floor of its own route, on springs. Drawn at
the Hedgerow bench, an invented one-bench shop.
"""

from dataclasses import replace

from bodycad import (
    Bolt,
    Cavity,
    Cover,
    Depth,
    Design,
    Drill,
    Ears,
    EndJack,
    Hardtail,
    Heel,
    Instrument,
    Link,
    Neck,
    NeckFerrule,
    NeckJoint,
    Place,
    Placed,
    Pot,
    Roundover,
    Shim,
    Shop,
    SingleCoil,
    Skin,
    Soapbar,
    StrapButton,
    Toggle,
    blank_round,
    board_gap_x,
    fall_away,
    heel_end_x,
    hull,
    inch,
    measured,
    node_x,
    on_edge,
    pole_spacing_at,
    rounded,
    route,
    species,
    strings,
)

CORNERS = (
    (240, 37, 7),  # the neck's mouth
    (204, 41, 16),
    (212, 86, 20),  # the bass cutaway
    (268, 92, 24),
    (290, 112, 13),  # the horn, blunt
    (236, 138, 60),
    (104, 112, 150),
    (-36, 152, 120),
    (-146, 116, 90),
    (-238, 22, 26),  # the seed's point
    (-154, -112, 70),
    (-28, -160, 90),
    (72, -112, 90),
    (150, -126, 34),  # the treble shoulder
    (214, -96, 16),
    (182, -66, 18),
    (204, -41, 12),
    (240, -37, 7),
)
"""The outline as the bench draws it, with rule and discs: x and y of each corner, the disc's
radius."""


def design(
    scale: float = inch(24.0),
    thickness: float = 42.0,
    pocket_depth: float = 16.6,
    slant_deg: float = 9.0,
    bridge_pickup_fret: float = 44.0,
    neck_pickup_gap: float = 5.5,
    control_leave: float = 6.0,
    left_handed: bool = False,
) -> Design:
    heel = Heel(
        width_mouth=measured(54.6),
        width_end=measured(56.4),
        length=measured(66.0),
        thickness=measured(25.4),
        corner=measured(7.0),
    )
    neck = Neck(
        scale=scale,
        frets=22,
        nut_width=measured(42.0),
        nut_spread=measured(35.0),
        width_at_last_fret=measured(56.5),
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
        fall_away("contour.forearm", "front", thickness, (-40, 98), 106.0, run=54.0, drop=13.0),
        fall_away("contour.belly", "back", thickness, (40, 92), 92.0, run=46.0, drop=11.0),
    )
    skin = Skin(outline, thickness, Roundover(2.0), Roundover(6.0), contours)

    heel_x = heel_end_x(neck)
    joint = NeckJoint(
        heel,
        pocket_depth + 0.5,
        neck.board_thickness,
        ferrule=NeckFerrule(flange=measured(14.0)),
        masked=True,
        shim=Shim(measured(0.5), measured(0.5)),
        species="maple, sugar",
        overrun=25.0,
        bolts=tuple(Bolt(u, v, 18.0, length=35.0) for u in (13.0, 48.0) for v in (-16.0, 16.0)),
    )

    neck_x = board_gap_x(instrument, 17.5, neck_pickup_gap)
    soapbar = Soapbar(pole_spacing_at(instrument, neck_x), mount=Ears())
    bridge_x = node_x(instrument, bridge_pickup_fret)
    single = SingleCoil(pole_spacing_at(instrument, bridge_x, -slant_deg))

    pots = hull(((20, -84, 22), (-34, -96, 23), (-106, -62, 24)))
    control = Cavity(
        pots,
        Depth(leave=control_leave),
        Cover(gap=0.3, screws=_rim(pots, (30, -66), (-50, -60), (-96, -88), (-14, -118))),
    )
    parts = (
        Placed("neck", joint, Place(heel_x)),
        Placed("pickup.neck", soapbar, Place(neck_x)),
        Placed("pickup.bridge", single, Place(bridge_x, 0.0, -slant_deg)),
        Placed("bridge", Hardtail(measured(52.5)), Place(-18.0)),
        Placed("control", control),
        Placed("volume", Pot("control", control_leave, bush=measured(12.0)), Place(18, -84)),
        Placed("toggle", Toggle("control", control_leave), Place(-28, -96)),
        Placed("tone", Pot("control", control_leave, bush=measured(12.0)), Place(-78, -80)),
        Placed(
            "jack",
            EndJack("control", -thickness / 2, 64.0, lip=measured(25.0)),
            on_edge(outline, -174, -80),
        ),
        Placed("strap.tail", StrapButton(-thickness / 2), on_edge(outline, -200, 60)),
        Placed("strap.horn", StrapButton(-thickness / 2), on_edge(outline, 284, 112)),
    )
    links = (
        Link("pickup.neck", "toggle", 3.0),
        Link("pickup.bridge", "toggle", 3.0),
        Link("toggle", "volume", 3.0),
        Link("volume", "tone"),
        Link("volume", "jack", 4.0),
    )
    body = Design(
        "spindle",
        blank_round(outline, species("cherry, black"), joints=(32.0,)),
        skin,
        instrument,
        parts,
        links,
        # The height screws' pilots start on the route's floor: an extra long drill reaches them.
        Shop(drills=(*Shop().drills, Drill(2.0, 85.0))),
        left_handed,
    )
    return replace(body, parts=(*parts, *route(body)))


def _rim(shape, *near):
    """The points of a cavity's rim nearest to the given ones: half of each screw's boss stands in
    the ledge."""
    return tuple((place.x, place.y) for place in (on_edge(shape, x, y) for x, y in near))
