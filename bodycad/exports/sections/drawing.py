"""Upright sections as SVG, to scale: wood hatched, cuts open, fitted parts as outlines with
letters.

The sheet's x is the distance along the section line, its y is height; millimetres. Curves are drawn
as chords that leave them by at most the SAGITTA of bodycad.exports.sections.slice.
"""

from __future__ import annotations

import math
import re
from collections.abc import Callable, Iterable
from dataclasses import dataclass

import numpy as np

from bodycad.errors import InputError
from bodycad.exports.sections.slice import SAGITTA, Band, Point, Slice, least_wood, runs, slice_of
from bodycad.exports.sections.strings import Trace, traces
from bodycad.exports.svg import drawing, element, group, hatching, line, num, path, words
from bodycad.layout.layout import Layout

REACH_UP, REACH_DOWN = 26.0, 14.0
"""How far above the front and below the back parts are still drawn, mm."""
MOUTH = 0.6
"""How far an opening's fill is drawn past the face, to leave no line across it, mm."""


@dataclass(frozen=True)
class Key:
    """What a letter in a section stands for: ids that differ only in their numbers share one."""

    letter: str
    name: str
    kind: str


def section_svg(layout: Layout, one: Point, two: Point, title: str, alone: bool = True) -> str:
    """The section from `one` to `two` (x, y) looking square to that line, `one` at the left.

    `alone`: with its own style sheet and the meaning of the letters; else for the page that has
    both. Raises InputError when the two points are less than 1 mm apart or no wood lies between
    them."""
    return draw(layout, one, two, title, alone)[0]


def draw(
    layout: Layout,
    one: Point,
    two: Point,
    title: str,
    alone: bool,
    marks: Callable[[Slice, float], Iterable[str]] | None = None,
) -> tuple[str, tuple[Key, ...]]:
    """`section_svg` and its letters. `marks`: what is drawn over the section in place of its least
    wood, from its numbers and the height of its letters, mm."""
    if math.dist(one, two) < 1.0:
        raise InputError("a section line", (one, two), "two points at least 1 mm apart")
    part = slice_of(layout, one, two)
    if not runs(part.wood):
        raise InputError("a section line", (one, two), "a line through the body")
    t, length = layout.thickness, float(part.s[-1])
    size = min(max(length / 29.0, 3.0), 8.0)
    rooms = [
        b for b in part.rooms if np.nanmax(b.high) > -t - REACH_DOWN and np.nanmin(b.low) < REACH_UP
    ]
    keys, strung = _keys(rooms), traces(layout, one, two)
    highest = [0.0, *(float(np.nanmax(b.high)) for b in rooms)]
    highest += [z + trace.radius for trace in strung for _, z in trace.points]
    top = min(max(highest), REACH_UP) + 1.6 * size
    bottom = min([-t, *(float(np.nanmin(b.low)) for b in rooms)])
    bottom = max(bottom, -t - REACH_DOWN) - 1.2 * size
    foot = 1.35 * size * (2 + len(keys)) if alone else 2.0 * size
    x0, x1 = -4.2 * size, length + 1.2 * size
    name = re.sub(r"[^A-Za-z0-9]+", "-", title)
    frame = element("rect", x=-0.5, y=-top, width=length + 1.0, height=top - bottom)
    view, inside = element("clipPath", frame, id=f"view-{name}"), f"url(#view-{name})"
    parts = [
        element("defs", view + hatching(f"wood-{name}", 3, 45)),
        group([*_wood(part, name), *_voids(part)], clip_path=inside),
        group(_rooms(part.s, rooms, keys), clip_path=inside),
        group(_strings(strung), clip_path=inside),
        group(_letters(part.s, rooms, keys, size, top, bottom)),
        group(_thickness(part, size)),
        group(_least(layout, part, size) if marks is None else marks(part, size)),
        group(_foot(-bottom + 1.3 * size, size, keys.values() if alone else ())),
    ]
    box = x0, -top, x1, -bottom + foot
    long = "section long" if length > 260.0 else "section"
    return drawing(box, title, "".join(parts), alone, long), tuple(keys.values())


