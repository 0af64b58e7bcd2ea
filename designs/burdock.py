"""Burdock: a fanned seven-string baritone with a bridge for each string.

A burdock's leaf is a broad heart: two lobes with a notch between them for the tail, and a long neck
of a stalk, one ear longer than the other. The frets fan from 671 to 709 mm. Each string has a
bridge of its own, which stands along it where it is in tune and lets it through the body to a
ferrule; no plate would follow the slant. A copper foil under all seven takes one ground wire. The
pickups lie as the frets do and are screwed to the wood; the drilled ways for wires are found, not
typed. Drawn at the Hedgerow bench, an invented one-bench shop.
"""

from dataclasses import replace
from math import atan, degrees

from bodycad import (
    Blade,
    Bolt,
    Cavity,
    Channel,
    Cover,
    Depth,
    Design,
    DirectMount,
    EndJack,
    Ferrule,
    GroundFoil,
    Heel,
    Humbucker,
    Instrument,
    Link,
    Neck,
    NeckFerrule,
    NeckJoint,
    Place,
    Placed,
    Pot,
    Roundover,
    SingleBridge,
    Skin,
    StrapButton,
    Toggle,
    bevel,
    blank_round,
    fan_turn_deg,
    heel_end_x,
    hull,
    measured,
    on_edge,
    pole_spacing_at,
    rectangle,
    rounded,
    route,
    single_bridges,
    species,
    strings,
)

CORNERS = (
    (246, 46, 8),  # the neck's mouth
    (202, 53, 14),  # the bass cutaway
    (212, 98, 20),
    (330, 62, 12),  # the long ear,
    (352, 84, 16),  # its tip
    (330, 118, 40),
    (190, 150, 90),
    (40, 122, 150),  # the bass bay
    (-120, 178, 66),  # the bass lobe
    (-206, 84, 44),
    (-160, -6, 60),  # the notch of the heart
    (-212, -92, 44),
    (-128, -176, 66),  # the treble lobe
    (40, -118, 130),  # the treble bay
    (150, -146, 44),  # the short ear
    (222, -98, 22),
    (190, -62, 14),  # the treble cutaway
    (210, -52, 10),
    (246, -46, 8),
)
"""The outline as the bench draws it, with rule and discs: x and y of each corner, the disc's
radius."""


