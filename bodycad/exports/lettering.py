"""Finds places for the notes of a drawing, so that no text lies on another text or on a line.

A note goes inside its own shape where it fits; all others stand in two columns beside the sheet, at
the ends of straight leaders. Places in the columns are swapped until no swap shortens the leaders,
and then no two leaders cross: of two that cross, the swapped pair is shorter.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from bodycad.exports.sheet import Box
from bodycad.geometry.plane.profile import Point, Profile, flatten

HEIGHT = 2.5
"""Text height of notes, mm."""
WIDE, LEADING = 0.95, 1.5
"""Room of one letter and of one line, as parts of the text height."""
PITCH = 2.0 * LEADING * HEIGHT + 1.0
"""Distance (mm) between the notes of a column."""
ASIDE = 14.0
"""Distance (mm) of the columns from the frame."""
CELL, PAD = 0.5, 0.8
"""The cell of the search inside shapes, and the air about a text, mm."""

Line = tuple[Point, Point]


@dataclass(frozen=True, eq=False)
class Note:
    """One or two lines of text about the thing at `anchor` (mm), set inside `within` where they
    fit.

    A leader ends `radius` mm short of the anchor.
    """

    lines: tuple[str, ...]
    anchor: Point
    within: Profile | None = None
    radius: float = 0.0

    @property
    def size(self) -> Point:
        """Width and height of the block, mm."""
        return width(max(self.lines, key=len)), LEADING * HEIGHT * len(self.lines)


@dataclass(frozen=True, eq=False)
class Lettered:
    """A note with its place: the block's box, and the leader from its anchor or None."""

    note: Note
    box: Box
    leader: Line | None = None


def width(text: str, height: float = HEIGHT) -> float:
    """Room that a line of text takes in mm; wider than common fonts, so that none overruns it."""
    return WIDE * height * len(text)


def letter(
    notes: Sequence[Note], outlines: Sequence[Profile], lines: Sequence[Line], frame: Box
) -> tuple[Lettered, ...]:
    """A place for every note: clear of `outlines` and `lines`, or in the columns beside `frame`,
    which must hold all of the drawing and its other texts."""
    ink = _ink(outlines, lines)
    outside = [note for note in notes if note.within is None]
    while True:
        beside = columns(outside, frame)
        leaders = _dots([spot.leader for spot in beside if spot.leader])
        inside = _inside([n for n in notes if n not in outside], np.concatenate([ink, leaders]))
        homeless = [note for note, spot in inside.items() if spot is None]
        if not homeless:
            return (*(spot for spot in inside.values() if spot), *beside)
        outside += homeless


def _ink(outlines: Sequence[Profile], lines: Sequence[Line]) -> np.ndarray:
    """Points (n, 2) so dense along every line that no text can slip between them."""
    rings = [flatten(shape, 0.1) for shape in outlines]
    sides = (side for ring in rings for side in zip(ring, np.roll(ring, -1, axis=0)))
    return _dots([*lines, *sides])


def _dots(lines: Sequence[Line]) -> np.ndarray:
    runs = [np.linspace(p, q, int(math.dist(p, q) / CELL) + 2) for p, q in lines]
    return np.concatenate([np.zeros((0, 2)), *runs])


def _inside(notes: Sequence[Note], ink: np.ndarray) -> dict[Note, Lettered | None]:
    """A place for each note in its own shape but in no smaller one, so that it is read as that
    shape's, or None."""
    found: dict[Note, Lettered | None] = {}
    shapes = [(note, note.within) for note in notes if note.within is not None]
    for note, within in sorted(shapes, key=lambda pair: pair[1].area):
        smaller = [other for _, other in shapes if other.area < within.area]
        taken = [spot.box for spot in found.values() if spot]
        x0, y0, x1, y1 = within.box
        near = ink[(ink[:, 0] >= x0) & (ink[:, 0] <= x1) & (ink[:, 1] >= y0) & (ink[:, 1] <= y1)]
        boxes = map(tuple, _blocks(note, within, smaller).tolist())
        found[note] = next((Lettered(note, box) for box in boxes if _free(box, near, taken)), None)
    return found


def _blocks(note: Note, within: Profile, smaller: Sequence[Profile]) -> np.ndarray:
    """Boxes (n, 4) for the note with their middles in `within` and in no smaller shape, the most
    central first."""
    half, (x0, y0, x1, y1) = np.array(note.size) / 2.0, within.box
    xs, ys = np.arange(x0 + half[0], x1 - half[0], 2.0), np.arange(y0 + half[1], y1 - half[1], 1.0)
    middles = np.stack(np.meshgrid(xs, ys), axis=-1).reshape(-1, 2)
    middles = middles[within.segments.encloses(middles)]
    for shape in smaller:
        middles = middles[~shape.segments.encloses(middles)]
    off = np.hypot(*(middles - [(x0 + x1) / 2.0, (y0 + y1) / 2.0]).T)
    middles = middles[np.argsort(np.round(off, 6), kind="stable")]
    return np.hstack([middles - half, middles + half])


def _free(box: Box, ink: np.ndarray, taken: Sequence[Box]) -> bool:
    x0, y0, x1, y1 = box[0] - PAD, box[1] - PAD, box[2] + PAD, box[3] + PAD
    if any(x0 < t[2] and t[0] < x1 and y0 < t[3] and t[1] < y1 for t in taken):
        return False
    return not ((ink[:, 0] > x0) & (ink[:, 0] < x1) & (ink[:, 1] > y0) & (ink[:, 1] < y1)).any()


def columns(notes: Sequence[Note], frame: Box) -> list[Lettered]:
    """The notes in the columns left and right of the frame."""
    x0, y0, x1, y1 = frame
    rows = max(int((y1 - y0) / PITCH), len(notes) // 2 + 1)
    ys = (y0 + y1) / 2.0 + PITCH * (np.arange(rows) - (rows - 1) / 2.0)
    slots = np.array([(x, y) for x in (x0 - ASIDE, x1 + ASIDE) for y in ys])
    placed = []
    for note, k in zip(notes, _matched(np.array([n.anchor for n in notes]).reshape(-1, 2), slots)):
        (x, y), (wide, high) = slots[k].tolist(), note.size
        gap = math.dist(note.anchor, (x, y))
        start = tuple(a + (b - a) * note.radius / gap for a, b in zip(note.anchor, (x, y)))
        left = x + 1.0 if x > x1 else x - 1.0 - wide
        box = left, y - high / 2.0, left + wide, y + high / 2.0
        placed.append(Lettered(note, box, (start, (x, y))))
    return placed


def _matched(anchors: np.ndarray, slots: np.ndarray) -> list[int]:
    """A slot for each anchor such that neither a free slot nor a swap shortens the leaders."""
    reach = np.hypot(*np.moveaxis(anchors[:, None, :] - slots, 2, 0))
    free, place = set(range(len(slots))), []
    for row in reach:
        place.append(min(free, key=lambda k: (row[k], k)))
        free.remove(place[-1])
    better = True
    while better:
        better = False
        for i in range(len(place)):
            nearest = min(free, key=lambda k: (reach[i, k], k))
            if reach[i, nearest] < reach[i, place[i]] - 1e-6:
                free.add(place[i])
                free.remove(nearest)
                place[i], better = nearest, True
            for j in range(i):
                now = reach[i, place[i]] + reach[j, place[j]]
                if reach[i, place[j]] + reach[j, place[i]] < now - 1e-6:
                    place[i], place[j], better = place[j], place[i], True
    return place
