"""Mallow: a four-string bass with a split pair of coils.

A mallow's leaf is cut into lobes and notched where its stalk stands; so is the tail of this body.
One long lobe carries the strap out to the twelfth fret, for a bass is long in the neck. Its pickup
is a split pair: two halves in one route, each under two strings, with two poles a string. Nobody
has worked out how high it rests: it follows the strings, which are higher over a bass, and goes
with the pocket. Its wires find their own ways. Drawn at the Hedgerow bench, an invented one-bench
shop.
"""

from dataclasses import replace

from bodycad import (
    BassBridge,
    Bolt,
    Cavity,
    Cover,
    Depth,
    Design,
    Drill,
    EndJack,
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
    Shop,
    Skin,
    SplitPair,
    StrapButton,
    blank_round,
    fall_away,
    heel_end_x,
    hull,
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
    (346, 42, 7),  # the neck's mouth
    (302, 46, 20),
    (318, 96, 26),  # the bass cutaway
    (412, 82, 30),  # the long lobe
    (446, 104, 22),
    (420, 146, 34),
    (250, 140, 300),
    (118, 122, 160),  # the bay for the forearm
    (-40, 196, 96),  # the upper lobe of the tail
    (-160, 164, 58),
    (-176, 66, 40),
    (-136, 6, 60),  # the notch
    (-186, -70, 44),
    (-158, -168, 60),  # the lower lobe
    (-16, -190, 120),
    (92, -116, 110),  # the bay for the knee
    (208, -150, 44),  # the treble lobe
    (272, -104, 26),
    (262, -58, 16),  # the treble cutaway
    (302, -46, 20),
    (346, -42, 7),
)
"""The outline as the bench draws it, with rule and discs: x and y of each corner, the disc's
radius."""


def design(
    scale: float = 864.0,
    thickness: float = 43.0,
    pocket_depth: float = 16.6,
    pickup_fret: float = 29.0,
    stagger: float = 28.0,
    control_leave: float = 6.0,
    left_handed: bool = False,
) -> Design:
    heel = Heel(
        width_mouth=measured(61.5),
        width_end=measured(63.5),
        length=measured(78.0),
        thickness=measured(25.4),
        corner=measured(8.0),
    )
    neck = Neck(
        scale=scale,
        frets=20,
        nut_width=measured(41.5),
        nut_spread=measured(32.5),
        width_at_last_fret=measured(63.5),
        heel=heel,
        overhang=measured(4.5),
        board_thickness=measured(6.4),
    )
    instrument = Instrument(
        neck,
        strings((".045w", ".065w", ".080w", ".100w")),
        bridge_spread=measured(57.0),
        action12_treble=measured(1.8, 0.2),
        action12_bass=measured(2.2, 0.2),
    )
    outline = rounded([(x, y) for x, y, _ in CORNERS], [radius for *_, radius in CORNERS])
    contours = (
        fall_away("contour.forearm", "front", thickness, (40, 118), 104.0, run=60.0, drop=14.0),
        fall_away("contour.belly", "back", thickness, (92, 104), 92.0, run=52.0, drop=13.0),
    )
    skin = Skin(outline, thickness, Roundover(2.0), Roundover(6.0), contours)

    heel_x = heel_end_x(neck)
    joint = NeckJoint(
        heel,
        pocket_depth,
        neck.board_thickness,
        ferrule=NeckFerrule(flange=measured(14.0)),
        masked=True,
        species="maple, sugar",
        bolts=tuple(
            Bolt(u, v, wood=20.0, length=37.0) for u in (15.0, 58.0) for v in (-19.0, 19.0)
        ),
    )

    # The pair stands under a node of the open strings, its poles as wide as they are there.
    pickup_x = node_x(instrument, pickup_fret)
    pickup = SplitPair(pole_spacing_at(instrument, pickup_x), stagger=stagger)

    pots = hull(((6, -118, 22), (-46, -128, 22), (-104, -114, 20)))
    control = Cavity(
        pots,
        Depth(leave=control_leave),
        Cover(gap=0.3, screws=_rim(pots, (18, -104), (-60, -104), (-106, -138), (-30, -152))),
    )
    parts = (
        Placed("neck", joint, Place(heel_x)),
        Placed("pickup", pickup, Place(pickup_x)),
        Placed("bridge", BassBridge(measured(57.0)), Place(-38.5)),
        Placed("control", control),
        Placed("volume", Pot("control", control_leave, bush=measured(12.0)), Place(0, -118)),
        Placed("tone", Pot("control", control_leave, bush=measured(12.0)), Place(-46, -128)),
        Placed(
            "jack",
            EndJack("control", -thickness / 2, 64.0, lip=measured(25.0)),
            on_edge(outline, -172, -120),
        ),
        Placed("strap.tail", StrapButton(-thickness / 2), on_edge(outline, -178, 70)),
        Placed("strap.lobe", StrapButton(-thickness / 2), on_edge(outline, 440, 110)),
    )
    links = (
        Link("pickup", "volume", 3.0),
        Link("volume", "tone"),
        Link("volume", "jack", 4.0),
    )
    body = Design(
        "mallow",
        blank_round(outline, species("ash, white"), joints=(44.0,)),
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
