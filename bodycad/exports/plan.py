"""The plan of one face as SVG, to scale: what is cut from this face filled by depth, the rest as
lines.

The front is seen from the front, the back from the back. Arcs stay arcs. Sheet units are
millimetres.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator, Sequence

import numpy as np

from bodycad.checks.report import Report
from bodycad.checks.wood.before import EXTENT, deepest
from bodycad.checks.wood.near import of_the_skin
from bodycad.errors import InputError
from bodycad.exports.coordinates import bass_or_treble
from bodycad.exports.marks import markers, numbered
from bodycad.exports.svg import (
    View,
    drawing,
    element,
    escape,
    group,
    hatching,
    line,
    num,
    path,
    view_of,
    words,
)
from bodycad.geometry.plane.arrange import Region
from bodycad.geometry.plane.boolean import difference, intersection, union
from bodycad.geometry.plane.offset import offset
from bodycad.geometry.plane.profile import Profile, profile
from bodycad.geometry.solids.carve import Carve
from bodycad.geometry.solids.skin import Contour
from bodycad.instrument.neck import board_half_width
from bodycad.layout.layout import Layout
from bodycad.layout.void import Room, Void
from bodycad.layout.workpiece import Workpiece
from bodycad.making.upright import depth_of, set_aside
from bodycad.making.work import drilled

DEPTHS = (5.0, 12.0, 20.0, 30.0)
"""Limits of the depth classes, mm; deeper ones and holes right through have a class each."""
LEGEND = (
    ("d1", "to 5 mm"),
    ("d2", "to 12"),
    ("d3", "to 20"),
    ("d4", "to 30"),
    ("d5", "deeper"),
    ("d6", "through"),
)
MARGIN = 8.0
STEP = 2.0
"""Lines of equal depth of an arched face are drawn so far apart in depth, mm: what a router takes
in one pass (common practice, no source)."""


def plan_svg(report: Report, face: str, alone: bool = True) -> str:
    """The plan of `face` ("front" or "back") of a report's layout, with a numbered marker for every
    finding of that face that fails or warns.

    `alone`: with its own style sheet and legend; else for the page that has both.
    Raises InputError for another face.
    """
    if face not in ("front", "back"):
        raise InputError("a plan's face", face, "front or back")
    layout, view = report.layout, view_of(face)
    x0, y0, x1, y1 = sheet = _sheet(layout, view)
    foot = 30.0 if alone else 18.0
    box = x0, y0, x1, y1 + foot
    body = view.path(layout.skin.outline)
    clip = element("clipPath", element("path", d=body), id=f"body-{face}")
    inside = {"clip_path": f"url(#body-{face})"}
    marks = [m for m in numbered(report) if m.face == face]
    parts = [
        element("defs", clip + hatching(f"hatch-{face}", 6, 35)),
        _blank(layout, view),
        path(body, "wood"),
        group(_contours(layout, face, view), **inside),
        group(_edge(layout, face, view)),
        group(_glue(layout, view, sheet)),
        group(_unseen(layout, face, view)),
        group(_voids(layout, face, view), **inside),
        path(body, "line"),
        group(_angled(layout, face, view)),
        group(_rooms(layout, face, view)),
        group(_strings(layout, face, view, x1)),
        group(_axes(layout, view, sheet)),
        group(_names(layout, face, view)),
        group(_bar(x0 + MARGIN, y1 + 10.0)),
        group(_legend(x0 + MARGIN, y1 + 18.0)) if alone else "",
        markers(marks, view, sheet),
    ]
    title = f"{layout.name}: {face}, seen from the {face}"
    return drawing(box, title, "".join(parts), alone, "plan")


def portrait(layout: Layout) -> tuple[str, tuple[float, float, float, float]]:
    """The front alone, without sheet, marks and names, as SVG of sheet units for a page that has
    the style sheet; and its box x0, y0, x1, y1 there, which holds the body and the end of the
    neck."""
    view, name = view_of("front"), f"portrait-{layout.name}"
    x0, y0, x1, y1 = layout.skin.outline.box
    box = x0 - 4.0, min(-y0, -y1) - 4.0, x1 + 24.0, max(-y0, -y1) + 4.0
    frame = element("rect", x=box[0], y=box[1], width=box[2] - box[0], height=box[3] - box[1])
    body = view.path(layout.skin.outline)
    clip = element("clipPath", element("path", d=body), id=f"{name}-body")
    inside = {"clip_path": f"url(#{name}-body)"}
    parts = [
        element(
            "defs", clip + element("clipPath", frame, id=name) + hatching(f"{name}-hatch", 6, 35)
        ),
        path(body, "wood"),
        group(_contours(layout, "front", view, f"{name}-hatch"), **inside),
        group(_edge(layout, "front", view)),
        group(_voids(layout, "front", view), **inside),
        path(body, "line"),
        group(_rooms(layout, "front", view)),
        group(_strings(layout, "front", view, box[2] + MARGIN)),
    ]
    return group(parts, clip_path=f"url(#{name})"), box


def close_up(layout: Layout, face: str, box: tuple[float, float, float, float]) -> str:
    """The plan of `face` round a box x0, y0, x1, y1 of the body, with cuts and fitted parts alone,
    and a bar of 10 mm; for a page that has the style sheet."""
    view = view_of(face)
    low, high = sorted((view.up * box[1], view.up * box[3]))
    name = f"near-{layout.placed[0].id if layout.placed else 'body'}-{face}"
    frame = element("rect", x=box[0], y=low, width=box[2] - box[0], height=high - low)
    body = view.path(layout.skin.outline)
    drawn = [
        path(body, "wood"),
        *_unseen(layout, face, view),
        *_voids(layout, face, view),
        path(body, "line"),
        *_angled(layout, face, view),
        *_rooms(layout, face, view),
    ]
    parts = [
        element("defs", element("clipPath", frame, id=name)),
        group(drawn, clip_path=f"url(#{name})"),
        element("rect", x=box[0], y=high + 3.0, width=10.0, height=1.2, class_="bar"),
        words(box[0] + 12.0, high + 5.2, "10 mm", 4.0),
    ]
    title = f"{layout.name}: seen from the {face}"
    return drawing((box[0], low, box[2], high + 7.0), title, "".join(parts), False, "near")


def seen(layout: Layout, face: str) -> tuple[Void, ...]:
    """The voids open to a face, shallowest first: cut from it, or coming out there."""
    aside = {v.id for v in set_aside(layout.body, face)}
    upright = (v for v in layout.voids if v.id not in aside and v.shape.upright)
    found = [v for v in upright if v.face == face or face in v.opens]
    return tuple(sorted(found, key=lambda v: depth_of(v, layout.thickness)))


def depth_class(void: Void, thickness: float) -> str:
    """The style class of a void's depth."""
    if void.low <= -thickness + 1e-9 and void.high >= -1e-9:
        return "d6"
    return f"d{1 + sum(depth_of(void, thickness) > limit for limit in DEPTHS)}"


