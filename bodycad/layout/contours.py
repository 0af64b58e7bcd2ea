"""Contours by trade shapes: a face that falls away to an edge, in a round, a bevel or a blend, a
corner taken off, a scoop that deepens to the edge.

Each takes wood off on its own: where several lie over one another, the deepest of them counts."""

from __future__ import annotations

import math
from collections.abc import Iterable
from typing import Annotated

from bodycad.declare import Count, Far, Id, Spot, Turn, between, declared, mm
from bodycad.errors import InputError, number
from bodycad.geometry.plane.build import circle
from bodycad.geometry.plane.profile import FARTHEST, Plan, profile
from bodycad.geometry.solids.carve import Carve
from bodycad.geometry.solids.dome import Dome
from bodycad.geometry.solids.skin import Contour
from bodycad.words import Side

Thick = Annotated[float, mm(0.05, 150.0)]
Run = Annotated[float, mm(0.1, FARTHEST)]
Round = Annotated[float, mm(0.0, 1e5)]
Fall = Annotated[tuple[tuple[Far, Far] | tuple[Far, Far, Far], ...], Count(2, 200)]
Row = tuple[float, float, float]
"""u, z under (or over) the face, and the bulge of the arc that begins there: tan(angle / 4)."""
BEYOND = 600.0
"""How far a fall runs on past its `run`, and to both sides, mm: out of every body."""
ABOVE = 5.0
"""How far a carve's section reaches out of the face into the air, mm."""
ALL = (-BEYOND, BEYOND)
STEEPEST = 80.0
"""A corner's round runs on as a bevel from where it is so steep, degrees."""


@declared("{name}")
def fall_away(
    name: Id,
    face: Side,
    thickness: Thick,
    start: tuple[Spot, Spot],
    toward_deg: Turn,
    run: Run,
    drop: Thick,
    span: tuple[Spot, Spot] = ALL,
) -> Contour:
    """A face that rounds off from a line and is `drop` mm lower `run` mm on (a forearm, a heel).

        face ----+-.    start |<--- run --->|
                     `-.                    |
                        `-._________________|___  drop, level to the edge

    The line passes `start` (x, y), square to the direction `toward_deg` in which the face falls;
    the round is tangent to the face there. Where the body is wider than `run` the face runs on
    level, `drop` mm lower, to the edge: it lies nowhere lower, and ends in no wall. A hollow crease
    is left at `run` there; a `run` that reaches the edge everywhere, or a `blend`, leaves none.
    `span`: how far the contour reaches along the line to the left of that direction; an end of it
    that lies in the wood is a step, which `contour-end` finds. Raises InputError when drop is more
    than run."""
    _less(name, drop, run)
    sweep = 2.0 * math.atan2(drop, run)
    rows = [(0.0, 0.0, -math.tan(sweep / 4.0)), (run, -drop, 0.0)]
    return _fall(name, face, thickness, start, toward_deg, span, rows)


@declared("{name}")
def blend(
    name: Id,
    face: Side,
    thickness: Thick,
    start: tuple[Spot, Spot],
    toward_deg: Turn,
    run: Run,
    drop: Thick,
    hollow: Round | None = None,
    span: tuple[Spot, Spot] = ALL,
) -> Contour:
    """A face that rounds off from a line and runs out level `drop` mm lower, without a crease at
    either end (an ogee): a round and a hollow of radius `hollow` mm, half of the fall each where it
    is left out.

        face ----+-.
                     `.          start |<--- run --->|
                       `-.__ ________________________|  drop, level to the edge
                          hollow

    All else is as in `fall_away`; run^2 + drop^2 = 2 drop (round + hollow). Raises InputError when
    drop is more than run, or the hollow alone is wider than the run."""
    _less(name, drop, run)
    rows = ogee(name, run, drop, hollow)
    return _fall(name, face, thickness, start, toward_deg, span, rows)


@declared("{name}")
def bevel(
    name: Id,
    face: Side,
    thickness: Thick,
    start: tuple[Spot, Spot],
    toward_deg: Turn,
    run: Run,
    drop: Thick,
    ease: Round = 0.0,
    span: tuple[Spot, Spot] = ALL,
) -> Contour:
    """A flat bevel: a plane that is `drop` mm lower `run` mm on from a line, and goes on falling
    so to the edge (a forearm planed flat, a heel's slope, the bevel of a cutaway).

        face ----+.     start |<--- run --->|
                   `.                       |
                      `.                    |  drop
                         `.                 v

    `ease`: radius of a round that eases the arris along the line, tangent to both; it begins before
    the line by as much as it reaches beyond it, radius x tan(half the slope). All else is as in
    `fall_away`. Raises InputError when drop is more than run, which is steeper than 45 degrees."""
    number(f"{name}: the drop", drop, high=run, remedy="make the run longer or the drop smaller")
    slope = math.atan2(drop, run)
    tangent = ease * math.tan(slope / 2.0)
    rows = [(-tangent, 0.0, -math.tan(slope / 4.0))] if ease else []
    rows += [(tangent * math.cos(slope), -tangent * math.sin(slope), 0.0)]
    return _fall(name, face, thickness, start, toward_deg, span, _down(rows, slope, thickness))


