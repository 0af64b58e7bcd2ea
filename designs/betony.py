"""Betony: a headless six-string whose ways for wires are found, with a tail block of the script's
own.

A betony's leaf is scalloped along its edge; so is the bass flank here, and the tail is cut in two
by a notch. In the notch turn the tuners: the bench makes its own block of brass that carries the
saddles and holds the strings' ends, a part that no shop sells, written in this script and judged
like any other. Nobody has drawn a way for a wire: each hole is found where a drill on hand gets in
and the most wood stays, and goes with whatever is changed. Drawn at the Hedgerow bench, an invented
one-bench shop.
"""

import math
from dataclasses import dataclass, replace

from bodycad import (
    Anchor,
    Bolt,
    Cavity,
    Chamfer,
    Cover,
    Depth,
    Design,
    EndJack,
    Hardware,
    Heel,
    Humbucker,
    Instrument,
    Land,
    Link,
    Mass,
    Neck,
    NeckFerrule,
    NeckJoint,
    Place,
    Placed,
    Pot,
    Prism,
    Ring,
    Room,
    Roundover,
    Saddle,
    Screw,
    Skin,
    StrapButton,
    Terminal,
    Toggle,
    Void,
    blank_round,
    board_gap_x,
    bore,
    default,
    fall_away,
    heel_end_x,
    hull,
    measured,
    on_edge,
    on_rim,
    pole_spacing_at,
    rectangle,
    rounded,
    route,
    saddle_gap_x,
    species,
    strings,
)

CORNERS = (
    (224, 36, 8),  # the neck's mouth
    (186, 40, 17),
    (194, 74, 18),  # the bass cutaway
    (272, 84, 14),  # the bass lobe
    (284, 110, 14),
    (204, 134, 40),  # the first scallop,
    (140, 104, 60),
    (66, 142, 60),  # the second
    (-6, 112, 60),
    (-84, 146, 56),  # and the third
    (-146, 96, 40),  # the bass half of the tail
    (-134, 52, 14),
    (-72, 46, 10),  # the notch
    (-72, -46, 10),
    (-134, -52, 14),
    (-152, -94, 24),  # its treble half
    (-90, -160, 40),
    (30, -112, 110),  # the bay for the knee
    (128, -146, 46),  # the treble lobe
    (186, -114, 26),
    (172, -58, 16),  # the treble cutaway
    (188, -40, 12),
    (224, -36, 8),
)
"""The outline as the bench draws it, with rule and discs: x and y of each corner, the disc's
radius."""


@dataclass(frozen=True)
class TailBlock:
    """The bench's own brass block: six saddles, and behind them six screws that draw the strings.

        <------------ front ------------>row<--- rear --->
         ________ _saddle_ _______________o_______________
        |_________________________________________________|  knob   over the notch
        =================================================== front

    front, rear: from the row in which the strings' ends are held; held: how high. window: least and
    greatest u of a string on its saddle; low, high: how high it is there."""

    spread: float = 52.5
    front: float = default(46.0, 0.2)
    rear: float = default(34.0, 0.2)
    width: float = default(80.0, 0.2)
    thickness: float = default(4.0, 0.1)
    held: float = default(7.0, 0.2)
    window: tuple[float, float] = (21.0, 35.0)
    low: float = default(9.5, 0.3)
    high: float = default(14.0, 0.3)
    knob: float = default(8.0, 0.1)
    knob_length: float = default(16.0, 0.3)
    pilot: float = default(2.4)
    pilot_depth: float = default(20.0)

    def row(self):
        """v of each string, the treble's first."""
        return [(k - 2.5) * self.spread / 5.0 for k in range(6)]

    def screws(self):
        side = self.width / 2.0 - 6.0
        return [(u, v) for u in (self.front - 5.0, 10.5 - self.rear) for v in (-side, 0.0, side)]

    def plan(self, place):
        length, middle = self.front + self.rear, (self.front - self.rear) / 2.0
        return place.profile(rectangle(length, self.width, 3.0, middle, 0.0))

    def voids(self, part, place, thickness):
        return [
            Void(
                f"{part}.screw.{k}",
                part,
                "front",
                "PILOT",
                bore((*place.point(u, v), 0.0), (0, 0, -1), self.pilot, self.pilot_depth),
                {"front"},
            )
            for k, (u, v) in enumerate(self.screws(), 1)
        ]

    def rooms(self, part, place, thickness):
        plate = Prism(self.plan(place), 0.0, self.thickness)
        found = [Room(f"{part}.plate", part, "plate", plate)]
        middle, length = sum(self.window) / 2.0, self.window[1] - self.window[0]
        for k, v in enumerate(self.row(), 1):
            block = place.profile(rectangle(length, 9.0, 0.5, middle, v))
            saddle = Prism(block, self.thickness, self.low)
            found.append(Room(f"{part}.saddle.{k}", part, "saddle", saddle))
            start = (*place.point(-self.rear, v), self.thickness + self.knob / 2.0)
            turn = math.radians(place.turn_deg)
            back = (-math.cos(turn), -math.sin(turn), 0.0)
            knob = bore(start, back, self.knob, self.knob_length)
            found.append(Room(f"{part}.knob.{k}", part, "part", knob))
        return found

    def interfaces(self, part, place, piece):
        turn, middle = math.radians(place.turn_deg), sum(self.window) / 2.0
        half = (self.window[1] - self.window[0]) / 2.0
        saddles = [
            Saddle(
                part=part,
                id=f"{part}.saddle.{k}",
                at=(*place.point(middle, v), self.low),
                along=(math.cos(turn), math.sin(turn), 0.0),
                ahead=half,
                behind=half,
                low=self.low,
                high=self.high,
            )
            for k, v in enumerate(self.row(), 1)
        ]
        screws = [
            Screw(
                part=part,
                number=k,
                hole=f"{part}.screw.{k}",
                at=(*place.point(u, v), 0.0),
                way=(0.0, 0.0, -1.0),
                flange=8.0,
                thread=3.5,
                reach=self.pilot_depth,
                length=self.thickness + self.pilot_depth,
                head="countersunk",
            )
            for k, (u, v) in enumerate(self.screws(), 1)
        ]
        ends = tuple((*place.point(0.0, v), self.held) for v in self.row())
        return [
            *saddles,
            *screws,
            Anchor(part=part, at=ends, strings=6),
            Land(part=part, name=f"{part}.plate", face="front", plan=self.plan(place)),
            Terminal(part=part, kind="ground", under=f"{part}.plate", linked=False),
            Mass(part=part, kg=0.42),
            Hardware(
                part=part,
                what="tail block that holds and tunes six strings",
                fills=("plate", "saddle", "part"),
                sizes=(("string spread", self.spread), ("plate width", self.width)),
            ),
        ]

    def shared_sizes(self):
        return {"spread": "bridge_spread"}


