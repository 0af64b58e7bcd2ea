"""<design>-drilling.csv: one row for each drilled hole, written by the csv module (RFC 4180).

The file is read back before it is kept: every bore of the layout must be told exactly once, under a
tag of its own, and what a row says must lead to that bore's far end."""

from __future__ import annotations

import csv
import io
import math
from collections import Counter
from collections.abc import Callable, Iterator, Mapping
from pathlib import Path

from bodycad.checks.wood.drilled import drilled_from
from bodycad.errors import FileError
from bodycad.exports.coordinates import bass_or_treble
from bodycad.geometry.solids.bore import Bore
from bodycad.layout.layout import Layout
from bodycad.layout.void import Void
from bodycad.layout.workpiece import Workpiece
from bodycad.making.heel_holes import heel_holes
from bodycad.making.hole import Hole
from bodycad.making.holes import holes
from bodycad.making.marking import MOST_PINS, way_of
from bodycad.words import Face

CLOSE = 0.01
"""How far from a bore's far end, mm, a row may lead: figures are written to 0.001 mm and 0.0001
degrees."""


def _mm(value: float | None) -> str:
    return "" if value is None else f"{round(value, 3) + 0.0:.3f}"


def _deg(value: float) -> str:
    return f"{round(value, 4) + 0.0:.4f}"


def _yes(value: bool) -> str:
    return "yes" if value else "no"


def _pin(k: int) -> Callable[[Hole], str]:
    return lambda hole: _mm(hole.pins[k]) if k < len(hole.pins) else ""


def _edge(name: str) -> Callable[[Hole], str]:
    shown = _deg if name.endswith("_deg") else _mm
    return lambda hole: shown(getattr(hole.edge, name)) if hole.edge is not None else ""


FIGURES: Mapping[str, Callable[[Hole], str]] = {
    "piece": lambda h: h.piece,
    "face": lambda h: h.face,
    "tag": lambda h: h.tag,
    "hole": lambda h: h.id,
    "part": lambda h: h.part,
    "serves": lambda h: h.serves,
    "fit": lambda h: h.fit,
    "fits_mm": lambda h: _mm(h.fits),
    "bit": lambda h: h.bit,
    "drill_mm": lambda h: _mm(h.drill.diameter if h.drill else None),
    "drill_reach_mm": lambda h: _mm(h.drill.reach if h.drill else None),
    "out_of_chuck_mm": lambda h: _mm(h.out if math.isfinite(h.out) else None),
    "diameter_mm": lambda h: _mm(h.diameter),
    "x_mm": lambda h: _mm(h.xy[0]),
    "y_mm": lambda h: _mm(h.xy[1]),
    "pin_1_mm": _pin(0),
    "pin_2_mm": _pin(1),
    "pin_3_mm": _pin(2),
    "depth_mm": lambda h: _mm(h.full),
    "tip_depth_mm": lambda h: _mm(h.tip),
    "point_deg": lambda h: _deg(h.point_deg),
    "start_depth_mm": lambda h: _mm(h.start),
    "starts_in": lambda h: " ".join(h.inside),
    "through": lambda h: _yes(h.through),
    "from_both_faces": lambda h: _yes(h.both),
    "tilt_deg": lambda h: _deg(h.tilt_deg),
    "direction_deg": lambda h: _deg(h.direction_deg),
    "edge_mm": _edge("along"),
    "edge_straight_mm": _edge("straight"),
    "height_mm": _edge("height"),
    "aside_deg": _edge("aside_deg"),
    "rise_deg": _edge("rise_deg"),
    "wood_x_mm": lambda h: _mm(h.at[0]),
    "wood_y_mm": lambda h: _mm(h.at[1]),
    "wood_z_mm": lambda h: _mm(h.at[2]),
    "same_axis": lambda h: " ".join(h.shares),
    "after": lambda h: " ".join(h.after),
    "second_half_after": lambda h: " ".join(h.half_after),
    "before": lambda h: " ".join(h.before),
    "countersink_mm": lambda h: _mm(h.countersink),
    "wood_left_mm": lambda h: _mm(h.wood.left if h.wood else None),
    "wood_bound_mm": lambda h: _mm(h.wood.bound if h.wood else None),
    "wood_to": lambda h: h.wood.to if h.wood else "",
    "notes": lambda h: "; ".join(h.notes),
}
"""What a row says of a hole, in the order of the columns; units are in the names."""
OF_ALL = ("design", "revision", "hand")
"""Columns that are the same in every row, before the others."""
COLUMNS = (*OF_ALL, *FIGURES, "toward", "count")
"""Every column: `toward`, the direction in words; `count`, how many holes of the piece and face
have this drill and both these depths."""


