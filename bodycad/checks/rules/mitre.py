"""`mitre`: where the shaped edge meets itself in a ridge, since the outline bulges too tightly for
it, has a corner, or leaves no flat of the face between."""

from __future__ import annotations

import math
from collections.abc import Iterator

import numpy as np

from bodycad.checks.finding import Finding, advise, failed, passed, skip, witness
from bodycad.checks.page import Page
from bodycad.checks.piece import Answers, of_each
from bodycad.geometry.distance.plan import chain_gap
from bodycad.geometry.plane.offset import offset_regions
from bodycad.geometry.solids.edge import Edge
from bodycad.geometry.solids.stretch import Run
from bodycad.layout.layout import Layout
from bodycad.layout.workpiece import Workpiece
from bodycad.shop import Shop
from bodycad.words import SIDES, EdgeForm

CORNER = math.radians(20.0)
"""From this turn on an angle of the outline is a corner that is meant (common practice, no
source)."""
LISTED = 4
"""So many places are named; the rest are counted."""

PAGE = Page(
    asks="Does the shaped edge run round every bulge of the outline, or do its two sides meet in a "
    "ridge there; is the outline free of slight angles; and is a flat of the face left between the "
    "edges?",
    why="The bearing takes the bit round any bulge. Where the outline's radius is less than the "
    "edge reaches in, what is cut from one side is cut again from the other: the wood ends in a "
    "sharp ridge in place of a round, the flat of the face ends in a point, and a binding must be "
    "mitred. At a corner that is what one wants; an angle of a few degrees is a slip of the "
    "drawing, and shows as a line down the side and over the round. `mitre` is the outline's "
    "radius less the reach; `mitre.angle` is in degrees.",
    limits=("mitre", "mitre.angle"),
    cures="Round the outline more at the place named, use a smaller edge, or stop the edge short "
    "of it (`stopped`); a ridge that is meant is eased by hand. Draw an angle as a round, or "
    "leave its point out.",
)


def mitre(layout: Layout) -> Iterator[Finding]:
    """The tightest bulge, the slight angles, the corners and the flat of every shaped edge."""
    if not (yield from of_each(layout, _mitre)):
        yield skip("mitre", "every edge of this design is square")


def _mitre(piece: Workpiece, shop: Shop) -> Answers:
    edges = list(_runs(piece))
    for owner, level, run in edges:
        yield _bulge(shop, owner, level, run)
        yield from _angles(shop, owner, level, run)
        if run.closed:
            yield from _flat(piece, owner, level, run.edge)
    return len(edges)


def _runs(piece: Workpiece) -> Iterator[tuple[str, float, Run]]:
    """The subject, the height of its face and the run of every edge that is not square."""
    skin = piece.skin
    for face in SIDES:
        name, edge = f"{piece.id}.{face}.edge", skin.edge(face)
        if edge.drop:
            yield name, skin.level(face), Run(edge, skin.outline.segments, True)
        for k, run in enumerate(skin.runs(face), 1):
            yield f"{name}.{k}", skin.level(face), run


def _bulge(shop: Shop, owner: str, level: float, run: Run) -> Finding:
    """The tightest bulge along an edge, and every other that is tighter than the edge is wide."""
    s, reach = run.chain, run.edge.reach
    bulging = np.flatnonzero(s.bulge > 0.0)
    if not len(bulging):
        return passed("mitre", (owner,), f"nothing bulges along {owner}")
    spots = s.take(bulging).at(np.full(len(bulging), 0.5))
    radii = s.radius[bulging]
    k = int(np.argmin(radii))
    x, y = map(float, spots[k])
    text = f"the tightest bulge along {owner} has radius {radii[k]:.2f} mm, at ({x:.1f}, {y:.1f}); "
    text += f"its {run.edge.words} reaches {reach:.2f} mm in"
    tight = np.flatnonzero(radii < reach)
    if len(tight):
        text += f": {_ridge(run.edge)}"
        more = [spots[j] for j in _apart(spots[tight], spots[k], reach, tight)]
        text += _listed("; also at", more)
    cure = (
        f"round the outline to {reach:.2f} mm or more there, use a smaller edge, or stop it there"
    )
    limit, at = shop.limit("mitre"), witness((x, y), (x, y), level)
    return advise((owner,), float(radii[k]) - reach, limit, text, cure, at=at)


