"""Every drilled hole of every workpiece, and of the neck: where it is marked, with which drill, how
deep, at which angle, and what it must come before and after."""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import replace
from itertools import combinations

import numpy as np

from bodycad.checks.order.jobs import met
from bodycad.checks.wood.before import before
from bodycad.checks.wood.drilled import drilled_from, started_in
from bodycad.checks.wood.near import remembered
from bodycad.checks.wood.shank import out_of_chuck
from bodycad.geometry.solids.bore import Bore
from bodycad.geometry.solids.solid import Point3
from bodycad.layout.entry import entry, under_face
from bodycad.layout.layout import Layout
from bodycad.layout.void import Void
from bodycad.layout.workpiece import Workpiece
from bodycad.making.heel_holes import heel_holes
from bodycad.making.hole import HELD, MARKED, Hole, HoleFit, chosen
from bodycad.making.left import wood_left
from bodycad.making.marking import edge_place, from_pins, tilt
from bodycad.making.roles import Role, own_name, roles
from bodycad.making.upright import depth_of
from bodycad.making.work import drilled
from bodycad.tools import FLAT
from bodycad.words import Face, Operation

LETTERS = "ABCDEFGJKLMNPQRSTUVWXYZ"
"""Letters of tags: H is a place to hold the blank down (`blank_plan`), I and O read as figures
(common practice, no source)."""
ON_AXIS = 0.01
"""Two holes whose axes lie within this, mm, are drilled on one centre."""


def holes(layout: Layout) -> tuple[Hole, ...]:
    """Every hole with its tag, by workpiece, by face in the order of work, by drill; the neck's own
    last."""
    return remembered(layout, ("drilled holes",), lambda: tuple(_holes(layout)))


def set_ups(layout: Layout) -> Mapping[tuple[str, Face], tuple[Hole, ...]]:
    """The holes by piece and face, each by drill."""
    found: dict[tuple[str, Face], list[Hole]] = {}
    for hole in holes(layout):
        found.setdefault((hole.piece, hole.face), []).append(hole)
    return {key: tuple(rows) for key, rows in found.items()}


def _holes(layout: Layout) -> Iterator[Hole]:
    said = roles(layout)
    bare: list[Hole] = []
    for piece in layout.pieces:
        own = [_hole(v, v.shape.hole, piece, layout, said) for v in piece.voids if v.shape.hole]
        own = _on_one_centre(own)
        order = (*piece.faces, *(face for face in Face if face not in piece.faces))
        bare += sorted(own, key=lambda hole: (order.index(hole.face), *_turn(hole)))
    bare += sorted(heel_holes(layout), key=lambda hole: hole.drill_key)
    yield from _tagged(bare)


def _hole(
    void: Void, bore: Bore, piece: Workpiece, layout: Layout, said: Mapping[str, Role]
) -> Hole:
    made = drilled(void, piece, layout)
    assert made is not None
    upright = bore.upright and void.face is not Face.EDGE
    inside = started_in(void, piece)
    face = drilled_from(void, piece)
    at, way, full, start = _upright(void, bore, piece) if upright else _slanted(face, bore, piece)
    both, past = met(void, piece, layout.shop), out_of_chuck(void, layout)
    out = past if past is not None else full / (2.0 if both else 1.0)
    flat = made.point_deg >= FLAT
    drill, notes = chosen(layout.shop, bore.diameter, out, flat)
    if past is not None:
        notes = f"{out:.0f} mm of drill out of the chuck, to clear the wood beside its way", *notes
    if math.isinf(out):
        notes = ("no drill on hand brings its chuck past the wood beside its way",)
    point_deg, point, shown = made.point_deg, made.tip - made.full, void
    if (
        flat and drill is not None and drill.point_deg < FLAT
    ):  # so the wood is cut, as its note says
        point_deg, point = drill.point_deg, drill.point
        shown = replace(void, shape=bore.with_point(point_deg))
    role = said.get(void.id) or Role(_fit(void), own_name(void.part, void.id))
    tilt_deg, direction_deg = (0.0, 0.0) if upright else tilt(way, face)
    return Hole(
        id=void.id,
        part=void.part,
        serves=role.serves,
        piece=piece.id,
        face=face,
        operation=void.operation,
        fit=role.fit,
        fits=role.fits,
        at=at,
        way=way,
        diameter=bore.diameter,
        drill=drill,
        out=out,
        flat=flat,
        full=full,
        tip=full + point,
        point_deg=point_deg,
        through=made.through,
        both=both,
        start=start,
        inside=tuple(cut.id for cut in inside),
        tilt_deg=tilt_deg,
        direction_deg=direction_deg,
        pins=from_pins(piece, at[0], at[1]) if face is not Face.EDGE else (),
        edge=edge_place(piece, at, way) if face is Face.EDGE else None,
        before=before(void, piece),
        countersink=role.countersink,
        wood=wood_left(shown, piece, made.through),
        notes=(*notes, *([MARKED.format(void.part)] if void.guessed else [])),
    )


