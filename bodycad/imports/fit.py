"""From chained strokes to the profile: arcs stay arcs, curves become arcs, and how far these are
off is measured."""

from __future__ import annotations

import math
from collections.abc import Sequence

import numpy as np

from bodycad.errors import InputError
from bodycad.geometry.plane.meet import crossings
from bodycad.geometry.plane.outline import closed_spline, smooth_half, smooth_outline
from bodycad.geometry.plane.profile import FARTHEST, MOST, Profile, profile
from bodycad.geometry.plane.segments import turning
from bodycad.imports.bundle import fitted
from bodycad.imports.chain import Chain
from bodycad.imports.curve import Curve, Track, astray, placed
from bodycad.imports.drawing import Drawing
from bodycad.imports.stroke import Fault, Sketch, Stroke

FACETS = 8
"""So many small turns in a row, each to the same side, are a curve drawn as straight sides."""
SMALLEST = math.radians(0.02)
"""A turn smaller than this is none."""
MOST_CURVES, MOST_TURNS = 600, 40
"""An outline of more curves than this, or one of them that turns more often than this, is none; to
fit arcs to it would take a minute."""
HALVED = 16.0
"""By so much a cubic through points comes nearer to its curve when the points are twice as many
(de Boor, A Practical Guide to Splines, ch. V: the error falls with the fourth power)."""


def fit(chain: Chain, matrix: np.ndarray, drawing: Drawing, name: str) -> tuple[Profile, float]:
    """The profile of a chain moved by `matrix` (2, 3) into the body's frame, and how far it is off
    what was drawn, mm."""
    strokes = [_moved(stroke, matrix) for stroke in chain.strokes]
    _wild(strokes, name)
    rows = _fitted(strokes, drawing.tolerance, name)
    whole = _joined(rows, drawing, chain.closed, name)
    if len(whole) > MOST:
        remedy = "draw it with fewer, longer curves, or raise tolerance"
        raise InputError(name, f"{len(whole)} lines and arcs", f"at most {MOST}", remedy)
    where = crossings(Profile(whole).segments)
    if len(where):
        back = np.linalg.solve(matrix[:, :2], (where[0] - matrix[:, 2]))
        spot, remedy = (float(back[0]), float(back[1])), "draw it as one line round the body"
        words = "crossing: a chain that crosses or touches itself"
        raise Fault("crossing", words, spot, "a simple closed chain", remedy).refusal(name)
    made = profile([tuple(row) for row in whole.tolist()], name)
    drawn = np.vstack([stroke.shape.sampled(16) for stroke in strokes])
    ring = np.vstack([made.vertices, made.vertices[:1] * [1.0, 1.0, 0.0]])
    return made, astray(Track(ring), drawn)


def _wild(strokes: Sequence[Stroke], name: str) -> None:
    """Refuse what is no body's outline before time goes into it."""
    curves = [stroke for stroke in strokes if isinstance(stroke.shape, Curve)]
    if len(curves) > MOST_CURVES:
        found, remedy = f"one of {len(curves)} curves", "draw it with fewer, longer ones"
        raise InputError(name, found, f"at most {MOST_CURVES}", remedy)
    for stroke in curves:
        ahead = np.diff(stroke.shape.sampled(12), axis=0)
        turns = float(np.abs(turning(ahead[:-1], ahead[1:])).sum()) / math.tau
        if turns > MOST_TURNS:
            found = f"{stroke.label} that turns to and fro, {turns:.0f} full turns in all"
            raise InputError(name, found, f"at most {MOST_TURNS}", "draw it smoothly")


def _moved(stroke: Stroke, matrix: np.ndarray) -> Stroke:
    (shape,) = stroke.shape.moved(matrix)
    return Stroke(shape, stroke.label, stroke.names)


