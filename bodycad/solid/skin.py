"""The outside of the body as a solid: the slab with its edges, the contours, the ledges that follow
them."""

from __future__ import annotations

import math
from collections.abc import Iterator

import numpy as np

from bodycad.errors import SolidError
from bodycad.geometry.plane.arrange import joined
from bodycad.geometry.plane.boolean import intersection
from bodycad.geometry.plane.offset import offset
from bodycad.geometry.plane.profile import Profile, profile
from bodycad.geometry.plane.segments import Segments
from bodycad.geometry.solids.carve import rectangle_between
from bodycad.geometry.solids.edge import Edge
from bodycad.geometry.solids.skin import Skin
from bodycad.geometry.solids.stretch import Run, Stretch, inward, room_outside
from bodycad.layout.tool import OVER
from bodycad.layout.volume import edged_volume, skin_volume
from bodycad.solid import kernel, occ
from bodycad.solid.due import OUTSIDES_AGREE
from bodycad.solid.slab import slab
from bodycad.solid.touch import shares
from bodycad.solid.treated import Span
from bodycad.solid.ways import Made, Way, cut
from bodycad.words import SIDES, Face

NEEDLE = 5e-4
"""How near (mm) an arc that stands upright comes to the axis it turns about."""
AGREE = 1e-6
"""Largest relative disagreement of the slab with its edges from the layout's own sum."""
SHIFT = 2e-3
"""A stretch that ends nearer than this (mm) to a joint of the outline ends at the joint."""


def skin_solid(skin: Skin) -> occ.Solid:
    """The body before any void.

    Raises SolidError naming the edge and the place that cannot be made, or the contour that breaks
    the body."""
    due = skin_volume(skin)
    return outside_by_ways(edged_slab(skin), skin, due, OUTSIDES_AGREE * due).solid


def outside(slab: occ.Solid, skin: Skin) -> occ.Solid:
    """The slab with its edges less the contours, and the ledges that follow them."""
    name, tools = _contours(skin)
    return bent(kernel.sound(kernel.cut(slab, tools, name), name, "cut"), skin) if tools else slab


def outside_by_ways(slab: occ.Solid, skin: Skin, due: float, allowed: float) -> Made:
    """The same, made in the way that leaves `due` mm3 within `allowed`."""
    name, tools = _contours(skin)
    if not tools:
        return Made(slab, Way(), ())

    def finish(made: occ.Shape) -> occ.Solid:
        return bent(kernel.sound(made, name, "cut"), skin)

    return cut(slab, tools, name, due, allowed, finish)


def _contours(skin: Skin) -> tuple[str, list[tuple[str, occ.Solid]]]:
    """Their names in words, and their tools."""
    tools = [(contour.id, kernel.solid_of(contour.carve, contour.id)) for contour in skin.contours]
    return "contours " + ", ".join(contour.id for contour in skin.contours), tools


def edged_slab(skin: Skin) -> occ.Solid:
    """The slab with its edges, before contours, ledges that follow them and voids.

    Its faces are made one by one. Cut afterwards are only a stretch that begins where another one
    of its face ends, for their sections may cross there; and an edge that meets itself where the
    body is narrow."""
    made: dict[Face, tuple[Run, ...]] = {}
    for face in SIDES:
        edge = skin.edge(face)
        whole = (Run(edge, skin.outline.segments, True),) if edge.drop else ()
        made[face] = whole or _beside(skin, face)
    why = ""
    try:
        body = _faced(skin, made)
    except SolidError as err:
        why, made = str(err), dict.fromkeys(SIDES, ())
        body = _faced(skin, made)
    for face in SIDES:
        edge = skin.edge(face)
        rest = [run for run in skin.runs(face) if run not in made[face]]
        if edge.drop and not made[face]:
            rest = [Run(edge, skin.outline.segments, True)]
        for run in rest:
            made[face] += (run,)
            body = _swept(body, skin, face, run, _sum(skin, made), why)
    return body


def _faced(skin: Skin, runs: dict[Face, tuple[Run, ...]]) -> occ.Solid:
    chain, spans = _spans(skin, runs)
    with kernel.step("the slab with its edges"):
        body = slab(chain, skin.thickness, spans[Face.FRONT], spans[Face.BACK])
    body = kernel.sound(body, "the slab with its edges", f"{len(chain)} pieces of outline")
    due = _sum(skin, runs)
    if not kernel.holds(body, due, AGREE * due):
        got = kernel.volume(body)
        raise SolidError(f"its faces hold {got:.1f} mm3 where {due:.1f} mm3 are due")
    return body


