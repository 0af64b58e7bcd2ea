"""`contour-end`: does the surface of every contour run out, or does it end in the wood?"""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np

from bodycad.checks.finding import Finding, Witness, failed, judge, skip
from bodycad.checks.page import Page
from bodycad.checks.piece import Answers, of_each, piece_limit
from bodycad.checks.wood.near import REACH
from bodycad.checks.wood.steps import STEEP_DEG, overhang, worst_step
from bodycad.checks.wood.thin import least_between
from bodycad.geometry.solids.edge import Ledge
from bodycad.geometry.solids.skin import Skin
from bodycad.layout.layout import Layout
from bodycad.layout.workpiece import BODY, Workpiece
from bodycad.shop import Shop
from bodycad.words import SIDES

PLACES = 8
"""Places of each piece of the outline, and across an edge, at which it is looked for in the
wood."""
EASED = 0.05
"""An edge that cuts less than this (mm) into the shaped face cuts nothing."""

PAGE = Page(
    asks="Does the surface of every contour run out into the face or over the edge, or does it end "
    "in the wood in a step, or under wood that hangs over it, does the edge treatment still cut "
    "wood, and is there wood left between the shaped front and back?",
    why="Drawn numbers may stop a shaped surface anywhere; rasp and scraper cannot, and a step at "
    f"the end of a sweep is found under the finish. A side steeper than {STEEP_DEG:g} degrees "
    "counts as a step. Two tenths of a millimetre go when the shaped face is sanded fair.",
    limits=("contour-end", "contour-end.wood", "contour-end.wood.sheet"),
    cures="Lengthen the contour's span or run until it leaves the body, turn or move its line, or "
    "let another contour or a pocket take the step.",
)


def contour_end(layout: Layout) -> Iterator[Finding]:
    """The highest step of every contour of every workpiece, wood that hangs over one, and the least
    wood between the shaped faces where that is near a limit."""
    count = yield from of_each(layout, _contour_end)
    if not count:
        yield skip("contour-end", "nothing of this design has a contour")


def _contour_end(piece: Workpiece, shop: Shop) -> Answers:
    limit = shop.limit("contour-end")
    for contour in piece.skin.contours:
        subjects = (contour.id,) if piece.id == BODY else (contour.id, piece.id)
        step = worst_step(contour, piece)
        x, y, _ = step.foot
        words = (
            f"ends in the wood in a step of {step.height:.2f} mm at ({x:.1f}, {y:.1f})"
            if step.height > 0.0
            else "runs out everywhere without a step"
        )
        yield judge(
            subjects,
            step.height,
            limit,
            f"{contour.id} {words}",
            f"lengthen {contour.id} until it leaves the body, or turn or move its line",
            at=(step.foot, step.top) if step.height > 0.0 else None,
            bound=step.bound,
        )
        under, spot = overhang(contour, piece)
        if under > 0.0:
            yield failed(
                "contour-end.overhang",
                subjects,
                f"wood hangs over {contour.id}: its section closes {under:.2f} mm under the "
                f"{contour.face}",
                f"draw the section of {contour.id} up through the {contour.face} into the air, or "
                "make its radius larger",
                at=(spot, spot),
            )
    yield from _lost_edges(piece)
    thin = least_between(piece, REACH) if piece.skin.contours else None
    if thin is not None:
        wood, bound, (x, y) = thin
        at = _places(piece, x, y)
        yield judge(
            (piece.id,),
            wood,
            piece_limit(shop, piece, "contour-end.wood"),
            f"{wood:.2f} mm of wood between the shaped front and back at ({x:.1f}, {y:.1f})",
            "make the contours there less deep, or keep them apart",
            at=at,
            bound=bound,
            code="contour-end.wood",
        )
    return len(piece.skin.contours)


def _places(piece: Workpiece, x: float, y: float) -> Witness:
    """The places of the two shaped faces over a plan point, edges left out."""
    front, back = (float(piece.skin.fall(face, np.array([[x, y]]))[0]) for face in SIDES)
    return (x, y, -front), (x, y, back - piece.thickness)


def _lost_edges(piece: Workpiece) -> Iterator[Finding]:
    """Edge treatments that are drawn at the plain face over a shaped one that lies lower all round:
    they cut nothing but air."""
    skin = piece.skin
    for face in SIDES:
        edge = skin.edge(face)
        if not skin.contours or not edge.drop or (isinstance(edge, Ledge) and edge.follows):
            continue
        s, (feet, inward) = np.linspace(0.0, edge.reach, PLACES)[:-1], _feet(skin)
        if skin.fall(face, feet).min() < edge.drop - EASED:
            continue
        plan = (feet[:, None] + s[:, None] * inward[:, None]).reshape(-1, 2)
        bite = np.tile(edge.loss(s), len(feet)) - skin.fall(face, plan)
        if bite.max() > EASED:
            continue
        (x, y), level = map(float, plan[int(bite.argmax())]), skin.level(face)
        yield failed(
            "contour-end.edge",
            (f"edge.{face}", piece.id),
            f"the {face}'s {edge.words} cuts only air: the shaped face lies under it all round",
            f"lower it to the rim: Lowered({type(edge).__name__}(...), by=...)",
            at=((x, y, level), (x, y, level)),
        )


def _feet(skin: Skin) -> tuple[np.ndarray, np.ndarray]:
    """Places (m, 2) round the outline and the unit ways (m, 2) straight into the wood there."""
    s = skin.outline.segments
    t = (np.arange(len(s) * PLACES) % PLACES + 0.5) / PLACES
    own = s.take(np.repeat(np.arange(len(s)), PLACES))
    ahead = own.tangent(t)
    return own.at(t), ahead[:, ::-1] * np.array([-1.0, 1.0])
