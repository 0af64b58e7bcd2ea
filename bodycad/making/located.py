"""What holds a router template in its place: the datum pins of the blank, or holes of the body."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from bodycad.checks.rules.stock import other_way
from bodycad.geometry.plane.profile import Profile
from bodycad.layout.blank import Pin
from bodycad.layout.layout import Layout
from bodycad.layout.void import Void
from bodycad.layout.workpiece import Workpiece
from bodycad.making.holes import holes
from bodycad.shop import Shop
from bodycad.words import Face

PIN_WALL = 8.0
"""Sheet between a pin hole and an opening or the sheet's side, mm (common practice, no source)."""
THIN, THICK = 3.0, 16.0
"""What a drilled hole must measure so that a dowel or a drill's shank in it holds a template, mm
(common practice, no source)."""
DEEP = 10.0
"""A dowel that holds a template stands so deep in its hole, mm (common practice, no source)."""
LINES = "lay it to the drawn centreline and scale line, and hold it with double-sided tape"
"""What is done where no holes hold a template."""
SWING = 3.0
"""Play in holes that stand a third of a template's length apart is three times itself at its far
end (common practice, no source)."""
MOUTH = 1e-6


@dataclass(frozen=True)
class Located:
    """The holes (x, y, diameter) of a template in the piece's own frame, what goes in them, and how
    far at least a pin misses its hole when the template lies in any other way, mm; None where that
    does not matter."""

    holes: tuple[Pin, ...]
    words: str
    off: float | None = None

    @property
    def span(self) -> float:
        """How far its two outermost holes are apart, mm."""
        spots = [(pin.x, pin.y) for pin in self.holes]
        return max((math.dist(p, q) for p in spots for q in spots), default=0.0)

    def one_way(self, shop: Shop) -> bool:
        """Whether the template goes on in one way only."""
        return self.off is None or self.off >= shop.limit("stock.pins").fail


def by_datum(piece: Workpiece, opening: Profile) -> Located:
    """The blank's datum pins, but for those that stand in the opening's way."""
    pins = piece.blank.pins if piece.blank is not None else ()
    kept = tuple(pin for pin in pins if _clear(pin, opening))
    if not kept:
        return Located((), "no datum pin: lay it to the drawn centreline and scale line", 0.0)
    numbers = ", ".join(str(pins.index(pin) + 1) for pin in kept)
    lost = [str(k) for k, pin in enumerate(pins, 1) if pin not in kept]
    words = f"datum pins {numbers} of {len(pins)}"
    words += f" (pin {', '.join(lost)} stands in the way of the opening)" if lost else ""
    return Located(kept, words, other_way(kept) if len(kept) > 1 else 0.0)


def by_holes(layout: Layout, face: Face, rim: Profile) -> Located:
    """Drilled holes of the body itself that are open in the face and stand in the template: two
    that are the farthest apart, and the third with which they fit in one way only. They are there
    when the outline is cut, the last of all; where they are too few, the drawn lines say the
    rest."""
    found = _spread([pin for pin in _drilled(layout, face) if _within(pin, rim)])
    if not found:
        return Located((), f"nothing: no drilled hole on the {face} serves; {LINES}", 0.0)
    sizes = ", ".join(f"{pin.diameter:.4g}" for pin in found)
    off = other_way(found) if len(found) > 1 else 0.0
    made = Located(found, f"dowels or shanks of {sizes} mm in drilled holes, which come first", off)
    if made.one_way(layout.shop) and made.span >= wide(rim):
        return made
    return replace(made, words=f"{made.words}; {LINES}")


def wide(rim: Profile) -> float:
    """How far apart holes must be so that a template does not swing about them, mm."""
    x0, y0, x1, y1 = rim.box
    return max(x1 - x0, y1 - y0) / SWING


def _clear(pin: Pin, opening: Profile) -> bool:
    gap = float(opening.signed_distance(np.array([[pin.x, pin.y]]))[0])
    return gap - pin.diameter / 2.0 >= PIN_WALL


def _within(pin: Pin, rim: Profile) -> bool:
    gap = -float(rim.signed_distance(np.array([[pin.x, pin.y]]))[0])
    return gap - pin.diameter / 2.0 >= PIN_WALL


def _drilled(layout: Layout, face: Face) -> list[Pin]:
    """The upright drilled holes of the body that begin in the plain face, as wide as their drills,
    of those on one axis the widest, where no route takes the face away."""
    piece = layout.body
    sizes = {hole.id: hole.size for hole in holes(layout) if hole.piece == piece.id}
    routes = [v for v in piece.voids if v.shape.hole is None and face in v.opens]
    best: dict[tuple[float, float], Pin] = {}
    for void in piece.voids:
        hole = void.shape.hole
        if hole is None or not hole.upright or not _mouth(void, face, piece.thickness):
            continue
        if hole.length < DEEP:
            continue
        x, y, d = float(hole.start[0]), float(hole.start[1]), sizes[void.id]
        key = round(x, 3), round(y, 3)
        if key not in best or best[key].diameter < d:
            best[key] = Pin(x, y, d)
    spots = [pin for pin in best.values() if THIN <= pin.diameter <= THICK]
    return [p for p in spots if not any(_near(p, route.shape.plan) for route in routes)]


def _mouth(void: Void, face: Face, thickness: float) -> bool:
    if face not in void.opens and void.face is not face:
        return False
    return void.high > -MOUTH if face is Face.FRONT else void.low < MOUTH - thickness


def _near(pin: Pin, plan: Profile) -> bool:
    gap = float(plan.signed_distance(np.array([[pin.x, pin.y]]))[0])
    return gap < pin.diameter / 2.0 + 1.0


def _spread(pins: Sequence[Pin]) -> tuple[Pin, ...]:
    """The two farthest apart, and the third with which they fit in one way only by the most."""
    if len(pins) < 2:
        return tuple(pins)
    pairs = [(p, q) for k, p in enumerate(pins) for q in pins[k + 1 :]]
    one, two = max(pairs, key=lambda pair: math.dist(*((p.x, p.y) for p in pair)))
    rest = [pin for pin in pins if pin is not one and pin is not two]
    if not rest:
        return one, two
    third = max(rest, key=lambda pin: other_way((one, two, pin)))
    return one, two, third
