"""Bistort: a floating vibrato on two posts, its spring cavity covered at the back.

Bistort is "twice twisted", after its root: the lobes of one side stand where the other has hollows,
as if the body had been wrung, and so is its tail. A vibrato tips on two posts, 3 mm over the front;
its block swings in a slot through the body and must stay shorter than the body is deep, over a
cover let in at the back. The claw's screws are drilled through the spring cavity with a long drill
that has to leave over its far rim. Two small humbuckers stand over it with a floor between. Drawn
at the Hedgerow bench, an invented one-bench shop.
"""

from dataclasses import replace

from bodycad import (
    Block,
    Bolt,
    Cavity,
    Channel,
    Cover,
    Depth,
    Design,
    EndJack,
    Heel,
    Instrument,
    Link,
    Neck,
    NeckFerrule,
    NeckJoint,
    Place,
    Placed,
    Posts,
    PostVibrato,
    Pot,
    Ring,
    Roundover,
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
    species,
    strings,
)

CORNERS = (
    (244, 46, 8),  # the neck's mouth
    (204, 52, 14),
    (210, 92, 20),
    (302, 78, 16),  # the bass side: a long lobe,
    (328, 108, 24),
    (262, 148, 40),
    (150, 100, 60),
    (56, 152, 52),  # a round one
    (-30, 112, 62),
    (-128, 166, 50),  # and one that runs out to a point
    (-222, 106, 26),
    (-164, 4, 64),  # the tail, wrung
    (-236, -72, 26),
    (-150, -172, 46),  # the treble side: its lobes stand where the other has hollows
    (-56, -134, 60),
    (24, -168, 46),
    (100, -108, 54),
    (172, -150, 30),
    (212, -108, 24),
    (188, -66, 14),
    (208, -52, 12),
    (244, -46, 8),
)
"""The outline as the bench draws it, with rule and discs: x and y of each corner, the disc's
radius."""


def design(
    scale: float = 637.0,
    frets: int = 22,
    thickness: float = 48.0,
    pocket_depth: float = 14.8,
    block_height: float = 45.0,
    dive_deg: float = 12.0,
    control_leave: float = 6.0,
    left_handed: bool = False,
) -> Design:
    heel = Heel(
        width_mouth=measured(55.0),
        width_end=measured(57.0),
        length=measured(68.0),
        thickness=measured(25.4),
        corner=measured(7.0),
        board_overlap=measured(4.0),
    )
    neck = Neck(
        scale=scale,
        frets=frets,
        nut_width=measured(42.5),
        nut_spread=measured(35.5),
        width_at_last_fret=measured(57.0),
        heel=heel,
        overhang=measured(4.0),
        board_thickness=measured(6.4),
    )
    gauges = ".009", ".011", ".016", ".024w", ".032w", ".042w"
    instrument = Instrument(neck, strings(gauges), bridge_spread=measured(53.0))
    outline = rounded([(x, y) for x, y, _ in CORNERS], [radius for *_, radius in CORNERS])
    arm = fall_away("contour.arm", "front", thickness, (-96, 96), 122.0, run=60.0, drop=14.0)
    skin = Skin(outline, thickness, Roundover(2.0), Roundover(6.0), (arm,))
    heel_x = heel_end_x(neck)
    joint = NeckJoint(
        heel,
        pocket_depth,
        neck.board_thickness,
        ferrule=NeckFerrule(flange=measured(14.0)),
        corner=6.35,
        masked=True,
        species="maple, sugar",
        bolts=tuple(Bolt(u, v, 18.0, 35.0) for u in (14.0, 48.0) for v in (-16.0, 16.0)),
    )
    vibrato = PostVibrato(
        spread=measured(53.0),
        posts=Posts(spread=measured(74.0), bush=measured(10.0), stud=measured(6.0)),
        slot_corner=measured(4.8),
        block=Block(height=measured(block_height), dive_deg=dive_deg, pull_deg=3.0),
    )
    ring = Ring(width=measured(41.0), pilot_depth=8.0)
    neck_x = board_gap_x(instrument, ring.width / 2.0, 2.5)

    def pickup(name: str, x: float) -> Placed:
        return Placed(name, SmallHumbucker(pole_spacing_at(instrument, x), ring=ring), Place(x))

    pots = hull([(-40, -80, 21), (-92, -88, 22), (-144, -106, 29)])
    near = (-20, -80), (-36, -104), (-120, -126), (-172, -112), (-96, -66)
    control = Cavity(pots, Depth(leave=control_leave), Cover(gap=0.3, screws=_rim(pots, near)))
    side = -thickness / 2.0
    parts = (
        Placed("neck", joint, Place(heel_x)),
        pickup("pickup.neck", neck_x),
        pickup("pickup.bridge", 44.0),
        Placed("bridge", vibrato, Place(6.0)),
        Placed("control", control),
        Placed(
            "wire.pickups",  # both pickups' wires come together under the bridge's
            Channel(
                (heel_x + 4, 8, -11),
                (48, 8, -13),
                ("neck.pocket", "pickup.neck.route", "pickup.bridge.route"),
            ),
        ),
        Placed(
            "wire.down",
            Channel((44, 22, -16), (44, 22, -36), ("pickup.bridge.route", "bridge.cavity")),
        ),
        Placed(
            "wire.control",
            Channel((-22, -32, -40), (-31, -74, -29.5), ("bridge.cavity", "control.cavity")),
        ),
        Placed("volume", Pot("control", control_leave, bush=measured(12.0)), Place(-40, -80)),
        Placed("tone", Pot("control", control_leave, bush=measured(12.0)), Place(-92, -88)),
        Placed("toggle", Toggle("control", control_leave), Place(-146, -106, 22)),
        Placed(
            "jack", EndJack("control", side, 46.0, lip=measured(25.0)), on_edge(outline, -90, -149)
        ),
        Placed("strap.tail", StrapButton(side), on_edge(outline, -196, 60)),
        Placed("strap.lobe", StrapButton(side), on_edge(outline, 322, 98)),
    )
    links = (
        Link("pickup.neck", "toggle", 3.0),
        Link("pickup.bridge", "toggle", 3.0),
        Link("toggle", "volume", 3.0),
        Link("tone", "volume"),
        Link("volume", "jack", 4.0),
    )
    body = Design(
        "bistort",
        blank_round(outline, species("alder, red"), joints=(52.0,)),
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