def _sum(skin: Skin, runs: dict[Face, tuple[Run, ...]]) -> float:
    """The layout's own volume (mm3) of the slab with the edges of these runs alone."""
    sides: list[Edge | tuple[Stretch, ...]] = []
    for face in SIDES:
        own = runs[face]
        if own and own[0].closed:
            sides.append(own[0].edge)
        else:
            ends = [(r.chain.a[0].tolist(), r.chain.b[-1].tolist()) for r in own]
            found = (Stretch(r.edge, (a, b), (c, d)) for r, ((a, b), (c, d)) in zip(own, ends))
            sides.append(tuple(found))
    front, back = sides
    return edged_volume(Skin(skin.outline, skin.thickness, front, back))


def _beside(skin: Skin, face: Face) -> tuple[Run, ...]:
    """The runs of a face but for those that touch one taken before them."""
    found: list[Run] = []
    for run in skin.runs(face):
        ends = [end for one in found for end in (one.chain.a[0], one.chain.b[-1])]
        own = run.chain.a[0], run.chain.b[-1]
        if all(math.dist(p, q) > SHIFT for p in own for q in ends):
            found.append(run)
    return tuple(found)


def _spans(
    skin: Skin, runs: dict[Face, tuple[Run, ...]]
) -> tuple[Segments, dict[Face, tuple[Span, ...]]]:
    """The outline parted at the ends of the runs, and what of it has which edge."""
    s = skin.outline.segments
    parts = [run.chain for own in runs.values() for run in own if not run.closed]
    ends = [p for part in parts for p in (part.a[0], part.b[-1])]
    chain = _parted(s, np.array(ends)) if ends else s
    n = len(chain)

    def place(spot: np.ndarray) -> int:
        return int(np.hypot(*(chain.a - spot).T).argmin())

    spans = {}
    for face in SIDES:
        own = []
        for run in runs[face]:
            if run.closed:
                own.append(Span(run.edge, 0, n, True))
                continue
            first, last = place(run.chain.a[0]), place(run.chain.b[-1])
            own.append(Span(run.edge, first, (last - first - 1) % n + 1, False))
        spans[face] = tuple(own)
    return chain, spans


def _parted(s: Segments, spots: np.ndarray) -> Segments:
    """The chain with joints at `spots` (m, 2) on it, where none stands within SHIFT."""
    _, foot, index = s.nearest(spots)
    share = shares(s.take(index), foot)
    found = []
    for k in range(len(s)):
        marks, last = [0.0], 0.0
        for t in sorted(share[index == k]):
            if min(t - last, 1.0 - t) * s.length[k] > SHIFT:
                marks.append(last := float(t))
        low, high = np.array(marks), np.array([*marks[1:], 1.0])
        own = s.take(np.full(len(marks), k))
        joints = np.vstack([own.at(low), s.b[k : k + 1]])
        joints[0] = s.a[k]
        bulge = np.tan(np.arctan(s.bulge[k]) * (high - low))
        found.append(Segments(joints[:-1], joints[1:], bulge))
    return joined(found)


def bent(body: occ.Solid, skin: Skin) -> occ.Solid:
    """The body less what ledges that follow contours take under them: the band of the ledge within
    the contour's carve, shifted down by the ledge's height."""
    tools = []
    for shelf in skin.shelves:
        if shelf.carve is not None:
            name = f"the {shelf.face} ledge under {shelf.contour}"
            low, high = shelf.carve.box[2], shelf.carve.box[5]
            depth = -low if shelf.face is Face.FRONT else high + skin.thickness
            solid = kernel.solid_of(shelf.carve, name)
            for band in _band(skin, shelf.run, shelf.face, depth, name):
                with kernel.step(name):
                    tools += [(name, piece) for piece in band.intersect(solid).Solids()]
    if not tools:
        return body
    return kernel.sound(kernel.cut(body, tools, "ledges under contours"), "ledges", "after the cut")


def _band(skin: Skin, run: Run, face: Face, depth: float, name: str) -> list[occ.Solid]:
    """The band of a ledge as solids, from outside the outline and past the face to `depth` mm under
    it."""
    reach = run.edge.reach
    base = -depth if face is Face.FRONT else -skin.thickness - OVER
    bands: list[tuple[Profile, tuple[Profile, ...]]]
    if not run.closed:
        bands = [(band, ()) for band in run.bands(reach, OVER)]
    else:
        inner, outer = offset(skin.outline, -reach), offset(skin.outline, OVER)
        if not inner or not outer:
            raise SolidError(f"{name} ({reach:g} mm wide): nothing is left inside it")
        bands = [(outer[0], inner)]
    return [kernel.extruded(*band, kernel.level(base), depth + OVER, name) for band in bands]