def _fitted(strokes: Sequence[Stroke], tolerance: float, name: str) -> list[np.ndarray]:
    """The arcs of each stroke, the same whichever way it is passed, and those of its mirror image
    for its mirror image."""
    rows: dict[int, np.ndarray] = {}
    curves: dict[int, tuple[Curve, bool]] = {}
    for k, stroke in enumerate(strokes):
        shape = stroke.shape
        if isinstance(shape, Track):
            rows[k] = shape.rows.copy()  # its ends will be moved
        else:
            back = _key(shape.controls) > _key(shape.controls[::-1])
            curves[k] = (shape.back() if back else shape), back
    try:
        chosen = [curve for curve, _ in curves.values()]
        made = fitted(chosen, tolerance, [strokes[k].label for k in curves])
    except InputError as error:
        which = f"{error.thing}: {error.value}"
        raise InputError(name, which, error.allowed, "draw it smoothly, or split it") from None
    for (k, (_, back)), found in zip(curves.items(), made):
        rows[k] = Track(found).back().rows if back else found
    return [rows[k] for k in range(len(strokes))]


def _key(controls: np.ndarray) -> list[float]:
    # Rounded: what differs by less is the rounding of a file's numbers.
    spots = np.column_stack([controls[:, 0], np.abs(controls[:, 1])])
    return [round(value, 6) for value in spots.ravel().tolist()]


def _joined(rows: list[np.ndarray], drawing: Drawing, closed: bool, name: str) -> np.ndarray:
    """The vertices of a closed chain: ends that lie apart meet halfway."""
    ends = list(zip(rows, [*rows[1:], rows[0]]))
    for one, two in ends if closed else ends[:-1]:
        middle = (one[-1, :2] + two[0, :2]) / 2.0
        one[-1, :2] = two[0, :2] = middle
    if closed:
        return np.vstack([one[:-1] for one in rows])
    half = np.vstack([*(one[:-1] for one in rows[:-1]), rows[-1]])
    off = np.abs(half[[0, -1], 1])
    if off.max() > drawing.gap:
        found = f"a half that begins or ends {off.max():.3f} mm off the centreline"
        remedy = "draw it up to the centreline, or name the line that is the centreline"
        raise InputError(name, found, f"within gap={drawing.gap:g} mm of it", remedy)
    half[[0, -1], 1] = 0.0
    back = half[::-1].copy()
    bulges = np.append(half[-2::-1, 2], 0.0)
    mirrored = np.column_stack([back[:, 0], -back[:, 1], bulges])
    return np.vstack([half[:-1], mirrored[:-1]])