def _sheet(layout: Layout, view: View) -> tuple[float, float, float, float]:
    """The sheet box of blank, outline and pins, with a margin."""
    b, o = layout.blank, layout.skin.outline.box
    xs = [b.x0, b.x1, o[0], o[2], *(p.x + k * p.diameter / 2 for p in b.pins for k in (-1, 1))]
    ys = [b.y0, b.y1, o[1], o[3], *(p.y + k * p.diameter / 2 for p in b.pins for k in (-1, 1))]
    ys = [view.up * y for y in ys]
    return min(xs) - MARGIN, min(ys) - MARGIN, max(xs) + MARGIN, max(ys) + MARGIN


def _blank(layout: Layout, view: View) -> str:
    b = layout.blank
    low, high = sorted((view.up * b.y0, view.up * b.y1))
    rows = [element("rect", x=b.x0, y=low, width=b.x1 - b.x0, height=high - low, class_="blank")]
    for pin in b.pins:
        x, y = view.point(pin.x, pin.y)
        r = pin.diameter / 2.0
        title = element("title", f"datum pin, {num(pin.diameter)} mm")
        rows += [
            element("circle", title, cx=x, cy=y, r=r, class_="line"),
            line((x - 1.8 * r, y), (x + 1.8 * r, y), "thin"),
            line((x, y - 1.8 * r), (x, y + 1.8 * r), "thin"),
        ]
    return group(rows)


def _contours(layout: Layout, face: str, view: View, hatch: str = "") -> Iterable[str]:
    for contour in layout.skin.contours:
        corners = _planned(contour, layout.body) if contour.face == face else None
        title, fill = escape(contour.id), f"url(#{hatch or f'hatch-{face}'})"
        if corners is not None:
            points = _corners(view, corners)
            yield element(
                "polygon", element("title", title), points=points, fill=fill, class_="contour"
            )
        elif contour.face == face and contour.carve.straight is None:
            for region, _ in contour_extent(contour, layout.body):
                data = "".join(view.path(shape) for shape in (region.outer, *region.holes))
                yield path(data, "contour", contour.id, fill=fill, fill_rule="evenodd")
            for shape, deep in contour_steps(contour, layout.body):
                yield path(
                    view.path(shape), "contour", f"{contour.id}, {deep:.2f} deep", fill="none"
                )


