"""The worst case of every finding on a body laid out anew: each error at that end of its tolerance
at which the finding has the least to spare.

Slopes foretell a worst case to the first order: each error was tried by itself. Two errors that
make each other worse, and a figure that is taken elsewhere once several have moved, show on the
body that has them all. Findings whose ends agree share a body.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

import numpy as np

from bodycad.chance.built import as_built, right_handed
from bodycad.chance.concern import faired, of_the_neck
from bodycad.chance.match import pairs
from bodycad.chance.slopes import Slopes, margin
from bodycad.chance.variables import combined
from bodycad.checks.runner import answers
from bodycad.layout.layout import Layout


def at_corners(layout: Layout, found: Slopes) -> np.ndarray:
    """What each finding (f,) has to spare on its worst body, the errors that have a tolerance
    counted; inf where none moves it, and where no body can have them all."""
    drawn = right_handed(layout)
    apart = {k for k, f in enumerate(found.findings) if of_the_neck(f, drawn)}
    ends, bound = _ends(found)
    bound |= np.array([v.kind == "carve" for v in found.variables], bool)[:, None] & np.array(
        [faired(f, drawn) for f in found.findings], bool
    )
    least = np.full(len(found.findings), np.inf)
    for signs, columns in _bodies(ends, bound):
        errors = combined(
            found.variables, [s * v.tolerance for s, v in zip(signs.tolist(), found.variables)]
        )
        for own, some in (
            (errors, columns - apart),
            (replace(errors, carried=False), columns & apart),
        ):
            if some:
                try:
                    built = as_built(layout, own)
                except ValueError:  # no part can have all those sizes
                    continue
                for column, spare in _spares(found, built, some):
                    least[column] = spare
    return least


def _ends(found: Slopes) -> tuple[np.ndarray, np.ndarray]:
    """The end of each error, -1 or 1, at which each finding has less to spare (v, f), 0 where it
    does not move it; and whether it must be at that end."""
    real = np.array([v.tolerance > 0.0 for v in found.variables], bool)[:, None]
    up, down = np.where(real, found.up, 0.0), np.where(real, found.down, 0.0)
    worst = found.margins + np.minimum(np.minimum(up, down), 0.0).sum(axis=0)
    decides = []
    for k, either in enumerate(found.rows.either):
        own = found.rows.slice(k)
        decides.append(own.start + int((np.argmax if either else np.argmin)(worst[own])))
    up, down = up[:, decides], down[:, decides]
    ends = np.where(np.minimum(up, down) < 0.0, np.where(up <= down, 1, -1), 0)
    return ends, ends != 0


def _bodies(ends: np.ndarray, bound: np.ndarray) -> Iterator[tuple[np.ndarray, set[int]]]:
    """Ends (v,) of bodies, and the findings whose worst each is: those that bind no error otherwise
    than another of them does."""
    left = [int(k) for k in np.argsort(-(ends != 0).sum(axis=0), kind="stable") if ends[:, k].any()]
    while left:
        signs, held, own = np.zeros(len(ends), int), np.zeros(len(ends), bool), set[int]()
        for k in left:
            if not (held & bound[:, k] & (signs != ends[:, k])).any():
                signs[bound[:, k]] = ends[bound[:, k], k]
                held |= bound[:, k]
                own.add(k)
        left = [k for k in left if k not in own]
        yield signs, own


def _spares(found: Slopes, built: Layout, wanted: set[int]) -> Iterator[tuple[int, float]]:
    """What those findings have to spare on a body."""
    for one in found.known:
        own = {i: k for i, k in one.columns.items() if k in wanted}
        if own:
            rows = answers(one.check, built)
            same, _ = pairs(one.findings, rows)
            for i, column in own.items():
                if i in same and rows[same[i]].margin is not None:
                    yield column, margin(rows[same[i]])