def through(
    points: np.ndarray, drawing: Drawing, sketch: Sketch, unit: float, name: str
) -> tuple[Profile, float, Fault | None]:
    """The smooth profile through placed points (n, 2), how far its arcs are off the curve, and the
    fault of points that stand too far apart to say where the curve runs."""
    corners = sketch.corners
    if not sketch.smooth:  # a list of points says itself which are corners
        corners = tuple(_sharp(points, math.radians(drawing.corner_deg), drawing.half))
    fillets = tuple((k, radius * unit) for k, radius in sketch.fillets)
    if drawing.half:
        off = np.abs(points[[0, -1], 1]).max()
        if off > drawing.gap:
            found = f"a half that begins or ends {off:.3f} mm off the centreline"
            raise InputError(name, found, f"within gap={drawing.gap:g} mm of it")
        points = points.copy()
        points[[0, -1], 1] = 0.0
        if points[len(points) // 2, 1] < 0.0:
            points = points * [1.0, -1.0]
    draw = smooth_half if drawing.half else smooth_outline
    given = [(x, y) for x, y in points.tolist()]
    made = draw(given, drawing.tolerance, corners, name, sketch.runs, fillets)
    held = {*corners, *(k for k, _ in fillets), *sketch.runs, *(k + 1 for k in sketch.runs)}
    return made, drawing.tolerance, _coarse(points, held, drawing.tolerance)


def _sharp(points: np.ndarray, angle: float, half: bool) -> list[int]:
    """The points at which a ring turns by more than `angle`, and far more than at most others; the
    ends of a half are none."""
    ahead = np.roll(points, -1, axis=0) - points
    turn = np.abs(turning(np.roll(ahead, 1, axis=0), ahead))
    if half:
        turn[[0, -1]] = 0.0
    # Where most points turn so far, they stand far apart on a curve.
    return np.flatnonzero(turn > max(angle, 2.0 * float(np.median(turn)))).tolist()


def _coarse(points: np.ndarray, held: set[int], tolerance: float) -> Fault | None:
    """The fault of points too far apart for `tolerance`, told by how far each of them lies from the
    curve through its neighbours when it is left out."""
    n = len(points)
    if n < FACETS and not held:
        spot = (float(points[0, 0]), float(points[0, 1]))
        words, remedy = f"coarse: {n} points", "give more, or say which are corners"
        return Fault("coarse", words, spot, "enough points to say where a curve runs", remedy)
    worst, at = 0.0, points[0]
    for odd in (0, 1):
        left = np.array([k for k in range(n) if k % 2 == odd and not _near(k, held, n)], int)
        kept = np.setdiff1d(np.arange(n), left)
        if len(kept) < 4 or not len(left):
            continue
        curve = closed_spline(points[kept])
        t = np.linspace(curve.knots[0], curve.knots[-1], 64 * len(kept) + 1)
        trace = Track(np.column_stack([curve.point(t), np.zeros(len(t))]))
        off = trace.segments.away(points[left])[0] / HALVED
        if float(off.max()) > worst:
            worst, at = float(off.max()), points[left[int(off.argmax())]]
    if worst <= tolerance:
        return None
    words = f"coarse: points so far apart that the curve may be {worst:.3f} mm off between them"
    remedy = f"give more points there, or say tolerance={math.ceil(worst * 100.0) / 100.0:g}"
    spot = (float(at[0]), float(at[1]))
    return Fault("coarse", words, spot, f"points that say it within {tolerance:g} mm", remedy)


def _near(k: int, held: set[int], n: int) -> bool:
    """Whether a point is a corner or stands within two of one: nothing is told by leaving it
    out."""
    return any(min((k - one) % n, (one - k) % n) <= 2 for one in held)


def facets(points: np.ndarray, tolerance: float, unit: float) -> Fault | None:
    """The fault of a curve that is drawn as straight sides between points (n, 2): where, and how
    far the sides are off it."""
    ahead = np.roll(points, -1, axis=0) - points
    turn = turning(np.roll(ahead, 1, axis=0), ahead)
    small = (np.abs(turn) > SMALLEST) & (np.abs(turn) < math.radians(30.0))
    sign = np.where(small, np.sign(turn), 0.0)
    run, longest, at = 0, 0, 0
    for k, way in enumerate(np.concatenate([sign, sign]).tolist()):
        run = run + 1 if way and (run == 0 or way == sign[(k - 1) % len(sign)]) else int(bool(way))
        if run > longest:
            longest, at = run, k % len(sign)
    if longest < min(FACETS, len(points)):
        return None
    side = np.hypot(*ahead.T)
    bow = np.minimum(side, np.roll(side, 1)) * np.abs(np.where(small, turn, 0.0)) / 8.0
    worst = int(bow.argmax())
    if bow[worst] * unit <= tolerance:
        return None
    words = f"coarse: a curve drawn as straight sides, up to {bow[worst] * unit:.3f} mm off it,"
    remedy = "smooth=True runs a curve through their ends, smooth=False keeps the sides"
    spot = points[worst] if bow[worst] else points[at]
    allowed = f"lines, arcs and curves within {tolerance:g} mm"
    return Fault("coarse", words, (float(spot[0]), float(spot[1])), allowed, remedy)


def in_reach(points: np.ndarray, name: str) -> None:
    """Refuse an outline too large for what arcs it in, or drawn far from the origin."""
    low, high = points.min(axis=0), points.max(axis=0)
    if np.abs(np.concatenate([low, high])).max() > FARTHEST:
        wide, tall = (high - low).tolist()
        found = f"an outline of {wide:.6g} by {tall:.6g} mm about ({low[0]:.6g}, {low[1]:.6g})"
        remedy = "say its units, or place it by a centreline and a scale line, or by origin"
        raise InputError(name, found, f"within {FARTHEST:g} mm of the scale-length point", remedy)


def vertices(strokes: Sequence[Stroke], matrix: np.ndarray) -> np.ndarray | None:
    """The points (n, 2) of a chain of straight sides, placed; None where it has arcs or curves."""
    parts = []
    for stroke in strokes:
        if not isinstance(stroke.shape, Track) or not stroke.shape.straight:
            return None
        parts.append(stroke.shape.rows[:-1, :2])
    last = strokes[-1].shape.ends[1:]
    return placed(matrix, np.vstack([*parts, last]))
