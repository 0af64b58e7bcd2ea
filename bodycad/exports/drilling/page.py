"""<design>-drilling.html: the drilling schedule for the bench, by set-up and by drill."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping, Sequence
from itertools import groupby
from pathlib import Path

from bodycad.checks.report import Report
from bodycad.checks.rules.seated import necks
from bodycad.exports.bench_page import (
    Section,
    bench_page,
    care,
    picture,
    pictures,
    ticked,
    verified,
)
from bodycad.exports.cautions import drills_far, of_drilling
from bodycad.exports.coordinates import bass_or_treble
from bodycad.exports.drilling.edges import clusters, edge_view, side_view
from bodycad.exports.drilling.plans import face_plan, heel_plan
from bodycad.exports.drilling.table import toward
from bodycad.exports.report.tables import cell, full, number, quiet, row, table, tag
from bodycad.exports.svg import escape
from bodycad.layout.layout import Layout
from bodycad.layout.workpiece import Workpiece
from bodycad.making.hole import Hole
from bodycad.making.holes import holes, set_ups
from bodycad.making.marking import SQUARE, pins_of
from bodycad.safety import CAUTIONS, Danger
from bodycad.tools import FLAT
from bodycad.words import Face

BRIEF = (
    "Every drilled hole, by the side it is drilled from and by the drill. A tag is a letter for "
    "the drill and a number; the drawings show the same tags. Tick a hole when it is drilled."
)
PINS = (
    " The holes of the datum pins come before all of these: they are on the blank's drawing and in "
    "the cut order, not here."
)
READING = (
    "x and y are what you see: face toward you, nut to the right, x to the right of the datum's "
    "cross and y up. So the back shows every y with the other sign than the front.",
    "Pins: distances from the middles of the pin holes. Swing two arcs, and check with the third "
    "pin on which side of the line between the first two the hole lies.",
    "Depths run from the plain face, before it is shaped, along the drill: first at full diameter, "
    "then to the tip of a drill with the point angle given. Of a slanted hole they run from where "
    "its axis enters the face, or from its start in a cut.",
    "Where holes share a centre the wider is drilled first, while the wood in its middle still "
    "guides the bit: a hole that is met from both faces is finished after the seat over it. What "
    "must come before a shaped surface is said with the hole.",
    "Wood left: the least from the hole's end to a face as it is finally shaped, or to whatever "
    "cut lies ahead; of a slanted hole also beside it to the faces.",
)
PX = 3.4
"""Pixels a mm of the drawings of the edge and of small pieces, where the page is wide enough."""
HEEL = 4.0
"""The same of the heel."""
NARROW = 360.0
"""Width of a drawing of a slanted hole, pixels."""


def write_page(report: Report, path: Path) -> None:
    """Write the page and read it back; FileError where a hole's tag is missing."""
    rows = (f"{hole.tag} drilled" for hole in holes(report.layout))
    verified(path, drilling_page(report), rows)


def drilling_page(report: Report) -> str:
    """The whole page."""
    layout = report.layout
    sections = [Section("reading", "How to read it", (_reading(layout),), "Reading")]
    sections.append(Section("drills", "Drills", (_drills(layout),)))
    for (piece, face), found in set_ups(layout).items():
        sections.append(_set_up(layout, piece, face, found))
    pins = any(piece.blank is not None and piece.blank.pins for piece in layout.pieces)
    brief = f"{BRIEF}{PINS}" if pins else BRIEF
    return bench_page(report, "drilling", brief, sections, of_drilling(layout))


def _reading(layout: Layout) -> str:
    up = bass_or_treble(layout)
    sides = f"From the front the {up} side is up, from the back it is down."
    datum = "The datum's cross lies where the scale line meets the centreline of the body."
    return tag("ul", *(tag("li", escape(one)) for one in (datum, *READING, sides)))


def _drills(layout: Layout) -> str:
    """The drills by letter, each with the holes that it makes by piece, face and depth."""
    rows = []
    for _, alike in groupby(sorted(holes(layout), key=lambda h: h.drill_key), _key):
        found = list(alike)
        one = found[0]
        reach = f"{one.drill.reach:g}" if one.drill else "none on hand"
        rows.append(
            row(
                cell(tag("b", escape(one.tag.rstrip("0123456789")))),
                number(f"{one.drill_key[0]:.2f}", "\u00f8"),
                full(one.bit),
                number(reach, "reach"),
                number(str(len(found)), "holes"),
                full(", ".join(_counted(found))),
            )
        )
    return table(("Tag", "\u00f8 #", "Bit", "Reach #", "Holes #", "Where"), rows)


