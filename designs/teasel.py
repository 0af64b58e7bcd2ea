"""Teasel: two humbuckers, strings through the body, and a bolt-on heel carved away under the hand.

One slender horn hooks inward as a teasel's bract does; the flank behind it is straight. A facet
along the lap holds the neck up by eight degrees, between a waist for the knee and a tight corner.
The bench builds one trial body of red alder each winter. This one asks how far a bolt-on heel can
be carved away under the hand while four ferrules, each on its own, still sit square on wood. Drawn
at the Hedgerow bench, an invented one-bench shop.
"""

from bodycad import (
    Bolt,
    Cavity,
    Channel,
    Contour,
    Cover,
    Depth,
    Design,
    EndJack,
    Hardtail,
    Heel,
    Humbucker,
    Instrument,
    Ledge,
    Link,
    Neck,
    NeckFerrule,
    NeckJoint,
    Place,
    Placed,
    Pot,
    Ring,
    Roundover,
    Skin,
    StrapButton,
    Toggle,
    blank_round,
    fall_away,
    heel_end_x,
    hull,
    measured,
    on_edge,
    on_rim,
    rectangle,
    rounded,
    scoop,
    species,
    string_height,
    strings,
)

CORNERS = (
    (243, 34, 8),  # the neck's mouth
    (204, 38, 19),  # the bass cutaway, round the hand
    (217, 93, 36),
    (299, 84, 70),  # the horn's hollow side,
    (325, 63, 8.5),  # its tip
    (337, 70, 8.5),
    (326, 104, 48),  # and its back
    (258, 126, 240),
    (-96, 159, 155),  # the straight flank, then the round under the forearm
    (-180, 121, 88),
    (-198, 20, 300),  # the tail
    (-170, -148, 20),  # the tight corner
    (-6, -172, 60),  # the lap's facet
    (58, -108, 92),  # the waist
    (192, -127, 26),  # the treble shoulder
    (181, -56, 18),  # the treble cutaway, clear of the last fret
    (212, -40, 40),
    (243, -34, 8),
)
"""The outline as the bench draws it, with rule and discs: x and y of each corner, the disc's
radius."""


