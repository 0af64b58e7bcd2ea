"""The shaped outside: contours that end in a step, faces that come too near to each other, a body
in pieces.

Ruined is: a step of more than CLIFF mm within STEP mm of plan in a face, inside the outline by
more than its edge treatment and EDGE mm; less than LEAST mm of wood between the shaped faces
there; a body in more than one piece of over CRUMB mm3."""

from __future__ import annotations

from collections.abc import Iterator
from functools import cache

import numpy as np
import shapely

from tests.oracle.judge.ruin import Ruin, ruin
from tests.oracle.judge.solids import Sweep
from tests.oracle.judge.wood import Skin, Wood

CLIFF, STEP, EDGE, LEAST, CRUMB = 0.6, 0.02, 3.0, 6.0, 10.0
GRID = 1.5


def ruins(wood: Wood) -> Iterator[Ruin]:
    yield from of_skin(wood.skin)
    pieces = [p for p in wood.solid.decompose() if p.volume() > CRUMB]
    if len(pieces) != 1:
        yield ruin("body.in-pieces", ("body",), len(pieces), "pieces")


@cache
def of_skin(skin: Skin) -> tuple[Ruin, ...]:
    """What the skin alone has, once for each."""
    if not skin.front and not skin.back:
        return ()
    return (*_cliffs(skin), *_columns(skin))


def _kept(skin: Skin, plan: np.ndarray) -> np.ndarray:
    reach = max((c[0, 0] for c in skin.edges.values() if c is not None), default=0.0)
    inner = skin.plan.buffer(-(reach + EDGE))
    return plan[shapely.contains_xy(inner, *plan.T)]


def _cliffs(skin: Skin) -> Iterator[Ruin]:
    for face, sweeps in (("front", skin.front), ("back", skin.back)):
        for name, sweep in zip(skin.names[face], sweeps):
            spots = _kept(skin, _over(sweep))
            if not len(spots):
                continue
            here = skin.fall(spots, face)
            worst, at = 0.0, spots[0]
            for dx, dy in ((GRID, 0.0), (0.0, GRID)):
                there = spots + [dx, dy]
                inside = np.flatnonzero(np.abs(skin.fall(there, face) - here) > CLIFF)
                if not len(inside):
                    continue
                a, b = spots[inside], there[inside]
                fa, fb = here[inside], skin.fall(b, face)
                for _ in range(7):
                    middle = (a + b) / 2.0
                    fm = skin.fall(middle, face)
                    first = (np.abs(fm - fa) > np.abs(fb - fm))[:, None]
                    b, fb = np.where(first, middle, b), np.where(first[:, 0], fm, fb)
                    a, fa = np.where(first, a, middle), np.where(first[:, 0], fa, fm)
                step = np.abs(fb - fa)
                if step.max() > worst:
                    worst, at = float(step.max()), a[int(step.argmax())]
            if worst > CLIFF:
                words = f"mm at ({at[0]:.1f}, {at[1]:.1f})"
                yield ruin("contour.cliff", (name, face), worst, words)


def _over(sweep: Sweep) -> np.ndarray:
    """A grid over a sweep's plan and a little beyond."""
    (x0, y0, _), (x1, y1, _) = sweep.box
    box = max(x0, -600.0) - 2.0, max(y0, -400.0) - 2.0, min(x1, 600.0) + 2.0, min(y1, 400.0) + 2.0
    xs, ys = np.arange(box[0], box[2], GRID), np.arange(box[1], box[3], GRID)
    return np.stack(np.meshgrid(xs, ys), -1).reshape(-1, 2)


def _columns(skin: Skin) -> Iterator[Ruin]:
    x0, y0, x1, y1 = skin.plan.bounds
    spots = np.stack(np.meshgrid(np.arange(x0, x1, 3.0), np.arange(y0, y1, 3.0)), -1)
    spots = _kept(skin, spots.reshape(-1, 2))
    left = skin.thickness - skin.fall(spots, "front") - skin.fall(spots, "back")
    k = int(left.argmin())
    if left[k] < LEAST:
        names = (*skin.names["front"], *skin.names["back"])
        words = f"mm between the faces at ({spots[k, 0]:.0f}, {spots[k, 1]:.0f})"
        yield ruin("contour.thin", names, float(left[k]), words)
