"""Sorrel: a thin body whose outline is an SVG, with a soapbar and a slanted single coil.

Sorrel's leaf is an arrow: two barbs beside the stalk, a blade, a tip that is never in the middle.
It was drawn on the computer, neck up on the page; its outline comes from `sorrel.svg` beside this
script, from the layer "body", and a centreline and a scale line of the same drawing place it. At 37
mm the body asks how little wood will do: a fixed bridge that needs no holes through, a block pickup
at the neck, a slanted single coil at the bridge, both screwed to the floor of their cuts, and one
cavity, shaped round two pots and a toggle. Drawn at the Hedgerow bench, an invented one-bench shop.
"""

from bodycad import (
    Bolt,
    Cavity,
    Channel,
    Cover,
    Depth,
    Design,
    DirectMount,
    Drawing,
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
    SingleCoil,
    Skin,
    Soapbar,
    StrapButton,
    Toggle,
    TopLoad,
    blank_round,
    board_end_x,
    heel_end_x,
    hull,
    measured,
    on_edge,
    on_rim,
    outline_from,
    species,
    strings,
)

PLUG = (-98.0, -81.0, 17.0)
"""Where the plug of the lead ends in the cavity: x, y and the room round it."""


def design(
    scale: float = 632.0,
    thickness: float = 37.0,
    pocket_depth: float = 16.0,
    neck_pickup_gap: float = 4.0,
    control_leave: float = 5.5,
    left_handed: bool = False,
) -> Design:
    heel = Heel(
        width_mouth=measured(55.0),
        width_end=measured(56.6),
        length=measured(66.0),
        thickness=measured(24.0),
        corner=measured(8.0),
        board_overlap=measured(8.0),
    )
    neck = Neck(
        scale=scale,
        frets=22,
        nut_width=measured(43.0),
        nut_spread=measured(36.0),
        width_at_last_fret=measured(56.8),
        heel=heel,
        overhang=measured(3.0),
        board_thickness=measured(6.0),
    )
    instrument = Instrument(
        neck,
        strings((".010", ".013", ".017", ".026w", ".036w", ".046w")),
        bridge_spread=measured(52.0),
    )
    outline = outline_from(
        Drawing("sorrel.svg", layer="body", neck="up", centreline="centreline", scale_line="scale")
    )
    skin = Skin(outline, thickness, front=Roundover(2.0), back=Roundover(5.0))

    joint = NeckJoint(
        heel,
        pocket_depth,
        neck.board_thickness,
        ferrule=NeckFerrule(flange=measured(14.0)),
        corner=6.35,
        masked=True,
        species="maple, sugar",
        bolts=(
            Bolt(46.0, 15.5, wood=15.0, length=31.0),
            Bolt(15.0, 16.5, wood=15.0, length=31.0),
            Bolt(15.0, -16.5, wood=15.0, length=31.0),
            Bolt(46.0, -15.5, wood=15.0, length=31.0),
        ),
    )

    # Both pickups on springs over the floors of their cuts, whose screws end above the back.
    soapbar = Soapbar(
        pole_spacing=50.0,
        route=Depth(19.5),
        travel=2.0,
        mount=DirectMount(screw_length=measured(32.0), pilot_depth=11.5),
    )
    single = SingleCoil(
        pole_spacing=52.0,
        mount=DirectMount(((0, 39.6), (0, -39.6)), screw_length=measured(22.0), pilot_depth=13.3),
    )
    neck_x = board_end_x(neck) - neck_pickup_gap - soapbar.frame_width / 2
    bridge = TopLoad(spread=measured(52.0))

    spots = ((34.0, -86.0), (-10.0, -98.0), (-58.0, -98.0))  # toggle, volume, tone
    inside = hull([(*spot, radius) for spot, radius in zip(spots, (25.0, 21.0, 21.0))] + [PLUG])
    control = Cavity(
        inside,
        Depth(leave=control_leave),
        Cover(
            gap=0.3,
            screws=on_rim(inside, (54, -66), (16, -120), (-46, -122), (-114, -78), (-36, -76)),
        ),
    )
    toggle, volume, tone = spots

    parts = (
        Placed("neck", joint, Place(heel_end_x(neck))),
        Placed("pickup.neck", soapbar, Place(neck_x)),
        Placed("pickup.bridge", single, Place(36.0, turn_deg=9.0)),
        Placed("bridge", bridge, Place(-24.0)),
        Placed("control", control),
        Placed("toggle", Toggle("control", control_leave, depth=measured(27.0)), Place(*toggle)),
        Placed("volume", Pot("control", control_leave, bush=measured(11.0)), Place(*volume)),
        Placed("tone", Pot("control", control_leave, bush=measured(11.0)), Place(*tone)),
        Placed(
            "jack",
            EndJack("control", -thickness / 2 + 1.0, 36.0, lip=measured(25.0)),
            on_edge(outline, -112, -125),
        ),
        Placed(
            "strap.tail",
            StrapButton(-thickness / 2, pilot=measured(2.6)),
            on_edge(outline, -206, 8),
        ),
        Placed(
            "strap.barb",
            StrapButton(-thickness / 2, pilot=measured(2.6)),
            on_edge(outline, 286, 152),
        ),
    )
    wires = (
        Channel(
            (185.8, -22.0, -12.2),
            (50.6, -84.6, -25.7),
            ("neck.pocket", "pickup.neck.route", "control.cavity"),
        ),
        Channel((35.4, -31, -10.4), (26.5, -84, -31.5), ("pickup.bridge.route", "control.cavity")),
        Channel(
            (-10.7, -35.5, 0.0),
            (0.2, -69.6, -23.8),
            ("control.cavity",),
            diameter=3.2,
            from_face="front",
            kind="ground",
        ),
    )
    parts += tuple(Placed(f"wire.{k}", way) for k, way in enumerate(wires, 1))
    links = (
        Link("pickup.neck", "toggle", 3.0),
        Link("pickup.bridge", "toggle", 3.0),
        Link("toggle", "volume", 3.0),
        Link("tone", "volume"),
        Link("volume", "jack", 4.0),
    )
    return Design(
        "sorrel",
        blank_round(outline, species("ash, white"), joints=(0.0,)),
        skin,
        instrument,
        parts,
        links,
        left_handed=left_handed,
    )
