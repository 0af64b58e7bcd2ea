"""Random bodies without an instrument: outlines of 8 to 40 points with corners, horns and waists,
every kind of edge, one to four contours, 5 to 25 voids at all angles. Nothing need fit."""

from __future__ import annotations

import math

import numpy as np

from bodycad.errors import InputError
from bodycad.geometry.plane.build import rounded
from bodycad.geometry.plane.outline import smooth_outline
from bodycad.geometry.plane.profile import Profile
from bodycad.geometry.solids.skin import Contour, Skin
from bodycad.layout.contours import fall_away, scoop
from bodycad.layout.void import Void
from bodycad.layout.workpiece import BODY, Workpiece
from tests.oracle.layouts import void_in
from tests.solid.edge_bodies import an_edge, edges

POINTS = 8, 40
CONTOURS = 1, 4
VOIDS = 5, 25


def a_wood(number: int) -> Workpiece:
    """The random body of that number; what cannot be drawn is drawn again."""
    rng = np.random.default_rng([73, number])
    while True:
        try:
            return _drawn(rng)
        except InputError:
            continue


def _drawn(rng: np.random.Generator) -> Workpiece:
    thickness = float(np.round(rng.uniform(32.0, 50.0), 1))
    outline = _outline(rng)
    sides = [an_edge(rng) if rng.random() < 0.7 else edges(rng, outline) for _ in range(2)]
    count = int(rng.integers(CONTOURS[0], CONTOURS[1] + 1))
    contours = tuple(_contour(rng, outline, thickness, k) for k in range(count))
    skin = Skin(outline, thickness, *sides, contours)
    voids: list[Void] = []
    for k in range(int(rng.integers(VOIDS[0], VOIDS[1] + 1))):
        voids.append(void_in(rng, f"v{k}", skin))
    return Workpiece(BODY, skin, tuple(voids))


def _outline(rng: np.random.Generator) -> Profile:
    """Points on an oval with two horns and a waist, pushed about, on whole or half millimetres;
    smooth with some corners, or a polygon with some of its corners rounded."""
    count = int(rng.integers(POINTS[0], POINTS[1] + 1))
    turn = np.sort(rng.uniform(0.0, 2.0 * math.pi, count) * 0.25 / count) + np.linspace(
        0.0, 2.0 * math.pi, count, endpoint=False
    )
    waist = float(rng.uniform(0.0, 0.2))
    reach = 165.0 * (1.0 - waist * np.exp(-((np.sin(2.0 * turn) / 0.5) ** 2)))
    for horn in (rng.uniform(0.5, 0.9), -rng.uniform(0.5, 0.9)):
        away = np.abs((turn - horn + math.pi) % (2.0 * math.pi) - math.pi)
        reach += float(rng.uniform(0.0, 70.0)) * np.exp(-((away / 0.25) ** 2))
    reach *= 1.0 + rng.uniform(-0.04, 0.04, count)
    xy = np.column_stack([1.2 * reach * np.cos(turn), reach * np.sin(turn)])
    points = [(float(x), float(y)) for x, y in np.round(2.0 * xy) / 2.0]
    if rng.random() < 0.6:
        some = rng.random(count) < rng.choice([0.0, 0.0, 0.1, 0.3])
        corners = tuple(int(k) for k in np.flatnonzero(some))
        return smooth_outline(points, float(rng.choice([0.01, 0.03])), corners)
    radii = np.where(rng.random(count) < 0.2, 0.0, rng.uniform(1.0, 25.0, count))
    return rounded(points, [float(r) for r in radii])


def _contour(rng: np.random.Generator, outline: Profile, thickness: float, k: int) -> Contour:
    """A fall-away or a scoop that runs out of the body near some place of the outline."""
    s = outline.segments
    one = s.take(np.array([int(rng.integers(len(s)))]))
    t = np.array([float(rng.uniform())])
    ahead = one.tangent(t)[0]
    out = np.array([ahead[1], -ahead[0]])
    way = math.degrees(math.atan2(out[1], out[0])) + float(rng.uniform(-35.0, 35.0))
    if rng.random() < 0.4:
        way = float(round(way / 5.0) * 5)
    run = float(rng.uniform(25.0, 90.0))
    x, y = (float(v) for v in np.round(one.at(t)[0] - run * out))
    face = str(rng.choice(["front", "back"]))
    name = f"contour.{k}"
    if rng.random() < 0.35:
        radius, slope = float(rng.uniform(50.0, 140.0)), float(rng.uniform(3.0, 11.0))
        return scoop(name, face, thickness, (x, y), way, radius, slope)
    drop = float(rng.uniform(3.0, min(16.0, 0.4 * run)))
    span = (-60.0, 60.0) if rng.random() < 0.25 else (-600.0, 600.0)
    return fall_away(name, face, thickness, (x, y), way, run, drop, span)
