"""The report as one JSON document, for other programs to read.

Lengths in mm, areas in mm2, volumes in mm3, mass in kg. Every number is finite; a figure that does
not exist is null, and the same object's "text" says why.
"""

from __future__ import annotations

import json
import math
from collections.abc import Sequence
from typing import Any

from bodycad.checks.finding import Finding
from bodycad.checks.report import Report
from bodycad.checks.wood.before import before
from bodycad.errors import harmless
from bodycad.exports.cautions import of_design
from bodycad.exports.coordinates import script, wood
from bodycad.geometry.solids.skin import Contour
from bodycad.layout.layout import Layout
from bodycad.layout.void import Void
from bodycad.layout.volume import BodyFigures, body_figures
from bodycad.layout.workpiece import Workpiece
from bodycad.making.leads import wire_rows
from bodycad.making.upright import depth_of
from bodycad.making.work import drilled
from bodycad.safety import ADVICE
from bodycad.units import Dimension
from bodycad.version import VERSION

FIGURES = ("area", "volume", "mass", "centroid")


def json_text(report: Report, figures: Sequence[BodyFigures] = ()) -> str:
    """The document as text: ASCII, two-space indent, a newline at the end; equal reports give equal
    text.

    `figures`: those of each workpiece where they are known already.
    """
    return dumped(json_report(report, figures))


def dumped(document: dict[str, Any]) -> str:
    """A JSON document as such a text, which every reader of JSON takes: what no file can hold
    stands in it as an escape."""
    return json.dumps(_fit(document), indent=2, allow_nan=False) + "\n"


def _fit(value: Any) -> Any:
    if isinstance(value, str):
        return harmless(value)
    if isinstance(value, dict):
        return {_fit(key): _fit(one) for key, one in value.items()}
    return [_fit(one) for one in value] if isinstance(value, (list, tuple)) else value


def json_report(report: Report, figures: Sequence[BodyFigures] = ()) -> dict[str, Any]:
    """The document as plain values."""
    layout = report.layout
    figures = figures or tuple(map(body_figures, layout.pieces))
    found = {
        "design": layout.name,
        "units": "mm",
        "version": VERSION,
        "revision": layout.revision,
        "coordinates": {
            "left_handed": layout.left_handed,
            "wood": wood(layout),
            "script": script(layout) or None,
        },
        "parameters": {name: _value(value) for name, value in layout.parameters.items()},
        "verdict": report.verdict,
        "findings": [finding_json(one, report) for one in report.findings],
        "dimensions": [_dimension(one, report) for one in report.dimensions],
        "cuts": [
            row | {"piece": piece.id}
            for piece in layout.pieces
            for row in (
                *(_void(void, piece, layout) for void in piece.voids),
                *map(_contour, piece.skin.contours),
            )
        ],
        "body": _fields(figures[0], FIGURES),
        "pieces": [_piece(*row) for row in zip(layout.pieces, figures, strict=True)],
    }
    found["wires"] = wire_rows(layout)
    found["safety"] = safety(layout)
    if report.chance is not None:
        found["chance"] = {
            "bodies": report.chance.bodies,
            "all": _value(report.chance.all),
            "errors": report.chance.shop_errors,
            "sizes": report.chance.sizes,
            "tighten": [
                _fields(one, ("what", "tolerance", "unit", "gain")) for one in report.chance.tighten
            ],
        }
    if report.unwatched is not None:
        names = ("number", "value", "still", "why")
        found["unwatched"] = [_fields(one, names) for one in report.unwatched]
    return found


def safety(layout: Layout) -> list[dict[str, str]]:
    """The cautions that concern a design, after where they end."""
    rows = [{"topic": "General", "brief": ADVICE, "caution": ADVICE}]
    return rows + [
        {"topic": one.danger, "brief": one.brief, "caution": one.words} for one in of_design(layout)
    ]


def _fields(thing: Any, names: Sequence[str]) -> dict[str, Any]:
    return {name: _value(getattr(thing, name)) for name in names}


