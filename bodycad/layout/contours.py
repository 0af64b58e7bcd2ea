"""Contours by trade shapes: a face that falls away to an edge, a scoop that deepens to it."""

from __future__ import annotations

import math
from typing import Annotated

from bodycad.declare import Id, Spot, Turn, between, declared, mm
from bodycad.errors import InputError, number
from bodycad.geometry.plane.build import circle
from bodycad.geometry.plane.profile import FARTHEST, profile
from bodycad.geometry.solids.carve import Carve
from bodycad.geometry.solids.skin import Contour
from bodycad.words import Side

Thick = Annotated[float, mm(0.05, 150.0)]
BEYOND = 600.0
"""How far a fall-away runs on past its `run`, and to both sides, mm: out of every body."""
ABOVE = 5.0
"""How far a carve's section reaches out of the face into the air, mm."""


@declared("{name}")
def fall_away(
    name: Id,
    face: Side,
    thickness: Thick,
    start: tuple[Spot, Spot],
    toward_deg: Turn,
    run: Annotated[float, mm(0.1, FARTHEST)],
    drop: Thick,
    span: tuple[Spot, Spot] = (-BEYOND, BEYOND),
) -> Contour:
    """A face that rounds off from a line and is `drop` mm lower `run` mm on (a forearm, a heel).

    The line passes `start` (x, y), square to the direction `toward_deg` in which the face falls;
    the round is tangent to the face there. Where the body is wider than `run` the face runs on
    level, `drop` mm lower, to the edge: it lies nowhere lower, and ends in no wall. A hollow crease
    is left at `run` there; a `run` that reaches the edge everywhere leaves none. `span`: how far
    the contour reaches along the line to the left of that direction; an end of it that lies in the
    wood is a step, which `contour-end` finds. Raises InputError when drop is more than run."""
    remedy = "make the run longer or the drop smaller"
    number(f"{name}: the drop", drop, high=run, remedy=remedy)
    if span[0] >= span[1]:
        raise InputError(f"{name}: the span", span, "(from, to), the lower one first")
    radius = (run * run + drop * drop) / (2.0 * drop)
    sweep = math.atan2(run, radius - drop)
    if sweep >= math.pi / 2.0 - 1e-6:
        raise InputError(f"{name}: the drop", drop, f"less than the run, {run:g} mm")
    rows = [
        (0.0, 0.0, -math.tan(sweep / 4.0)),
        (run, -drop, 0.0),
        (run + BEYOND, -drop, 0.0),
        (run + BEYOND, ABOVE, 0.0),
        (0.0, ABOVE, 0.0),
    ]
    if face == "back":
        rows = [(u, -thickness - z, -bulge) for u, z, bulge in rows]
    return Contour(name, face, Carve(profile(rows, name), start, toward_deg, span))


@declared("{name}")
def scoop(
    name: Id,
    face: Side,
    thickness: Thick,
    start: tuple[Spot, Spot],
    toward_deg: Turn,
    radius: Annotated[float, mm(1.0, 1e5)],
    slope_deg: Annotated[float, between(1.0, 45.0, "degrees")],
    length: Annotated[float, mm(1.0, FARTHEST)] = 250.0,
) -> Contour:
    """A hollow of `radius` mm across that begins at `start` (x, y) and deepens at `slope_deg` in
    the direction `toward_deg`, out of the edge (a belly cut).

    `length`: how far the cutter travels. It must leave the body before that: where it stops, the
    hollow ends in a wall, which `contour-end` finds."""
    sign = 1.0 if face == "back" else -1.0
    pivot = -thickness if face == "back" else 0.0
    section = circle(2.0 * radius, 0.0, pivot - sign * radius)
    return Contour(
        name,
        face,
        Carve(section, start, toward_deg - 90.0, (-length / 4.0, length), sign * slope_deg, pivot),
    )