@declared("{name}")
def rounded_corner(
    name: Id,
    face: Side,
    thickness: Thick,
    corner: tuple[Spot, Spot],
    toward_deg: Turn,
    radius: Run,
    inset: Run | None = None,
    span: tuple[Spot, Spot] = ALL,
) -> Contour:
    """A corner taken off in a round of `radius` mm (the corner of a heel): the round begins `inset`
    mm before the `corner` (x, y), its radius where that is left out, and falls in the direction
    `toward_deg`, out over the corner.

        face ----+--.         |<- inset ->o corner
                     `.
                       \\
                        |  radius - sqrt(radius^2 - inset^2) deep at the corner

    From 80 degrees on it runs straight. All else is as in `fall_away`. Raises InputError when inset
    is more than the radius."""
    back = radius if inset is None else inset
    remedy = "begin the round nearer to the corner, or make its radius larger"
    number(f"{name}: the inset", back, high=radius, remedy=remedy)
    turn, steep = math.radians(toward_deg), math.radians(STEEPEST)
    start = corner[0] - back * math.cos(turn), corner[1] - back * math.sin(turn)
    end = radius * math.sin(steep), -radius * (1.0 - math.cos(steep)), 0.0
    rows = _down([(0.0, 0.0, -math.tan(steep / 4.0)), end], steep, thickness)
    return _fall(name, face, thickness, start, toward_deg, span, rows)


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

        across it:  ---.      .---       along it:  ----+.
                        `-..-'  radius                start `-._  slope_deg

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


@declared("{name}")
def arched_top(
    name: Id,
    face: Side,
    thickness: Thick,
    crown: Plan,
    run: Run,
    drop: Thick,
    recurve: Round = 0.0,
    fall: Fall | None = None,
) -> Contour:
    """An arched top: it is level over the `crown` (a plan, round all over, such as a `hull` of
    circles or a `slot`), falls by one section curve all round it, is `drop` mm lower `run` mm out
    from the crown, and goes on level from there: the flat rim.

        |<- crown ->|<---- run ---->|
        ____________. . .
                          ` .         drop
                              `._____________ flat rim
                               recurve

    The section is a round that is tangent to the crown and, with `recurve` mm, a hollow of that
    radius that is tangent to the rim; without one it meets the rim in a crease. Along the
    centreline the section curve is crown and run in a row, across the body at its widest too: the
    lines of equal height run side by side round the crown. `fall` takes the place of the two arcs:
    rows (s, depth) or (s, depth, bulge), s mm out from the crown's border, a bulge being tan(angle
    / 4) of the arc that begins at the row, positive where it rounds the wood; its last row must be
    (run, drop). Raises InputError for a crown with a corner or a bay, and for a fall that is
    steeper than 75 degrees anywhere."""
    if fall is None:
        _less(name, drop, run)
        rows = ogee(name, run, drop, recurve)
    else:
        if tuple(fall[0][:2]) != (0.0, 0.0) or tuple(fall[-1][:2]) != (run, drop):
            found = f"from {fall[0]} to {fall[-1]}"
            raise InputError(f"{name}: the fall", found, f"from (0, 0) to ({run:g}, {drop:g})")
        rows = [(row[0], -row[1], -row[2] if len(row) > 2 else 0.0) for row in fall]
    return Contour(name, face, Dome(crown, profile(outward(face, thickness, rows), name)))


def ogee(name: str, run: float, drop: float, hollow: float | None) -> list[Row]:
    """The rows of a round and a hollow that are tangent to each other and level at both ends."""
    both, angle = (run * run + drop * drop) / (2.0 * drop), 2.0 * math.atan2(drop, run)
    own = both / 2.0 if hollow is None else hollow
    widest = run / math.sin(angle)
    number(f"{name}: the hollow", own, high=widest, remedy="use a smaller hollow or a longer run")
    bulge, rest = math.tan(angle / 4.0), both - own
    middle = rest * math.sin(angle), -rest * (1.0 - math.cos(angle))
    rows = [(0.0, 0.0, -bulge), (*middle, bulge if own else 0.0), (run, -drop, 0.0)]
    return [row for row, to in zip(rows, [*rows[1:], None]) if to is None or row[:2] != to[:2]]


def outward(face: Side, thickness: float, rows: Iterable[Row]) -> list[Row]:
    """The rows of a fall under a face, run on level and closed in the air over it."""
    rows = list(rows)
    (first, _, _), (last, low, _) = rows[0], rows[-1]
    far = last + BEYOND
    rows = [*rows, (far, low, 0.0), (far, ABOVE, 0.0), (first, ABOVE, 0.0)]
    return rows if face == "front" else [(u, -thickness - z, -b) for u, z, b in rows]


def _fall(
    name: str,
    face: Side,
    thickness: float,
    start: tuple[float, float],
    toward_deg: float,
    span: tuple[float, float],
    rows: Iterable[Row],
) -> Contour:
    """A fall, by its rows from the line on, as a contour."""
    if span[0] >= span[1]:
        raise InputError(f"{name}: the span", span, "(from, to), the lower one first")
    section = profile(outward(face, thickness, rows), name)
    return Contour(name, face, Carve(section, start, toward_deg, span))


def _down(rows: Iterable[Row], slope: float, thickness: float) -> list[Row]:
    """The rows, run on at a slope (radians) until they are through the stock."""
    *before, (u, z, _) = rows
    deep = thickness + ABOVE
    far = u + min(max(deep + z, 1.0) / math.tan(slope), BEYOND)
    return [*before, (u, z, 0.0), (far, z - (far - u) * math.tan(slope), 0.0)]


def _less(name: str, drop: float, run: float) -> None:
    """Refuse a round that would stand upright."""
    number(f"{name}: the drop", drop, high=run, remedy="make the run longer or the drop smaller")
    if 2.0 * math.atan2(drop, run) >= math.pi / 2.0 - 1e-6:
        raise InputError(f"{name}: the drop", drop, f"less than the run, {run:g} mm")