def _ridge(edge: Edge) -> str:
    """What is left of an edge about a bulge that is tighter than the edge is wide."""
    if edge.form is EdgeForm.STRAIGHT:
        return "its wall comes to a corner there, and the strip must be mitred"
    return "its two sides meet in a ridge there, to be eased by hand"


def _apart(spots: np.ndarray, first: np.ndarray, reach: float, index: np.ndarray) -> list[int]:
    """Of places (m, 2), by their `index`, one of each cluster away from `first`."""
    kept, found = [first], []
    for k, spot in zip(index.tolist(), spots):
        if min(math.dist(spot, one) for one in kept) > 4.0 * reach:
            kept.append(spot)
            found.append(k)
    return found


def _angles(shop: Shop, owner: str, level: float, run: Run) -> Iterator[Finding]:
    """Where the outline turns outward by an angle: slight ones warn, corners are told."""
    turn, ends = run.turn, run.chain.b
    slight = np.flatnonzero((turn > 0.0) & (turn < CORNER))
    if len(slight):
        k, limit = int(slight[np.argmax(turn[slight])]), shop.limit("mitre.angle")
        (x, y), worst = map(float, ends[k]), math.degrees(float(turn[k]))
        text = f"the outline along {owner} has a slight angle of {worst:.2f} degrees at "
        more = [ends[j] for j in slight if j != k and math.degrees(turn[j]) > limit.warn]
        text += f"({x:.1f}, {y:.1f}){_listed(', and more at', more)}"
        cure, at = "draw a round there, or leave the point out", witness((x, y), (x, y), level)
        yield advise((owner,), worst, limit, text, cure, at=at, unit="deg")
    corners = np.flatnonzero(turn >= CORNER)
    if len(corners):
        words = f"{owner}, a {run.edge.words}, is mitred at {len(corners)} corners of the outline"
        places = _listed(":", [ends[j] for j in corners])
        yield passed("mitre.corner", (owner,), f"{words}{places}")


def _flat(piece: Workpiece, owner: str, level: float, edge: Edge) -> Iterator[Finding]:
    """Whether a flat of the face is left within an edge all round, in one piece."""
    flats = offset_regions(piece.skin.outline, -edge.reach)
    if not flats:
        words = f"nothing is left of the face within {owner}, a {edge.words}: the outline is "
        cure = "use a smaller edge"
        yield failed("mitre.flat", (owner,), f"{words}nowhere {2.0 * edge.reach:.1f} mm wide", cure)
    elif len(flats) > 1:
        _, p, q = chain_gap(flats[0].outer.segments, flats[1].outer.segments)
        x, y = map(float, (p + q) / 2.0)
        words = f"the flat of the face within {owner} is in {len(flats)} pieces: the outline is "
        words += f"less than {2.0 * edge.reach:.1f} mm wide near ({x:.1f}, {y:.1f}), where the "
        cure = "use a smaller edge, or make the outline wider there"
        text = f"{words}edge's two sides meet in a ridge"
        at = witness((x, y), (x, y), level)
        yield Finding("mitre.flat", "warn", (owner,), text, at=at, cure=cure)


def _listed(before: str, spots: list[np.ndarray]) -> str:
    """Places in words, LISTED at most and the rest as a number; "" for none."""
    if not spots:
        return ""
    named = ", ".join(f"({x:.1f}, {y:.1f})" for x, y in (map(float, p) for p in spots[:LISTED]))
    rest = len(spots) - LISTED
    return f"{before} {named}" + (f" and {rest} more" if rest > 0 else "")
