"""Comfrey: a five-string bass whose strings are held by the bridge's rear edge, 17.5 mm apart.

A comfrey's leaf is broad at the stalk and runs out to a point: the bass shoulder carries on past
the neck's mouth, so that the long neck hangs level, and the flank behind it runs straight to the
tail. The strings are held by the rear edge of the bridge, 17.5 mm apart, the lowest 3.3 mm thick;
their cores are from their maker's sheet, which says how far back each saddle goes. Two pickups in
blocks, their poles following the strings, are screwed to the wood; volume, blend and tone share one
cavity whose ways for wires are found, not typed. Drawn at the Hedgerow bench, an invented one-bench
shop.
"""

from dataclasses import replace

from bodycad import (
    BarrelJack,
    BassBridge,
    Bolt,
    Cavity,
    Cover,
    Depth,
    Design,
    DirectMount,
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
    Skin,
    Soapbar,
    StrapButton,
    String,
    bevel,
    blank_round,
    heel_end_x,
    hull,
    inch,
    measured,
    on_edge,
    pole_spacing_at,
    rounded,
    route,
    scoop,
    species,
)

CORNERS = (
    (340, 47, 8),  # the neck's mouth
    (284, 52, 14),  # the bass cutaway
    (288, 96, 20),
    (396, 78, 16),  # the shoulder's tip
    (424, 112, 26),
    (380, 160, 60),
    (120, 128, 340),  # the flank
    (-96, 150, 84),
    (-176, 64, 70),
    (-186, -40, 50),  # the point
    (-96, -172, 76),
    (70, -132, 150),  # the knee
    (196, -160, 46),
    (288, -112, 26),
    (270, -66, 14),  # the treble cutaway
    (292, -52, 12),
    (340, -47, 8),
)
"""The outline as the bench draws it, with rule and discs: x and y of each corner, the disc's
radius."""


def design(
    scale: float = 850.0,
    frets: int = 21,
    bridge_spread: float = 70.0,
    thickness: float = 44.0,
    pocket_depth: float = 17.0,
    control_leave: float = 6.0,
    left_handed: bool = False,
) -> Design:
    heel = Heel(
        width_mouth=measured(67.0),
        width_end=measured(70.5),
        length=measured(82.0),
        thickness=measured(26.5),
        corner=measured(8.0),
        board_overlap=measured(5.0),
    )
    neck = Neck(
        scale=scale,
        frets=frets,
        nut_width=measured(47.0),
        nut_spread=measured(39.5),
        width_at_last_fret=measured(71.0),
        heel=heel,
        overhang=measured(5.0),
        board_thickness=measured(6.4),
    )
    gauges = 0.045, 0.065, 0.085, 0.105, 0.130
    cores = 0.43, 0.50, 0.56, 0.61, 0.66
    pitches = "G2", "D2", "A1", "E1", "B0"
    wound = (
        String(inch(gauge), wound=True, core=measured(core), pitch=pitch)
        for gauge, core, pitch in zip(gauges, cores, pitches, strict=True)
    )
    instrument = Instrument(
        neck,
        tuple(wound),
        bridge_spread=measured(bridge_spread),
        action12_treble=measured(1.8),
        action12_bass=measured(2.3),
    )
    outline = rounded([(x, y) for x, y, _ in CORNERS], [radius for *_, radius in CORNERS])
    skin = Skin(
        outline,
        thickness,
        front=Roundover(2.0),
        back=Roundover(8.0),
        contours=(
            bevel("contour.arm", "front", thickness, (-74, 96), 118.0, 66.0, 14.0),
            scoop("contour.belly", "back", thickness, (60, 74), 90.0, radius=170.0, slope_deg=11.0),
        ),
    )
    heel_x = heel_end_x(neck)
    joint = NeckJoint(
        heel,
        pocket_depth,
        neck.board_thickness,
        ferrule=NeckFerrule(flange=measured(15.0)),
        corner=6.35,
        masked=True,
        species="maple, sugar",
        bolts=tuple(Bolt(u, v, 18.0, 36.0) for u in (14.0, 64.0) for v in (-20.0, 20.0)),
    )
    bridge = BassBridge(
        spread=measured(bridge_spread), strings=5, hole_pitch=measured(17.5), held=measured(5.6)
    )

    def pickup(name: str, x: float) -> Placed:
        poles = pole_spacing_at(instrument, x)
        mount = DirectMount(
            screw_length=measured(34.5), spring_free=12.0, spring_flat=2.0, pilot_depth=13.0
        )
        return Placed(name, Soapbar(poles, poles=5, mount=mount), Place(x))

    pots = hull([(6, -94, 22), (-44, -106, 22), (-94, -96, 22)])
    near = (20, -72), (30, -98), (-54, -128), (-112, -108), (-66, -76)
    control = Cavity(pots, Depth(leave=control_leave), Cover(gap=0.3, screws=_rim(pots, near)))
    side = -thickness / 2.0

    def pot(x: float, y: float) -> tuple[Pot, Place]:
        return Pot("control", control_leave, bush=measured(12.0)), Place(x, y)

    parts = (
        Placed("neck", joint, Place(heel_x)),
        pickup("pickup.neck", 150.0),
        pickup("pickup.bridge", 62.0),
        Placed("bridge", bridge, Place(-39.5)),
        Placed("control", control),
        Placed("volume", *pot(6, -94)),
        Placed("blend", *pot(-44, -106)),
        Placed("tone", *pot(-94, -96)),
        Placed("jack", BarrelJack("control", side, 30.0), on_edge(outline, -9, -154)),
        Placed("strap.tail", StrapButton(side), on_edge(outline, -184, 0)),
        Placed("strap.shoulder", StrapButton(side), on_edge(outline, 412, 120)),
    )
    links = (
        Link("pickup.neck", "blend", 3.0),
        Link("pickup.bridge", "blend", 3.0),
        Link("blend", "volume", 3.0),
        Link("tone", "volume"),
        Link("volume", "jack", 4.0),
    )
    body = Design(
        "comfrey",
        blank_round(outline, species("ash, white"), joints=(44.0,)),
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
