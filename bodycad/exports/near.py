"""Finds places for notes close to what they are about, for paper that is read where it lies: inside
the note's own shape where it fits, else at the end of a short leader. No text lies on a line or on
another text, and no leader crosses a text or another leader.

A note that finds no such place lets its leader cross others; one that has no free place within
`FARTHEST` at all goes to the columns beside the sheet (`lettering.columns`).
"""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace

import numpy as np

from bodycad.exports.lettering import PAD, Lettered, Line, Note, columns
from bodycad.exports.sheet import Box
from bodycad.geometry.plane.profile import Point, Profile, flatten

CELL = 0.5
"""The cell of the map of lines, mm: no text slips between its dots."""
NEAREST, STEP, FARTHEST, WAYS = 3.0, 2.5, 130.0, 24
"""Leaders that are tried: the shortest, by how much the next is longer, the longest (mm), and in
how many directions."""
BATCH, ANCHORS = 4, 6
"""Lengths of leaders that are tried at once, and places round a shape where one may begin."""
ROOMY = 1.15
"""A shape holds its own note where it is so many times as long and as wide."""
TRIED = 60
"""Free places inside a shape that are tried, the most central first."""

Measure = Callable[[Sequence[str]], Point]


@dataclass(frozen=True, eq=False)
class Ground:
    """What of a frame is free for texts. sums: how many dots of ink lie left of and below each
    corner of its cells. taken, leaders: the boxes of texts and the leaders that stand there
    already. crossing: leaders may cross."""

    frame: Box
    sums: np.ndarray
    taken: tuple[Box, ...] = ()
    leaders: tuple[Line, ...] = ()
    crossing: bool = False

    def without(self, box: Box, leader: Line | None = None) -> Ground:
        """The same with one more text, and its leader."""
        more = () if leader is None else (leader,)
        return replace(self, taken=(*self.taken, box), leaders=(*self.leaders, *more))

    def clear(self, boxes: np.ndarray) -> np.ndarray:
        """Which boxes (n, 4) with air about them lie in the frame, on no ink and on nothing
        taken."""
        (x0, y0, x1, y1), (a, b, c, d) = self.frame, boxes.T
        wide = boxes + [-PAD, -PAD, PAD, PAD]
        within = (a >= x0) & (b >= y0) & (c <= x1) & (d <= y1)
        kept = np.flatnonzero(within & ~self._inked(wide))
        if self.taken:
            kept = kept[~_overlap(wide[kept], np.array(self.taken)).any(axis=1)]
        if self.leaders:
            kept = kept[~_crossed(wide[kept], np.array(self.leaders)).any(axis=1)]
        found = np.zeros(len(boxes), bool)
        found[kept] = True
        return found

    def passes(self, leader: Line) -> bool:
        """Whether a leader crosses no text and no other leader."""
        line = np.array([leader])
        if self.taken and _crossed(np.array(self.taken), line).any():
            return False
        free = self.crossing or not self.leaders
        return free or not _meeting(line[0], np.array(self.leaders)).any()

    def _inked(self, boxes: np.ndarray) -> np.ndarray:
        corner, last = self.frame[:2], np.array(self.sums.shape) - 1
        low = np.floor((boxes[:, :2] - corner) / CELL).astype(int).clip(0, last)
        high = (np.floor((boxes[:, 2:] - corner) / CELL).astype(int) + 1).clip(0, last)
        (a, b), (c, d), s = low.T, high.T, self.sums
        found: np.ndarray = (s[c, d] - s[a, d] - s[c, b] + s[a, b]) > 0
        return found


