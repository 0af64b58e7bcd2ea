"""Bramble: an arched top, a bridge and a tailpiece on posts, and a glued tenon that leans back.

A bramble's leaf has no horns: two lobes beside the neck, a bay behind each, and a tip for a tail.
The strap hangs from the bass lobe, which takes most of the weight. The top is arched. It lies level
over a crown as wide as the strings, falls away by one section curve all round it, and runs out
through a recurve into a flat rim that a binding follows. A bridge and a tailpiece stand on posts,
which need no flat; the neck leans back so far that its strings meet them, and its tenon runs on
under the neck pickup, whose route leaves 3 mm of it. Rings, washers and the ceiling of the control
cavity follow the arch. Drawn at the Hedgerow bench, an invented one-bench shop.
"""

from bodycad import (
    Cavity,
    Channel,
    Cover,
    Depth,
    Design,
    EndJack,
    Heel,
    Humbucker,
    Instrument,
    Ledge,
    Link,
    Neck,
    Place,
    Placed,
    PostBridge,
    Posts,
    Pot,
    Ring,
    Roundover,
    Seat,
    Skin,
    StrapButton,
    Tailpiece,
    TenonJoint,
    Tongue,
    arched_top,
    bevel,
    blank_round,
    blend,
    board_end_x,
    hull,
    instrument_stack,
    measured,
    on_edge,
    on_front,
    rectangle,
    rounded,
    rounded_corner,
    solve,
    species,
    strings,
)

CORNERS = (
    (238, 34, 8),  # the neck's mouth
    (212, 43, 14),
    (203, 98, 24),  # the bass lobe
    (146, 152, 30),
    (28, 130, 120),  # the bay behind it
    (-104, 184, 74),
    (-250, 26, 26),  # the leaf's tip: the tail
    (-96, -186, 62),
    (52, -131, 100),  # the treble bay
    (136, -146, 28),  # the treble lobe
    (196, -92, 20),
    (178, -58, 12),  # the scallop for the hand
    (206, -41, 10),
    (238, -34, 8),
)
"""The outline as the bench draws it, with rule and discs: x and y of each corner, the disc's
radius."""


