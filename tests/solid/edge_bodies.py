"""Random skins with every kind of edge, whole and along stretches, under contours, and solids near
their edges."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from bodycad.errors import InputError
from bodycad.geometry.plane.build import circle, hull, rectangle, rounded
from bodycad.geometry.plane.profile import Profile
from bodycad.geometry.solids.bore import Bore, bore
from bodycad.geometry.solids.edge import Chamfer, Cove, Edge, Ledge, Rim, Roundover, Square
from bodycad.geometry.solids.prism import Prism
from bodycad.geometry.solids.skin import Skin
from bodycad.geometry.solids.stretch import Stretch, stopped
from bodycad.layout.contours import fall_away, scoop

T = 44.0
OUTLINES = {
    "board": rectangle(400, 300, 30),
    "round": hull([(-120, 0, 150), (150, 40, 90), (100, -60, 60)]),
    "waisted": rounded(
        [(-200, -140), (0, -70), (190, -130), (210, 110), (10, 70), (-200, 140)],
        [50, 120, 60, 60, 120, 50],
    ),
    "notched": rounded(
        [(-200, -140), (200, -140), (200, 60), (90, 60), (90, 140), (-200, 140)],
        [40, 40, 40, 0, 40, 40],
    ),
}
"""The last has a sharp corner into the body."""


@dataclass(frozen=True)
class Body:
    """A skin and solids near its edges."""

    name: str
    skin: Skin
    shapes: tuple[Prism | Bore, ...]


def an_edge(rng: np.random.Generator) -> Edge:
    size = float(rng.uniform(1.0, 12.0))
    kinds = [
        Roundover(size),
        Cove(size),
        Chamfer(size, float(rng.uniform(1.0, 12.0))),
        Ledge((0.5, float(rng.uniform(0.5, 4.0))), float(rng.uniform(2.0, 8.0))),
        Rim(((float(rng.uniform(12.0, 25.0)), 0.0, 0.08), (6.0, 4.0), (6.0, 6.0), (0.0, 9.0, 0.0))),
        Rim(((9.0, 0.0, -0.1), (3.0, 3.0, 0.2), (0.0, 6.5))),
    ]
    return kinds[int(rng.integers(len(kinds)))]


def edges(rng: np.random.Generator, outline: Profile) -> Edge | Stretch | tuple[Stretch, ...]:
    """A whole edge, a stretch, two beside each other, or one stopped at places."""
    way, edge = int(rng.integers(5)), an_edge(rng)
    if way == 0:
        return edge if not isinstance(edge, Roundover) else Chamfer(edge.radius)
    spots = [outline.segments.at(rng.uniform(size=len(outline.vertices))) for _ in range(3)]
    a, b, c = (tuple(map(float, s[int(rng.integers(len(s)))])) for s in spots)
    if way == 1:
        return Stretch(edge, a, b)
    if way == 2:
        return Stretch(edge, a, b), Stretch(an_edge(rng), b, a)
    if way == 3:
        return stopped(outline, edge, ((*a, 60.0), (*b, 30.0), (*c, 10.0)))
    return Square()


def a_body(seed: int) -> Body:
    """The body of a number; a draw that has no room is drawn again."""
    rng = np.random.default_rng(seed)
    while True:
        name = list(OUTLINES)[int(rng.integers(len(OUTLINES)))]
        outline = OUTLINES[name]
        contours = [
            fall_away("contour.forearm", "front", T, (-60.0, 60.0), 120.0, 70.0, 14.0),
            fall_away("contour.heel", "back", T, (120.0, -40.0), -20.0, 60.0, 10.0, (-60.0, 60.0)),
            scoop("contour.belly", "back", T, (-50.0, 60.0), 70.0, 80.0, 8.0),
        ]
        kept = tuple(c for c in contours if rng.random() < 0.5)
        try:
            skin = Skin(outline, T, edges(rng, outline), edges(rng, outline), kept)
        except InputError:
            continue
        return Body(f"{name} {seed}", skin, tuple(a_solid(rng, skin) for _ in range(6)))


def a_solid(rng: np.random.Generator, skin: Skin) -> Prism | Bore:
    """A solid within some 30 mm of the outline."""
    s = skin.outline.segments
    k, t = int(rng.integers(len(s))), float(rng.uniform())
    one = s.take(np.array([k]))
    ahead = one.tangent(np.array([t]))[0]
    spot = one.at(np.array([t]))[0] + rng.uniform(8.0, 30.0) * np.array([-ahead[1], ahead[0]])
    x, y = map(float, spot)
    low, high = float(rng.uniform(-T, -20.0)), float(rng.uniform(-18.0, 0.0))
    kind = int(rng.integers(4))
    if kind == 0:
        return Prism(circle(float(rng.uniform(2.0, 8.0)), x, y), low, high)
    if kind == 1:
        plan = rectangle(12.0, 8.0, 2.0).moved(x, y, float(rng.uniform(0.0, 180.0)))
        return Prism(plan, low, high)
    if kind == 2:
        plan = rectangle(12.0, 8.0, 2.0).moved(x, y, float(rng.uniform(0.0, 180.0)))
        slope = tuple(float(v) for v in rng.uniform(-0.1, 0.1, 2))
        return Prism(plan, low + 2.0, high + 2.0, slope, (x, y))
    turn, dip = rng.uniform(0.0, 2.0 * math.pi), rng.uniform(-0.5, 0.5)
    way = (math.cos(turn) * math.cos(dip), math.sin(turn) * math.cos(dip), math.sin(dip))
    return bore((x, y, float(rng.uniform(-30.0, -8.0))), way, 4.0, 14.0, 118.0)
