"""Bryony: an outline out of a DXF in inches, a wrap-over bar, small humbuckers and a neck plate.

White bryony climbs the bench's hedge with leaves of which no half is like the other. So is this
body: behind the arm one broad round lobe, its rear edge cut straight and aslant, and under it a
long straight flank with a shallow bay for the leg; a long horn spreads to the bass side, a short
one to the treble. A friend drew it in inches: the rear is arcs and straight lines, the two horns
are splines, and the drawing stands somewhere on its sheet. `bryony.dxf` beside this script says its
own unit; its outline comes from the layer "body", and two lines on layers of their own place it. A
plate holds the neck, one bar on two posts is bridge and tailpiece, and two small humbuckers hang in
their rings. Drawn at the Hedgerow bench, an invented one-bench shop.
"""

from bodycad import (
    Cavity,
    Chamfer,
    Channel,
    Cover,
    Depth,
    Design,
    Drawing,
    EndJack,
    Heel,
    Instrument,
    Link,
    Neck,
    NeckPlate,
    Place,
    Placed,
    PlateJoint,
    Posts,
    Pot,
    Roundover,
    Skin,
    SmallHumbucker,
    StrapButton,
    Toggle,
    WrapBar,
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


def design(
    scale: float = 622.0,
    thickness: float = 45.0,
    pocket_depth: float = 16.0,
    neck_pickup_gap: float = 3.0,
    control_leave: float = 6.0,
    left_handed: bool = False,
) -> Design:
    heel = Heel(
        width_mouth=measured(54.8),
        width_end=measured(56.2),
        length=measured(70.0),
        thickness=measured(25.8),
        corner=measured(9.0),
        board_overlap=measured(5.0),
    )
    neck = Neck(
        scale=scale,
        frets=21,
        nut_width=measured(42.6),
        nut_spread=measured(35.6),
        width_at_last_fret=measured(56.2),
        heel=heel,
        overhang=measured(4.0),
        board_thickness=measured(6.2),
    )
    instrument = Instrument(
        neck,
        strings((".011", ".014", ".018", ".028w", ".038w", ".049w")),
        bridge_spread=measured(51.5),
    )
    outline = outline_from(
        Drawing("bryony.dxf", layer="body", centreline="centre", scale_line="scale")
    )
    skin = Skin(outline, thickness, front=Chamfer(2.0), back=Roundover(5.0))

    joint = PlateJoint(
        heel,
        pocket_depth,
        neck.board_thickness,
        at=32.0,
        length=measured(47.0),
        plate=NeckPlate(
            length=measured(56.0),
            width=measured(48.0),
            screw_length=measured(43.0),
            screw_width=measured(34.0),
        ),
        masked=True,
        species="maple, sugar",
    )

    neck_pickup = SmallHumbucker(pole_spacing=49.0)
    neck_x = board_end_x(neck) - neck_pickup_gap - neck_pickup.ring.width / 2
    # The bar's ridge is stepped, treble first: each string ends where it plays in tune.
    bridge = WrapBar(
        spread=measured(51.5),
        posts=Posts(spread=measured(82.0)),
        adjust=measured(3.2),
        steps=(1.7, 0.5, -1.2, 0.9, 0.0, -1.6),
    )

    spots = ((-16.0, -86.0), (-80.0, -110.0), (-104.0, -64.0))  # volume, tone, toggle
    inside = hull([(*spot, radius) for spot, radius in zip(spots, (21.0, 21.0, 28.0))])
    control = Cavity(
        inside,
        Depth(leave=control_leave),
        Cover(
            gap=0.3,
            screws=on_rim(inside, (6, -80), (-14, -108), (-86, -132), (-132, -64), (-56, -58)),
        ),
    )
    volume, tone, toggle = spots

    parts = (
        Placed("neck", joint, Place(heel_end_x(neck))),
        Placed("pickup.neck", neck_pickup, Place(neck_x)),
        Placed("pickup.bridge", SmallHumbucker(pole_spacing=51.0), Place(34.0)),
        Placed("bridge", bridge, Place(-3.2)),
        Placed("control", control),
        Placed("volume", Pot("control", control_leave, bush=measured(13.0)), Place(*volume)),
        Placed("tone", Pot("control", control_leave, bush=measured(13.0)), Place(*tone)),
        Placed("toggle", Toggle("control", control_leave), Place(*toggle, turn_deg=130.0)),
        Placed(
            "jack",
            EndJack("control", -thickness / 2, 40.0, lip=measured(25.0)),
            on_edge(outline, -24, -140),
        ),
        Placed("strap.tail", StrapButton(-thickness / 2), on_edge(outline, -236, 40)),
        Placed("strap.shoulder", StrapButton(-thickness / 2), on_edge(outline, 300, 160)),
    )
    wires = (
        Channel(
            (-8.4, -72.4, -32.7), (40.0, -30.7, -12.9), ("control.cavity", "pickup.bridge.route")
        ),
        Channel(
            (262.3, 23.7, -12.4),
            (45.7, 23.6, -13.2),
            ("neck.pocket", "pickup.neck.route", "pickup.bridge.route"),
        ),
        Channel(
            (-29.4, -64.5, -30.3),
            (-3.2, -41.0, -14.8),
            ("control.cavity", "bridge.post.1"),
            diameter=3.2,
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
        "bryony",
        blank_round(outline, species("ash, white"), joints=(12.0,)),
        skin,
        instrument,
        parts,
        links,
        left_handed=left_handed,
    )
