"""Drawings of holes that are not square to a face: the edge looked at straight on, unrolled where
it bends, and a slanted hole from its side."""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator, Sequence

import numpy as np

from bodycad.exports.svg import drawing, element, line, num, path, words
from bodycad.geometry.plane.along import places_along
from bodycad.layout.blank import station
from bodycad.layout.workpiece import Workpiece
from bodycad.making.hole import Hole
from bodycad.making.marking import mark_of

BESIDE = 30.0
"""How much of the edge is drawn on each side of its holes, mm."""
APART = 60.0
"""Holes of the edge farther apart than this, mm along it, get drawings of their own."""
STEP = 0.5
"""The edge is looked at so finely, mm."""
SIZE = 3.2
"""Height of the words, mm."""


def clusters(found: Sequence[Hole]) -> Iterator[tuple[Hole, ...]]:
    """The holes of the edge that one drawing shows."""
    run: list[Hole] = []
    for hole in sorted(found, key=_along):
        if run and _along(hole) - _along(run[-1]) > APART:
            yield tuple(run)
            run = []
        run.append(hole)
    if run:
        yield tuple(run)


def _along(hole: Hole) -> float:
    return hole.edge.along if hole.edge is not None else 0.0


def edge_view(name: str, piece: Workpiece, found: Sequence[Hole]) -> str:
    """The edge straight on from outside, front up, about some holes: the wood between the shaped
    faces, where the edge treatments end, each mouth, its height over the back and how far it is
    from the mark along the edge."""
    outline, deep = piece.skin.outline, piece.thickness
    begin = station(outline, *mark_of(outline))[2]
    ends = sorted(map(_along, found))
    x0, x1 = ends[0] - BESIDE, ends[-1] + BESIDE
    steps = np.append(np.arange(x0, x1, STEP), x1)
    spots = _spots(piece, begin + steps)
    top, low = piece.skin.fall("front", spots), deep - piece.skin.fall("back", spots)
    rim = [*zip(steps, top), *zip(steps[::-1], low[::-1])]
    first = piece.skin.edge_at("front", spots, on=True)[1]
    last = deep - piece.skin.edge_at("back", spots, on=True)[1]
    drawn = [
        element("polygon", points=_points(rim), class_="wood"),
        element("polygon", points=_points(rim), class_="line", fill="none"),
        *(element("polyline", points=_points(zip(steps, z)), class_="edge") for z in (first, last)),
    ]
    bottom = deep + 4.0
    for hole in found:
        place = hole.edge
        assert place is not None
        x, y = place.along, deep - place.height
        wide = hole.diameter / 2.0 / max(math.cos(math.radians(place.aside_deg)), 0.2)
        tall = hole.diameter / 2.0 / max(math.cos(math.radians(place.rise_deg)), 0.2)
        drawn += [
            element("ellipse", cx=x, cy=y, rx=wide, ry=tall, class_="void d3", fill_opacity=0.6),
            line((x - wide - 2.0, y), (x + wide + 2.0, y), "dim"),
            line((x, y - tall - 2.0), (x, bottom + 1.0), "dim"),
        ]
    drawn += _heights(found, x1, deep)
    drawn += _alongs(found, bottom)
    drawn += _tags(found, deep)
    drawn.append(words(x0, -3.0, "front", SIZE, "label"))
    drawn.append(words(x0, deep + 4.0, "back", SIZE, "label"))
    box = (
        x0 - 2.0,
        -8.0,
        x1 + 10.0 + 7.0 * len(_heights_of(found)),
        bottom + 2.0 + 1.5 * SIZE * len(_places(found)),
    )
    title = f"{name}: the edge straight on, front up"
    return drawing(box, title, "".join(drawn), False, "drill")


def _places(found: Sequence[Hole]) -> list[float]:
    """The distances along the edge at which holes stand, each once."""
    return sorted({round(_along(hole), 3) for hole in found})


def _heights_of(found: Sequence[Hole]) -> list[float]:
    """The heights over the back at which holes stand, each once."""
    return sorted({round(hole.edge.height, 3) for hole in found if hole.edge is not None})


def _heights(found: Sequence[Hole], x1: float, deep: float) -> Iterator[str]:
    """How high each hole stands over the back, each height once, beside the drawing."""
    for k, height in enumerate(_heights_of(found)):
        x, y = x1 + 7.0 + 7.0 * k, deep - height
        yield line((x1 - BESIDE, y), (x + 1.0, y), "dim")
        yield line((x, y), (x, deep), "dim")
        yield line((x1, deep), (x + 1.0, deep), "dim")
        middle = (y + deep) / 2.0
        turn = f"rotate(-90 {num(x - 1.0)} {num(middle)})"
        yield words(x - 1.0, middle, f"{height:.2f}", SIZE, "label", "middle", transform=turn)


