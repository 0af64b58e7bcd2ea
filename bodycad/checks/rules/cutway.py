"""`cut-way`: can the tool come to every cut, and is every cut drawn once?"""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np

from bodycad.checks.finding import Finding, failed, passed
from bodycad.checks.page import Page
from bodycad.checks.piece import Answers, of_each
from bodycad.checks.wood.drilled import drilled_from
from bodycad.checks.wood.inway import NONE, behind, wood_beside, wood_over
from bodycad.checks.wood.near import near_voids
from bodycad.geometry.solids.bore import Bore
from bodycad.geometry.solids.solid import Point3, Shape
from bodycad.layout.interface import Way
from bodycad.layout.layout import Layout
from bodycad.layout.void import Void
from bodycad.layout.workpiece import Workpiece
from bodycad.safety import Danger
from bodycad.words import Face, Operation

PAGE = Page(
    asks="Can the tool come to every cut on its straight way, through nothing but air: square from "
    "the face that the cut is said to be cut from, from beside the edge, or along a slanted hole "
    "from behind its start? And is no cut drawn twice?",
    why="A machine goes down to the depth from the face that it is told, whatever lies between: a "
    "dish of the front that is said to be cut from the back comes out as a hole, and a room under "
    "a smaller mouth is opened as wide as the room. What other cuts take counts as air, for it "
    f"goes in any case; so does wood thinner than {NONE:g} mm. A drill's way is followed along its "
    "axis until it is out of the board; behind a way for wires wire-path asks that, and how much "
    "room shank and chuck have.",
    limits=(),
    cures="Name the face from which the cut is open, raise it to that face, widen the cut that "
    "lies over it, or draw a hole from the end at which its drill begins. Draw each cut once.",
    dangers=(Danger.ROUTER, Danger.DRILL),
)


def cut_way(layout: Layout) -> Iterator[Finding]:
    """Each cut that its tool does not come to, and each pair that are one cut."""
    ways = {way.hole for way in layout.stated(Way)}
    free = yield from of_each(layout, lambda piece, shop: _asked(piece, ways))
    count = sum(len(piece.voids) for piece in layout.pieces)
    words = f"the tools come to {free} of {count} cuts through nothing but air"
    yield passed("cut-way", (), words)


def _asked(piece: Workpiece, ways: set[str]) -> Answers:
    barred = 0
    for void in piece.voids:
        wired = void.operation is Operation.CHANNEL or void.id in ways
        found = _barred(void, piece, wired)
        if found is not None:
            barred += 1
            yield found
    for one, two in near_voids(piece, NONE):
        if _alike(one.shape, two.shape) and _alike(two.shape, one.shape):
            one, two = sorted((one, two), key=lambda void: void.id)
            words = f"{one.id} and {two.id} are the same cut, drawn twice"
            cure, at = f"leave out {one.id} or {two.id}", (one.shape.highest, two.shape.highest)
            yield failed("cut-way.twice", (one.id, two.id), words, cure, at=at)
    return len(piece.voids) - barred


def _barred(void: Void, piece: Workpiece, wired: bool) -> Finding | None:
    hole = void.shape.hole
    if hole is not None and (not hole.upright or void.face is Face.EDGE):
        return _drilled(void, hole, piece, wired)
    if void.face is Face.EDGE:
        spot = wood_beside(void, piece)
        words, cure = f"wood stands before {void.id}, toward the edge", "run it out of the outline"
        return None if spot is None else _no_way(void, words, f"{cure}, as wide as it is", spot)
    front = void.face is Face.FRONT
    if hole is not None and hole.tip > 0.0 and (hole.direction[2] > 0.0) is front:
        words = f"{void.id} is cut from the {void.face}, but its point lies toward that face"
        cure = f"draw {void.id} from its other end, or write face {void.face.opposite.value!r}"
        return _no_way(void, words, cure, hole.end)
    spot = wood_over(void, piece, void.face)
    if spot is None:
        return None
    deep = abs(spot[2] - piece.skin.level(void.face))
    words = f"{void.id} is cut from the {void.face}, but wood lies in its tool's way there"
    words = f"{words}, as deep as {deep:.2f} mm"
    return _no_way(void, words, _opened(void, piece), spot)


def _opened(void: Void, piece: Workpiece) -> str:
    other = void.face.opposite
    if wood_over(void, piece, other) is None:
        return f"write face {other.value!r}: {void.id} is open to the {other}"
    return f"raise {void.id} to the {void.face}, or draw a cut over it that is as wide as it is"


def _drilled(void: Void, hole: Bore, piece: Workpiece, wired: bool) -> Finding | None:
    """A hole at an angle or from the edge; `wired`: the wood behind it is wire-path's question."""
    comes: tuple[Face, ...] = (drilled_from(void, piece),)
    if void.face is Face.EDGE or not wired:
        wood, beyond = behind(void, hole, piece)
        comes = beyond if void.face is Face.EDGE else comes
        if wood is not None and not wired:
            away = sum((s - w) * d for s, w, d in zip(hole.start, wood, hole.direction))
            where = f"{away:.1f} mm behind its start" if away > NONE else "at its very start"
            words = f"the drill of {void.id} comes along its axis through wood {where}"
            cure = f"begin {void.id} in the air or in a cut that its drill comes through"
            return _no_way(void, words, cure, wood)
    if void.face not in comes and (void.opens or void.face is Face.EDGE):
        words = f"{void.id} is said to be drilled from the {void.face}"
        words = f"{words}, but its drill comes from the {comes[0]}"
        return _no_way(void, words, f"write face {comes[0].value!r}", hole.start)
    return None


def _no_way(void: Void, words: str, cure: str, spot: Point3) -> Finding:
    return failed("cut-way", (void.id,), words, cure, at=(spot, spot))


def _alike(one: Shape, two: Shape) -> bool:
    """Whether one shape lies within NONE of the other at its ends all round."""
    boxes = np.abs(np.subtract(one.box, two.box)).max() <= NONE
    return bool(boxes) and bool((two.closest(_ends(one))[0] <= NONE).all())


def _ends(shape: Shape) -> np.ndarray:
    return np.vstack([end.rim for end in shape.ends])
