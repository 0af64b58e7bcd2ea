"""Knapweed: an eight-string baritone with blades that are screwed to the wood.

A knapweed's head is a round bud under a frayed crown: this body is round behind and ragged before.
Two small humbuckers with blades are screwed to the wood, on springs, with no ring to hide their
routes. A blade has no poles to miss a string: it need only reach past the outer ones. How wide that
is, and how long frame and route are for it, follows from eight strings and the place along them;
how high each rests, from the strings over it. Drawn at the Hedgerow bench, an invented one-bench
shop.
"""

from dataclasses import replace

from bodycad import (
    Blade,
    Bolt,
    Cavity,
    Cover,
    Depth,
    Design,
    DirectMount,
    Drill,
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
    Shop,
    Skin,
    SmallHumbucker,
    StrapButton,
    Toggle,
    blank_round,
    board_gap_x,
    fall_away,
    heel_end_x,
    hull,
    measured,
    on_edge,
    pole_spacing_at,
    rounded,
    route,
    saddle_gap_x,
    species,
    strings,
)

CORNERS = (
    (252, 48, 7),  # the neck's mouth
    (208, 52, 18),
    (216, 100, 24),  # the bass cutaway
    (286, 96, 30),  # the crown's longest ray
    (326, 124, 14),
    (262, 150, 40),
    (172, 142, 40),  # a notch between two rays
    (120, 158, 26),
    (78, 126, 60),
    (-58, 184, 110),  # the bud
    (-178, 128, 90),
    (-206, -36, 70),
    (-140, -172, 46),
    (4, -188, 110),
    (92, -122, 50),
    (138, -154, 22),  # the rays of the treble side
    (196, -128, 30),
    (250, -138, 14),
    (236, -88, 22),
    (180, -80, 12),
    (206, -52, 14),
    (252, -48, 7),
)
"""The outline as the bench draws it, with rule and discs: x and y of each corner, the disc's
radius."""


def design(
    scale: float = 698.0,
    thickness: float = 43.0,
    pocket_depth: float = 17.4,
    neck_pickup_gap: float = 8.5,
    bridge_pickup_gap: float = 24.0,
    control_leave: float = 6.0,
    left_handed: bool = False,
) -> Design:
    heel = Heel(
        width_mouth=measured(74.0),
        width_end=measured(76.5),
        length=measured(72.0),
        thickness=measured(25.4),
        corner=measured(7.0),
    )
    neck = Neck(
        scale=scale,
        frets=24,
        nut_width=measured(57.0),
        nut_spread=measured(50.0),
        width_at_last_fret=measured(76.5),
        heel=heel,
        overhang=measured(4.0),
        board_thickness=measured(6.4),
    )
    instrument = Instrument(
        neck,
        strings((".009", ".012", ".016", ".024w", ".034w", ".046w", ".060w", ".080w")),
        bridge_spread=measured(73.5),
    )
    outline = rounded([(x, y) for x, y, _ in CORNERS], [radius for *_, radius in CORNERS])
    contours = (
        fall_away("contour.forearm", "front", thickness, (-52, 116), 112.0, run=62.0, drop=14.0),
        fall_away("contour.belly", "back", thickness, (30, 108), 100.0, run=50.0, drop=12.0),
    )
    skin = Skin(outline, thickness, Roundover(2.0), Roundover(6.0), contours)

    heel_x = heel_end_x(neck)
    joint = NeckJoint(
        heel,
        pocket_depth,
        neck.board_thickness,
        ferrule=NeckFerrule(flange=measured(14.0)),
        masked=True,
        overrun=30.0,
        species="maple, sugar",
        bolts=tuple(
            Bolt(u, v, wood=19.0, length=36.0) for u in (14.0, 54.0) for v in (-23.0, 23.0)
        ),
    )

    # Two blades each, past the outer strings at both ends; the frame's half is 14.5 mm.
    def pickup(x: float) -> Placed:
        name = "pickup.bridge" if x < 80 else "pickup.neck"
        part = SmallHumbucker(
            pole_spacing_at(instrument, x),
            poles=8,
            blade=Blade(),
            ring=None,
            route=Depth(18.5),
            mount=DirectMount(pilot_depth=14.0),
        )
        return Placed(name, part, Place(x))

    neck_pickup = pickup(board_gap_x(instrument, 14.5, neck_pickup_gap))
    bridge_pickup = pickup(saddle_gap_x(bridge_pickup_gap, 14.5))

    # A low string wants its saddle far back: long screws.
    bridge = Hardtail(
        measured(73.5), strings=8, window_rear=measured(6.0), window_front=measured(24.0)
    )
    pots = hull(((14, -116, 22), (-38, -122, 24), (-100, -106, 20)))
    control = Cavity(
        pots,
        Depth(leave=control_leave),
        Cover(gap=0.3, screws=_rim(pots, (26, -98), (-60, -96), (-104, -130), (-20, -148))),
    )
    parts = (
        Placed("neck", joint, Place(heel_x)),
        neck_pickup,
        bridge_pickup,
        Placed("bridge", bridge, Place(-19.5)),
        Placed("control", control),
        Placed("volume", Pot("control", control_leave, bush=measured(12.0)), Place(12, -116)),
        Placed("toggle", Toggle("control", control_leave), Place(-32, -122)),
        Placed("tone", Pot("control", control_leave, bush=measured(12.0)), Place(-86, -110)),
        Placed(
            "jack",
            EndJack("control", -thickness / 2, 64.0, lip=measured(25.0)),
            on_edge(outline, -163, -126),
        ),
        Placed("strap.tail", StrapButton(-thickness / 2), on_edge(outline, -206, -10)),
        Placed("strap.ray", StrapButton(-thickness / 2), on_edge(outline, 318, 126)),
    )
    links = (
        Link("pickup.neck", "toggle", 3.0),
        Link("pickup.bridge", "toggle", 3.0),
        Link("toggle", "volume", 3.0),
        Link("volume", "tone"),
        Link("volume", "jack", 4.0),
    )
    body = Design(
        "knapweed",
        blank_round(outline, species("walnut, black"), joints=(36.0,)),
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