def ground(outlines: Sequence[Profile], lines: Sequence[Line], frame: Box) -> Ground:
    """A frame with what is drawn in it."""
    rings = [flatten(shape, 0.1) for shape in outlines]
    begin = np.concatenate([*rings, np.array([p for p, _ in lines]).reshape(-1, 2)])
    ends = [np.roll(ring, -1, axis=0) for ring in rings]
    end = np.concatenate([*ends, np.array([q for _, q in lines]).reshape(-1, 2)])
    count = (np.hypot(*(end - begin).T) / CELL).astype(int) + 2
    which = np.repeat(np.arange(len(count)), count)
    order = np.arange(len(which)) - np.repeat(np.cumsum(count) - count, count)
    share = (order / (count[which] - 1))[:, None]
    dots = begin[which] * (1.0 - share) + end[which] * share
    x0, y0, x1, y1 = frame
    size = math.ceil((x1 - x0) / CELL), math.ceil((y1 - y0) / CELL)
    cells = np.floor((dots - [x0, y0]) / CELL).astype(int)
    cells = cells[((cells >= 0) & (cells < size)).all(axis=1)]
    sums = np.zeros((size[0] + 1, size[1] + 1), np.int32)
    sums[cells[:, 0] + 1, cells[:, 1] + 1] = 1
    return Ground(frame, sums.cumsum(axis=0).cumsum(axis=1))


def letter_near(notes: Sequence[Note], free: Ground, measure: Measure) -> tuple[Lettered, ...]:
    """A place for every note on free ground; `measure` tells the width and height (mm) of lines of
    text. Those for which there is none stand in columns beside the frame."""
    inside = list[Lettered]()
    roomy = sorted((note for note in notes if note.within is not None), key=_area)
    for note in roomy:
        spot = _inside(note, [n.within for n in roomy if n.within], free, measure)
        if spot is not None:
            inside.append(spot)
            free = free.without(spot.box)
    done = [spot.note for spot in inside]
    crowd = np.array([note.anchor for note in notes]).reshape(-1, 2)
    order = [note for note in notes if note not in done]
    order.sort(key=lambda one: -_near(one, crowd))
    best = _led(order, free, measure, WAYS)
    if best[1]:
        # Who found no place chooses before all others.
        order.sort(key=lambda one: one not in best[1])
        best = min(best, _led(order, free, measure, WAYS), key=lambda one: len(one[1]))
    beside, homeless = best
    for spot in beside:
        free = free.without(spot.box, spot.leader)
    last, homeless = _led(homeless, replace(free, crossing=True), measure, 2 * WAYS)
    return (*inside, *beside, *last, *columns(homeless, free.frame))


def _led(
    notes: Sequence[Note], free: Ground, measure: Measure, ways: int
) -> tuple[list[Lettered], list[Note]]:
    """A place at the end of a leader for each in turn, and those for which there is none."""
    placed, homeless = list[Lettered](), list[Note]()
    for note in notes:
        spot = _beside(note, free, measure, ways)
        if spot is None:
            homeless.append(note)
            continue
        placed.append(spot)
        free = free.without(spot.box, spot.leader)
    return placed, homeless


def _area(note: Note) -> float:
    return note.within.area if note.within is not None else 0.0


def _near(note: Note, crowd: np.ndarray) -> int:
    """How many things to be named lie round a note's own."""
    return int((np.hypot(*(crowd - note.anchor).T) < 25.0).sum())


def _inside(
    note: Note, shapes: Sequence[Profile], free: Ground, measure: Measure
) -> Lettered | None:
    """A place in the note's own shape and in no smaller one, or None."""
    within = note.within
    assert within is not None
    (x0, y0, x1, y1), (wide, high) = within.box, measure(note.lines)
    if x1 - x0 < ROOMY * wide or y1 - y0 < ROOMY * high:
        return None
    xs, ys = np.arange(x0, x1 - wide, 2.0), np.arange(y0, y1 - high, 1.0)
    low = np.stack(np.meshgrid(xs, ys), axis=-1).reshape(-1, 2)
    boxes = np.hstack([low, low + [wide, high]])
    off = np.hypot(*(low + [(wide - x0 - x1) / 2.0, (high - y0 - y1) / 2.0]).T)
    boxes = boxes[np.argsort(np.round(off, 6), kind="stable")]
    boxes = boxes[free.clear(boxes)][:TRIED]
    middles = (boxes[:, :2] + boxes[:, 2:]) / 2.0
    good = within.segments.encloses(middles)
    for shape in shapes:
        if good.any() and shape.area < within.area and _boxes_meet(shape.box, within.box):
            good &= ~shape.segments.encloses(middles)
    return Lettered(note, _box(boxes[good][0]), None) if good.any() else None


def _boxes_meet(a: Box, b: Box) -> bool:
    return a[0] < b[2] and b[0] < a[2] and a[1] < b[3] and b[1] < a[3]