def design(
    treble_scale: float = 671.0,
    bass_scale: float = 709.0,
    straight_fret: float = 8.0,
    bridge_spread: float = 66.0,
    thickness: float = 45.0,
    pocket_depth: float = 17.0,
    ahead: float = 5.0,
    control_leave: float = 6.0,
    left_handed: bool = False,
) -> Design:
    heel = Heel(
        width_mouth=measured(66.0),
        width_end=measured(69.0),
        length=measured(74.0),
        thickness=measured(25.4),
        corner=measured(8.0),
        board_overlap=measured(4.0),
    )
    neck = Neck(
        scale=(treble_scale, bass_scale),
        frets=24,
        nut_width=measured(48.5),
        nut_spread=measured(41.5),
        width_at_last_fret=measured(69.5),
        heel=heel,
        overhang=measured(13.0),
        board_thickness=measured(6.4),
        straight_fret=straight_fret,
        board_end="square",
    )
    gauges = (".011", ".014", ".018", ".028w", ".040w", ".054w", ".070w")
    pitches = ("C#4", "G#3", "E3", "B2", "F#2", "C#2", "G#1")
    instrument = Instrument(neck, strings(gauges, pitches), bridge_spread=measured(bridge_spread))
    outline = rounded([(x, y) for x, y, _ in CORNERS], [radius for *_, radius in CORNERS])
    skin = Skin(
        outline,
        thickness,
        front=Roundover(2.0),
        back=Roundover(6.0),
        contours=(bevel("contour.arm", "front", thickness, (-92, 116), 128.0, 70.0, 13.0),),
    )
    heel_x = heel_end_x(neck)
    joint = NeckJoint(
        heel,
        pocket_depth,
        neck.board_thickness,
        ferrule=NeckFerrule(flange=measured(14.0)),
        corner=6.35,
        masked=True,
        species="maple, sugar",
        bolts=tuple(Bolt(u, v, 18.0, 35.0) for u in (14.0, 58.0) for v in (-20.0, 20.0)),
    )

    # A bridge under each string, and the foil that grounds them: it lies along the fan.
    bridge = SingleBridge(
        width=measured(9.4), foil=0.1, string_hole=measured(3.4), ferrule=Ferrule(measured(7.0))
    )
    bridges = single_bridges(instrument, bridge, "bridge", ahead)
    first, last = bridges[0].place, bridges[-1].place
    slant = degrees(atan((last.x - first.x) / (last.y - first.y)))
    foil = Place((first.x + last.x) / 2.0, (first.y + last.y) / 2.0, -slant)
    wired = foil.point(0.0, -46.0)  # beyond the treble's bridge

    def pickup(x: float) -> Placed:
        turn = fan_turn_deg(instrument, x)
        poles = pole_spacing_at(instrument, x, turn)
        mount = DirectMount(screw_length=measured(19.5), pilot_depth=12.5)
        bars = Blade(length=measured(poles + 10.0))
        sizes = {"feet_span": measured(99.0), "travel": 3.0, "route": Depth(21.0)}
        part = Humbucker(poles, poles=7, ring=None, blade=bars, mount=mount, **sizes)
        return Placed("pickup.neck" if x > 80 else "pickup.bridge", part, Place(x, 0, turn))

    pots = hull([(-66, -98, 24), (-112, -108, 24)])
    control = Cavity(
        pots,
        Depth(leave=control_leave),
        Cover(gap=0.3, screws=_rim(pots, (-66, -70), (-60, -124), (-118, -134), (-112, -82))),
    )
    frame = rectangle(54, 32, 8)
    switch = Cavity(
        frame, Depth(leave=control_leave), Cover(gap=0.3, screws=_rim(frame, (-27, 0), (27, 0)))
    )
    side = -thickness / 2.0
    parts = (
        Placed("neck", joint, Place(heel_x)),
        pickup(118.0),
        pickup(50.0),
        *bridges,
        Placed(
            "wire.neck",  # past the screw in the pickup's foot
            Channel((113, -12, -9), (134, -86, -30), ("pickup.neck.route", "switch.cavity")),
        ),
        Placed("foil", GroundFoil(106.0, 14.0), foil),
        Placed(
            "ground",
            Channel((*wired, 0), (-52, -90, -31), ("control.cavity",), 3.2, "front", "ground"),
        ),
        Placed("control", control),
        Placed("volume", Pot("control", control_leave, bush=measured(12.0)), Place(-66, -98)),
        Placed("tone", Pot("control", control_leave, bush=measured(12.0)), Place(-112, -108)),
        Placed("switch", switch, Place(146, -90)),
        Placed("toggle", Toggle("switch", control_leave), Place(146, -90)),
        Placed(
            "jack",
            EndJack("control", side, 45.0, lip=measured(25.0)),
            on_edge(outline, -74, -158),
        ),
        Placed("strap.tail", StrapButton(side), on_edge(outline, -188, 49)),
        Placed(
            "strap.ear", StrapButton(side, pilot_depth=measured(22.0)), on_edge(outline, 340, 100)
        ),
    )
    links = (
        Link("pickup.neck", "toggle", 3.0),
        Link("pickup.bridge", "toggle", 3.0),
        Link("toggle", "volume", 3.0),
        Link("tone", "volume"),
        Link("volume", "jack", 4.0),
    )
    body = Design(
        "burdock",
        blank_round(outline, species("ash, white"), joints=(70.0,)),
        skin,
        instrument,
        parts,
        links,
        left_handed=left_handed,
    )
    return replace(body, parts=(*parts, *route(body)))


def _rim(shape, *near):
    """The points of a cavity's rim nearest to the given ones: half of each screw's boss stands in
    the ledge."""
    return tuple((place.x, place.y) for place in (on_edge(shape, x, y) for x, y in near))
