"""What a drawing holds, whatever its kind of file: strokes with the names they go by."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass

import numpy as np

from bodycad.errors import InputError
from bodycad.geometry.plane.profile import Point
from bodycad.imports.curve import Shape, Track

MOST = 4000
"""More strokes than this are no outline: what is asked of them costs time by their number."""
MOST_POINTS = 40_000
"""More points than this in all of a drawing's strokes are not read."""


@dataclass(frozen=True, eq=False)
class Stroke:
    """One drawn line, arc, polyline or curve; `label` says what a message calls it by, `names` are
    its layers, groups and ids in small letters."""

    shape: Shape
    label: str
    names: frozenset[str] = frozenset()


@dataclass(frozen=True, eq=False)
class Sketch:
    """The strokes of a file as drawn: `unit` is how many mm one of its numbers stands for, None
    where the file does not say; `down`: y runs down; `notes` say what was taken for granted or left
    out. Of a list of points, `smooth` is true, and `corners`, `fillets` and `runs` are those that
    it states."""

    strokes: tuple[Stroke, ...]
    unit: float | None
    down: bool = False
    notes: tuple[str, ...] = ()
    layers: tuple[str, ...] = ()
    smooth: bool | None = None
    corners: tuple[int, ...] = ()
    fillets: tuple[tuple[int, float], ...] = ()
    runs: tuple[int, ...] = ()


@dataclass(frozen=True)
class Fault:
    """What is wrong with a drawing, where (in its own numbers), and what to do."""

    kind: str
    words: str
    at: Point
    allowed: str
    remedy: str

    def refusal(self, thing: str, others: int = 0) -> InputError:
        """The fault as the one error of a drawing; `others` are further faults."""
        more = f" (and {others} more)" if others else ""
        x, y = (round(value, 4) + 0.0 for value in self.at)
        words = f"{self.words} at ({x:.7g}, {y:.7g}){more}"
        return InputError(thing, words, self.allowed, self.remedy)


def bounded(strokes: Iterable[Stroke], file: str) -> tuple[Stroke, ...]:
    """The strokes, counted as they come. Raises InputError for too many, and for a number that is
    none."""
    kept: list[Stroke] = []
    points = 0
    for stroke in strokes:
        shape = stroke.shape
        rows = shape.rows if isinstance(shape, Track) else shape.controls
        if not np.isfinite(rows).all() or np.abs(rows).max() > 1e12:
            found = f"{stroke.label} with a coordinate that is not finite"
            raise InputError(f"the drawing {file}", found, "finite coordinates", "draw it anew")
        points += len(rows)
        kept.append(stroke)
        for count, most, what in (
            (len(kept), MOST, "strokes"),
            (points, MOST_POINTS, "points"),
        ):
            if count > most:
                remedy = "keep the outline alone, or name its layer"
                raise InputError(
                    f"the drawing {file}", f"more than {most} {what}", f"at most {most}", remedy
                )
    return tuple(kept)


def chosen(
    strokes: Sequence[Stroke], layer: str | None, aside: frozenset[str]
) -> tuple[Stroke, ...]:
    """The strokes that go by `layer` (all of them where it is None), without those that go by a
    name of `aside`."""
    asked: Callable[[Stroke], bool] = lambda one: (  # noqa: E731
        not one.names & aside and (layer is None or layer.casefold() in one.names)
    )
    return tuple(filter(asked, strokes))