def _key(hole: Hole) -> tuple[float, bool, float]:
    return hole.drill_key


def _counted(found: Sequence[Hole]) -> Iterator[str]:
    """How many holes of one depth there are on each face."""
    for (piece, face), alike in groupby(found, lambda h: (h.piece, h.face)):
        yield f"{len(list(alike))} in {piece}, {face}"


def _title(layout: Layout, name: str, face: Face) -> tuple[str, Workpiece | None]:
    piece = next((one for one in layout.pieces if one.id == name), None)
    if piece is None:
        return f"The neck: {name}", None
    shown = (piece.title or piece.id).capitalize()
    return f"{shown}: {'the edge' if face is Face.EDGE else f'from the {face}'}", piece


def _set_up(layout: Layout, name: str, face: Face, found: tuple[Hole, ...]) -> Section:
    title, piece = _title(layout, name, face)
    content = []
    if piece is not None and drills_far(piece, face):
        content.append(care(CAUTIONS[Danger.DRILL]))
    if piece is None:
        content += _heel(layout, name, found)
    elif face is Face.EDGE:
        content += _edge(layout, piece, found)
    else:
        content += _face(layout, piece, face, found)
    anchor = f"{name}-{face}".replace(".", "-")
    whole = piece is layout.body and face is not Face.EDGE
    return Section(anchor, title, tuple(content), new_sheet=whole)


def _face(layout: Layout, piece: Workpiece, face: Face, found: tuple[Hole, ...]) -> Iterator[str]:
    others = [h for h in holes(layout) if h.both and h.piece == piece.id and h.face != face]
    drawn = face_plan(layout, piece, face, [*found, *others])
    scale = 0.0 if piece is layout.body else PX
    yield picture(f"{_size(piece)}, seen from the {face}", drawn, scale=scale)
    if others:
        tags = ", ".join(hole.tag for hole in others)
        words = f"Met from this face too, at the same x and the other sign of y: {tags}."
        yield tag("p", escape(words))
    yield _on_face(layout, piece, found)
    slanted = [hole for hole in found if not hole.upright]
    if slanted:
        yield tag("h3", "Slanted holes from their side")
        yield pictures(*(_slanted(layout, hole) for hole in slanted))


def _size(piece: Workpiece) -> str:
    return f"{(piece.title or piece.id).capitalize()}, {piece.thickness:g} mm thick"


def _slanted(layout: Layout, hole: Hole) -> str:
    drawn = side_view(layout.name, hole)
    wide = float(drawn.partition('width="')[2].partition("mm")[0])
    way = f"{hole.tilt_deg:.1f}\u00b0 off upright, {toward(hole, layout)}"
    return picture(f"{hole.tag}: {way}", drawn, scale=NARROW / wide)


def _edge(layout: Layout, piece: Workpiece, found: tuple[Hole, ...]) -> Iterator[str]:
    words = (
        "The edge is looked at straight on, front up. The mark is where the centreline leaves the "
        "wood at the tail; distances run from it along the edge, to the right where positive, and "
        "beside them by a straight rule. Heights count from the plain back."
    )
    yield quiet(words)
    drawn = [
        picture(
            f"{' '.join(hole.tag for hole in one)}, straight on",
            edge_view(layout.name, piece, one),
            scale=PX,
        )
        for one in clusters(found)
    ]
    yield pictures(*drawn)
    heads = ("Done", "Tag", "Along #", "Straight #", "Height #")

    def places(hole: Hole) -> tuple[str, ...]:
        place = hole.edge
        assert place is not None
        figures = ("along", place.along), ("straight", place.straight), ("height", place.height)
        return tuple(number(f"{round(v, 2) + 0.0:.2f}", label) for label, v in figures)

    yield _table(layout, found, heads, places)


def _lean(aside: float, rise: float) -> str:
    """How a hole leans off square to the edge, in words."""
    said = []
    if abs(aside) >= SQUARE:
        said.append(f"{abs(aside):.1f}\u00b0 to the {'right' if aside > 0.0 else 'left'}")
    if abs(rise) >= SQUARE:
        said.append(f"{abs(rise):.1f}\u00b0 toward the {'front' if rise > 0.0 else 'back'}")
    return ", ".join(said) or "square"


