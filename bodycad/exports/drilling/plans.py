"""The plan of a face with a tag at each hole, as SVG to scale; and the same of a heel's
underside."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence

from bodycad.checks.rules.seated import Neck
from bodycad.exports.coordinates import bass_or_treble
from bodycad.exports.marks import places
from bodycad.exports.svg import BACK, View, drawing, element, group, line, path, view_of, words
from bodycad.geometry.plane.profile import Profile
from bodycad.layout.blank import Pin
from bodycad.layout.layout import Layout
from bodycad.layout.workpiece import Workpiece
from bodycad.making.hole import Hole
from bodycad.making.marking import pins_of
from bodycad.words import Face

ARM = 12.0
"""Length of each arm of the datum's cross, mm."""
WIDE = 70.0
"""Tags are drawn this share of a drawing's width high, at least LEAST mm."""
LEAST = 3.4
Point = tuple[float, float]


def face_plan(layout: Layout, piece: Workpiece, face: Face, found: Sequence[Hole]) -> str:
    """A face of a workpiece as it is seen: its outline, pins and datum, the routes cut from it in
    thin lines, and each hole with its tag; a slanted hole with a line to where it ends."""
    view, pins = view_of(face), pins_of(piece)
    shapes = [v.shape.plan for v in piece.voids if v.face is face and v.shape.hole is None]
    drawn = [
        path(view.path(piece.skin.outline), "wood"),
        *(path(view.path(shape), "thin") for shape in shapes),
        path(view.path(piece.skin.outline), "line"),
    ]
    box = _sheet(piece.skin.outline, pins, view)
    size = max((box[2] - box[0]) / WIDE, LEAST)
    around = box[0] - 3.0 * size, box[1] - 3.0 * size, box[2] + 3.0 * size, box[3] + 3.0 * size
    drawn += [
        *_datum(around, size),
        *_pins(pins, view, size),
        *_sides(layout, piece, face, around, size),
    ]
    spots = [view.point(hole.at[0], hole.at[1]) for hole in found]
    for hole, spot in zip(found, spots):
        drawn += _hole(hole, spot, view, size)
    drawn.append(_tags(found, spots, around, size))
    title = f"{layout.name}: holes of {piece.title or piece.id}, {face}, seen from the {face}"
    return drawing(around, title, "".join(drawn), False, "drill")


def heel_plan(layout: Layout, neck: Neck, found: Sequence[Hole]) -> str:
    """The underside of a heel, nut to the right, with its holes and how they are measured."""
    outline = neck.outlines[0].mirrored() if layout.left_handed else neck.outlines[0]
    x0, y0, x1, y1 = outline.box
    size = max((x1 - x0) / WIDE, LEAST)
    low, high = sorted((BACK.up * y0, BACK.up * y1))
    around = x0 - 12.0 * size, low - 5.0 * size, x1 + 9.0 * size, high + 5.0 * size
    side = bass_or_treble(layout, -1.0), bass_or_treble(layout)
    drawn = [
        path(BACK.path(outline), "wood"),
        path(BACK.path(outline), "line"),
        line((around[0], 0.0), (around[2], 0.0), "axis"),
        line((0.0, around[1]), (0.0, around[3]), "axis"),
        words(around[0] + size, -0.6 * size, "centreline", size, "label"),
        words(0.6 * size, around[3] - 0.8 * size, "bridge-side end", size, "label"),
        words(around[2] - size, -0.6 * size, "to the nut \u2192", size, "label", "end"),
        words(x1, around[1] + 1.6 * size, f"{side[0]} side", size, "label", "end"),
        words(x1, around[3] - 0.8 * size, f"{side[1]} side", size, "label", "end"),
    ]
    spots = [BACK.point(hole.at[0], hole.at[1]) for hole in found]
    for hole, (x, y) in zip(found, spots):
        drawn += _hole(hole, (x, y), BACK, size)
        drawn += [
            line((0.0, y), (x - hole.diameter / 2.0, y), "dim"),
            line(
                (x, 0.0), (x, y - (hole.diameter / 2.0 if y > 0.0 else -hole.diameter / 2.0)), "dim"
            ),
        ]
    drawn.append(_tags(found, spots, around, size))
    title = f"{layout.name}: holes in the heel of {neck.id}, seen from the back"
    return drawing(around, title, "".join(drawn), False, "drill")


def _sheet(outline: Profile, pins: Sequence[Pin], view: View) -> tuple[float, float, float, float]:
    x0, y0, x1, y1 = outline.box
    xs = [x0, x1, 0.0, *(p.x for p in pins)]
    ys = [view.up * y for y in (y0, y1, 0.0, *(p.y for p in pins))]
    return min(xs), min(ys), max(xs), max(ys)


def _datum(box: Sequence[float], size: float) -> Iterator[str]:
    """The axes of the places, and the datum's cross where they meet."""
    yield line((box[0], 0.0), (box[2], 0.0), "axis")
    yield line((0.0, box[1]), (0.0, box[3]), "axis")
    arm = min(ARM, 2.0 * size)
    yield line((-arm, 0.0), (arm, 0.0), "cut")
    yield line((0.0, -arm), (0.0, arm), "cut")
    yield words(0.5 * size, box[3] - 0.4 * size, "x 0", size, "label")
    yield words(box[0] + 0.4 * size, -0.5 * size, "y 0", size, "label")


def _pins(pins: Iterable[Pin], view: View, size: float) -> Iterator[str]:
    for k, pin in enumerate(pins, 1):
        x, y = view.point(pin.x, pin.y)
        r = pin.diameter / 2.0
        yield element("circle", cx=x, cy=y, r=r, class_="line")
        yield line((x - 1.6 * r, y), (x + 1.6 * r, y), "thin")
        yield line((x, y - 1.6 * r), (x, y + 1.6 * r), "thin")
        yield words(x + 1.3 * r, y - 1.3 * r, f"pin {k}", size, "label")


def _sides(
    layout: Layout, piece: Workpiece, face: Face, box: Sequence[float], size: float
) -> Iterator[str]:
    """Which side is up; nothing of a piece that is not the body, whose frame is its own."""
    if piece is not layout.body:
        return
    up = 1.0 if face is Face.FRONT else -1.0
    for y, sign in ((box[1] + 1.2 * size, up), (box[3] - 0.4 * size, -up)):
        side = bass_or_treble(layout, sign)
        yield words(box[2] - 0.4 * size, y, f"{side} side", size, "label", "end")
    yield words(box[2] - 0.4 * size, box[3] - 1.8 * size, "to the nut \u2192", size, "label", "end")


def _hole(hole: Hole, spot: Point, view: View, size: float) -> Iterator[str]:
    x, y = spot
    r = hole.diameter / 2.0
    if not hole.upright:
        yield line(spot, view.point(hole.end[0], hole.end[1]), "hidden")
    yield element("circle", cx=x, cy=y, r=r, class_="cut")
    arm = max(r + 0.4 * size, 0.5 * size)
    yield line((x - arm, y), (x + arm, y), "dim")
    yield line((x, y - arm), (x, y + arm), "dim")


def _tags(found: Sequence[Hole], spots: Sequence[Point], box: Sequence[float], size: float) -> str:
    """Each hole's tag beside it, clear of the others, with a leader."""
    x0, y0, x1, y1 = box
    made = []
    for hole, spot, (x, y) in zip(found, spots, places(spots, 1.15 * size, (x0, y0, x1, y1))):
        made.append(line(spot, (x, y), "dim"))
        made.append(words(x, y + 0.36 * size, hole.tag, size, "label tag", "middle"))
    return group(made)