def design(
    scale: float = 628.0,
    thickness: float = 42.0,
    pocket_depth: float = 16.5,
    control_leave: float = 6.0,
    left_handed: bool = False,
) -> Design:
    heel = Heel(
        width_mouth=measured(54.2),
        width_end=measured(56.0),
        length=measured(66.0),
        thickness=measured(25.4),
        corner=measured(7.0),
        board_overlap=measured(5.0),
    )
    neck = Neck(
        scale=scale,
        frets=24,
        nut_width=measured(43.0),
        nut_spread=measured(35.5),
        width_at_last_fret=measured(56.2),
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
    contours = (
        fall_away("contour.forearm", "front", thickness, (-66, 107), 120.0, run=45.0, drop=12.0),
        fall_away("contour.belly", "back", thickness, (48, 102), 94.0, run=43.0, drop=11.0),
    )
    skin = Skin(outline, thickness, Chamfer(2.0), Roundover(5.0), contours)

    heel_x = heel_end_x(neck)
    joint = NeckJoint(
        heel,
        pocket_depth,
        neck.board_thickness,
        ferrule=NeckFerrule(flange=measured(14.0)),
        masked=True,
        species="maple, sugar",
        bolts=tuple(
            Bolt(u, v, wood=17.5, length=34.0) for u in (13.0, 49.0) for v in (-16.0, 16.0)
        ),
    )
    ring = Ring(length=measured(91.0), width=measured(46.5))
    neck_x = board_gap_x(instrument, ring.width / 2, 2.5)
    bridge_x = saddle_gap_x(18.0, ring.width / 2)

    def pickup(x: float) -> Humbucker:
        return Humbucker(pole_spacing_at(instrument, x), ring=ring)

    pots = hull([(-14, -82, 26), (-70, -98, 22)])
    control = Cavity(
        pots,
        Depth(leave=control_leave),
        Cover(gap=0.3, screws=on_rim(pots, (12, -78), (-36, -114), (-50, -72))),
    )
    parts = (
        Placed("neck", joint, Place(heel_x)),
        Placed("pickup.neck", pickup(neck_x), Place(neck_x)),
        Placed("pickup.bridge", pickup(bridge_x), Place(bridge_x)),
        Placed("tail", TailBlock(), Place(-30.0)),
        Placed("control", control),
        Placed("volume", Pot("control", control_leave, bush=measured(12.0)), Place(-56, -95)),
        Placed("toggle", Toggle("control", control_leave), Place(-15, -82, 16)),
        Placed(
            "jack",
            EndJack("control", -thickness / 2, 58.0, lip=measured(25.0)),
            on_edge(outline, -121, -127),
        ),
        Placed("strap.tail", StrapButton(-thickness / 2), on_edge(outline, -140, 84)),
        Placed(
            "strap.lobe",
            StrapButton(-thickness / 2, pilot_depth=measured(22.0)),
            on_edge(outline, 290, 104),
        ),
    )
    links = (
        Link("pickup.neck", "toggle", 3.0),
        Link("pickup.bridge", "toggle", 3.0),
        Link("toggle", "volume", 3.0),
        Link("volume", "jack", 4.0),
    )
    body = Design(
        "betony",
        blank_round(outline, species("walnut, black"), joints=(24.0,)),
        skin,
        instrument,
        parts,
        links,
        left_handed=left_handed,
    )
    return replace(body, parts=(*parts, *route(body)))
