"""Boards, sheets, binding, glue and finish: what a design's wood and edges are made of."""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Iterator

import numpy as np

from bodycad.geometry.plane.segments import Segments
from bodycad.geometry.solids.edge import Ledge
from bodycad.geometry.solids.skin import Skin
from bodycad.geometry.solids.stretch import Run
from bodycad.layout.interface import Joint
from bodycad.layout.layout import Layout
from bodycad.layout.workpiece import Workpiece
from bodycad.making.fixtures import fixtures
from bodycad.making.row import Group, Row, inches
from bodycad.making.stock import boards
from bodycad.making.templates import templates
from bodycad.wood import Species
from bodycad.words import SIDES, Face, Mount

ROUND = 10.0
"""What a sheet is bought larger all round, mm, to be held while it is cut (common practice, no
source)."""
STRIP_ENDS = 50.0
"""What a binding strip is longer at each end, mm, to be trimmed (common practice, no source)."""
BOARD_FOOT = 144.0 * 25.4**3
"""mm3 of a board foot: 144 cubic inches."""
STEP = 0.5
"""The climb of a strip over a shaped face is added up in steps of at most so much, mm."""


def materials(layout: Layout) -> Iterator[Row]:
    """Boards and sheets, then binding, then glue and finish."""
    yield from _boards(layout)
    for piece in layout.pieces[1:]:
        yield _cut_from(piece)
    yield from _for_templates(layout)
    yield from _pins(layout)
    yield from _strips(layout)
    yield from _glue(layout)
    yield from _finish(layout)


def _boards(layout: Layout) -> Iterator[Row]:
    """Each board of the body's blank."""
    for one in boards(layout):
        core, net, size = one.core, one.net, one.rough
        species, more = layout.blank.species, ""
        if core is not None:
            species = core.species if isinstance(core.species, Species) else species
            more = "; it runs on as the neck: this is to the nut, and the headstock comes on top"
        volume = math.prod(size)
        note = (
            f"{net[0]:.0f} by {net[1]:.1f} by {net[2]:.1f} mm of it in the blank, the grain along "
            f"it{more}; {volume * 1e-6:.2f} litres, {volume / BOARD_FOOT:.2f} board feet"
        )
        parts = () if core is None else (core.part,)
        what = f"board of {species.name}" if core is None else f"core of {species.name}"
        yield _board(Group.WOOD, what, size, parts, note)


def _cut_from(piece: Workpiece) -> Row:
    """The board or sheet of another workpiece."""
    x0, y0, x1, y1 = piece.skin.outline.box
    if piece.blank is not None:
        x0, y0, x1, y1 = piece.blank.x0, piece.blank.y0, piece.blank.x1, piece.blank.y1
    more = 0.0 if piece.blank is not None else ROUND
    size = x1 - x0 + 2.0 * more, y1 - y0 + 2.0 * more, piece.thickness
    note = f"for {piece.title or piece.id}, {ROUND:g} mm more all round to hold it by"
    note = note if more else f"for {piece.title or piece.id}"
    parts = (piece.part,) if piece.part else ()
    if piece.sheet:
        return _board(Group.SHEET, "sheet of plastic, metal or ply", size, parts, note)
    stuff = f"offcut of {piece.blank.species.name}" if piece.blank else "offcut of wood"
    return _board(Group.WOOD, stuff, size, parts, note)


def _for_templates(layout: Layout) -> Iterator[Row]:
    """The sheet of router templates and fixtures, by its thickness."""
    made = [one.sheet for one in templates(layout) if one.sheet is not None]
    made += [one.piece for one in fixtures(layout)]
    for thick in sorted({piece.thickness for piece in made}):
        boxes = [p.skin.outline.box for p in made if p.thickness == thick]
        sides = [(x1 - x0 + 2.0 * ROUND, y1 - y0 + 2.0 * ROUND) for x0, y0, x1, y1 in boxes]
        long, wide = max(sides, key=math.prod)
        many = f"{len(sides)} pieces" if len(sides) > 1 else "1 piece"
        note = (
            f"{many}, the largest {long:.0f} by {wide:.0f} mm, {ROUND:g} mm more all round each; "
            f"none is needed where a machine cuts by the programs"
        )
        area, sizes = round(sum(map(math.prod, sides)) * 1e-6, 3), (("thickness", thick),)
        what, told = "sheet for router templates and fixtures", inches(thick)
        yield Row(Group.SHEET, what, area, sizes, (), "m2", inches=told, note=note)


def _pins(layout: Layout) -> Iterator[Row]:
    """The datum pins of every blank, through it and the template that lies on it."""
    sheet = max(map(float, layout.shop.template_thickness))
    for piece in layout.pieces:
        wide = Counter(float(pin.diameter) for pin in piece.pins.values())
        for diameter, many in sorted(wide.items()):
            sizes = ("diameter", diameter), ("length", round(piece.thickness + sheet, 2))
            note = f"datum pins of {piece.id}, through it and a template; they come out again"
            yield Row(Group.SHEET, "dowel pin", many, sizes, inches=inches(diameter), note=note)


