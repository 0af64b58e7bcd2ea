"""The figures of one laid-out body, and the same by libraries that share no code with ours.

Distances by manifold3d between meshes (of chords within FINE mm), positions by arithmetic on the
instrument's plain numbers, volumes by manifold3d, areas of the DXF files as GDAL reads them, the
GLB's mesh as trimesh reads it."""

from __future__ import annotations

import math
import tempfile
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import numpy as np
import shapely

from bodycad.checks.report import Report
from tests.oracle.judge.place import Seated, joint_pocket, string, wanted
from tests.oracle.judge.solids import Block, Hole, Sweep, polygon, shape
from tests.oracle.judge.wood import EDGE, IN, NAMES, RIM_BACK, RIM_FRONT, Skin, Wood

FINE = 0.001
FAR = 14.0
"""mm: a gap of more is not measured."""
WIDE, CLOSE = 0.6, 0.04
PLAIN = 0.3
"""mm: a breakout of less is not plain: an arched rim begins with next to no depth."""
CUTS = 3
"""So many cuts of a body are taken alone."""

TOLERANCE = {
    "wall": 0.01,
    "floor": 0.01,
    "edge": 0.01,
    "breakout": 0.0,
    "string": 1e-6,
    "pole": 1e-6,
    "saddle height": 0.02,
    "volume": 2e-4,
    "cut volume": 2e-3,
    "DXF area": 1e-4,
    "GLB volume": 5e-4,
}
"""The largest difference that passes, by kind: mm, and relative for volumes and areas. A breakout
is a yes or a no; a volume's slabs at the edge, and the GLB's chords of 0.05 mm, make the rest."""


@dataclass(frozen=True)
class Pair:
    """One figure twice."""

    kind: str
    what: str
    ours: float
    theirs: float
    bound: float = 0.0

    @property
    def off(self) -> float:
        """How far the two are apart, beyond our own stated bound."""
        if self.kind in ("volume", "cut volume", "DXF area", "GLB volume"):
            return abs(self.ours - self.theirs) / max(abs(self.theirs), 1.0)
        return max(abs(self.ours - self.theirs) - self.bound, 0.0)

    def __str__(self) -> str:
        return f"{self.what}: ours {self.ours:.6g}, theirs {self.theirs:.6g}"


def pairs(report: Report, volumes: bool = True, glb: bool = False) -> Iterator[Pair]:
    """Every figure of a report that another library can give; `volumes` and `glb` take longer."""
    layout = report.layout
    wood = Wood(layout.body)
    yield from _gaps(report, Skin(layout.body.skin, sagitta=FINE))
    yield from _breakouts(report, wood)
    yield from _strings(report, wood)
    yield from _drawings(layout)
    if volumes or glb:
        wood = Wood(layout.body, Skin(layout.body.skin, slices=10, sagitta=0.004))
    if volumes:
        yield from _volumes(layout, wood)
    if glb:
        yield from _mesh(layout, wood)


def _gaps(report: Report, skin: Skin) -> Iterator[Pair]:
    """Walls, floors and edges between the two solids that a finding names."""
    for one in report.findings:
        if one.check not in ("wall", "floor", "edge") or one.piece != "body":
            continue
        if one.value is None or one.between is None or not 0.0 < one.value < FAR - 1.0:
            continue
        if one.at is None or not _level(one.at, skin):
            continue
        a, b = one.between
        what = f"{one.code} {' / '.join(map(str, one.subjects))}"
        first = shape(a, FINE)
        if isinstance(b, str):
            face = str(b)
            if face == "edge" and _plain(first, skin):
                theirs = to_side(first, skin)
            elif face in ("front", "back"):
                theirs = to_face(first, skin, face)
            else:
                continue
        else:
            theirs = float(first.solid().min_gap(shape(b, FINE).solid(), FAR))
        yield Pair(one.check, what, float(one.value), theirs, float(one.bound))


def _level(at: Any, skin: Skin) -> bool:
    """Whether both witnesses lie between the plain faces: a slanted hole's lead runs on in the air,
    where no wood is measured."""
    return all(-skin.thickness - 0.01 <= spot[2] <= 0.01 for spot in at)


def _plain(one: Block | Hole, skin: Skin) -> bool:
    """Whether the side is the same all round, and the solid one whose distances are exact."""
    follows = any(skin.follows[f] and skin.names[f] for f in skin.edges)
    return not follows and not (isinstance(one, Block) and any(one.slope))


def to_face(one: Block | Hole | Sweep, skin: Skin, face: str) -> float:
    """mm from a solid to the plain plane of a face."""
    box = one.box
    return float(-box[1, 2]) if face == "front" else float(box[0, 2] + skin.thickness)


def to_side(one: Block | Hole, skin: Skin) -> float:
    """mm from a solid to the air beside the body, side and edge treatments: the least distance of
    points of that surface, first WIDE and then, near the best, CLOSE apart."""
    box = one.box
    points = _beside(skin, box + [[-FAR], [FAR]], WIDE)
    if not len(points):
        return math.inf
    away = distance(one, points)
    spot = points[int(away.argmin())]
    near = _beside(skin, np.array([spot - 1.5 * WIDE, spot + 1.5 * WIDE]), CLOSE)
    return float(min(away.min(), distance(one, near).min() if len(near) else math.inf))