def _alongs(found: Sequence[Hole], bottom: float) -> Iterator[str]:
    """How far each hole is from the mark, under the drawing; each distance once."""
    for k, along in enumerate(_places(found)):
        side = "right of" if along >= 0.0 else "left of"
        text = f"{abs(along):.2f} along the edge, {side} the mark"
        y = bottom + 1.5 * SIZE * (k + 1)
        yield words(along, y, text, SIZE, "label", "middle")


def _tags(found: Sequence[Hole], deep: float) -> Iterator[str]:
    """The tags, the holes of one centre in one place."""
    shown: dict[tuple[float, float], list[str]] = {}
    for hole in found:
        if hole.edge is not None:
            at = round(hole.edge.along, 2), round(deep - hole.edge.height, 2)
            shown.setdefault(at, []).append(hole.tag)
    for (x, y), tags in shown.items():
        wide = max(hole.diameter for hole in found if hole.tag in tags) / 2.0
        yield words(x + wide + 0.8, y - 1.0, " ".join(tags), SIZE, "label tag")


def _spots(piece: Workpiece, far: np.ndarray) -> np.ndarray:
    """Points (m, 2) of the outline at distances along it from its first vertex."""
    s = piece.skin.outline.segments
    own, share = places_along(s, far % float(s.length.sum()))
    return own.at(share)


def _points(pairs: Iterable[tuple[float, float]]) -> str:
    return " ".join(f"{num(float(x))},{num(float(y))}" for x, y in pairs)


def side_view(name: str, hole: Hole) -> str:
    """A slanted hole from its side, drilled from the left: its face as a level line, the drill's
    axis with its angle off upright, where it starts and how deep it goes."""
    steep = math.radians(hole.tilt_deg)
    run, fall = math.sin(steep), math.cos(steep)
    start = (0.0, hole.start)
    back = min(hole.start / fall, 0.6 * hole.full) if fall > 0.05 else 0.3 * hole.full
    lead = max(back + 0.15 * hole.full, 14.0)
    tail = (-lead * run, hole.start - lead * fall)
    end = (hole.full * run, hole.start + hole.full * fall)
    r = hole.diameter / 2.0
    across = (fall * r, -run * r)
    tip = hole.tip - hole.full
    point = (end[0] + tip * run, end[1] + tip * fall)
    corners = [
        (start[0] + across[0], start[1] + across[1]),
        (end[0] + across[0], end[1] + across[1]),
        *([point] if tip > 0.0 else []),
        (end[0] - across[0], end[1] - across[1]),
        (start[0] - across[0], start[1] - across[1]),
    ]
    xs = [tail[0], end[0], point[0], -18.0, 14.0]
    low, high = min(xs) - 6.0, max(xs) + 6.0
    size = max((high - low) / 36.0, 2.0)
    top, bottom = min(tail[1], -12.0) - size, max(end[1], point[1], hole.start) + r + 2.5 * size
    drawn = [
        element("rect", x=low, y=0.0, width=high - low, height=bottom, class_="wood"),
        line((low, 0.0), (high, 0.0), "line"),
        element("polygon", points=_points(corners), class_="void d2"),
        line(tail, point, "axis"),
        line((0.0, min(top, -8.0)), (0.0, hole.start), "dim"),
        _arc(start, steep, min(lead, 4.0 * size)),
        # On the right of the upright: of a long hole more room is there than on the left.
        words(0.6 * size, top + size, f"{hole.tilt_deg:.1f}\u00b0 off upright", size, "label"),
        words(high - size, bottom - 0.8 * size, f"{hole.full:.1f} deep", size, "label", "end"),
        words(low + 0.5 * size, -0.5 * size, f"plain {hole.face}", size, "label"),
    ]
    if hole.start > 0.0:
        text = f"starts {hole.start:.1f} under the {hole.face}"
        drawn.append(words(low + 0.5 * size, bottom - 0.8 * size, text, size, "label"))
    box = low, top, high, bottom
    return drawing(box, f"{name}: {hole.tag} from its side", "".join(drawn), False, "drill")


def _arc(start: tuple[float, float], steep: float, radius: float) -> str:
    """The arc from upright to the drill's axis, before the hole."""
    x, y = start
    turn, r = int(steep > math.pi), num(radius)
    end = f"{num(x - radius * math.sin(steep))} {num(y - radius * math.cos(steep))}"
    return path(f"M{num(x)} {num(y - radius)}A{r} {r} 0 {turn} 0 {end}", "dim", fill="none")
