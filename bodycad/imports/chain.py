"""Strokes put end to end: the closed chains of a drawing, and what keeps it from being closed."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from bodycad.geometry.plane.profile import Point
from bodycad.geometry.plane.region import near_pairs
from bodycad.imports.curve import Curve, Track, astray, line
from bodycad.imports.stroke import Fault, Stroke

DUST = 0.002
"""Strokes shorter than this (mm) are what a file's rounding left, and are not looked at."""
MOST_GAP = 2.0
"""No wider gap is closed, mm."""


@dataclass(frozen=True, eq=False)
class Chain:
    """Strokes that follow each other; `closed` where the last one ends where the first begins."""

    strokes: tuple[Stroke, ...]
    closed: bool

    @property
    def points(self) -> np.ndarray:
        """Points (m, 2) along it."""
        return np.vstack([stroke.shape.sampled(8) for stroke in self.strokes])

    @property
    def size(self) -> tuple[float, float, float, float]:
        """x0, y0, x1, y1 of its points."""
        points = self.points
        (x0, y0), (x1, y1) = points.min(axis=0).tolist(), points.max(axis=0).tolist()
        return x0, y0, x1, y1


@dataclass(frozen=True, eq=False)
class Chained:
    """The chains of a drawing, and its faults."""

    closed: tuple[Chain, ...]
    open: tuple[Chain, ...]
    faults: tuple[Fault, ...]


def chain(strokes: Sequence[Stroke], gap: float, unit: float) -> Chained:
    """Put strokes together whose ends lie within `gap` mm; one number of theirs is `unit` mm."""
    kept, faults = [], []
    for stroke in strokes:
        swept, tiny = _swept(stroke, gap / unit, DUST / unit)
        if tiny is not None:
            faults.append(tiny)
        elif swept is not None:
            kept.append(swept)
    nodes, spots = _nodes(kept, gap / unit)
    faults += _doubled(kept, nodes, gap / unit)
    meeting: defaultdict[int, list[int]] = defaultdict(list)
    for k, (one, two) in enumerate(nodes):
        meeting[one].append(k)
        meeting[two].append(k)
    if not faults:
        faults += [
            _forked(spots[node], len(found)) for node, found in meeting.items() if len(found) > 2
        ]
    if faults:
        return Chained((), (), tuple(faults))
    chains = _walked(kept, nodes, meeting)
    free = [node for node, found in meeting.items() if len(found) == 1]
    loose = _gaps(np.array([spots[node] for node in free]), gap, unit) if free else []
    return Chained(
        tuple(one for one in chains if one.closed),
        tuple(one for one in chains if not one.closed),
        tuple(loose),
    )


def _swept(stroke: Stroke, gap: float, dust: float) -> tuple[Stroke | None, Fault | None]:
    """The stroke without what a file's rounding leaves; or the fault that a piece of it is."""
    shape = stroke.shape
    if isinstance(shape, Curve):
        length = shape.speed * (shape.domain[1] - shape.domain[0])
        short = [(length, shape.ends[0])] if length < gap else []
    else:
        lengths = shape.segments.length
        short = [(float(lengths[k]), shape.rows[k, :2]) for k in np.flatnonzero(lengths < gap)]
        whole = lengths >= dust
        if whole.any() and not whole.all():
            # The end of what was left out is where the next segment begins.
            rows = shape.rows[np.append(whole, True)]
            rows[-1] = shape.rows[-1]
            stroke = Stroke(Track(rows), stroke.label, stroke.names)
    tiny = [one for one in short if one[0] >= dust]
    if tiny:
        length, spot = tiny[0]
        words = f"tiny: {stroke.label} of {length:.3g} in the drawing's unit"
        remedy = "delete it and join its neighbours, or make gap less than its length"
        return None, Fault("tiny", words, _point(spot), "strokes longer than the gap", remedy)
    gone = isinstance(shape, Curve) and short or isinstance(shape, Track) and not whole.any()
    return (None if gone else stroke), None


def _nodes(strokes: Sequence[Stroke], gap: float) -> tuple[list[tuple[int, int]], list[Point]]:
    """For each stroke the nodes at its ends: ends within `gap` of each other are one node; and
    where each node is."""
    if not strokes:
        return [], []
    ends = np.vstack([stroke.shape.ends for stroke in strokes])
    # Far from the origin the boxes' own tolerance is nothing.
    boxes = np.hstack([ends, ends]) / gap
    owner = list(range(len(ends)))

    def root(k: int) -> int:
        while owner[k] != k:
            owner[k] = owner[owner[k]]
            k = owner[k]
        return k

    for i, j in near_pairs(boxes - boxes.mean(axis=0), 1.0).tolist():
        owner[root(i)] = root(j)
    roots = [root(k) for k in range(len(ends))]
    return list(zip(roots[0::2], roots[1::2])), [_point(spot) for spot in ends]


