"""`cut-order`: is there an order of work that keeps every rule, and do the datum pins live as long
as they are needed?"""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np

from bodycad.checks.finding import Finding, failed, judge, passed, skip
from bodycad.checks.order.approach import approach
from bodycad.checks.order.jobs import Hold, Job, shown
from bodycad.checks.order.rules import floor
from bodycad.checks.order.sequence import Order, sequence
from bodycad.checks.page import Page
from bodycad.geometry.plane.profile import Profile
from bodycad.layout.interface import Joint
from bodycad.layout.layout import Layout
from bodycad.layout.workpiece import BODY, Workpiece
from bodycad.safety import Danger

PAGE = Page(
    asks="Is there an order of work in which no step takes away what a later one needs: the face "
    "that its depth counts from, the pins that it is set out from, the wood under its point, the "
    "side that a bearing runs along; and does enough wood hold each datum pin when a cutter has "
    "passed over it?",
    why="A seat drilled after its carve is too deep by what the carve took; an outline cut too "
    "soon frees the body from its pins. Where two rules want each the other's job first, no order "
    "is right, and the body as drawn cannot be cut as drawn.",
    limits=("cut-order.pin",),
    cures="Draw one of the two otherwise: an edge that stops short of the contour, a ledge on one "
    "face alone, a hole from the other face; move a pin out of the way of a cutter that runs out "
    "of the body.",
    dangers=(Danger.ROUTER, Danger.DUST, Danger.NOISE),
)


def cut_order(layout: Layout) -> Iterator[Finding]:
    """One answer on the whole order, and one for each pin that a cutter passes over."""
    found = sequence(layout)
    if found.clash:
        yield _clash(found)
    else:
        places = [job.place for job in found.jobs]
        visits = 1 + sum(a != b for a, b in zip(places, places[1:]))
        words = f"{len(places)} jobs in {visits} set-ups keep {len(found.rules)} rules of order"
        yield passed("cut-order", (BODY,), words)
    for piece in layout.pieces:
        if piece.blank is not None and piece.blank.pins:
            yield from _pins(layout, piece, [job for job in found.jobs if job.piece is piece])
    if not any(piece.blank is not None and piece.blank.pins for piece in layout.pieces):
        yield skip("cut-order.pin", "this design has no datum pins")


def _clash(found: Order) -> Finding:
    """The rules that no order keeps, each with its jobs."""
    said = [
        f"{shown(r.first)} comes before {shown(r.then)}, for {r.why.value}" for r in found.clash
    ]
    ids = tuple(dict.fromkeys(shown(rule.first) for rule in found.clash))
    words = f"no order of work keeps these rules together: {'; but '.join(said)}"
    cure = f"draw {ids[0]} or {ids[-1]} otherwise, so that one of them no longer waits"
    return failed("cut-order.clash", ids, words, cure)


def _pins(layout: Layout, piece: Workpiece, own: list[Job]) -> Iterator[Finding]:
    """The wood that is left under a cut from a flat face in which a pin's hole lies, or over it."""
    limit, t = layout.shop.limit("cut-order.pin"), piece.thickness
    for name, plans, deep, level in _passes(layout, piece, own):
        for k, (pin_id, pin) in enumerate(piece.pins.items(), 1):
            near = min(_past(plan, pin.x, pin.y) for plan in plans)
            if near >= pin.diameter / 2.0:
                continue
            words = f"{name} passes over datum pin {k}; {t - deep:.2f} mm of wood hold the pin then"
            cure = f"move pin {k} away from {name}, or make {name} shallower there"
            at = (pin.x, pin.y, level), (pin.x, pin.y, level)
            if t - deep >= limit.warn:
                yield passed("cut-order.pin", (name, pin_id), words)
            else:
                yield judge((name, pin_id), t - deep, limit, words, cure, at=at)


def _passes(
    layout: Layout, piece: Workpiece, own: list[Job]
) -> Iterator[tuple[str, list[Profile], float, float]]:
    """What is cut from a flat face: its name, plans, depth and the height of the floor, mm."""
    t = piece.thickness
    for job in own:
        if job.void is not None and job.hold is Hold.FLAT and job.void.shape.hole is None:
            deep = floor(job.void, piece)
            level = -deep if job.face == "front" else deep - t
            yield job.name, [job.void.shape.plan], deep, level
    for joint in layout.stated(Joint) if piece is layout.body else ():
        way = approach(layout, joint)
        if way is not None:
            front = layout.by_id[joint.pocket].face == "front"
            plans = [region.outer for region in way.regions]
            level = -way.depth if front else way.depth - t
            yield f"{joint.part}.waste", plans, way.depth, level


def _past(plan: Profile, x: float, y: float) -> float:
    """How far a point lies outside a plan, mm; less than 0 inside."""
    return float(plan.signed_distance(np.array([[x, y]]))[0])
