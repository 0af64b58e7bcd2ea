"""Plan and level sections of a slanted hole, drawn along +x from the middle of its start.

A hole is given by radius, length at full diameter (`shoulder`), length to the tip, and the level
and upright parts of its direction (`lean`)."""

from __future__ import annotations

import math

import numpy as np

from bodycad.geometry.plane.arcfit import fit_arcs
from bodycad.geometry.plane.profile import Profile, trusted

TOLERANCE = 0.002
"""Largest deviation (mm) of the arcs of a silhouette from the true one."""
STRAIGHT = 0.02
"""An ellipse flatter than this (mm) is drawn as a straight end, on the safe side."""

_NODES, _WEIGHTS = np.polynomial.legendre.leggauss(16)

Lean = tuple[float, float]
Stretch = tuple[float, float, np.ndarray]
"""From where to where along +x, and the half width squared there: a quadratic, constant first."""


def slanted_section(
    radius: float, shoulder: float, length: float, lean: Lean, rise: float, sagitta: float
) -> np.ndarray:
    """The section `rise` mm above the middle of the start, as a polygon (k, 2) of the true area;
    empty where it misses. Its edges leave the true boundary by at most `sagitta` mm."""
    stretches = _stretches(radius, shoulder, length, lean, rise)
    if not stretches:
        return np.zeros((0, 2))
    p, q = _half_outline(stretches, radius, sagitta)
    points = np.column_stack([np.concatenate([p, p[::-1]]), np.concatenate([-q, q[::-1]])])
    return points[np.hypot(*(np.roll(points, -1, axis=0) - points).T) > 1e-9]


def silhouette(radius: float, shoulder: float, length: float, lean: Lean) -> Profile:
    """The hole seen from above."""
    level, r, a = lean[0], radius, radius * abs(lean[1])
    far, tip = shoulder * level, (length - shoulder) * level
    rows = [(0.0, -r, 0.0)] if far > 1e-9 else []
    half = math.acos(a / tip) if tip > a else None
    if a < STRAIGHT:
        pointed = [(far, -r, 0.0), (far + max(tip, a), 0.0, 0.0), (far, r, 0.0)]
        rows += pointed if half else [(far + a, -r, 0.0), (far + a, r, 0.0)]
    elif half is None:
        rows += _ellipse(far, a, r, (-math.pi / 2.0, 0.0, math.pi / 2.0))
    else:
        rows += _ellipse(far, a, r, (-math.pi / 2.0, -half)) + [(far + tip, 0.0, 0.0)]
        rows += _ellipse(far, a, r, (half, math.pi / 2.0))
    if a < STRAIGHT:
        rows += [(-a, r, 0.0), (-a, -r, 0.0)]
    else:
        rows += _ellipse(0.0, a, r, (math.pi / 2.0, math.pi, 1.5 * math.pi))
    return trusted(rows, "a slanted bore's plan")


def _stretches(
    radius: float, shoulder: float, length: float, lean: Lean, rise: float
) -> list[Stretch]:
    """The stretches of a section: of the cylinder, then of the drill point."""
    (level, dz), r, tip = lean, radius, length - shoulder
    off = rise * level
    depth = np.array([off * off, -2.0 * off * dz, dz * dz])
    pieces = [(0.0, shoulder, np.array([r * r, 0.0, 0.0]) - depth)]
    if tip > 0.0:
        k, left = r / tip, length - rise * dz
        cone = k * k * np.array([left * left, -2.0 * left * level, level * level])
        pieces.append((shoulder, length, cone - depth))
    spans = []
    for along0, along1, square in pieces:
        p0, p1 = ((along - rise * dz) / level for along in (along0, along1))
        cuts = [p0, *sorted(t for t in _roots(square) if p0 < t < p1), p1]
        for a, b in zip(cuts, cuts[1:]):
            if b - a > 1e-9 and np.polynomial.polynomial.polyval((a + b) / 2.0, square) > 0.0:
                spans.append((a, b, square))
    return spans


def _roots(square: np.ndarray) -> list[float]:
    c, b, a = map(float, square)
    if abs(a) < 1e-14:
        return [-c / b] if abs(b) > 1e-14 else []
    inner = b * b - 4.0 * a * c
    if inner <= 0.0:
        return []
    big = -(b + math.copysign(math.sqrt(inner), b)) / 2.0
    return [big / a, c / big] if big else [0.0]


def _half_outline(
    stretches: list[Stretch], radius: float, sagitta: float
) -> tuple[np.ndarray, np.ndarray]:
    """Points p along and half widths q of a tilted section, with q scaled to the exact area."""
    runs, exact = [], 0.0
    for a, b, square in stretches:
        step = 2.0 * math.acos(max(1.0 - sagitta / max(radius, (b - a) / 2.0), -1.0))
        count = max(math.ceil(math.pi / step), 4)
        turn = np.arange(count + 1) * math.pi / count
        p = (a + b) / 2.0 - (b - a) / 2.0 * np.cos(turn)
        runs.append((p, _width(p, square)))
        turn = (1.0 + _NODES) * math.pi / 2.0
        fine = (a + b) / 2.0 - (b - a) / 2.0 * np.cos(turn)
        exact += float(_WEIGHTS @ (_width(fine, square) * np.sin(turn))) * (b - a) * math.pi / 4.0
    p, q = np.concatenate([r[0] for r in runs]), np.concatenate([r[1] for r in runs])
    drawn = float(((q[1:] + q[:-1]) / 2.0 * np.diff(p)).sum())
    return p, q * (exact / drawn if drawn > 0.0 else 1.0)


def _width(p: np.ndarray, square: np.ndarray) -> np.ndarray:
    return np.sqrt(np.maximum(np.polynomial.polynomial.polyval(p, square), 0.0))


def _ellipse(
    x: float, a: float, r: float, breaks: tuple[float, ...]
) -> list[tuple[float, float, float]]:
    """Arcs along the ellipse (x + a cos t, r sin t) over `breaks`; last a line's start."""
    rows = fit_arcs(
        lambda t: np.stack([x + a * np.cos(t), r * np.sin(t)], axis=1),
        lambda t: np.stack([-a * np.sin(t), r * np.cos(t)], axis=1),
        breaks,
        TOLERANCE,
        "a slanted bore's end",
    )
    return [(float(x), float(y), float(bulge)) for x, y, bulge in rows]