def _doubled(
    strokes: Sequence[Stroke], nodes: Sequence[tuple[int, int]], gap: float
) -> list[Fault]:
    """Strokes drawn on top of each other."""
    alike: defaultdict[tuple[object, ...], list[int]] = defaultdict(list)
    for k, pair in enumerate(nodes):
        alike[tuple(sorted(pair))].append(k)
    # A closed stroke may begin anywhere on another one.
    rings = [k for k, (one, two) in enumerate(nodes) if one == two][:100]
    groups = [*(found for key, found in alike.items() if key[0] != key[1]), rings]
    faults = []
    for group in groups:
        for n, j in enumerate(group[:50]):
            for k in group[n + 1 : 50]:
                if _same(strokes[j], strokes[k], gap):
                    words = f"doubled: {strokes[k].label} lies on {strokes[j].label}"
                    middle = strokes[k].shape.sampled(2)
                    at = _point(middle[len(middle) // 2])
                    faults.append(Fault("doubled", words, at, "each line once", "delete one"))
    return faults


def _same(one: Stroke, two: Stroke, gap: float) -> bool:
    first, second = (line(stroke.shape.sampled(48)) for stroke in (one, two))
    low, high = first.rows.min(axis=0), first.rows.max(axis=0)
    if max(abs(second.rows.min(axis=0) - low).max(), abs(second.rows.max(axis=0) - high).max()) > (
        2.0 * gap
    ):
        return False
    return max(astray(first, second.rows[:, :2]), astray(second, first.rows[:, :2])) <= gap


def _forked(spot: Point, count: int) -> Fault:
    words = f"forked: {count} strokes meet"
    remedy = "keep the outline alone on its layer and name it (layer=), or delete what branches off"
    return Fault("forked", words, spot, "two strokes at each joint", remedy)


def _walked(
    strokes: Sequence[Stroke],
    nodes: Sequence[tuple[int, int]],
    meeting: dict[int, list[int]],
) -> list[Chain]:
    """The strokes in order, each turned the way it is passed."""
    left, chains = set(range(len(strokes))), []
    starts = [k for node, found in sorted(meeting.items()) if len(found) == 1 for k in found]
    for first in [*starts, *range(len(strokes))]:
        if first not in left:
            continue
        node = next((n for n in nodes[first] if len(meeting[n]) == 1), nodes[first][0])
        origin, run, k = node, [], first
        while k in left:
            left.discard(k)
            ahead = nodes[k][0] == node
            shape = strokes[k].shape if ahead else strokes[k].shape.back()
            run.append(Stroke(shape, strokes[k].label, strokes[k].names))
            node = nodes[k][1] if ahead else nodes[k][0]
            k = next((n for n in meeting[node] if n in left), -1)
        chains.append(Chain(tuple(run), node == origin))
    return chains


def _gaps(free: np.ndarray, gap: float, unit: float) -> list[Fault]:
    """The gaps between loose ends, the least first."""
    away = np.hypot(*(free[:, None] - free[None, :2000]).T) if len(free) <= 2000 else np.zeros(0)
    faults = []
    if len(free) <= 2000:
        np.fill_diagonal(away, np.inf)
        near = away.argmin(axis=1)
        for k in np.argsort(away.min(axis=1)).tolist():
            if near[near[k]] == k and k > near[k]:
                continue
            width = float(away[k, near[k]]) * unit
            closes = round(width * 1.05 + 0.005, 2)
            remedy = (
                f"draw it closed, or say gap={closes:g}"
                if closes <= MOST_GAP
                else "draw it closed, or name the outline's layer (layer=)"
            )
            words = f"open: a gap of {width:.3f} mm"
            middle = (free[k] + free[near[k]]) / 2.0
            faults.append(Fault("open", words, _point(middle), f"gaps up to {gap:g} mm", remedy))
        return faults
    words = f"open: {len(free)} loose ends, the first"
    remedy = "keep the outline alone on its layer, and name it (layer=)"
    return [Fault("open", words, _point(free[0]), "a closed chain", remedy)]


def _point(spot: np.ndarray) -> Point:
    return float(spot[0]), float(spot[1])
