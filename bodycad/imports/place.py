"""From a drawing's numbers to the body's frame: scale, centreline, scale line, face."""

from __future__ import annotations

import math
from collections.abc import Sequence

import numpy as np

from bodycad.errors import InputError
from bodycad.imports.drawing import Drawing, Heading
from bodycad.imports.stroke import Sketch, Stroke
from bodycad.words import Face

STEEPEST = math.radians(45.0)
"""A centreline leads away from where the neck is said to point by less than this."""
SQUARE = math.radians(30.0)
"""A scale line crosses the centreline at no flatter angle."""
WAYS = {
    Heading.RIGHT: (1.0, 0.0),
    Heading.UP: (0.0, 1.0),
    Heading.LEFT: (-1.0, 0.0),
    Heading.DOWN: (0.0, -1.0),
}


def scale(drawing: Drawing, sketch: Sketch) -> float:
    """How many mm one of the drawing's numbers is."""
    if drawing.reference is not None:
        if drawing.units is not None:
            remedy = "leave one of the two out"
            raise InputError(_of(drawing), "units and a reference", "one of the two", remedy)
        (x0, y0), (x1, y1), apart = drawing.reference
        drawn = math.hypot(x1 - x0, y1 - y0)
        if drawn < 1e-9:
            found = f"a reference between ({x0:g}, {y0:g}) and itself"
            raise InputError(_of(drawing), found, "two points that lie apart")
        return apart / drawn
    if drawing.units is not None:
        return drawing.units.mm
    return sketch.unit or 1.0


def matrix(drawing: Drawing, sketch: Sketch, unit: float) -> np.ndarray:
    """The affine matrix (2, 3) from the drawing's numbers, `unit` mm each, into the body's
    frame."""
    down = -1.0 if sketch.down else 1.0
    flip = -down if drawing.seen is Face.BACK else down
    ahead = np.array([1.0, down]) * WAYS[drawing.neck]
    origin = np.array(drawing.origin or (0.0, 0.0))
    if drawing.centreline is not None:
        spot, way = _line(drawing, sketch, drawing.centreline)
        if float(way @ ahead) < 0.0:
            way = -way
        if float(way @ ahead) < math.cos(STEEPEST):
            found = f'a centreline "{drawing.centreline}" that does not lead {drawing.neck}'
            allowed = "neck= where the neck points on the drawing"
            raise InputError(_of(drawing), found, allowed)
        ahead = way
        origin = spot + ahead * float((origin - spot) @ ahead)
    if drawing.scale_line is not None:
        spot, way = _line(drawing, sketch, drawing.scale_line)
        across = float(ahead[0] * way[1] - ahead[1] * way[0])
        if abs(across) < math.sin(SQUARE):
            found = f'a scale line "{drawing.scale_line}" along the centreline'
            raise InputError(_of(drawing), found, "a line across the centreline")
        to = spot - origin
        origin = origin + ahead * float(to[0] * way[1] - to[1] * way[0]) / across
    left = flip * np.array([-ahead[1], ahead[0]])
    turn = unit * np.array([ahead, left])
    return np.column_stack([turn, -turn @ origin])


def _line(drawing: Drawing, sketch: Sketch, name: str) -> tuple[np.ndarray, np.ndarray]:
    """The middle of the one straight line that goes by a name, and its direction."""
    found = [one for one in sketch.strokes if name.casefold() in one.names]
    straight = [_ends(one) for one in found]
    if len(found) != 1 or straight[0] is None:
        what = "no stroke" if not found else f"{len(found)} strokes"
        what = f"{found[0].label}, which is not straight," if len(found) == 1 else what
        layers = ", ".join(sketch.layers) or "none"
        thing = f'{_of(drawing)}: what is called "{name}"'
        raise InputError(thing, what, "one straight line", f"its names: {layers}")
    one, two = straight[0]
    return (one + two) / 2.0, (two - one) / math.hypot(*(two - one))


def _ends(stroke: Stroke) -> np.ndarray | None:
    """Both ends (2, 2) of a straight stroke; None of another."""
    points = stroke.shape.sampled(8)
    one, two = stroke.shape.ends
    length = math.hypot(*(two - one))
    if not length > 0.0:
        return None
    ahead = (two - one) / length
    off = np.abs((points - one) @ np.array([-ahead[1], ahead[0]]))
    return stroke.shape.ends if off.max() <= 1e-6 * length else None


def aside(drawing: Drawing) -> frozenset[str]:
    """The names of the lines by which it is placed, which are no outline."""
    named: Sequence[str | None] = (drawing.centreline, drawing.scale_line)
    return frozenset(name.casefold() for name in named if name is not None)


def _of(drawing: Drawing) -> str:
    return f"the drawing {drawing.file}"