def _beside(skin: Skin, box: np.ndarray, spacing: float) -> np.ndarray:
    """Points of the side and of the edge treatments within a box (2, 3)."""
    drops, chains = {}, []
    for face, chain in skin.edges.items():
        drops[face] = 0.0 if chain is None else float(chain[:, 1].max())
        if chain is not None:
            rows = _spaced(chain, spacing)
            z = -rows[:, 1] if face == "front" else rows[:, 1] - skin.thickness
            chains.append(np.column_stack([rows[:, 0], z]))
    low, high = drops["back"] - skin.thickness, -drops["front"]
    side = np.arange(low, high + spacing, spacing).clip(low, high)
    chains.append(np.column_stack([np.zeros(len(side)), side]))
    rows = np.vstack(chains)
    rows = rows[(rows[:, 1] >= box[0, 2]) & (rows[:, 1] <= box[1, 2])]
    window = shapely.box(*box[0, :2], *box[1, :2])
    found = [np.zeros((0, 3))]
    for s in np.unique(rows[:, 0]):
        plan = skin.plan.buffer(-s, quad_segs=200) if s else skin.plan
        ring = shapely.boundary(plan).intersection(window)
        line = shapely.get_coordinates(shapely.segmentize(ring, spacing))
        for z in rows[rows[:, 0] == s, 1]:
            found.append(np.column_stack([line, np.full(len(line), z)]))
    return np.vstack(found)


def _spaced(chain: np.ndarray, spacing: float) -> np.ndarray:
    """Points (m, 2) along an open chain."""
    line = shapely.segmentize(shapely.LineString(chain), spacing)
    return shapely.get_coordinates(line)


def distance(one: Block | Hole, points: np.ndarray) -> np.ndarray:
    """mm (m,) from points to a level block or a hole; exact but for the chords of its plan."""
    if isinstance(one, Block):
        flat = shapely.distance(one.plan, shapely.points(points[:, :2]))
        z = points[:, 2]
        return np.hypot(flat, z - z.clip(one.low, one.high))
    # A hole is its own half section turned round the axis, so the nearest point lies in the half
    # plane through the point and the axis.
    t = (points - one.start) @ one.way
    r = np.linalg.norm(points - one.start - t[:, None] * one.way, axis=1)
    full = one.length - one.tip
    half = shapely.Polygon([(0, 0), (0, one.radius), (full, one.radius), (one.length, 0)])
    return shapely.distance(half, shapely.points(np.column_stack([t, r])))


def _breakouts(report: Report, wood: Wood) -> Iterator[Pair]:
    """Whether a void leaves the wood on a face that it does not open; only where it plainly does or
    plainly does not."""
    said = {
        f.subjects[0]: abs(f.value or 0.0)
        for f in report.findings
        if f.check == "breakout" and f.subjects
    }
    for cut in wood.cuts.values():
        # Where a contour has taken the edge off, which of the two a hole leaves by is a word only.
        low, high = cut.shape.box
        if any((low <= s.box[1]).all() and (high >= s.box[0]).all() for s in wood.skin.sweeps):
            continue
        points, out = cut.shape.sampled(1.5)
        deep, clear = (_comes_out(wood, cut.opens, points + by * out) for by in (-0.2, 0.2))
        if deep == clear and not said.get(cut.id, 1.0) < PLAIN:
            yield Pair("breakout", f"breakout {cut.id}", float(cut.id in said), float(deep))


def _comes_out(wood: Wood, opens: frozenset[str], points: np.ndarray) -> bool:
    where = wood.skin.where(points)
    if "edge" in opens:
        bad = [c for c, n in NAMES.items() if c <= EDGE and n not in opens]
        return bool(np.isin(where, bad).any())
    rim = (where == RIM_FRONT) | (where == RIM_BACK) | (where == EDGE)
    face = np.array([w != IN and NAMES[int(w)] not in opens for w in where])
    return bool((rim | face).any())


