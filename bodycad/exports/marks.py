"""Numbers for the findings that fail or warn, and where each one's marker goes on the plans.

The number is the finding's place in the report; the row in the table has the anchor `f<number>`,
the marker on its plan `m<number>`.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from bodycad.checks.finding import Finding
from bodycad.checks.report import Report
from bodycad.exports.svg import View, element, escape, group, line, words

MARKED = ("error", "fail", "warn")
RADIUS = 6.5
"""Radius of a marker, mm on the sheet."""

Point = tuple[float, float]
Box = tuple[float, float, float, float]


@dataclass(frozen=True)
class Mark:
    """A numbered finding; `face` is the plan it is shown on, None when the finding has no place."""

    number: int
    finding: Finding
    face: str | None


def numbered(report: Report) -> tuple[Mark, ...]:
    """Every finding that fails or warns, in the report's order, counted from 1."""
    found = [f for f in report.findings if f.status in MARKED]
    return tuple(Mark(k, f, _face(report, f) if f.at else None) for k, f in enumerate(found, 1))


def _face(report: Report, finding: Finding) -> str:
    """The back where a subject is cut from the back and none from the front, else the front."""
    faces = [
        piece.by_id[s].face.opposite if piece.frame.turned_over else piece.by_id[s].face
        for piece in report.layout.pieces
        for s in finding.subjects
        if s in piece.by_id
    ]
    return "back" if "back" in faces and "front" not in faces else "front"


def markers(marks: Sequence[Mark], view: View, box: Box) -> str:
    """The markers of one plan: a line between the witness points, and a numbered disc that links to
    its row.

    A disc stands beside its place, clear of the others, and keeps a leader to it; discs shrink a
    little where there are many.
    """
    radius = RADIUS if len(marks) <= 20 else 0.8 * RADIUS
    spots = [_spot(mark, view, box) for mark in marks]
    places = _places(spots, radius, box)
    leaders, discs = [], []
    for mark, spot, place in zip(marks, spots, places):
        one, two = (view.point(p[0], p[1]) for p in mark.finding.at or ())
        style = f"mark{'' if radius == RADIUS else ' small'} {mark.finding.status}"
        ends = [line(one, two)] if math.dist(one, two) > 0.05 else []
        foot = element("circle", cx=spot[0], cy=spot[1], r=1.1)
        leaders.append(group([*ends, line(spot, place), foot], class_=style))
        size = radius * (1.25 if mark.number < 100 else 0.95)
        disc = [
            element("title", escape(f"{mark.number}: {mark.finding.check}: {mark.finding.text}")),
            element("circle", cx=place[0], cy=place[1], r=radius),
            words(place[0], place[1] + 0.36 * size, str(mark.number), size, anchor="middle"),
        ]
        ids = {"id": f"m{mark.number}", "href": f"#f{mark.number}"}
        discs.append(element("a", group(disc, class_=style), **ids))
    return group(leaders) + group(discs)


def _spot(mark: Mark, view: View, box: Box) -> Point:
    """Midway between the witness points, moved onto the sheet where it lies off it."""
    one, two = (view.point(p[0], p[1]) for p in mark.finding.at or ())
    x, y = (one[0] + two[0]) / 2.0, (one[1] + two[1]) / 2.0
    return min(max(x, box[0]), box[2]), min(max(y, box[1]), box[3])


def _places(spots: Sequence[Point], radius: float, box: Box) -> list[Point]:
    """For each spot the nearest of a fan of places about it that is clear of the other discs and,
    as far as there is room, of the other spots."""
    taken: list[Point] = []
    x0, y0, x1, y1 = box[0] + radius, box[1] + radius, box[2] - radius, box[3] - radius
    for spot in spots:
        rings = (radius * (0.9 + 0.7 * ring) for ring in range(1, 30))
        ways = [(math.cos(a), math.sin(a)) for a in (math.pi / 8 * k - 1.0 for k in range(16))]
        fan = [(spot[0] + far * x, spot[1] + far * y) for far in rings for x, y in ways]
        fan = [p for p in fan if x0 <= p[0] <= x1 and y0 <= p[1] <= y1]
        free = [p for p in fan if all(math.dist(p, other) >= 2.15 * radius for other in taken)]
        clear = (p for p in free[:120] if all(math.dist(p, s) >= 1.2 * radius for s in spots))
        taken.append(next(clear, free[0] if free else spot))
    return taken