def design(
    scale: float = 628.0,
    thickness: float = 49.0,
    rise: float = 9.0,
    run: float = 105.0,
    recurve: float = 250.0,
    pocket_depth: float = 34.0,
    bridge_height: float = 16.5,
    control_leave: float = 5.5,
    left_handed: bool = False,
) -> Design:
    heel = Heel(
        width_mouth=measured(54.4),
        width_end=measured(56.3),
        length=measured(64.0),
        thickness=measured(38.8),
        corner=measured(7.0),
        board_overlap=measured(6.0),
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
        strings((".011", ".014", ".018", ".028w", ".038w", ".049w")),
        bridge_spread=measured(52.0),
    )
    outline = rounded([(x, y) for x, y, _ in CORNERS], [radius for *_, radius in CORNERS])
    crown = hull(((-70, 0, 31), (150, 0, 30)))
    top = arched_top("arch", "front", thickness, crown, run, rise, recurve)
    skin = Skin(
        outline, thickness, Ledge((0.5, 1.5), 6.4), Roundover(4.0), (top, *_back(thickness))
    )

    # The neck leans back until its strings meet the bridge at mid travel.
    stack = solve(
        instrument_stack(instrument, pocket_depth, bridge_height=bridge_height), for_="angle"
    )
    joint = TenonJoint(
        heel,
        pocket_depth,
        neck.board_thickness,
        tongue=Tongue(measured(40.0), under=4.0, cut_by=("pickup.neck.route", "pickup.neck.ears")),
        angle_deg=stack.angle_deg,
        species="maple, sugar",
    )
    heel_x = Seat(instrument, pocket_depth, stack.angle_deg).end[0]
    board_x = board_end_x(neck)

    # Rings rest on the highest place under them; bridge and tailpiece stand where their posts do.
    ring = Ring(length=measured(91.0), width=measured(46.5), pilot_depth=8.0)
    neck_x = board_x - 2.5 - ring.width / 2

    def humbucker(poles: float) -> Humbucker:
        return Humbucker(poles, ring=ring, route=Depth(21.5), ears=Depth(27.5))

    rim = rectangle(ring.width, ring.length)
    bridge = PostBridge(spread=measured(52.0), posts=Posts(spread=measured(74.0)))
    tail = Tailpiece()

    # Two volumes over one cavity, where the recurve runs out: there their washers lie flat enough.
    spots = on_front(skin, -38, -125), on_front(skin, -80, -127)
    pots = hull(((-32, -118, 22), (-84, -121, 23)))
    lowest = min(spot.z for spot in spots)
    panels = tuple(control_leave + spot.z - lowest for spot in spots)
    control = Cavity(
        pots,
        Depth(leave=control_leave),
        Cover(gap=0.3, screws=_rim(pots, (-54, -92), (-12, -126), (-60, -146), (-104, -142))),
    )

    side = -(thickness + rise + 6.4 - 4.0) / 2
    parts = (
        Placed("neck", joint, Place(heel_x)),
        Placed("pickup.neck", humbucker(49.5), on_front(skin, neck_x, 0, under=rim)),
        Placed("pickup.bridge", humbucker(52.0), on_front(skin, 36, 0, under=rim)),
        Placed("bridge", bridge, on_front(skin, -3.0, 0)),
        Placed("tail", tail, on_front(skin, -48.0, 0)),
        Placed("control", control, Place(z=lowest)),
        Placed("volume.neck", Pot("control", panels[0], bush=measured(16.0)), spots[0]),
        Placed("volume.bridge", Pot("control", panels[1], bush=measured(16.0)), spots[1]),
        Placed(
            "jack",
            EndJack("control", side, 60.0, lip=measured(25.0)),
            on_edge(outline, -94, -107),
        ),
        Placed(
            "wire.pickups",
            Channel(
                (heel_x + 4, 8, -13),
                (44, 8, -13.5),
                ("neck.pocket", "pickup.neck.route", "pickup.bridge.route"),
            ),
        ),
        Placed(
            "wire.control",
            Channel((25, -20, -11), (-21, -110, -41), ("pickup.bridge.route", "control.cavity")),
        ),
        Placed(
            "ground",
            Channel(
                (-34.5, -117.6, -48.8),
                (-46.0, -41.0, -9.4),
                ("control.cavity", "tail.post.1"),
                3.2,
                kind="ground",
            ),
        ),
        Placed("strap.tail", StrapButton(side), on_edge(outline, -250, 26)),
        Placed("strap.shoulder", StrapButton(side), on_edge(outline, 180, 120)),
    )
    links = (
        Link("pickup.neck", "volume.neck", 3.0),
        Link("pickup.bridge", "volume.bridge", 3.0),
        Link("volume.neck", "volume.bridge", 3.0),
        Link("volume.bridge", "jack", 4.0),
    )
    return Design(
        "bramble",
        blank_round(outline, species("walnut, black"), joints=(30.0,)),
        skin,
        instrument,
        parts,
        links,
        left_handed=left_handed,
    )


def _back(thickness: float):
    """The back: a hollow for the belly that runs out without a crease; the heel sloped toward the
    neck's mouth, its treble corner taken off, and the treble lobe bevelled for the hand."""
    return (
        blend("contour.belly", "back", thickness, (-40, 100), 104.0, run=66.0, drop=9.0),
        bevel("contour.heel", "back", thickness, (204, 0), 0.0, run=34.0, drop=7.0, ease=30.0),
        rounded_corner("contour.corner", "back", thickness, (238, -34), -45.0, 30.0, inset=20.0),
        bevel("contour.hand", "back", thickness, (168, -82), -45.0, run=40.0, drop=9.0, ease=20.0),
    )


def _rim(shape, *near):
    """The points of a cavity's rim nearest to the given ones: half of each screw's boss stands in
    the ledge."""
    return tuple((place.x, place.y) for place in (on_edge(shape, x, y) for x, y in near))