def _points(s: np.ndarray, z: np.ndarray) -> str:
    """Path data through (s, z), without the points that lie on the chord of their neighbours."""
    keep = _thinned(np.column_stack([s, -z]))
    return "L".join(f"{num(x)} {num(y)}" for x, y in keep)


def _thinned(points: np.ndarray) -> np.ndarray:
    """The chain with every point dropped that lies within SAGITTA of the chain through the
    others."""
    keep = np.zeros(len(points), bool)
    keep[[0, -1]] = True
    stack = [(0, len(points) - 1)]
    while stack:
        a, b = stack.pop()
        if b - a < 2:
            continue
        chord = points[b] - points[a]
        out = points[a + 1 : b] - points[a]
        size = math.hypot(*chord)
        cross = np.abs(chord[0] * out[:, 1] - chord[1] * out[:, 0])
        off = cross / size if size else np.hypot(*out.T)
        k = int(np.argmax(off))
        if off[k] > SAGITTA:
            keep[a + 1 + k] = True
            stack += [(a, a + 1 + k), (a + 1 + k, b)]
    return points[keep]


def _outline(s: np.ndarray, band: Band, run: slice) -> str:
    return f"M{_points(s[run], band.high[run])}L{_points(s[run][::-1], band.low[run][::-1])}Z"


def _opening(s: np.ndarray, band: Band, run: slice, wood: Band) -> str:
    """A whole void's outline, carried on a little where it comes out flush with a face, so that no
    line is left there."""
    low = np.where(band.low <= wood.low + 1e-6, band.low - MOUTH, band.low)
    high = np.where(band.high >= wood.high - 1e-6, band.high + MOUTH, band.high)
    return _outline(s, Band(band.id, band.kind, low, high), run)


def _wood(part: Slice, name: str) -> Iterable[str]:
    s, wood = part.s, part.wood
    for run in runs(wood):
        data = _outline(s, wood, run)
        yield path(data, "wood")
        yield element("path", d=data, fill=f"url(#wood-{name})")
        if run.start == 0 or run.stop == len(s):
            # The body goes on past the drawing: no line there.
            lines = "".join(f"M{_points(s[run], z[run])}" for z in (wood.high, wood.low))
            yield path(lines, "cut")
            ends = (k for k in (run.start, run.stop - 1) if 0 < k < len(s) - 1)
            yield from (line((s[k], -wood.high[k]), (s[k], -wood.low[k]), "cut") for k in ends)
        else:
            yield path(data, "cut")


def _voids(part: Slice) -> Iterable[str]:
    """All outlines first, all openings over them: what runs into each other shows as one."""
    s, wood = part.s, part.wood
    yield from (path(_outline(s, band, run), "cut") for band in part.voids for run in runs(band))
    yield from (
        path(_opening(s, band, run, wood), "air", band.id)
        for band in part.openings
        for run in runs(band)
    )


def _keys(rooms: Iterable[Band]) -> dict[str, Key]:
    """Letters by the name that numbered ids share."""
    found: dict[str, Key] = {}
    for band in rooms:
        name = _shared(band.id)
        if name not in found:
            found[name] = Key(_letter(len(found)), name, band.kind)
    return found


def _letter(k: int) -> str:
    return chr(97 + k) if k < 26 else f"{chr(97 + k // 26 - 1)}{chr(97 + k % 26)}"


def _shared(name: str) -> str:
    return re.sub(r"\.\d+(?=\.|$)", "", name)


def _rooms(s: np.ndarray, rooms: Iterable[Band], keys: dict[str, Key]) -> Iterable[str]:
    for band in rooms:
        for run in runs(band):
            yield path(_outline(s, band, run), "room", f"{band.id} ({band.kind})")