def _corners(view: View, corners: Iterable[Sequence[float]]) -> str:
    return " ".join(f"{num(x)},{num(y)}" for x, y in (view.point(*c) for c in corners))


def contour_extent(contour: Contour, piece: Workpiece) -> tuple[tuple[Region, float], ...]:
    """Where a contour cuts the plain face, clipped to the outline, and how deep it goes there at
    most, mm."""
    key = "contour extent", contour.id
    return of_the_skin(piece, key, lambda: tuple(_extent(contour, piece)))


def _extent(contour: Contour, piece: Workpiece) -> Iterator[tuple[Region, float]]:
    for region in _traces(contour, piece):
        yield region, deepest(contour, piece, region.outer)


def contour_steps(contour: Contour, piece: Workpiece) -> Iterator[tuple[Profile, float]]:
    """The lines inside the outline at which a contour that falls away all round a crown is one,
    two and more STEPs deep, and those depths: outside each of them the face lies no higher."""
    if contour.carve.straight is not None:
        return
    deepest = max((deep for _, deep in contour_extent(contour, piece)), default=0.0)
    level, down = piece.skin.level(contour.face), -1.0 if contour.face == "front" else 1.0
    for deep in (STEP * np.arange(1, math.ceil(deepest / STEP))).tolist():
        for ring in union(contour.carve.level_slices(level + down * deep)):
            for hole in ring.holes:
                for part in intersection(hole, piece.skin.outline):
                    yield part.outer, deep


def _traces(contour: Contour, piece: Workpiece) -> Iterator[Region]:
    """What a contour cuts away of its plain face, inside the outline."""
    outline = piece.skin.outline
    if contour.carve.straight is not None:
        corners = _planned(contour, piece)
        if corners is not None:
            yield from intersection(profile(corners, contour.id), outline)
        return
    down = -EXTENT if contour.face == "front" else EXTENT
    for ring in union(contour.carve.level_slices(piece.skin.level(contour.face) + down)):
        for part in intersection(ring.outer, outline):
            yield from difference(part.outer, *part.holes, *ring.holes)


def contour_plan(contour: Contour, thickness: float) -> np.ndarray | None:
    """Vertices (m, 2) round the part of the plain face that a straight contour cuts away, outline
    left out of account; None when it misses the face, and for any other. Good to some tenths of a
    mm: it is drawn, not cut."""
    carve = contour.carve.straight
    if carve is None:
        return None
    across, along = carve.axes[0, :2], np.array([-carve.axes[0, 1], carve.axes[0, 0]])
    u = np.linspace(carve.section.box[0], carve.section.box[2], 1000)
    left, right = [], []
    for s in _sweep(carve, along):
        points = np.array(carve.origin) + u[:, None] * across + s * along
        height = carve.height(points, contour.face)
        gone = height < -EXTENT if contour.face == "front" else height > -thickness + EXTENT
        if gone.any():
            left.append(points[gone][0])
            right.append(points[gone][-1])
    return np.array(left + right[::-1]) if len(left) > 1 else None


def _planned(contour: Contour, piece: Workpiece) -> np.ndarray | None:
    """`contour_plan`, worked out once for a piece's skin."""
    key = "contour plan", contour.id
    return of_the_skin(piece, key, lambda: contour_plan(contour, piece.thickness))


def _sweep(carve: Carve, along: np.ndarray) -> np.ndarray:
    """Plan distances from the origin along the sweep, from end to end."""
    if carve.level:
        return np.array([carve.span[0] + 1e-6, carve.span[1] - 1e-6])
    x0, y0, _, x1, y1, _ = carve.box
    corners = np.array([[x, y] for x in (x0, x1) for y in (y0, y1)])
    reach = (corners - np.array(carve.origin)) @ along
    return np.linspace(reach.min(), reach.max(), 241)


def _edge(layout: Layout, face: str, view: View) -> Iterable[str]:
    skin, edge = layout.skin, layout.skin.edge(face)
    if edge.reach > 0.0:
        for inner in offset(skin.outline, -edge.reach):
            yield path(view.path(inner), "edge", edge.words)
    for run in skin.runs(face):
        for region in run.covered(skin.outline, run.edge.reach):
            yield path(view.path(region.outer), "edge", run.edge.words)
    for shelf in skin.shelves:
        if shelf.face == face and shelf.carve is not None:
            for region in shelf.widest(skin.outline, skin.level(face)):
                yield path(view.path(region.outer), "edge", f"ledge that follows {shelf.contour}")


def _glue(layout: Layout, view: View, sheet: Sequence[float]) -> Iterable[str]:
    for y in layout.blank.joints:
        yield line((sheet[0] + MARGIN, view.up * y), (sheet[2] - MARGIN, view.up * y), "glue")