def design(
    scale: float = 643.0,
    frets: int = 23,
    neck_pole_spacing: float = 49.5,
    bridge_pole_spacing: float = 52.0,
    thickness: float = 44.0,
    pocket_depth: float = 17.0,
    neck_pickup_gap: float = 2.5,
    control_leave: float = 6.0,
    heel_sculpt: float = 12.0,
    bolt_tighten: float = 0.0,
    left_handed: bool = False,
) -> Design:
    heel = Heel(
        width_mouth=measured(54.4),
        width_end=measured(56.3),
        length=measured(64.0),
        thickness=measured(25.4),
        corner=measured(7.0),
        board_overlap=measured(6.0),
    )
    neck = Neck(
        scale=scale,
        frets=frets,
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
    skin = Skin(
        outline,
        thickness,
        front=Ledge((0.5, 1.0), 6.4),
        back=Roundover(6.0),
        contours=contours(thickness, heel_sculpt),
    )

    # Neck: two screws on the bass side; on the treble side, where the carve is deepest, two that
    # follow it, the one at the mouth farther in, each in as much wood as is left there.
    board_end = heel_end_x(neck) - heel.board_overlap
    joint = NeckJoint(
        heel,
        pocket_depth,
        neck.board_thickness,
        ferrule=NeckFerrule(flange=measured(14.0)),
        corner=6.35,
        masked=True,
        species="maple, sugar",
        bolts=(
            Bolt(48.0, 16.0, wood=18.0, length=35.0),
            Bolt(13.0, 16.0, wood=18.0, length=35.0),
            Bolt(13.0, -16.0 + bolt_tighten / 2, wood=17.0, length=34.0),
            Bolt(40.0 - bolt_tighten, -12.0 + bolt_tighten / 2, wood=16.0, length=33.0),
        ),
    )
    heel_x = heel_end_x(neck)

    # Pickups: the ring stands off the fretboard's end; the bridge pickup clears the bridge plate.
    ring = Ring(length=measured(91.0), width=measured(46.5))
    neck_x = board_end - neck_pickup_gap - ring.width / 2
    bridge_x = 38.5
    bridge = Hardtail(
        spread=measured(52.5),
        hole_pitch=measured(10.5),
        plate_front=measured(30.0),
        screws=((26.0, -27.0), (26.0, 0.0), (26.0, 27.0)),
    )

    def pickup(poles: float, x: float, under_strings: float) -> Humbucker:
        rest = string_height(instrument, pocket_depth, x) - under_strings
        return Humbucker(poles, rest_height=rest, ring=ring)

    # Controls: one cavity for volume and tone, one for the toggle, both from the back.
    pots = hull([(-42, -80, 23), (-86, -90, 23), (-128, -70, 17)])
    control = Cavity(
        pots,
        Depth(leave=control_leave),
        Cover(gap=0.3, screws=on_rim(pots, (-22, -94), (-68, -115), (-122, -89), (-86, -64))),
    )
    frame = rectangle(56, 34, 8)
    switch = Cavity(
        frame, Depth(leave=control_leave), Cover(gap=0.3, screws=on_rim(frame, (-28, 0), (28, 0)))
    )

    parts = (
        Placed("neck", joint, Place(heel_x)),
        Placed("pickup.neck", pickup(neck_pole_spacing, neck_x, 4.4), Place(neck_x)),
        Placed("pickup.bridge", pickup(bridge_pole_spacing, bridge_x, 3.6), Place(bridge_x)),
        Placed("bridge", bridge, Place(-17.0)),
        Placed("control", control),
        Placed("volume", Pot("control", control_leave, bush=measured(12.0)), Place(-42, -80)),
        Placed("tone", Pot("control", control_leave, bush=measured(12.0)), Place(-86, -90)),
        Placed("switch", switch, Place(52, -80)),
        Placed("toggle", Toggle("switch", control_leave), Place(52, -80)),
        Placed(
            "jack",
            EndJack("control", -thickness / 2, 60.0, lip=measured(25.0)),
            on_edge(outline, -183, -79),
        ),
        Placed("strap.tail", StrapButton(-thickness / 2), on_edge(outline, -186, 0)),
        Placed(
            "strap.horn",
            StrapButton(-thickness / 2, pilot_depth=measured(22.0)),
            on_edge(outline, 289, 115),
        ),
        Placed(
            "wire.pickups",
            Channel(
                (heel_x + 4, 6, -11.5),
                (46, 6, -12),
                ("neck.pocket", "pickup.neck.route", "pickup.bridge.route"),
            ),
        ),
        Placed(
            "wire.control",
            Channel(
                (24, -26, -10.6), (-30, -77.75, -35.8), ("pickup.bridge.route", "control.cavity")
            ),
        ),
        Placed(
            "wire.switch",
            Channel((47, -31, -13), (50, -78, -26), ("pickup.bridge.route", "switch.cavity")),
        ),
        Placed(
            "ground",
            Channel((-4, -30, 0), (-56, -72, -30), ("control.cavity",), 3.2, "front", "ground"),
        ),
    )
    links = (
        Link("pickup.neck", "toggle", 3.0),
        Link("pickup.bridge", "toggle", 3.0),
        Link("toggle", "volume", 3.0),
        Link("tone", "volume"),
        Link("volume", "jack", 4.0),
    )
    return Design(
        "teasel",
        blank_round(outline, species("alder, red"), joints=(24.0,)),
        skin,
        instrument,
        parts,
        links,
        left_handed=left_handed,
    )


def contours(thickness: float, heel_sculpt: float) -> tuple[Contour, ...]:
    """Forearm on the bass lower bout, belly along the flank, and the heel carved off toward the
    treble cutaway: `heel_sculpt` mm deep at the heel's treble corner."""
    found = (
        fall_away("contour.forearm", "front", thickness, (-68, 98), 118.0, run=67.0, drop=17.5),
        scoop("contour.belly", "back", thickness, (5, 62), 90.0, radius=160.0, slope_deg=12.0),
    )
    if heel_sculpt > 0:
        found += (
            fall_away(
                "contour.heel",
                "back",
                thickness,
                (211, -6),
                -18.0,
                run=33.0,
                drop=heel_sculpt,
                span=(-40, 60),
            ),
        )
    return found
