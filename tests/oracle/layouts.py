"""Random bodies for the second opinions: any edges and contours, voids at all angles, and an
instrument over them whose parts stand where chance puts them. Nothing need fit."""

from __future__ import annotations

import math

import numpy as np

from bodycad import (
    Bolt,
    Design,
    Hardtail,
    Heel,
    Humbucker,
    InputError,
    Instrument,
    Neck,
    NeckJoint,
    Place,
    Placed,
    Prism,
    Skin,
    Square,
    Void,
    blank_round,
    bore,
    circle,
    fall_away,
    from_back,
    from_front,
    hull,
    profile,
    rectangle,
    scoop,
    species,
    strings,
)
from bodycad.instrument.seat import Seat
from tests.sample import Loose
from tests.solid.edge_bodies import OUTLINES, an_edge

VOIDS = 9


def a_design(number: int) -> Design:
    """The random design of that number; a draw that cannot be laid out is drawn again."""
    rng = np.random.default_rng([41, number])
    while True:
        try:
            found = _drawn(rng, number)
            found.layout()
        except InputError:
            continue
        return found


def _drawn(rng: np.random.Generator, number: int) -> Design:
    thickness = float(rng.uniform(38.0, 48.0))
    skin = _skin(rng, thickness)
    heel = Heel(
        width_mouth=float(rng.uniform(54.0, 58.0)),
        width_end=float(rng.uniform(55.0, 58.0)),
        length=float(rng.uniform(50.0, 80.0)),
        corner=float(rng.uniform(0.0, 8.0)),
    )
    scale, frets = float(rng.uniform(580.0, 660.0)), int(rng.integers(21, 25))
    last = float(rng.uniform(55.0, 58.0))
    neck = Neck(scale, frets, 43.0, float(rng.uniform(34.0, 37.0)), last, heel)
    spread = float(rng.uniform(49.0, 54.0))
    gauges = strings((".010", ".013", ".017", ".026w", ".036w", ".046w"))
    instrument = Instrument(neck, gauges, bridge_spread=spread)
    depth, angle = float(rng.uniform(10.0, 19.0)), float(rng.choice([0.0, 0.0, 1.0, 2.5]))
    bolts = (Bolt(14.0, 15.0, 15.0), Bolt(40.0, -14.0, 14.0))
    joint = NeckJoint(heel, depth, neck.board_thickness, bolts, angle_deg=angle)
    aside, turn = float(rng.uniform(-2.0, 2.0)), float(rng.choice([0.0, 8.0, -15.0]))
    at = Place(float(rng.uniform(35.0, 130.0)), aside, turn)
    parts = [
        Placed("neck", joint, Place(Seat(instrument, depth, angle).end[0])),
        Placed("pickup", Humbucker(float(rng.uniform(48.0, 53.0)), rest_height=7.0), at),
        Placed("bridge", Hardtail(spread), Place(float(rng.uniform(-22.0, -12.0)), aside / 4.0)),
    ]
    for k in range(VOIDS):
        name = f"v{k}"
        parts.append(Placed(name, Loose((void_in(rng, name, skin),))))
    blank = blank_round(skin.outline, species("alder, red"))
    return Design(f"random-{number}", blank, skin, instrument, tuple(parts))


def _skin(rng: np.random.Generator, thickness: float) -> Skin:
    outline = list(OUTLINES.values())[int(rng.integers(len(OUTLINES)))]
    edges = [an_edge(rng) if rng.random() < 0.7 else Square() for _ in range(2)]
    contours = (
        fall_away("contour.forearm", "front", thickness, (-60.0, 60.0), 120.0, 70.0, 14.0),
        fall_away(
            "contour.heel", "back", thickness, (120.0, -40.0), -20.0, 60.0, 10.0, (-60.0, 60.0)
        ),
        scoop("contour.belly", "back", thickness, (-50.0, 60.0), 70.0, 80.0, 8.0),
    )
    kept = tuple(c for c in contours if rng.random() < 0.5)
    return Skin(outline, thickness, *edges, kept)


def _plan(rng: np.random.Generator):
    kind = int(rng.integers(4))
    if kind == 0:
        return rectangle(*map(float, rng.uniform(12.0, 60.0, 2)), float(rng.uniform(0.5, 5.0)))
    if kind == 1:
        return circle(float(rng.uniform(4.0, 40.0)))
    if kind == 2:
        circles = [(0.0, 0.0, 6.0), (float(rng.uniform(10.0, 40.0)), 8.0, 9.0), (14.0, 30.0, 5.0)]
        return hull(circles)
    return profile([(0, 0, 0.2), (25, -3, -0.25), (34, 12, 0.4), (4, 24, 0)])


def void_in(rng: np.random.Generator, name: str, skin: Skin) -> Void:
    """A random pocket, tilted pocket, hole, slanting hole or channel about a skin."""
    t = skin.thickness
    x0, y0, x1, y1 = skin.outline.box
    x, y = float(rng.uniform(x0, x1)) * 0.9, float(rng.uniform(y0, y1)) * 0.9
    turn, kind = float(rng.uniform(0.0, 360.0)), int(rng.integers(6))
    face = str(rng.choice(["front", "back"]))
    depth = float(rng.uniform(3.0, t - 2.5))
    if kind <= 1:
        plan = _plan(rng).moved(x, y, turn)
        shape = from_front(plan, depth) if face == "front" else from_back(plan, depth, t)
        return Void(name, name, face, "POCKET", shape, {face})
    if kind == 2:
        plan = _plan(rng).moved(x, y, turn)
        rise, way = float(rng.uniform(0.01, 0.12)), math.radians(turn)
        slope = rise * math.cos(way), rise * math.sin(way)
        shape = Prism(plan, -float(rng.uniform(10.0, 25.0)), 0.0, slope, plan.centroid)
        return Void(name, name, "front", "POCKET", shape, {"front"})
    tip = float(rng.choice([180.0, 118.0]))
    width = float(rng.uniform(2.0, 12.0))
    if kind == 3:
        start, way = ((x, y, 0.0), (0, 0, -1)) if face == "front" else ((x, y, -t), (0, 0, 1))
        shape = bore(start, way, width, max(depth, 1.5 * width), tip)
        return Void(name, name, face, "BORE", shape, {face})
    dip = float(rng.uniform(0.25, 1.3)) if kind == 4 else float(rng.uniform(-0.4, 0.4))
    a = math.radians(turn)
    way = (math.cos(a) * math.cos(dip), math.sin(a) * math.cos(dip), -math.sin(dip))
    if kind == 4:
        lead = width / 2.0 * math.cos(dip) / math.sin(dip) + 1.0
        start = x - lead * way[0], y - lead * way[1], -lead * way[2]
        long = lead + float(rng.uniform(10.0, (t - 4.0) / math.sin(dip)))
        return Void(name, name, "front", "CHANNEL", bore(start, way, width, long, tip), {"front"})
    start = (x, y, -float(rng.uniform(12.0, t - 12.0)))
    hole = bore(start, way, width, float(rng.uniform(1.5 * width, 60.0)), tip)
    return Void(name, name, "front", "CHANNEL", hole, frozenset())