def _board(
    group: Group, what: str, size: tuple[float, float, float], parts: tuple[str, ...], note: str
) -> Row:
    sizes = tuple(zip(("length", "width", "thickness"), (round(one, 2) for one in size)))
    told = " by ".join(inches(one) for _, one in sizes)
    return Row(group, what, 1, sizes, parts, inches=told, note=note)


def _strips(layout: Layout) -> Iterator[Row]:
    """The layers of each binding along the edges of every workpiece."""
    for piece in layout.pieces:
        for face in SIDES:
            runs = ledges(piece.skin, face)
            for strip in dict.fromkeys(run.edge for run in runs):
                assert isinstance(strip, Ledge)
                own = [run for run in runs if run.edge == strip]
                net = sum(binding_length(piece.skin, face, run) for run in own)
                ends = 2 * len(own)
                total = net + ends * STRIP_ENDS
                pieces = f"{len(own)} lengths" if len(own) > 1 else "1 length"
                note = (
                    f"the {face} of {piece.id}: {net:.0f} mm of ledge in {pieces}, "
                    f"{STRIP_ENDS:g} mm more at each end"
                )
                parts = (piece.part,) if piece.part else ()
                for ply in strip.plies:
                    sizes = ("thickness", ply), ("height", strip.height)
                    told = " by ".join(inches(one) for _, one in sizes)
                    what, metres = "binding strip", round(total / 1000.0, 3)
                    yield Row(Group.EDGE, what, metres, sizes, parts, "m", inches=told, note=note)


def ledges(skin: Skin, face: Face) -> tuple[Run, ...]:
    """The stretches of a face's edge that have a binding; all of it where one runs round."""
    edge = skin.edge(face)
    if isinstance(edge, Ledge):
        return (Run(edge, skin.outline.segments, True),)
    return tuple(run for run in skin.runs(face) if isinstance(run.edge, Ledge))


def binding_length(skin: Skin, face: Face, run: Run) -> float:
    """How long (mm) a strip in a ledge is along its own middle: bent round the outline, mitred
    where that has a corner, and up and down with the face where the ledge follows it."""
    s, aside = run.chain, run.edge.reach / 2.0
    turns = run.turn
    corners = np.where(turns > 0.0, 2.0 * np.tan(turns / 2.0), turns)
    level = float(s.length.sum() - aside * (s.sweep.sum() + corners.sum()))
    climbs = isinstance(run.edge, Ledge) and run.edge.follows
    return level + (_climb(skin, face, s, aside) if climbs else 0.0)


def _climb(skin: Skin, face: Face, s: Segments, aside: float) -> float:
    """What a path `aside` mm in from segments is longer over the shaped face than in plan, mm."""
    if not any(contour.face == face for contour in skin.contours):
        return 0.0
    more = 0.0
    for k in range(len(s)):
        t = np.linspace(0.0, 1.0, max(2, math.ceil(float(s.length[k]) / STEP) + 1))
        one = s.take(np.full(len(t), k))
        way = one.tangent(t)
        spots = one.at(t) + aside * np.column_stack([-way[:, 1], way[:, 0]])
        rise, along = np.diff(skin.fall(face, spots)), np.hypot(*np.diff(spots, axis=0).T)
        more += float((np.hypot(along, rise) - along).sum())
    return more


def _glue(layout: Layout) -> Iterator[Row]:
    """The faces that are glued: between the blank's boards, a glued neck's, and binding."""
    blank, faces = layout.blank, dict[str, float]()
    if blank.joints:
        many = len(blank.joints)
        name = f"{many} joints of the blank" if many > 1 else "the joint of the blank"
        faces[name] = many * (blank.x1 - blank.x0) * layout.thickness
    for joint in layout.stated(Joint):
        if joint.mount is Mount.GLUE:
            faces[f"the joint of {joint.part}"] = joint.glue
    parts = tuple(j.part for j in layout.stated(Joint) if j.mount is Mount.GLUE)
    if faces:
        note = ", ".join(f"{area / 100.0:.0f} cm2 in {name}" for name, area in faces.items())
        area = round(sum(faces.values()) / 100.0, 1)
        yield Row(Group.USED, "wood glue, for a face of", area, parts=parts, unit="cm2", note=note)
    bound = [run for p in layout.pieces for face in SIDES for run in ledges(p.skin, face)]
    if bound:
        area = sum(run.edge.drop * float(run.chain.length.sum()) for run in bound) / 100.0
        what, note = "glue for binding, for a face of", "the wall of the ledge; its floor as well"
        yield Row(Group.USED, what, round(area, 1), unit="cm2", note=note)


def _finish(layout: Layout) -> Iterator[Row]:
    if layout.shop.finish > 0.0:
        outline = layout.skin.outline
        area = 2.0 * outline.area + outline.length * layout.thickness
        note = f"both faces and the edge, plain; a film of {layout.shop.finish:g} mm once dry"
        yield Row(
            Group.USED, "finish, for a surface of", round(area * 1e-6, 3), unit="m2", note=note
        )