def _unseen(layout: Layout, face: str, view: View) -> Iterable[str]:
    """Cuts from the other face that do not come out here, dashed."""
    other = "back" if face == "front" else "front"
    for void in layout.voids:
        if void.face == other and face not in void.opens and void.shape.upright:
            yield path(view.path(void.shape.plan), "hidden", f"{void.id} (from the {other})")


def _voids(layout: Layout, face: str, view: View) -> Iterable[str]:
    for void in seen(layout, face):
        depth = depth_of(void, layout.thickness)
        hole = drilled(void, layout.body, layout)
        deep = hole.words if hole else f"{depth:.2f} deep"
        title = f"{void.id}: {void.operation.lower()}, {deep} from the {void.face}"
        yield path(view.path(void.shape.plan), f"void {depth_class(void, layout.thickness)}", title)


def _angled(layout: Layout, face: str, view: View) -> Iterable[str]:
    for void in layout.voids:
        if void.shape.hole and not void.shape.upright:
            deep = drilled(void, layout.body, layout)
            more = f", {deep.words}" if deep else ""
            title = f"{void.id}: {num(void.shape.hole.diameter)} mm, at an angle{more}"
            yield path(view.path(void.shape.plan), "hidden", title)


def on_this_side(layout: Layout, face: str) -> Iterator[Room]:
    """The rooms of fitted parts on this side of the wood's middle."""
    middle = -layout.thickness / 2.0
    for room in layout.rooms:
        z = (room.shape.box[2] + room.shape.box[5]) / 2.0
        if (z >= middle) == (face == "front"):
            yield room


def _rooms(layout: Layout, face: str, view: View) -> Iterable[str]:
    for room in on_this_side(layout, face):
        yield path(view.path(room.shape.plan), "room", f"{room.id} ({room.kind})")


def _strings(layout: Layout, face: str, view: View, right: float) -> Iterable[str]:
    if face != "front":
        return
    instrument, end = layout.instrument, right - MARGIN
    for string in instrument.lines:
        yield line(view.point(*string.saddle), view.point(end, string.y_at(end)), "string")
    for x, y in instrument.saddle_points:
        yield line(view.point(x, y - 2.0), view.point(x, y + 2.0), "room")
    board = instrument.board_end
    if board.x < end:
        half = board_half_width(instrument.neck, board.x)
        nut = board_half_width(instrument.neck, end)
        corners = [(end, nut), (board.x_at(half), half), (board.x_at(-half), -half), (end, -nut)]
        title = element("title", "the fretboard's end")
        yield element("polyline", title, points=_corners(view, corners), class_="room")


def _axes(layout: Layout, view: View, sheet: Sequence[float]) -> Iterable[str]:
    x0, y0, x1, y1 = sheet
    yield line((x0, 0.0), (x1, 0.0), "axis")
    yield line((0.0, y0), (0.0, y1), "axis")
    yield words(2.0, y1 - 2.0, "scale line", 7.0, "label")
    for x, y, anchor in ((2.0, y0 + 7.0, "start"), (-2.0, y1 - 2.0, "end")):
        yield words(x, y, f"{bass_or_treble(layout, view.up * y)} side", 7.0, "label", anchor)
    yield words(x1 - 2.0, y1 - 2.0, "to the nut \u2192", 7.0, "label", "end")


def _names(layout: Layout, face: str, view: View) -> Iterable[str]:
    """A part's id at its largest cut, where it fits."""
    size = 6.5
    for placed in layout.placed:
        own = [v for v in seen(layout, face) if v.part == placed.id and v.face == face]
        if not own:
            continue
        x0, y0, x1, y1 = max((v.shape.plan for v in own), key=lambda p: p.area).box
        width = 0.56 * size * len(placed.id)
        wide, high = x1 - x0, y1 - y0
        if high >= 1.4 * size and width <= max(wide + 20.0, 40.0) and wide * high >= 600.0:
            x, y = view.point((x0 + x1) / 2.0, (y0 + y1) / 2.0)
            yield words(x, y + 0.35 * size, placed.id, size, "label", "middle")


def _bar(x: float, y: float) -> Iterable[str]:
    yield element("rect", x=x, y=y - 4.0, width=100.0, height=2.0, class_="bar")
    yield words(x + 103.0, y, "100 mm", 7.0)


def _legend(x: float, y: float) -> Iterable[str]:
    for style, label in LEGEND:
        yield element("rect", x=x, y=y - 6.0, width=9.0, height=6.0, class_=f"void {style}")
        yield words(x + 11.0, y - 0.5, label, 7.0)
        x += 22.0 + 3.6 * len(label)
