"""The report as one JSON document: the contract that other programs read.

Lengths in mm, areas in mm2, volumes in mm3, mass in kg. Every number is finite; a figure that does
not exist is null, and the same object's "text" says why.
"""

from __future__ import annotations

import json
import math
from collections.abc import Sequence
from typing import Any

from bodycad.checks.finding import Finding
from bodycad.checks.outlook import Chance
from bodycad.checks.report import Report
from bodycad.geometry.solids.skin import Contour
from bodycad.layout.void import Void
from bodycad.layout.volume import BodyFigures, body_figures
from bodycad.layout.workpiece import Workpiece
from bodycad.units import Dimension
from bodycad.version import VERSION


def json_text(report: Report, figures: Sequence[BodyFigures] = ()) -> str:
    """The document as text: ASCII, two-space indent, a newline at the end; equal reports give equal
    text.

    `figures`: those of each workpiece where they are known already.
    """
    return json.dumps(json_report(report, figures), indent=2, allow_nan=False) + "\n"


def json_report(report: Report, figures: Sequence[BodyFigures] = ()) -> dict[str, Any]:
    """The document as plain values."""
    layout = report.layout
    figures = figures or tuple(map(body_figures, layout.pieces))
    body = figures[0]
    found = {
        "design": layout.name,
        "units": "mm",
        "version": VERSION,
        "parameters": {name: _value(value) for name, value in layout.parameters.items()},
        "verdict": report.verdict,
        "findings": [_finding(one) | _chances(one, report) for one in report.findings],
        "dimensions": [_dimension(one) | _hanging(one, report) for one in report.dimensions],
        "cuts": [
            row | {"piece": piece.id}
            for piece in layout.pieces
            for row in (*map(_void, piece.voids), *map(_contour, piece.skin.contours))
        ],
        "body": {
            "area": _value(body.area),
            "volume": _value(body.volume),
            "mass": _value(body.mass),
            "centroid": [_value(v) for v in body.centroid],
        },
        "pieces": [_piece(*row) for row in zip(layout.pieces, figures, strict=True)],
    }
    return found if report.chance is None else found | {"chance": _chance(report.chance)}


def _piece(piece: Workpiece, figures: BodyFigures) -> dict[str, Any]:
    """A workpiece; its cuts and centroid are in its own frame, which `frame` places."""
    frame = piece.frame
    return {
        "id": piece.id,
        "title": piece.title or piece.id,
        "part": piece.part or None,
        "thickness": _value(piece.thickness),
        "area": _value(figures.area),
        "volume": _value(figures.volume),
        "mass": _value(figures.mass),
        "centroid": [_value(v) for v in figures.centroid],
        "frame": {
            "origin": [_value(v) for v in (frame.x, frame.y, frame.z)],
            "turn_deg": _value(frame.turn_deg),
            "turned_over": frame.turned_over,
        },
    }


def _chance(one: Chance) -> dict[str, Any]:
    return {
        "bodies": one.bodies,
        "all": _value(one.all),
        "errors": one.shop_errors,
        "sizes": one.sizes,
        "tighten": [
            {
                "what": t.what,
                "tolerance": _value(t.tolerance),
                "unit": t.unit,
                "gain": _value(t.gain),
            }
            for t in one.tighten
        ],
    }


def _chances(one: Finding, report: Report) -> dict[str, Any]:
    """null where a finding has no failing limit, was not asked or appeared only in the kernel."""
    return (
        {} if report.chance is None else {"chance": _value(one.chance), "worst": _value(one.worst)}
    )


def _hanging(one: Dimension, report: Report) -> dict[str, Any]:
    """How far a size may be off (in its unit) and the finding that fails then, where that was
    worked out."""
    found = next((h for h in report.measure or () if (one.part, one.name) in h.names), None)
    if found is None:
        return {}
    return {
        "may_be_off": _value(found.may_be_off),
        "decides": {"check": found.finding.check, "subjects": list(found.finding.subjects)},
    }


def _finding(one: Finding) -> dict[str, Any]:
    figures = {
        name: _value(getattr(one, name)) for name in ("value", "bound", "limit", "warn", "margin")
    }
    text = one.text
    if any(isinstance(getattr(one, name), float) and figures[name] is None for name in figures):
        text = f"{text} (a figure is not finite)"
    found = {
        "check": one.check,
        "code": one.code,
        "status": one.status,
        "subjects": list(one.subjects),
        **figures,
        "unit": one.unit,
        "at": None if one.at is None else [[_value(v) for v in point] for point in one.at],
        "text": text,
        "cure": one.cure,
        "limit_source": one.limit_source,
    }
    more = {
        "proof": _value(one.proof),
        "waiver": one.waiver or None,
        "set": dict([one.change]) if one.change else None,
    }
    return found | {name: value for name, value in more.items() if value is not None}


def _dimension(one: Dimension) -> dict[str, Any]:
    found = {
        "part": one.part,
        "name": one.name,
        "value": _value(one.value),
        "unit": one.unit,
        "origin": one.origin,
        "tolerance": _value(one.tolerance),
    }
    return found if one.claim is None else found | {"claim": _value(one.claim)}


def _void(void: Void) -> dict[str, Any]:
    shape = void.shape
    x0, y0, _, x1, y1, _ = shape.box
    found = {
        "id": void.id,
        "face": void.face,
        "kind": "prism",
        "operation": void.operation,
        "z": [_value(void.low), _value(void.high)],
    }
    rest = {"volume": _value(shape.volume), "box": [_value(v) for v in (x0, y0, x1, y1)]}
    hole = shape.hole
    if hole is None:
        return found | {"area": _value(shape.plan.area)} | rest
    return (
        found
        | {"kind": "bore", "area": math.pi * hole.radius**2}
        | rest
        | {
            "start": [_value(v) for v in hole.start],
            "direction": [_value(v) for v in hole.direction],
            "diameter": _value(hole.diameter),
            "length": _value(hole.length),
            "tip_deg": _value(hole.tip_deg),
        }
    )


def _contour(contour: Contour) -> dict[str, Any]:
    x0, y0, z0, x1, y1, z1 = contour.carve.box
    return {
        "id": contour.id,
        "face": contour.face,
        "kind": "contour",
        "operation": "CONTOUR",
        "z": [_value(z0), _value(z1)],
        "area": None,
        "volume": None,
        "box": [_value(v) for v in (x0, y0, x1, y1)],
        "text": "z and box are those of the whole sweep, most of it in air; area and volume of the "
        "wood it takes "
        "depend on the outline and the other cuts and are counted in body.volume",
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