def _swept(
    body: occ.Solid, skin: Skin, face: Face, run: Run, due: float, why: str = ""
) -> occ.Solid:
    """The body less the section of an edge, swept along each line of a run and turned about the
    centre of each arc; by the layout's own sum `due` mm3 should be left.

    At a kink that bulges, the sweeps of both sides cross; at one into the body, the section turns
    about the vertex. `why` it is not made face by face, in words."""
    name = f"the {face} {run.edge.words}" + (f" ({why})" if why else "")
    if run.closed and not offset(skin.outline, -run.edge.reach):
        raise SolidError(f"{name}: nothing of the {face} is left inside it")
    tools = [tool for part in run.parts for tool in _sweeps(skin, face, run, part, name)]
    tools += [tool for corner in run.corners for tool in _turned(skin, face, run, *corner, name)]
    made = kernel.sound(kernel.cut(body, [(name, tool) for tool in tools], name), name, "swept")
    if not kernel.holds(made, due, AGREE * skin.outline.area * skin.thickness):
        got = kernel.volume(made)
        raise SolidError(f"{name}: the kernel leaves {got:.1f} mm3 where {due:.1f} mm3 are due")
    return made


def _section(run: Run, over: float) -> Profile:
    """What an edge takes off in (s, height over its face), from `over` mm outside the outline and
    from past the face; with 0 for `over`, from the outline itself."""
    rows = [(s, -depth, bulge) for s, depth, bulge in run.edge.rows]
    out = [(-over, -run.edge.drop), (-over, OVER)] if over else [(0.0, OVER)]
    return profile([*rows, *out, (run.edge.reach, OVER)], "an edge's section")


def _frame(skin: Skin, face: Face, spot: np.ndarray, way: np.ndarray) -> kernel.Frame:
    """The plane of a section at a place of the outline: s runs along `way`, the other axis out of
    the face."""
    up = 1.0 if face is Face.FRONT else -1.0
    origin = (float(spot[0]), float(spot[1]), skin.level(face))
    return kernel.Frame(origin, (float(way[0]), float(way[1]), 0.0), (0.0, 0.0, up))


def _sweeps(skin: Skin, face: Face, run: Run, part: Segments, name: str) -> Iterator[occ.Solid]:
    section = _section(run, min(OVER, room_outside(part)))
    for k in range(len(part)):
        own = part.take(np.array([k]))
        tight = own.bulge[0] > 0.0 and own.radius[0] <= run.edge.reach
        # What lies beyond the centre of a tight bulge is nearer to the pieces beside it.
        cut = _short_of(section, float(own.radius[0])) if tight else section
        plane = kernel.face(cut, (), _frame(skin, face, own.a[0], inward(own, 0.0)[0]))
        with kernel.step(name):
            if own.arc[0]:
                yield _revolved(plane, own.centre[0], float(own.sweep[0]))
            else:
                along = occ.Vector(*map(float, (*(own.b[0] - own.a[0]), 0.0)))
                yield occ.Solid.extrudeLinear(plane, along)


def _short_of(section: Profile, radius: float) -> Profile:
    """The section as far in as the centre of an arc about which it turns."""
    x0, y0, _, y1 = section.box
    (kept, *_) = intersection(section, rectangle_between(x0, radius, y0 - 1.0, y1 + 1.0))
    return kept.outer


def _turned(
    skin: Skin, face: Face, run: Run, spot: np.ndarray, low: float, high: float, name: str
) -> Iterator[occ.Solid]:
    """The section turned about a vertex of the outline that points into the body.

    The kernel refuses an arc that is tangent to the axis it turns about, so such a section begins
    NEEDLE mm from it, and the sweeps beside it run on that far."""
    upright = run.edge.chain.tangent(np.ones(len(run.edge.chain)))[-1, 0] > -0.01
    needle = NEEDLE if upright and run.edge.chain.arc[-1] else 0.0
    rows = _section(run, 0.0).vertices
    section = Profile(np.column_stack([np.maximum(rows[:, 0], needle), rows[:, 1:]]))
    for angle, side in ((low, -1.0), (high, 1.0)):
        way = np.array([math.cos(angle), math.sin(angle)])
        plane = kernel.face(section, (), _frame(skin, face, spot, way))
        with kernel.step(name):
            if angle == low:
                yield _revolved(plane, spot, high - low)
            if needle:
                whole = kernel.face(_section(run, OVER / 10.0), (), _frame(skin, face, spot, way))
                along = 2.0 * NEEDLE * side * np.array([way[1], -way[0]])
                yield occ.Solid.extrudeLinear(whole, occ.Vector(*map(float, (*along, 0.0))))


def _revolved(plane: occ.Face, centre: np.ndarray, turn: float) -> occ.Solid:
    """A plane face turned by `turn` radians about the upright line over `centre`."""
    x, y = map(float, centre)
    axis = occ.Vector(x, y, 0.0), occ.Vector(x, y, 1.0 if turn > 0.0 else -1.0)
    made = occ.Solid.revolve(plane, math.degrees(abs(turn)), *axis)
    return kernel.sound(made, "an edge's turn", f"{math.degrees(turn):.3f} degrees")