def csv_text(layout: Layout) -> str:
    """The whole file, lines ending as RFC 4180 wants."""
    made = io.StringIO(newline="")
    writer = csv.DictWriter(made, COLUMNS)
    writer.writeheader()
    writer.writerows(_rows(layout))
    return made.getvalue()


def _rows(layout: Layout) -> Iterator[dict[str, str]]:
    found = holes(layout)
    alike = Counter(_alike(hole) for hole in found)
    for hole in found:
        yield {
            "design": layout.name,
            "revision": layout.revision,
            "hand": f"{layout.hand}-handed",
            **{name: figure(hole) for name, figure in FIGURES.items()},
            "toward": toward(hole, layout),
            "count": str(alike[_alike(hole)]),
        }


def _alike(hole: Hole) -> tuple[object, ...]:
    depths = round(hole.full, 3), round(hole.tip, 3)
    return hole.piece, hole.face, hole.drill_key, round(hole.diameter, 3), *depths


def toward(hole: Hole, layout: Layout) -> str:
    """The direction of a hole in words."""
    up = 1.0 if hole.face is not Face.BACK else -1.0
    return hole.towards(bass_or_treble(layout, up), bass_or_treble(layout, -up))


def write_csv(layout: Layout, path: Path) -> None:
    """Write the table and read it back; FileError where it does not say what the layout drills."""
    path.write_bytes(csv_text(layout).encode("utf-8"))
    verify(path, layout)


def verify(path: Path, layout: Layout) -> None:
    """Hold a table against the layout's own voids and records; FileError names what differs."""
    with path.open(encoding="utf-8", newline="") as stream:
        reader = csv.DictReader(stream, strict=True)
        rows = list(reader)
        if tuple(reader.fieldnames or ()) != COLUMNS:
            raise FileError(f"{path.name} has other columns than a drilling schedule")
    bores = {v.id: (v, p) for p in layout.pieces for v in p.voids if v.shape.hole is not None}
    wanted = [*bores, *(hole.id for hole in heel_holes(layout))]
    told, tags = Counter(row["hole"] for row in rows), Counter(row["tag"] for row in rows)
    for name in sorted({*wanted, *told}):
        if told[name] != wanted.count(name):
            raise FileError(f"{path.name} tells the hole {name} {told[name]} times")
    for tag, count in tags.items():
        if count > 1 or not tag:
            raise FileError(f"{path.name} gives {count} holes the tag {tag!r}")
    for row in rows:
        if row["hole"] in bores:
            void, piece = bores[row["hole"]]
            if row["piece"] != piece.id or Face(row["face"]) is not drilled_from(void, piece):
                words = f"{path.name} tells {void.id} from the {row['face']} of {row['piece']}"
                raise FileError(words)
            away = _astray(row, void, piece)
            if away > CLOSE:
                words = f"{path.name} leads {away:.3f} mm past the end of {void.id}"
                raise FileError(words)


def _astray(row: Mapping[str, str], void: Void, piece: Workpiece) -> float:
    """How far from the bore itself a row leads, mm: by its place as its face shows it, by the end
    that tilt, direction and depth lead to from there, by its point, its height on the edge or its
    distances from the pins, by its diameter."""
    bore = void.shape.hole
    assert bore is not None
    face = Face(row["face"])
    x, y, z = (float(row[f"wood_{axis}_mm"]) for axis in "xyz")
    over = -1.0 if face is Face.BACK else 1.0
    marked = math.hypot(float(row["x_mm"]) - x, over * float(row["y_mm"]) - y)
    tilt_deg, direction_deg = float(row["tilt_deg"]), float(row["direction_deg"])
    way = way_of(tilt_deg, direction_deg, face)
    deep = float(row["depth_mm"])
    led = x + deep * way[0], y + deep * way[1], z + deep * way[2]
    off = [float(row["diameter_mm"]) - bore.diameter]
    if bore.tip > 0.0:
        off.append(float(row["tip_depth_mm"]) - deep - bore.tip)
    if void.face is Face.EDGE:
        off.append(float(row["height_mm"]) - z - piece.thickness)
    elif piece.blank is not None:
        for k, pin in enumerate(piece.blank.pins[:MOST_PINS], 1):
            off.append(float(row[f"pin_{k}_mm"]) - math.hypot(pin.x - x, pin.y - y))
    return max(marked, math.dist(led, _far_end(bore, void.face)), *map(abs, off))


def _far_end(bore: Bore, face: Face) -> tuple[float, float, float]:
    """The middle of a bore's far end at full diameter: the deeper one of an upright bore."""
    (x, y, z), (dx, dy, dz) = bore.start, bore.direction
    ends = [(x + along * dx, y + along * dy, z + along * dz) for along in (0.0, bore.shoulder)]
    if bore.upright and face is not Face.EDGE:
        return (max if face is Face.BACK else min)(ends, key=lambda end: end[2])
    return ends[1]