def _beside(note: Note, free: Ground, measure: Measure, count: int) -> Lettered | None:
    """The nearest place at the end of a leader, or None. The leader of a note with a shape of its
    own begins anywhere on that."""
    wide, high = measure(note.lines)
    anchors = np.array([note.anchor])
    if note.within is not None and not note.radius:
        anchors = np.vstack([anchors, _round(note.within)])
    turn = (np.arange(count) + 0.5) * (2.0 * math.pi / count)
    ways = np.stack([np.cos(turn), np.sin(turn)], axis=-1)
    for nearest in np.arange(NEAREST, FARTHEST, BATCH * STEP).tolist():
        far = note.radius + nearest + STEP * np.arange(BATCH)
        spokes = far[:, None, None, None] * ways[None, None, :, :] + np.zeros(
            (1, len(anchors), 1, 1)
        )
        begin = np.broadcast_to(anchors[None, :, None, :], spokes.shape).reshape(-1, 2)
        feet = begin + spokes.reshape(-1, 2)
        right = feet[:, 0] > begin[:, 0]
        left = np.where(right, feet[:, 0] + 0.6, feet[:, 0] - 0.6 - wide)
        low = feet[:, 1] - high / 2.0
        boxes = np.stack([left, low, left + wide, low + high], axis=1)
        for k in np.flatnonzero(free.clear(boxes)).tolist():
            anchor, end = begin[k], feet[k]
            start = anchor + (end - anchor) * (note.radius / math.dist(anchor, end))
            leader = _point(start), _point(end)
            if free.passes(leader):
                return Lettered(note, _box(boxes[k]), leader)
    return None


def _round(shape: Profile) -> np.ndarray:
    """`ANCHORS` points (n, 2) spread evenly round a shape."""
    ring = flatten(shape, 0.1)
    ring = np.vstack([ring, ring[:1]])
    run = np.concatenate([[0.0], np.cumsum(np.hypot(*np.diff(ring, axis=0).T))])
    at = np.linspace(0.0, run[-1], ANCHORS, endpoint=False)
    return np.stack([np.interp(at, run, ring[:, k]) for k in (0, 1)], axis=1)


def _overlap(one: np.ndarray, two: np.ndarray) -> np.ndarray:
    """Whether (n, m) boxes overlap."""
    (a, b, c, d), (e, f, g, h) = one.T[:, :, None], two.T[:, None, :]
    found: np.ndarray = (a < g) & (e < c)
    found &= (b < h) & (f < d)
    return found


def _crossed(boxes: np.ndarray, lines: np.ndarray) -> np.ndarray:
    """Whether (n, m) lines (m, 2, 2) run through boxes (n, 4): they overlap its box, and its
    corners lie on both sides of them."""
    p, q = lines[:, 0], lines[:, 1]
    around = np.hstack([np.minimum(p, q) - 0.1, np.maximum(p, q) + 0.1])
    corners = boxes[:, [0, 1, 0, 3, 2, 1, 2, 3]].reshape(-1, 1, 4, 2)
    side = _side(p[None, :, None], q[None, :, None], corners)
    found: np.ndarray = np.logical_and(side.min(axis=2) < 0.0, side.max(axis=2) > 0.0)
    found &= _overlap(boxes, around)
    return found


def _meeting(line: np.ndarray, others: np.ndarray) -> np.ndarray:
    """Which of others (m, 2, 2) cross a line (2, 2)."""
    (p, q), a, b = line, others[:, 0], others[:, 1]
    apart = _side(p, q, a) * _side(p, q, b)
    across = _side(a, b, p) * _side(a, b, q)
    found: np.ndarray = (apart < 0.0) & (across < 0.0)
    return found


def _side(p: np.ndarray, q: np.ndarray, points: np.ndarray) -> np.ndarray:
    """On which side of lines from p to q points lie: positive on the left."""
    way, off = q - p, points - p
    found: np.ndarray = way[..., 0] * off[..., 1] - way[..., 1] * off[..., 0]
    return found


def _point(row: np.ndarray) -> Point:
    return float(row[0]), float(row[1])


def _box(row: np.ndarray) -> Box:
    x0, y0, x1, y1 = row.tolist()
    return x0, y0, x1, y1