def _strings(strung: Iterable[Trace]) -> Iterable[str]:
    """Strings as lines beside the section, or as wires cut across; dashed where they are
    pressed."""
    for one in strung:
        title = f"string {one.number}, {'pressed at the last fret' if one.pressed else 'open'}"
        dash = "1 0.6" if one.pressed else None
        if len(one.points) > 1:
            data = "L".join(f"{num(s)} {num(-z)}" for s, z in one.points)
            yield path(f"M{data}", "string", title, stroke_dasharray=dash)
        else:
            (s, z), inner = one.points[0], element("title", title)
            shape = {"cx": s, "cy": -z, "r": one.radius, "class_": "string"}
            yield element("circle", inner, **shape, stroke_dasharray=dash)


def _letters(
    s: np.ndarray,
    rooms: Iterable[Band],
    keys: dict[str, Key],
    size: float,
    top: float,
    bottom: float,
) -> Iterable[str]:
    """A letter in each room, moved up or down in steps where two would cover each other."""
    taken: list[Point] = []
    for band in rooms:
        run = max(runs(band), key=lambda r: s[r.stop - 1] - s[r.start], default=None)
        if run is None:
            continue
        k = (run.start + run.stop) // 2
        x = float(s[k])
        y = -(max(float(band.low[k]), bottom) + min(float(band.high[k]), top)) / 2.0 + 0.33 * size
        for step in (0, 1, -1, 2, -2, 3, -3):
            spot = x, y + 0.9 * size * step
            if all(abs(x - a) > 0.7 * size or abs(spot[1] - b) > 0.8 * size for a, b in taken):
                break
        taken.append(spot)
        yield words(*spot, keys[_shared(band.id)].letter, 0.95 * size, "roomtext", "middle")


def _thickness(part: Slice, size: float) -> Iterable[str]:
    """The greatest thickness at the left."""
    thick = part.wood.high - part.wood.low
    k = int(np.nanargmax(np.round(thick, 3)))
    high, low, x = float(part.wood.high[k]), float(part.wood.low[k]), -1.6 * size
    for z in (high, low):
        yield line((x - 0.5 * size, -z), (min(float(part.s[k]), 0.0) - 0.3 * size, -z), "dim")
    yield from arrows(x, low, high, size)
    spot = x - 0.4 * size, -(high + low) / 2.0
    turn = f"rotate(-90 {num(spot[0])} {num(spot[1])})"
    yield words(*spot, f"{high - low:.1f}", size, None, "middle", transform=turn)


def _least(layout: Layout, part: Slice, size: float) -> Iterable[str]:
    """The least wood where it is."""
    least = least_wood(layout, part)
    if least is not None:
        thickness, at, low, high = least
        side, anchor = (1, "start") if at < 0.75 * part.s[-1] else (-1, "end")
        yield from arrows(at, low, high, size)
        spot = at + 0.5 * size * side, -(high + low) / 2.0 + 0.35 * size
        yield words(*spot, f"least {thickness:.2f}", size, "label", anchor)


def arrows(x: float, low: float, high: float, size: float) -> Iterable[str]:
    """An upright dimension line with its two ends ticked."""
    yield line((x, -high), (x, -low), "dim")
    for z in (high, low):
        yield line((x - 0.3 * size, -z + 0.3 * size), (x + 0.3 * size, -z - 0.3 * size), "dim")


def _foot(y: float, size: float, keys: Iterable[Key]) -> Iterable[str]:
    yield element("rect", x=0.0, y=y - 0.5 * size, width=10.0, height=0.25 * size, class_="bar")
    yield words(10.0 + 0.6 * size, y, "10 mm", 0.9 * size)
    for k, key in enumerate(keys, 1):
        text = f"{key.letter}  {key.name} ({key.kind})"
        yield words(0.0, y + 1.35 * size * k, text, 0.9 * size, "roomtext")