def _piece(piece: Workpiece, figures: BodyFigures) -> dict[str, Any]:
    """A workpiece; its cuts and centroid are in its own frame, which `frame` places."""
    frame = piece.frame
    return {
        "id": piece.id,
        "title": piece.title or piece.id,
        "part": piece.part or None,
        "thickness": _value(piece.thickness),
        **_fields(figures, FIGURES),
        "frame": {
            "origin": _value((frame.x, frame.y, frame.z)),
            **_fields(frame, ("turn_deg", "turned_over")),
        },
    }


def finding_json(one: Finding, report: Report) -> dict[str, Any]:
    """A finding; its chance is null where it has no failing limit, was not asked or appeared only
    in the kernel."""
    names = ("value", "bound", "limit", "warn", "margin", "deviations", "bands")
    figures = _fields(one, names)
    odd = any(isinstance(getattr(one, name), float) and figures[name] is None for name in names)
    found = {
        **_fields(one, ("check", "code", "status", "subjects")),
        **figures,
        **_fields(one, ("unit", "at")),
        "text": f"{one.text} (a figure is not finite)" if odd else one.text,
        **_fields(one, ("cure", "limit_source")),
    }
    more = {
        "proof": _value(one.proof),
        "waiver": one.waiver or None,
        "set": dict([one.change]) if one.change else None,
    }
    found |= {name: value for name, value in more.items() if value is not None}
    return found if report.chance is None else found | _fields(one, ("chance", "worst"))


def _dimension(one: Dimension, report: Report) -> dict[str, Any]:
    """A size; how far it may be off (in its unit) and the finding that fails then, where that was
    worked out."""
    found = _fields(one, ("part", "name", "value", "unit", "origin", "tolerance"))
    if one.claim is not None:
        found["claim"] = _value(one.claim)
    for h in [h for h in report.measure or () if (one.part, one.name) in h.names][:1]:
        found["may_be_off"] = _value(h.may_be_off)
        found["decides"] = _fields(h.finding, ("check", "subjects"))
    return found


def _void(void: Void, piece: Workpiece, layout: Layout) -> dict[str, Any]:
    """A cut at its place in the wood. `depth` counts as in the cut list, of a hole at full
    diameter; `depth_to_tip` to the tip of a drill with `point_deg`, 180 where its floor is flat.
    `before`: the contours that lower the face it is measured from."""
    shape, hole = void.shape, void.shape.hole
    x0, y0, _, x1, y1, _ = shape.box
    found = {
        "id": void.id,
        "face": void.face,
        "kind": "bore" if hole else "prism",
        "operation": void.operation,
        "z": _value((void.low, void.high)),
        "area": math.pi * hole.radius**2 if hole else _value(shape.plan.area),
        "volume": _value(shape.volume),
        "box": _value((x0, y0, x1, y1)),
    }
    found["depth"] = _value(depth_of(void, piece.thickness))
    found["before"] = _value(before(void, piece))
    deep = drilled(void, piece, layout)
    if deep is None:
        return found
    sizes = ("start", "direction", "diameter", "length", "tip_deg")
    drill = {"depth": deep.full, "depth_to_tip": deep.tip, "point_deg": deep.point_deg}
    return found | _fields(hole, sizes) | drill | {"through": deep.through}


def _contour(contour: Contour) -> dict[str, Any]:
    x0, y0, z0, x1, y1, z1 = contour.carve.box
    return {
        "id": contour.id,
        "face": contour.face,
        "kind": "contour",
        "operation": "CONTOUR",
        "z": _value((z0, z1)),
        "area": None,
        "volume": None,
        "box": _value((x0, y0, x1, y1)),
        "text": "z and box are those of the whole sweep, most of it in air; area and volume of the "
        "wood it takes depend on the outline and the other cuts and are counted in body.volume",
    }


def _value(value: Any) -> Any:
    """A plain JSON value: finite numbers, text, booleans, lists; anything else as its repr."""
    if value is None or isinstance(value, (bool, str)):
        return value
    if isinstance(value, int):
        return int(value)
    if isinstance(value, float):
        return float(value) + 0.0 if math.isfinite(value) else None
    if isinstance(value, (tuple, list)):
        return [_value(one) for one in value]
    return repr(value)
