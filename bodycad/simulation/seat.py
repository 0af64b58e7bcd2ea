"""How a blank is set up for a face: by its datum pins, or by its datum cross where it has none.

From the front the file lies on the wood as it is drawn. For the back the blank is turned over and
goes onto its pins again: the way from the file to the wood is a reflection, and which one, the pins
alone say. So a back that was not drawn as seen from the back is as wrong here as it is in wood."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import permutations

import numpy as np

from bodycad.layout.blank import Pin as Hole
from bodycad.simulation.job import Job, Move, Pin

SITS = 0.02
"""A pin whose hole is drawn so near (mm) to where it is in the wood goes in."""
SAME_WIDTH = 0.02
"""Holes whose diameters differ by no more (mm) take the same pin."""


@dataclass(frozen=True, eq=False)
class Seat:
    """How a job lies on the wood. `off`: the farthest (mm) that a pin's hole in the file lies from
    the nearest one in the wood; `lacking`: how many of the wood's pins the file has no hole for.
    `spot`: the place of the worst, in the wood."""

    move: Move
    off: float
    lacking: int
    spot: tuple[float, float]


def seated(job: Job, holes: Sequence[Hole]) -> Seat:
    """How a job lies on wood that has these datum pins: so that as many pins as can go in do; of
    equal ways the one that brings the datum cross nearest to the wood's own."""
    over = job.face == "back"
    ways = list(_ways(job.pins, holes, over))
    if not ways:
        flip = np.diag([1.0, -1.0 if over else 1.0])
        move = Move(flip, -flip @ np.array(job.zero))
        return Seat(move, 0.0, len(holes), (holes[0].x, holes[0].y) if holes else (0.0, 0.0))
    zero = np.array([job.zero])

    def rank(move: Move) -> tuple[int, float]:
        off, _ = _off(move, job.pins, holes)
        return -int((off <= SITS).sum()), round(float(np.hypot(*move.points(zero)[0])), 6)

    move = min(ways, key=rank)
    off, _ = _off(move, job.pins, holes)
    k = int(np.argmax(off))
    spot = move.points(np.array([(job.pins[k].x, job.pins[k].y)]))[0]
    lacking = max(len(holes) - len(job.pins), 0)
    return Seat(move, float(off[k]), lacking, (float(spot[0]), float(spot[1])))


def _ways(pins: Sequence[Pin], holes: Sequence[Hole], over: bool) -> Iterator[Move]:
    """Every way in which two pins of the file come onto two of the wood."""
    for a, b in permutations(pins, 2):
        for p, q in permutations(holes, 2):
            u = complex(b.x - a.x, b.y - a.y)
            v = complex(q.x - p.x, q.y - p.y)
            if abs(abs(u) - abs(v)) > 2.0 * SITS or abs(u) < 1.0:
                continue
            turn = v / (u.conjugate() if over else u)
            c, s = turn.real / abs(turn), turn.imag / abs(turn)
            matrix = np.array([[c, -s], [s, c]]) @ np.diag([1.0, -1.0 if over else 1.0])
            middle = np.array([(p.x + q.x) / 2.0, (p.y + q.y) / 2.0])
            from_ = np.array([(a.x + b.x) / 2.0, (a.y + b.y) / 2.0])
            yield Move(_clean(matrix), middle - _clean(matrix) @ from_)


def _clean(matrix: np.ndarray) -> np.ndarray:
    """The matrix, its entries that are 0 or 1 but for rounding made so."""
    near = np.rint(matrix)
    found: np.ndarray = near if np.abs(matrix - near).max() < 1e-6 else matrix
    return found


def _off(move: Move, pins: Sequence[Pin], holes: Sequence[Hole]) -> tuple[np.ndarray, np.ndarray]:
    """How far (m,) each pin of the file lies from the nearest of the wood as wide, and which that
    is; inf where there is none as wide."""
    spots = move.points(np.array([(pin.x, pin.y) for pin in pins]))
    table = np.array(
        [
            [
                math.hypot(x - hole.x, y - hole.y)
                if abs(pin.diameter - hole.diameter) <= SAME_WIDTH
                else math.inf
                for hole in holes
            ]
            for pin, (x, y) in zip(pins, spots.tolist())
        ]
    )
    return table.min(axis=1), table.argmin(axis=1)