def _strings(report: Report, wood: Wood) -> Iterator[Pair]:
    """Margins at the last fret, poles against strings, heights at the saddles."""
    layout = report.layout
    want = wanted(layout.instrument)
    values = {f.identity: f for f in report.findings}
    saddles = sorted(
        (r for r in layout.interfaces if type(r).__name__ == "Saddle"), key=lambda s: s.at[1]
    )
    ends = [_bears(layout, saddle, k) for k, saddle in enumerate(saddles)]

    def across(k: int, x: float) -> float:
        """y of string k + 1 at x, from its slot in the nut to where it bears."""
        (x0, y0), y1 = ends[k], want.nuts[k]
        return float(y0 + (y1 - y0) * (x - x0) / (want.scale - x0))

    for k, side in ((0, -1.0), (len(want.nuts) - 1, 1.0)):
        one = values.get(("string-margin", (f"string.{k + 1}",)))
        if one is None:
            continue
        theirs = want.half_board(want.last_fret) - side * across(k, want.last_fret)
        yield Pair("string", f"margin of string {k + 1}", float(one.value), theirs)
    worst: dict[str, float] = {}
    for poles in (r for r in layout.interfaces if type(r).__name__ == "Poles" and not r.bar):
        spots = sorted((tuple(map(float, p)) for p in poles.points), key=lambda p: p[1])
        off = max(abs(y - across(k, x)) for k, (x, y, _) in enumerate(spots))
        worst[poles.part] = max(worst.get(poles.part, 0.0), off)
    for one in report.findings:
        if one.code == "pole-offset" and one.value is not None:
            part = one.subjects[0]
            yield Pair("pole", f"poles of {part}", float(one.value), worst[part])
    joint = joint_pocket(layout, wood)
    if joint is None:
        return
    seated = Seated(want, joint[1])
    for k, word in ((0, "treble"), (len(want.nuts) - 1, "bass")):
        one = next((f for f in report.findings if f.code == f"stack.{word}"), None)
        if one is None or one.at is None:
            continue
        (x, y, _), (_, _, z) = one.at
        theirs = float(string(want, seated, k, np.array([x, y])).end[2])
        yield Pair("saddle height", f"height of string {k + 1}", float(z), theirs)


def _bears(layout: Any, saddle: Any, k: int) -> tuple[float, float]:
    """Where a string bears on its saddle: its set-back behind the scale line, a figure of the
    strings that tests of its own hold, as near as the saddle travels."""
    (x, y, _), (ax, ay, _) = saddle.at, saddle.along
    back = float(layout.instrument.setbacks[k].value)
    line = layout.instrument.bridge_spread * (k / (len(layout.instrument.strings) - 1) - 0.5)
    nut = wanted(layout.instrument).nuts[k]
    wish = line - back * (nut - line) / wanted(layout.instrument).scale
    u = min(max((-back - x) * ax + (wish - y) * ay, -saddle.behind), saddle.ahead)
    return float(x + u * ax), float(y + u * ay)


def _volumes(layout: Any, wood: Wood) -> Iterator[Pair]:
    from bodycad.layout.tool import tool_shapes
    from bodycad.layout.volume import body_figures, wood_removed

    yield Pair("volume", "the body", body_figures(layout.body).volume, wood.solid.volume())
    reach = max((c[0, 0] for c in wood.skin.edges.values() if c is not None), default=0.0)
    tools, kept = tool_shapes(layout.body), {}
    for name, cut in wood.cuts.items():
        box = cut.shape.box
        corners = np.array([(x, y) for x in box[:, 0] for y in box[:, 1]])
        # The tool runs on into what a cut meets; and near the edge the slabs' steps count.
        if not cut.meets and wood.skin.inset(corners).min() > reach + 1.0 and len(kept) < CUTS:
            kept[name] = tools[name]
    for name, ours in wood_removed(layout.body, kept).items():
        fine = shape(layout.body.by_id[name].shape, FINE / 4.0).solid()
        theirs = (wood.skin.solid ^ fine).volume()
        yield Pair("cut volume", name, ours, theirs)


def _drawings(layout: Any) -> Iterator[Pair]:
    """Areas of the upright cuts of both faces, layer by layer, as GDAL reads the DXF files."""
    import pyogrio
    from pyogrio.raw import read

    from bodycad.exports.dxf.document import write

    pyogrio.set_gdal_config_options({"OGR_ARC_STEPSIZE": "0.1"})
    with tempfile.TemporaryDirectory() as folder:
        for face in ("front", "back"):
            path = write(layout.body, face, Path(folder) / f"{face}.dxf")
            meta, _, geometry, fields = read(path)
            layers = fields[list(meta["fields"]).index("Layer")]
            areas = [shapely.Polygon(line).area for line in shapely.from_wkb(geometry)]
            for void in layout.body.voids:
                if void.face != face or hasattr(void.shape, "direction"):
                    continue
                ours = shapely.Polygon(polygon(np.asarray(void.shape.profile.vertices), 1e-6)).area
                near = [a for n, a in zip(layers, areas) if n.startswith(f"{face.upper()}_")]
                theirs = min(near, key=lambda a: abs(a - ours), default=math.nan)
                yield Pair("DXF area", f"{face} {void.id}", theirs, ours)
    pyogrio.set_gdal_config_options({"OGR_ARC_STEPSIZE": None})


def _mesh(layout: Any, wood: Wood) -> Iterator[Pair]:
    """The body's GLB as trimesh reads it: one closed mesh, its volume in m3."""
    import trimesh

    from bodycad.solid.body import NamedSolid, body_solid
    from bodycad.solid.glb import write_glb

    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "body.glb"
        write_glb([NamedSolid("body", (0.8, 0.6, 0.4, 1.0), body_solid(layout))], path, "random")
        scene = trimesh.load(path)
        mesh = trimesh.util.concatenate(list(scene.geometry.values()))
        mesh.merge_vertices(merge_norm=True)
        theirs = wood.solid.volume()
        yield Pair("GLB volume", "the body", float(mesh.volume) * 1e9, theirs)
