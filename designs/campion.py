"""Campion: three single coils, a blade switch and two pots on a front guard, and a six-screw
vibrato.

A campion's petal is cut in two at its end; so are the tail of this body and its bass shoulder. All
that plays hangs from one guard: three single coils that follow the strings, a blade switch and two
pots, whose bushes clamp 2.4 mm of sheet and no wood. Under it one route is drawn as a hull round
switch and pots, 5 mm off each of them, and what hangs there cuts its own windows in the guard. The
jack sits in a tilted cup in the front; its bore comes out in that route. A vibrato on six screws
tips over a slot; its springs and claw lie in a cavity at the back, a floor under the pickups. Drawn
at the Hedgerow bench, an invented one-bench shop.
"""

from dataclasses import replace

from bodycad import (
    AngledJack,
    BladeSwitch,
    Bolt,
    Cavity,
    Cover,
    Cutter,
    Depth,
    Design,
    Guard,
    GuardMount,
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
    ScrewVibrato,
    Shop,
    SingleCoil,
    Skin,
    StrapButton,
    blank_round,
    cavity_round,
    fall_away,
    heel_end_x,
    measured,
    offset,
    on_edge,
    on_rim,
    pole_spacing_at,
    rounded,
    route,
    species,
    spring_hollow,
    strings,
)

CORNERS = (
    (252, 40, 8),  # the neck's mouth
    (213, 46, 18),  # the bass cutaway
    (226, 98, 30),
    (292, 92, 26),  # the shoulder's petal, cut in two
    (324, 114, 13),
    (286, 128, 9),
    (292, 156, 12),
    (176, 134, 120),  # a shallow bay
    (-60, 176, 40),  # one corner, and a facet under the forearm
    (-188, 116, 36),  # the upper half of the tail
    (-184, 34, 30),
    (-152, 2, 22),  # and the cut in it
    (-202, -56, 30),
    (-152, -178, 34),
    (-6, -190, 70),  # the lap; from it a straight flank
    (160, -118, 110),
    (224, -104, 26),
    (212, -46, 18),  # the treble cutaway
    (252, -40, 8),
)
"""The outline as the bench draws it, with rule and discs: x and y of each corner, the disc's
radius."""
GUARD = (
    (196, 29.5, 4),  # beside the neck
    (196, 50, 8),
    (120, 64, 60),
    (14, 52, 16),
    (14, -47, 6),  # before the vibrato
    (-36, -50, 8),
    (-76, -76, 20),
    (-78, -134, 30),
    (10, -148, 60),
    (108, -112, 40),
    (178, -76, 30),
    (196, -48, 8),
    (196, -29.5, 4),
    (172, -29.5, 5),
    (172, 29.5, 5),
)
"""The guard's outline: x and y of each corner, its radius."""


def design(
    scale: float = 640.0,
    thickness: float = 46.0,
    pocket_depth: float = 16.8,
    route_depth: float = 38.0,
    wall: float = 5.0,
    sheet: float = 2.4,
    left_handed: bool = False,
) -> Design:
    heel = Heel(
        width_mouth=measured(54.6),
        width_end=measured(56.4),
        length=measured(66.0),
        thickness=measured(25.4),
        corner=measured(7.0),
        board_overlap=measured(6.0),
    )
    neck = Neck(
        scale=scale,
        frets=22,
        nut_width=measured(42.0),
        nut_spread=measured(35.0),
        width_at_last_fret=measured(56.4),
        heel=heel,
        overhang=measured(4.0),
        board_thickness=measured(6.4),
    )
    instrument = Instrument(
        neck,
        strings((".009", ".011", ".016", ".024w", ".032w", ".042w")),
        bridge_spread=measured(54.0),
    )
    outline = rounded([(x, y) for x, y, _ in CORNERS], [radius for *_, radius in CORNERS])
    contours = (
        fall_away("contour.forearm", "front", thickness, (-62, 112), 112.0, run=56.0, drop=13.0),
        fall_away("contour.belly", "back", thickness, (70, 106), 94.0, run=40.0, drop=12.0),
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
        # The outer two stand closer, beside the way of the neck pickup's wire.
        bolts=tuple(
            Bolt(u, v, wood=20.0, length=36.0)
            for u, half in ((14.0, 17.0), (48.0, 14.5))
            for v in (-half, half)
        ),
    )

    # What hangs from the guard.
    plan = rounded([(x, y) for x, y, _ in GUARD], [radius for *_, radius in GUARD])
    guard = Guard(
        plan,
        rim(
            plan,
            *((188, 44), (120, 60), (30, 46), (20, -36), (-30, -54), (-70, -84)),
            *((-40, -146), (50, -136), (140, -94), (180, -60)),
        ),
        thickness=measured(sheet),
    )
    hung = GuardMount(
        "guard", thickness=measured(sheet), spring_flat=measured(2.0), hole=3.2, opening=0.3
    )

    def coil(x: float) -> Placed:
        name = {44.0: "bridge", 98.0: "middle"}.get(x, "neck")
        poles, cover = pole_spacing_at(instrument, x), measured(68.4)
        return Placed(f"pickup.{name}", SingleCoil(poles, frame_length=cover, mount=hung), Place(x))

    coils = coil(44.0), coil(98.0), coil(152.0)
    given = {"panel": sheet, "guard": "guard"}
    controls = (
        Placed("switch", BladeSwitch("route", **given), Place(64, -88, 24)),
        Placed("volume", Pot("route", **given), Place(6, -92)),
        Placed("tone", Pot("route", **given), Place(-42, -110)),
    )
    under = Cavity(cavity_round(*controls, wall=wall), Depth(route_depth), None, face="front")

    # Its springs lie in a cavity 60 mm wide, whose cover is screwed down clear of them.
    fixed = (74.0, 0.0), (16.0, 30.0), (16.0, -30.0), (-44.0, 20.0), (-44.0, -20.0)
    hollow = Cavity(
        spring_hollow(springs=60.0, block=86.0),
        Depth(18.5),
        Cover(gap=0.3, screws=fixed),
        corner=4.8,
    )
    vibrato = ScrewVibrato(measured(54.0), slot_corner=4.8, hollow=hollow)

    parts = (
        Placed("neck", joint, Place(heel_x)),
        *coils,
        Placed("vibrato", vibrato, Place(4.0)),
        Placed("guard", guard),
        Placed("route", under),
        *controls,
        Placed(
            "jack",
            AngledJack("route", reach=70.0, tilt_deg=measured(27.0)),
            Place(-112, -108),
        ),
        Placed("strap.tail", StrapButton(-thickness / 2), on_edge(outline, -184, 60)),
        Placed("strap.petal", StrapButton(-thickness / 2), on_edge(outline, 314, 112)),
    )
    links = (
        *(Link(one.id, "switch") for one in coils),
        Link("switch", "volume"),
        Link("tone", "volume"),
        Link("volume", "jack"),
    )
    body = Design(
        "campion",
        blank_round(outline, species("alder, red"), joints=(50.0,)),
        skin,
        instrument,
        parts,
        links,
        # A 1.5 mm cutter runs the lever's slot in the sheet.
        Shop(cutters=(Cutter(1.5, 6.0), *Shop().cutters)),
        left_handed,
    )
    return replace(body, parts=(*parts, *route(body)))


def rim(plan, *near):
    """The points 6 mm inside a guard's rim that are nearest to the given ones."""
    (inner,) = offset(plan, -6.0)
    return on_rim(inner, *near)
