"""Where along a screw its thread is in what it bites."""

from __future__ import annotations

from collections.abc import Iterable, Iterator

import numpy as np

from bodycad.checks.wood.near import voids_within
from bodycad.geometry.solids.air import Lines, Span
from bodycad.layout.interface import Screw
from bodycad.layout.layout import Layout
from bodycad.layout.workpiece import Workpiece
from bodycad.words import Face

AHEAD = 60.0
"""What a screw bites is looked for so far (mm) past its tip."""
SAMPLES = 65
"""So many points of a thread are held against a shaped face, which is taken for straight between
two of them: 0.01 mm on an edge of 5 mm radius."""


def bitten(layout: Layout, screw: Screw) -> tuple[Span, ...]:
    """Where along a screw, in mm from its seat and as far as AHEAD past its tip, its thread would
    be in what it bites: in that room, else in the wood round its hole at full diameter. Rising;
    exact but for SAMPLES."""
    long = float(screw.reach) + AHEAD
    if screw.bites is not None:
        lines = Lines(np.array([screw.at]), np.array(screw.way), long)
        return tuple(_spans(layout.rooms_by_id[screw.bites].shape.air(()).spans(lines)))
    piece = layout.homes[screw.hole]
    at, end = (np.array(piece.frame.own(p)) for p in (screw.at, tuple(np.add(screw.at, screw.way))))
    lines = Lines(at[None], end - at, long)
    own = piece.by_id[screw.hole]
    left = list(_spans(own.shape.air(()).spans(lines)))
    for taken in _air(piece, lines, own.id):
        left = [kept for one in left for kept in _less(one, taken)]
    return tuple(kept for one in left for kept in _shaped(piece, lines, one))


def length(spans: Iterable[Span], reach: float) -> float:
    """How much of a screw is within spans of it, mm; less than nothing by as much as it is short of
    the first, -AHEAD where there is none."""
    spans = tuple(spans)
    held = sum(max(min(b, reach) - a, 0.0) for a, b in spans)
    return held or max(reach - spans[0][0], -AHEAD) if spans else -AHEAD


def _spans(found: Iterable[Span]) -> list[Span]:
    return sorted((a, b) for a, b in found if b > a)


def _air(piece: Workpiece, lines: Lines, own: str) -> Iterator[Span]:
    """Where lines are outside the plain board, or in a void that is not the `own` one."""
    z, pace, skin = lines.base[:, 2], lines.way[2], piece.skin
    yield lines.past(z - skin.level(Face.FRONT), pace)
    yield lines.past(skin.level(Face.BACK) - z, -pace)
    yield from lines.all_in(skin.outline.segments, inside=False)
    ends = np.array([lines.base[0], lines.base[0] + lines.length * lines.way])
    for other in voids_within(piece, (*ends.min(axis=0), *ends.max(axis=0))):
        if other.id != own:
            yield from other.shape.air(()).spans(lines)


def _less(one: Span, taken: Span) -> Iterator[Span]:
    (a, b), (low, high) = one, taken
    if high <= a or low >= b or high <= low:
        yield one
        return
    if low > a:
        yield a, low
    if high < b:
        yield high, b


def _shaped(piece: Workpiece, lines: Lines, one: Span) -> Iterator[Span]:
    """What of a span is in the shaped wood: there it is in one piece."""
    along = np.linspace(*one, SAMPLES)
    points = lines.base[0] + along[:, None] * lines.way
    front, back = (piece.skin.height(face, points[:, :2]) for face in (Face.FRONT, Face.BACK))
    room = np.minimum(front - points[:, 2], points[:, 2] - back)
    wood = np.flatnonzero(room > 0.0)
    if not len(wood):
        return
    first, last = int(wood[0]), int(wood[-1])
    yield _turn(along, room, first, first - 1), _turn(along, room, last, last + 1)


def _turn(along: np.ndarray, room: np.ndarray, k: int, out: int) -> float:
    """Where `room` turns to nothing between the sample `k`, in the wood, and the next one out."""
    if not 0 <= out < len(along):
        return float(along[k])
    return float(along[k] + (along[out] - along[k]) * room[k] / (room[k] - room[out]))
