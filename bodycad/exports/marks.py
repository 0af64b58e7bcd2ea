"""Numbers for the findings that fail or warn, and where each one's marker goes on the plans.

The number is the finding's place in the report; the row in the table has the anchor `f<number>`,
the marker on its plan `m<number>`.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

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
    stand = places(spots, radius, box)
    leaders, discs = [], []
    for mark, spot, place in zip(marks, spots, stand):
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


def places(spots: Sequence[Point], radius: float, box: Box) -> list[Point]:
    """For each spot the nearest of a fan of places about it that is clear of the other discs and,
    as far as there is room, of the other spots."""
    turn = math.pi / 8.0 * np.arange(16) - 1.0
    far = radius * (0.9 + 0.7 * np.arange(1, 30))
    ways = np.column_stack([np.cos(turn), np.sin(turn)])
    fan = (far[:, None, None] * ways).reshape(-1, 2)
    low, high = np.array(box[:2]) + radius, np.array(box[2:]) - radius
    taken, every = np.zeros((0, 2)), np.array(spots, float).reshape(-1, 2)
    for spot in every:
        place = spot + fan
        place = place[((place >= low) & (place <= high)).all(axis=1)]
        free = place[(_apart(place, taken) >= 2.15 * radius).all(axis=1)]
        clear = free[:120][(_apart(free[:120], every) >= 1.2 * radius).all(axis=1)]
        best = next((one[0] for one in (clear, free) if len(one)), spot)
        taken = np.vstack([taken, best])
    return [(x, y) for x, y in taken.tolist()]


def _apart(one: np.ndarray, two: np.ndarray) -> np.ndarray:
    """Distances (n, m) between points (n, 2) and (m, 2)."""
    away = one[:, None] - two[None]
    return np.asarray(np.hypot(away[..., 0], away[..., 1]))
