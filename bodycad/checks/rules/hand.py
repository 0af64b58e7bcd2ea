"""How thick the heel is under the hand at the last frets: what a heel is carved for."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np

from bodycad.checks.finding import Finding, advise, skip, witness
from bodycad.checks.page import Page
from bodycad.checks.rules.seated import held, unasked
from bodycad.instrument.neck import board_half_width
from bodycad.instrument.scale import remaining
from bodycad.instrument.seat import Seat
from bodycad.layout.layout import Layout
from bodycad.words import Face

PAGE = Page(
    asks="How thick is the heel, from the fretboard's face to the shaped back, under the hand that "
    "plays the last frets?",
    why="There the palm must pass the heel's treble corner while the fingers reach the last "
    "frets: whatever stands there beyond the neck's own thickness pushes the hand away from them. "
    "That is why one carves the heel, and the screws must follow the carve. The figure is the mean "
    "along the treble edge of the fretboard over a hand's breadth of 85 mm from the last fret "
    "toward the nut, as far as body lies under it: 53 mm is a plain heel 44 mm thick under a neck "
    "that stands 9 mm proud. Advice: it never fails.",
    limits=("heel-hand",),
    cures="Carve the heel toward the treble cutaway, deepen the cutaway, use a thinner body, or "
    "seat the neck deeper.",
)
HAND = 85.0
"""Breadth of a hand across its knuckles, mm (common practice, no source)."""
STEP = 2.5
"""Spacing of the places of which the figure is the mean, mm."""


@dataclass(frozen=True, eq=False)
class Grasp:
    """The heel along the treble edge of a fretboard, from the last fret toward the nut, where body
    lies under it: `top` (n, 3) on the fretboard's face, `thick` (n,) from there straight down to
    the shaped back, mm; and what the thickness at the last frets is, by fret."""

    top: np.ndarray
    thick: np.ndarray
    frets: tuple[tuple[int, float], ...]


def grasp(layout: Layout, seat: Seat) -> Grasp | None:
    """The heel under the hand; None where no body lies under the last frets."""
    own, skin = layout.instrument, layout.skin
    assert seat.thickness is not None
    treble = own.lines[0]
    side = 1.0 if treble.nut[1] > 0.0 else -1.0
    numbers = range(own.neck.frets, 0, -1)
    frets = treble.saddle[0] + treble.scale * np.array([remaining(n) for n in numbers])
    frets = frets[frets < frets[0] + HAND]
    along = np.concatenate([frets, np.arange(frets[0], frets[0] + HAND, STEP)])
    top = np.array(
        [seat.point(x, side * board_half_width(own.neck, x), seat.thickness) for x in along]
    )
    here = np.flatnonzero(skin.outline.segments.encloses(top[:, :2]))
    spots = top[here]
    thick = spots[:, 2] - skin.height(Face.BACK, spots[:, :2])
    under = here >= len(frets)
    if not under.any():
        return None
    by_fret = zip(here[~under].tolist(), thick[~under].tolist())
    return Grasp(spots[under], thick[under], tuple((numbers[k], t) for k, t in by_fret))


def heel_hand(layout: Layout) -> Iterator[Finding]:
    """The mean thickness of each heel under the hand at the last frets."""
    yield from unasked(layout, "heel-hand", pocketed=False)
    for neck in held(layout):
        found = grasp(layout, neck.seat)
        if found is None:
            yield skip("heel-hand", f"no body lies under the last frets of {neck.id}")
            continue
        thick = float(found.thick.mean())
        by_fret = ", ".join(f"{thick:.1f} at fret {fret}" for fret, thick in found.frets[:8])
        words = f"the heel of {neck.id} is {thick:.1f} mm thick under the hand at the last frets"
        words += f": {by_fret}" if by_fret else ""
        place = found.top[int(np.abs(found.thick - thick).argmin())]
        at = witness(place, (*place[:2], place[2] - thick))
        limit = layout.shop.limit("heel-hand")
        cure = "carve the heel toward the treble cutaway, or deepen the cutaway"
        yield advise((neck.heel, "back"), thick, limit, words, cure, at=at)
