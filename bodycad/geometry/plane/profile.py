"""A closed chain of straight lines and circular arcs, exact in area, centroid and box."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass
from functools import cached_property
from typing import Annotated

import numpy as np

from bodycad.declare import Far, Rows, Text, between, declared
from bodycad.errors import InputError, number
from bodycad.geometry.plane.meet import crossing_words
from bodycad.geometry.plane.segments import Segments, portions

Point = tuple[float, float]
COINCIDENT = 1e-9
"""Two vertices nearer than this (mm) are one."""
MOST = 4000
"""The most vertices of a chain: a body's outline asks for a few hundred at most, and what is asked
of it costs time and memory by their number."""
DENSE, CELL = 400, 6.0
"""Of more points than this one first asks by square cells, mm, which of them lie far off."""
FARTHEST = 3000.0
"""No vertex lies farther than this from the axes, mm: no instrument is that
long."""


@dataclass(frozen=True, eq=False)
@declared()
class Profile:
    """A closed counter-clockwise chain; make one with `profile()` or the functions of `build`.

    `vertices` (n, 3): x, y in mm and the bulge, tan(included angle / 4), of the segment that
    starts there (positive turns counter-clockwise, 0 is a straight line)."""

    vertices: Annotated[np.ndarray, Rows("an array (n, 3), as profile(...) makes one")]

    @cached_property
    def segments(self) -> Segments:
        """The chain's lines and arcs as arrays."""
        points = self.vertices[:, :2]
        return Segments(points, np.concatenate([points[1:], points[:1]]), self.vertices[:, 2])

    @cached_property
    def area(self) -> float:
        """Exact enclosed area, mm2."""
        return _signed_area(self.segments)

    @cached_property
    def length(self) -> float:
        """Exact perimeter, mm."""
        return math.fsum(self.segments.length.tolist())

    @cached_property
    def centroid(self) -> Point:
        """Exact centre of the enclosed area, mm."""
        s = self.segments
        cross = s.a[:, 0] * s.b[:, 1] - s.b[:, 0] * s.a[:, 1]
        moment = (s.a + s.b) * cross[:, None] / 6.0
        sweep, radius, ahead = s.sweep[s.arc], s.radius[s.arc], s.ahead[s.arc]
        # A circular segment of area R^2 (t - sin t)/2 has its centroid 4 R sin^3(t/2) / (3 (t - sin
        # t)) from the arc's centre (CRC tables); their product is exact on flat arcs.
        piece = radius**2 * _arc_less_sine(sweep) / 2.0
        lever = 2.0 / 3.0 * radius**3 * np.abs(np.sin(sweep / 2.0)) ** 3
        outward = np.stack([ahead[:, 1], -ahead[:, 0]], axis=1)
        moment[s.arc] += piece[:, None] * s.centre[s.arc] + lever[:, None] * outward
        x, y = (math.fsum(one) / self.area for one in moment.T.tolist())
        return x, y

    @cached_property
    def box(self) -> tuple[float, float, float, float]:
        """x0, y0, x1, y1 in mm, exact for arcs."""
        boxes = self.segments.boxes
        (x0, y0), (x1, y1) = boxes[:, :2].min(axis=0), boxes[:, 2:].max(axis=0)
        return float(x0), float(y0), float(x1), float(y1)

    @cached_property
    def circle(self) -> tuple[Point, float] | None:
        """Centre and radius when the whole chain is one circle, else None."""
        s = self.segments
        if not s.arc.all() or np.any(s.bulge <= 0):
            return None
        centre, radius = s.centre[0], s.radius[0]
        if np.abs(s.centre - centre).max() > 1e-9 or np.abs(s.radius - radius).max() > 1e-9:
            return None
        return (float(centre[0]), float(centre[1])), float(radius)

    @cached_property
    def inside_corners(self) -> tuple[np.ndarray, np.ndarray]:
        """Where a cutter inside must turn: points (n, 2), radii (n,) in mm, 0 if sharp.

        A corner is sharp when the chain turns inward by more than 2 degrees at a vertex."""
        return self._corners(1.0)

    @cached_property
    def outside_corners(self) -> tuple[np.ndarray, np.ndarray]:
        """The same for a cutter that runs round the outside: where the outline is hollow."""
        return self._corners(-1.0)

    def _corners(self, side: float) -> tuple[np.ndarray, np.ndarray]:
        s = self.segments
        ones, zeros = np.ones(len(s)), np.zeros(len(s))
        arriving, leaving = s.tangent(ones), np.roll(s.tangent(zeros), -1, axis=0)
        turn = side * (arriving[:, 0] * leaving[:, 1] - arriving[:, 1] * leaving[:, 0])
        sharp = np.arctan2(turn, (arriving * leaving).sum(axis=1)) > math.radians(2.0)
        convex = side * s.bulge > 0
        points = np.vstack([s.b[sharp], s.at(ones / 2.0)[convex]])
        return points, np.concatenate([zeros[sharp], s.radius[convex]])

    @property
    def least_inside_radius(self) -> float:
        """Radius of the tightest corner for a cutter inside, mm; 0 when sharp, inf if none."""
        return float(self.inside_corners[1].min(initial=math.inf))

    def signed_distance(self, points: np.ndarray, within: float = math.inf) -> np.ndarray:
        """Distance (m,) from `points` (m, 2) to the chain, negative inside, mm; of a point that
        lies farther than `within` (mm) on either side, some figure beyond that."""
        points = np.atleast_2d(np.asarray(points, float))
        if within < math.inf and len(points) > DENSE:
            return self._by_cells(points, within)
        # In portions: points times segments must not outgrow the memory.
        size = max(1, 500_000 // len(self.vertices))
        starts = range(0, max(len(points), 1), size)
        distance = np.concatenate([self.segments.away(points[k : k + size])[0] for k in starts])
        return np.where(self.segments.encloses(points), -distance, distance)

    def _by_cells(self, points: np.ndarray, within: float) -> np.ndarray:
        """See `signed_distance`: where a whole cell lies so far off, its points are not asked."""
        low = points.min(axis=0)
        cells = ((points - low) // CELL).astype(int)
        key = cells[:, 0] + cells[:, 1] * (cells[:, 0].max() + 1)
        _, first, own = np.unique(key, return_index=True, return_inverse=True)
        if len(first) > len(points) / 4:
            return self.signed_distance(points)
        middle = self.signed_distance(low + (cells[first] + 0.5) * CELL)[own]
        least = np.abs(middle) - CELL * math.sqrt(0.5)
        distance, near = np.copysign(least, middle), np.flatnonzero(least <= within)
        distance[near] = self.signed_distance(points[near])
        return distance

    def contains(self, x: float, y: float) -> bool:
        """Whether the point lies inside."""
        return bool(self.segments.encloses(np.array([[x, y]], float))[0])

    def moved(self, x: float = 0.0, y: float = 0.0, turn_deg: float = 0.0) -> Profile:
        """Turned about the origin by `turn_deg` counter-clockwise, then shifted by (x, y)."""
        turn = math.radians(turn_deg)
        c, s = (math.cos(turn), math.sin(turn)) if turn_deg else (1.0, 0.0)
        u, v, bulge = self.vertices.T
        return Profile(np.stack([c * u - s * v + x, s * u + c * v + y, bulge], axis=1))

    def mirrored(self) -> Profile:
        """Reflected in the centreline (y -> -y), still counter-clockwise."""
        flipped = self.vertices * np.array([1.0, -1.0, -1.0])
        return Profile(_reversed(flipped))


Plan = Annotated[
    Profile, "as rectangle, smooth_outline or profile make one; of a Region take its outer"
]
"""A profile that a script gives."""


Points = Sequence[tuple[Far, Far]]
"""(x, y) points of a script, mm, in a tuple, a list or an array."""
Bent = tuple[Far, Far, Annotated[float, between(-1e7, 1e7)]]
"""x, y and the bulge of the arc that begins there."""


@declared("{name}")
def profile(vertices: Iterable[tuple[Far, Far] | Bent], name: Text = "a profile") -> Profile:
    """A Profile from (x, y) or (x, y, bulge) vertices in either sense of turning.

    Repeated vertices are dropped. Raises InputError naming `name` when a number is not finite or
    lies beyond FARTHEST, there are more than MOST vertices, fewer than two remain, the area is nil,
    or the chain crosses or touches itself, with the place and the two sides that meet there."""
    rows, kept = read(vertices, name)
    made = Profile(in_reach(rows, name, MOST))
    if len(rows) > 2:
        sides = np.append(kept, kept[0])
        refuse_crossing(made, name, lambda k: f"its side from point {sides[k]} to {sides[k + 1]}")
    return _counter_clockwise(made, name)


def trusted(vertices: Iterable[tuple[float, ...]], name: str = "a profile") -> Profile:
    """`profile` of a chain that cannot cross itself, as it is drawn: nobody looks whether it
    does."""
    return _counter_clockwise(Profile(read(vertices, name)[0]), name)


def refuse_crossing(made: Profile, name: str, label: Callable[[int], str]) -> None:
    """Raise InputError where the chain crosses or touches itself; `label` names a segment."""
    crossed = crossing_words(made.segments, label)
    if crossed:
        remedy = "check the order of its points"
        raise InputError(name, crossed, "a simple closed chain", remedy)


def in_reach(rows: np.ndarray, name: str, most: int) -> np.ndarray:
    """The rows (n, 2 or 3) of points. Raises InputError when they are more than `most`, or one lies
    beyond FARTHEST."""
    thinned(name, len(rows), most)
    far = rows[np.abs(rows[:, :2]).max(axis=1) > FARTHEST, :2]
    if len(far):
        found, allowed = f"a point at ({far[0, 0]:g}, {far[0, 1]:g})", f"within {FARTHEST:g} mm"
        raise InputError(name, found, allowed, "give it in millimetres")
    return rows


def thinned(name: str, count: int, most: int) -> None:
    """Raise InputError when `count` points are more than `most`, which says how to thin them."""
    if count > most:
        step = -(-count // most)
        remedy = f"thin it: points[::{step}] keeps {-(-count // step)} of them"
        raise InputError(name, f"{count} points", f"at most {most}", remedy)


def read(vertices: Iterable[tuple[float, ...]], name: str) -> tuple[np.ndarray, np.ndarray]:
    """The rows (n, 3) of distinct vertices, and the number (n,) of each as given."""
    try:
        given = [tuple(map(float, v)) for v in vertices]
        if any(len(v) not in (2, 3) for v in given):
            raise ValueError
        rows = np.array([(*v, 0.0)[:3] for v in given], float).reshape(-1, 3)
    except (TypeError, ValueError):
        wrong = "a vertex that is not two or three numbers"
        raise InputError(name, wrong, "(x, y) or (x, y, bulge) in mm") from None
    if not np.isfinite(rows).all():
        raise InputError(name, "a vertex that is not finite", "finite coordinates in mm")
    wide = rows[np.abs(rows[:, 2]) > 1e6, 2]
    if len(wide):
        allowed = "bulges of at most 1e6 (an arc is less than a full turn)"
        raise InputError(name, f"a bulge of {wide[0]:g}", allowed)
    # Such an arc rises by less than a millionth of a micron on any body: it is a line.
    rows[np.abs(rows[:, 2]) < 1e-12, 2] = 0.0
    gaps = np.hypot(*(np.roll(rows, -1, axis=0) - rows)[:, :2].T) if len(rows) else np.array([])
    kept = np.flatnonzero(gaps > COINCIDENT)
    if len(kept) < 2:
        allowed = "at least 2 vertices that enclose an area"
        raise InputError(name, f"{len(kept)} distinct vertices", allowed)
    return rows[kept], kept


def _counter_clockwise(made: Profile, name: str) -> Profile:
    if made.area < 0:
        made = Profile(_reversed(made.vertices))
    if made.area < 1e-9:
        raise InputError(name, f"an area of {made.area:g} mm2", "a chain that encloses an area")
    return made


def _reversed(rows: np.ndarray) -> np.ndarray:
    back = rows[::-1].copy()
    back[:, 2] = -np.roll(back[:, 2], -1)
    return back


def _signed_area(s: Segments) -> float:
    cross = s.a[:, 0] * s.b[:, 1] - s.b[:, 0] * s.a[:, 1]
    bows = s.radius[s.arc] ** 2 * _arc_less_sine(s.sweep[s.arc])
    # Exactly rounded sums: the same from wherever the chain begins, and for its mirror image.
    return math.fsum([*cross.tolist(), *bows.tolist()]) / 2.0


def _arc_less_sine(t: np.ndarray) -> np.ndarray:
    """t - sin t, by its series where the difference would lose digits."""
    square = t * t
    rest = 1.0 - square / 20.0 * (1.0 - square / 42.0 * (1.0 - square / 72.0))
    return np.where(np.abs(t) < 0.2, t * square / 6.0 * rest, t - np.sin(t))


def flatten(shape: Profile, sagitta: float) -> np.ndarray:
    """Vertices (m, 2) of the inscribed polygon whose chords leave arcs by `sagitta` mm at most."""
    number("the sagitta of a flattened profile", sagitta, above=0.0)
    s = shape.segments
    # asin keeps the digits that acos(1 - sagitta / radius) loses; a circle keeps 4 chords.
    share = np.minimum(sagitta / (2.0 * np.where(s.arc, s.radius, np.inf)), 1.0)
    step = np.minimum(4.0 * np.arcsin(np.sqrt(share)), np.pi / 2.0)
    parts = np.ceil(np.abs(s.sweep) / np.where(s.arc, step, 1.0) - 1e-9)
    count = np.maximum(np.where(s.arc, parts, 1.0), 1.0).astype(int)
    index, place = portions(count)
    return s.take(index).at(place / count[index])


def spread(shape: Profile, apart: float = 2.0) -> np.ndarray:
    """Points (m, 2) over a profile: on its chain at most `apart` mm apart, and on smaller copies of
    it about its centroid, those within it."""
    s = shape.segments
    count = np.maximum(np.ceil(s.length / apart), 2.0).astype(int)
    index, place = portions(count)
    rim, centre = s.take(index).at(place / count[index]), np.array(shape.centroid)
    inner = np.vstack([centre + k / 8.0 * (rim - centre) for k in range(1, 8)])
    return np.vstack([rim, inner[s.encloses(inner)]])


def arcs_facing(s: Segments, angles: tuple[float, ...]) -> np.ndarray:
    """The points (k, 2) of arcs whose normal points in one of the directions `angles` (radians)."""
    found = [np.zeros((0, 2))]
    for angle in angles:
        on = s.arc & s.spans(np.full(len(s), angle), np.arange(len(s)))
        way = np.array([math.cos(angle), math.sin(angle)])
        found.append(s.centre[on] + s.radius[on, None] * way)
    return np.vstack(found)


def support_range(shape: Profile, angle: float) -> tuple[float, float]:
    """Least and greatest extent (mm) of a profile along `angle` (radians), arcs exact."""
    s = shape.segments
    spots = np.vstack([s.a, arcs_facing(s, (angle, angle + math.pi))])
    along = spots @ np.array([math.cos(angle), math.sin(angle)])
    return float(along.min()), float(along.max())
