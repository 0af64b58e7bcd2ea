"""How far the shop's own work may move a figure: what is spare in a finding is ranked by it.

Not what `chance` works out, which asks the checks again for each error: this is told from the
finding alone, at once, by what its subjects are and which way its two witness points lie. It is the
root of the sum of the squares of the shop's tolerances that reach the figure that way. Sizes of
parts take no part: those that are not measured stand in the report's list of sizes to measure.
"""

from __future__ import annotations

import math
from collections.abc import Collection, Iterable
from dataclasses import replace

import numpy as np

from bodycad.checks.finding import Finding
from bodycad.checks.owner import owner_of
from bodycad.checks.page import Page, Topic
from bodycad.geometry.solids.solid import Point3
from bodycad.layout.layout import Layout
from bodycad.layout.void import Void
from bodycad.words import SIDES, Face

LEAST = 1e-3
"""Witness points nearer than this (mm) say no direction."""
AHEAD, FLATTEST = 0.5, 0.05
"""How far ahead (mm) it is looked how a shaped surface falls; one that falls less is met at its
end."""
LONG = 2.0
"""A hole less than so many diameters deep stands square: its drill is stiff (common practice, no
source)."""


def with_deviations(
    findings: Iterable[Finding], layout: Layout, nets: Collection[str] = ()
) -> list[Finding]:
    """The findings, each with its deviation where one is known. `nets`: checks that ask over again
    what others ask by name; what they say stands below."""
    found = []
    for one in findings:
        off = 0.0 if one.check in nets else deviation(one, layout)
        found.append(replace(one, deviation=off) if off > 0.0 else one)
    return found


def deviation(finding: Finding, layout: Layout) -> float:
    """How far the shop's own work may move a length, mm; 0 where no error is known to reach it.

    Along the plan each set-up that is not the other subject's own counts `template_repeat`; upright
    each cut counts `depth_stop`, and the stock's tolerance where the two are cut from opposite
    faces; a shaped surface counts `contour_tolerance`, a long hole its wander where the figure is
    taken."""
    value, shop = finding.value, layout.shop
    if finding.unit != "mm" or value is None or finding.limit is None or finding.at is None:
        return 0.0
    one, two = finding.at
    apart = math.dist(one, two)
    if apart < LEAST:
        return 0.0
    dx, dy, dz = ((b - a) / apart for a, b in zip(one, two))
    way, level, steep = (dx, dy, dz), math.hypot(dx, dy), abs(dz)
    if level > steep and abs(abs(value) - apart) > LEAST + finding.bound:
        return 0.0  # no distance between the two: their places say nothing of it
    parts, faces = [_setups(finding, layout) * (level * shop.template_repeat) ** 2], set[Face]()
    for subject, spot in zip(finding.subjects, finding.at):
        void = layout.body.by_id.get(subject)
        if void is not None:
            faces |= {void.face} & set(SIDES)
            parts.append((shop.depth_stop * _along_the_cut(void, way)) ** 2)
            parts.append(_wander(void, spot, way, shop.wander_deg) ** 2)
        elif subject in SIDES:
            faces.add(Face(subject))
        elif subject in layout.rooms_by_id:
            faces.add(Face.FRONT)
            parts.append((shop.depth_stop * steep) ** 2)
        elif len(finding.subjects) > 1:
            parts.append(_shaped(subject, spot, way, layout))
    if len(faces) == 2 and shop.measured_stock is None:
        parts.append((shop.thickness_tolerance * steep) ** 2)
    return math.sqrt(sum(parts))


def _shaped(subject: str, spot: Point3, way: Point3, layout: Layout) -> float:
    """What a shaped surface counts, squared: its tolerance, and along the plan what it comes aside
    where it, or the level that it is met at, lies deeper; mm2."""
    skin, shop = layout.skin, layout.shop
    contour = next((c for c in skin.contours if c.id == subject), None)
    under = -skin.thickness + LEAST < spot[2] < -LEAST
    if contour is None:  # an end at the shaped face, whose name is not said
        steep = abs(way[2]) > math.hypot(*way[:2])
        edge = subject.partition(".")[0] == layout.body.edge
        head = steep and under and not edge and owner_of(subject, layout) is None
        return shop.contour_tolerance**2 if head else 0.0
    total, level = shop.contour_tolerance**2, math.hypot(*way[:2])
    if level > abs(way[2]):
        ends = np.array([[c + s * w for c, w in zip(spot[:2], way[:2])] for s in (0.0, AHEAD)])
        near, far = skin.fall(contour.face, ends)
        rise = float(far - near) / (AHEAD * level)
        if rise > FLATTEST:
            total += (shop.contour_tolerance**2 + under * shop.depth_stop**2) / rise**2
    return total


def _setups(finding: Finding, layout: Layout) -> int:
    """How many set-ups may stand beside their place in a figure along the plan: none where one
    part's own cuts are measured among themselves, for they are cut in one; strings are the neck's.
    """
    owners = [owner_of(s, layout) for s in finding.subjects]
    strung = any(s.partition(".")[0] in ("string", "strings") for s in finding.subjects)
    own = len(owners) > 1 and len(set(owners)) == 1
    return 0 if own else len({*owners} - {None}) + strung


def _along_the_cut(void: Void, way: Point3) -> float:
    """Which share of a cut's depth lies along `way`: a hole's runs with its drill."""
    hole = void.shape.hole
    return abs(way[2]) if hole is None else abs(_dot(hole.direction, way))


def _wander(void: Void, spot: Point3, way: Point3, off_deg: float) -> float:
    """How far a long hole may wander along `way` where a figure is taken, mm."""
    hole = void.shape.hole
    if hole is None or hole.length <= LONG * hole.diameter:
        return 0.0
    deep = _dot(spot, hole.direction) - _dot(hole.start, hole.direction)
    across = math.sqrt(max(1.0 - _dot(hole.direction, way) ** 2, 0.0))
    return max(deep, 0.0) * math.tan(math.radians(off_deg)) * across


def _dot(one: Point3, two: Point3) -> float:
    return one[0] * two[0] + one[1] * two[1] + one[2] * two[2]


ORDER = Topic(
    "order",
    Page(
        asks="In which order do findings stand: which has the least to spare, in one measure for "
        "millimetres, degrees and ratios?",
        why="Errors, failures and warnings come first. Within each, and in what holds, a length "
        "is ranked by what is spare in deviations: over how far the shop's own work may move it, "
        "the root of the sum of the squares of those of its tolerances (Shop) that reach the "
        "figure. Below stands what no error of the shop is known to move, loads, angles, sizes "
        "of one part, and what is drawn as true as the shop can cut: by what is spare in bands, "
        "a band being from the failing limit to the warning one. Sizes that are not measured are "
        "a list of their own; `--chance` works both out together.",
        limits=(),
        cures="Work from the top. State what the shop can hold: Shop(template_repeat=, "
        "depth_stop=, thickness_tolerance=, contour_tolerance=, wander_deg=).",
    ),
)
"""The page of the order."""