def _heel(layout: Layout, name: str, found: tuple[Hole, ...]) -> Iterator[str]:
    neck = next((one for one in necks(layout) if one.joint.heel == name), None)
    if neck is not None:
        words = (
            "Marked on the heel's underside: x along it from the middle of its bridge-side end "
            "toward the nut, y from the neck's centreline. Set the drill's stop: the tip must not "
            "come nearer to the fretboard than said."
        )
        yield quiet(words)
        yield picture(
            "The heel's underside, nut to the right", heel_plan(layout, neck, found), scale=HEEL
        )
    else:
        yield quiet("Places as on the body, of what these screws bite.")
    yield _on_face(layout, None, found)


def _on_face(layout: Layout, piece: Workpiece | None, found: Sequence[Hole]) -> str:
    pins = len(pins_of(piece)) if piece is not None else 0
    heads = ("Done", "Tag", "x #", "y #", *(f"Pin {k} #" for k in range(1, pins + 1)))

    def places(hole: Hole) -> tuple[str, ...]:
        labels = "x", "y", *(f"pin {k}" for k in range(1, pins + 1))
        figures = zip(labels, (*hole.xy, *hole.pins))
        return tuple(number(f"{round(v, 2) + 0.0:.2f}", label) for label, v in figures)

    return _table(layout, found, heads, places)


def _table(
    layout: Layout,
    found: Sequence[Hole],
    heads: Sequence[str],
    places: Callable[[Hole], tuple[str, ...]],
) -> str:
    """The holes by drill, with a box to tick; places: the cells of where a hole is marked."""
    heads = (*heads, "\u00f8 #", "Depth #", "To tip #", "What")
    faces = {hole.tag: hole.face for hole in holes(layout)}
    made = []
    for one in _grouped(found, len(heads)):
        if isinstance(one, str):
            made.append(one)
            continue
        tip = "flat" if one.point_deg >= FLAT else f"{one.tip:.2f}"
        notes = "; ".join(_said(one, layout, faces))
        what = tag("p", escape(one.serves)), quiet(notes)
        made.append(
            row(
                ticked(f"{one.tag} drilled"),
                cell(tag("b", one.tag)),
                *places(one),
                number(f"{one.diameter:.2f}", "\u00f8"),
                number(f"{one.full:.2f}", "deep"),
                number(tip, "to tip"),
                cell(*what, class_="full told"),
            )
        )
    return table(heads, made)


def _grouped(found: Sequence[Hole], wide: int) -> Iterator[str | Hole]:
    """The holes in turn, a line with the drill before those that it makes."""
    for _, alike in groupby(found, _key):
        run = list(alike)
        one = run[0]
        letter = one.tag.rstrip("0123456789")
        words = f"{letter}: {one.drill_key[0]:.2f} mm {one.bit}, {len(run)} hole"
        words += "s" if len(run) > 1 else ""
        if one.drill is None:
            words += "; none on hand"
        yield row(tag("th", escape(words), colspan=wide, scope="colgroup"), class_="bit")
        yield from run


def _said(hole: Hole, layout: Layout, faces: Mapping[str, Face]) -> Iterator[str]:
    """Everything else of a hole, most pressing first."""
    yield from hole.notes
    fits = f" for {hole.fits:.2f}" if hole.fits is not None else ""
    yield f"{hole.fit}{fits}{', through' if hole.through else ''}"
    if hole.edge is not None:
        yield _lean(hole.edge.aside_deg, hole.edge.rise_deg)
    elif not hole.upright:
        up = hole.tilt_deg
        level = f" ({90.0 - up:.1f}\u00b0 from level)" if up > 45.0 else ""
        way = f"{toward(hole, layout)} ({hole.direction_deg:.1f}\u00b0)"
        yield f"{up:.1f}\u00b0 off upright{level}, {way}"
    yield from _centre(hole, faces)
    if hole.start > 0.0:
        inside = f" in {', '.join(hole.inside)}" if hole.inside else ""
        yield f"starts {hole.start:.2f} under the {hole.face}{inside}"
    if hole.before:
        yield f"before {', '.join(hole.before)}"
    if hole.countersink is not None:
        yield f"countersunk to {hole.countersink:.1f}"
    if hole.wood is not None:
        yield f"{hole.wood.left:.2f} of wood left to {hole.wood.to}"


def _centre(hole: Hole, faces: Mapping[str, Face]) -> Iterator[str]:
    """What a hole has to do with those on its centre, and with its other end."""
    if hole.after:
        yield f"after {', '.join(hole.after)} on the same centre"
    if hole.both:
        then = f", after {', '.join(hole.half_after)}" if hole.half_after else ""
        yield f"half from here, half from the {hole.face.opposite}{then}"
    for other in hole.shares:
        if other not in (*hole.after, *hole.half_after):
            here = faces[other] is hole.face
            yield f"before {other} on the same centre" if here else f"on one centre with {other}"
