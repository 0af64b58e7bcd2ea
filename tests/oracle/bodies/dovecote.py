"""Dovecote: a single-cutaway with one block pickup, for an invented ferry pilot."""

from __future__ import annotations

from bodycad import (
    Bolt,
    Cavity,
    Channel,
    Cover,
    Depth,
    Design,
    EndJack,
    Hardtail,
    Heel,
    Instrument,
    Link,
    Neck,
    NeckJoint,
    Place,
    Placed,
    Pot,
    Roundover,
    Skin,
    StrapButton,
    blank_round,
    heel_end_x,
    hull,
    on_edge,
    on_rim,
    scoop,
    smooth_outline,
    species,
    string_height,
    strings,
)
from tests.oracle.bodies.soapbar import Soapbar

OUTLINE = (
    *((229, 0), (228, 20), (224, 40), (212, 62), (190, 85), (160, 105), (125, 117), (90, 118)),
    *((55, 110), (20, 104), (-20, 108), (-65, 124), (-110, 136), (-150, 132), (-185, 108)),
    *((-205, 65), (-212, 0), (-205, -65), (-185, -108), (-150, -132), (-110, -136), (-65, -124)),
    *((-20, -108), (20, -104), (55, -110), (90, -119), (130, -124), (165, -118), (186, -104)),
    *((190, -90), (178, -78), (164, -69), (155, -60), (159, -49), (178, -43), (208, -42)),
    *((225, -34), (228.7, -14)),
)


def design(
    scale: float = 628.0,
    thickness: float = 45.0,
    pocket_depth: float = 16.5,
    under_strings: float = 4.5,
    pickup_x: float = 40.0,
    leave: float = 6.0,
    belly: float = 12.0,
) -> Design:
    heel = Heel(width_mouth=55.5, width_end=56.0, length=58.0, thickness=25.4, corner=6.5)
    neck = Neck(scale, 22, 43.0, 35.5, 56.5, heel, 5.0, 6.0)
    instrument = Instrument(
        neck, strings((".010", ".013", ".017", ".026w", ".036w", ".046w")), bridge_spread=52.5
    )
    outline = smooth_outline(OUTLINE, tolerance=0.03, name="the outline of dovecote")
    carve = scoop("contour.belly", "back", thickness, (10, 62), 90.0, 160.0, belly)
    skin = Skin(outline, thickness, Roundover(3.0), Roundover(5.0), (carve,))
    heel_x = heel_end_x(neck)
    joint = NeckJoint(
        heel,
        pocket_depth,
        6.0,
        (
            Bolt(38.0, 15.0, 18.0, 35.0),
            Bolt(13.0, 16.0, 18.0, 35.0),
            Bolt(13.0, -16.0, 18.0, 35.0),
            Bolt(38.0, -15.0, 18.0, 35.0),
        ),
        masked=True,
        species="maple, sugar",
    )
    over = string_height(instrument, pocket_depth, pickup_x) - under_strings
    pots = hull([(-38, -70, 22), (-94, -76, 22)])
    control = Cavity(
        pots,
        Depth(leave=leave),
        Cover(gap=0.3, screws=on_rim(pots, (-20, -80), (-114, -66))),
    )
    bridge = Hardtail(
        52.5,
        hole_pitch=10.5,
        plate_front=30.0,
        screws=((26.0, -27.0), (26.0, 0.0), (26.0, 27.0)),
    )
    parts = (
        Placed("neck", joint, Place(heel_x)),
        Placed("pickup", Soapbar(over=over), Place(pickup_x)),
        Placed("bridge", bridge, Place(-17.0)),
        Placed("control", control),
        Placed("volume", Pot("control", leave, bush=12.0), Place(-38.0, -70.0)),
        Placed("tone", Pot("control", leave, bush=12.0), Place(-94.0, -76.0)),
        Placed(
            "jack",
            EndJack("control", -thickness / 2, 40.0, lip=24.0, cup_depth=17.0),
            on_edge(outline, -55, -119),
        ),
        Placed("strap.tail", StrapButton(-thickness / 2), on_edge(outline, -212, 0)),
        Placed("strap.neck", StrapButton(-thickness / 2), on_edge(outline, 190, 85)),
        Placed(
            "wire.pickup",
            Channel((30, -28, -10.6), (-20, -65, -36), ("pickup.route", "control.cavity")),
        ),
        Placed(
            "ground",
            Channel((-4, -31, 0), (-46, -62, -30), ("control.cavity",), 3.2, "front", "ground"),
        ),
    )
    links = (Link("pickup", "volume", 4.0), Link("tone", "volume"), Link("volume", "jack", 4.0))
    blank = blank_round(outline, species("alder, red"))
    return Design("dovecote", blank, skin, instrument, parts, links)