def _upright(void: Void, bore: Bore, piece: Workpiece) -> tuple[Point3, Point3, float, float]:
    """Of a hole that stands square to its face: its place in the plain face, its way, how deep it
    goes from there, and how far under the face it begins."""
    (x, y, _), deep = bore.start, piece.thickness
    ends = depth_of(void, deep), under_face(void, deep)
    if void.face is Face.BACK:
        return (x, y, -deep), (0.0, 0.0, 1.0), *ends
    return (x, y, 0.0), (0.0, 0.0, -1.0), *ends


def _slanted(face: Face, bore: Bore, piece: Workpiece) -> tuple[Point3, Point3, float, float]:
    """The same of a hole at an angle, or from the edge, from where its axis enters the board or
    starts in a cut; how far under its face that is where it is in a cut."""
    along = entry(bore, piece.skin)
    x, y, z = bore.at(np.array([along]))[0].tolist()
    level = -piece.thickness if face is Face.BACK else 0.0
    under = abs(z - level) if along <= 0.0 and face is not Face.EDGE else 0.0
    return (x, y, z), bore.direction, bore.shoulder - along, under


def _fit(void: Void) -> HoleFit:
    """What a hole is for, by its operation alone."""
    fits = {
        Operation.PILOT: HoleFit.PILOT,
        Operation.CHANNEL: HoleFit.WAY,
        Operation.POST: HoleFit.PRESS,
    }
    return fits.get(void.operation, HoleFit.PLAIN)


def _on_one_centre(found: Sequence[Hole]) -> list[Hole]:
    """The holes of a piece, each told of those on its axis that touch it: the widest is drilled
    first, while the wood in its middle still guides its bit."""
    shared: dict[str, set[str]] = {hole.id: set() for hole in found}
    for one, two in combinations(found, 2):
        if _on_axis(one, two):
            shared[one.id].add(two.id)
            shared[two.id].add(one.id)
    by_id = {hole.id: hole for hole in found}
    made = []
    for hole in found:
        wider = [one for k in sorted(shared[hole.id]) if (one := by_id[k]).diameter > hole.diameter]
        after = tuple(one.id for one in wider if one.face is hole.face)
        half = tuple(one.id for one in wider if one.face is not hole.face and hole.both)
        own = tuple(sorted(shared[hole.id]))
        made.append(replace(hole, shares=own, after=after, half_after=half))
    return made


def _on_axis(one: Hole, two: Hole) -> bool:
    """Whether two holes stand on one axis and touch along it."""
    (ax, ay, az), (bx, by, bz) = one.way, two.way
    same = ax * bx + ay * by + az * bz
    if abs(abs(same) - 1.0) > 1e-9:
        return False
    dx, dy, dz = (b - a for a, b in zip(one.at, two.at))
    along = dx * ax + dy * ay + dz * az
    if math.dist((dx, dy, dz), (along * ax, along * ay, along * az)) > ON_AXIS:
        return False
    turn = math.copysign(1.0, same)
    first, last = sorted((along + turn * two.begin, along + turn * two.full))
    return first <= one.full + HELD and last >= one.begin - HELD


def _turn(hole: Hole) -> tuple[int, tuple[float, bool, float]]:
    """When in its set-up a hole is drilled: by drill, but behind the wider ones on its centre."""
    return len(hole.after), hole.drill_key


def _tagged(bare: Sequence[Hole]) -> Iterator[Hole]:
    """The holes with their tags: a letter for each drill, the thinnest first, and a number."""
    keys = sorted({hole.drill_key for hole in bare})
    letters = {key: letter(k) for k, key in enumerate(keys)}
    count = dict.fromkeys(keys, 0)
    tags: dict[str, str] = {}
    for hole in bare:
        count[hole.drill_key] += 1
        tags[hole.id] = f"{letters[hole.drill_key]}{count[hole.drill_key]}"
    for hole in bare:
        named = hole.shares, hole.after, hole.half_after
        shares, after, half = (tuple(tags[name] for name in ids) for ids in named)
        tag = tags[hole.id]
        yield replace(hole, tag=tag, shares=shares, after=after, half_after=half)


def letter(k: int) -> str:
    """The letter or letters of the k-th drill, from 0."""
    more, last = divmod(k, len(LETTERS))
    return (letter(more - 1) if more else "") + LETTERS[last]
