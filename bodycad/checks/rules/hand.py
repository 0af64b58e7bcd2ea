"""`heel-hand`: how thick the heel is under the hand at the last frets, what a heel is carved for;
and what room the hand has between the fretboard and the body beside it."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass

import numpy as np

from bodycad.checks.finding import Finding, advise, judge, passed, skip, witness
from bodycad.checks.page import Page
from bodycad.checks.rules.seated import Held, held, unasked
from bodycad.geometry.distance.plan import chain_gap
from bodycad.geometry.plane.boolean import intersection
from bodycad.geometry.plane.profile import profile
from bodycad.geometry.plane.segments import Segments, crossed
from bodycad.instrument.neck import Neck, board_half_width, mouth_x
from bodycad.instrument.scale import remaining
from bodycad.instrument.seat import Seat
from bodycad.layout.layout import Layout
from bodycad.words import Face

PAGE = Page(
    asks="How thick is the heel, from the fretboard's face to the shaped back, under the hand that "
    "plays the last frets? Past the place where the neck leaves the body, how far from the "
    "fretboard's edges does the body stand, for the fingers on the treble side and for the thumb "
    "on the bass side?",
    why="There the palm must pass the heel's treble corner while the fingers reach the last "
    "frets: whatever stands there beyond the neck's own thickness pushes the hand away from them. "
    "That is why one carves the heel, and the screws must follow the carve. The figure is the mean "
    "along the treble edge of the fretboard over a hand's breadth of 85 mm from the last fret "
    "toward the nut, as far as body lies under it: 53 mm is a plain heel 44 mm thick under a neck "
    "that stands 9 mm proud. It is advice and never fails. Nor does a hand go round a neck that a "
    "horn runs beside: the knuckles stand there. The first 20 mm from where the body ends under "
    "that edge are the bottom of the cutaway, and not asked.",
    limits=("heel-hand", "heel-hand.fingers", "heel-hand.thumb"),
    cures="Carve the heel toward the treble cutaway, deepen the cutaway, use a thinner body, or "
    "seat the neck deeper. Bend a horn away from the neck, or shorten it.",
)
HAND = 85.0
"""Breadth of a hand across its knuckles, mm (common practice, no source)."""
BOTTOM = 20.0
"""So far (mm) from where body ends under the fretboard's edge toward the nut a cutaway has its
bottom (common practice, no source)."""
FAR = 150.0
"""Body farther beside the fretboard than this is not looked for, mm."""
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
    """The mean thickness of each heel under the hand at the last frets, and the room beside the
    fretboard."""
    yield from unasked(layout, "heel-hand", pocketed=False)
    for neck in held(layout):
        yield _beside(layout, neck, "fingers", "treble")
        yield _beside(layout, neck, "thumb", "bass")
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


def _beside(layout: Layout, neck: Held, what: str, side: str) -> Finding:
    """The least room in plan from one edge of the fretboard to the body beside it."""
    own, line = layout.instrument.neck, layout.instrument.lines[0 if side == "treble" else -1]
    way, thick = (1.0 if line.nut[1] > 0.0 else -1.0), neck.seat.thickness
    code, subjects = f"heel-hand.{what}", (neck.board, "edge")
    assert thick is not None

    def edge(along: float) -> np.ndarray:
        return np.array(neck.seat.point(along, way * board_half_width(own, along), thick))

    start = _leaves(layout, edge, layout.instrument.board_end.x, own) + BOTTOM
    ends = np.array([edge(start), edge(max(own.centre_scale, start + BOTTOM))])
    (p, q), out = ends[:, :2], np.array([0.0, way * FAR])
    wood = intersection(layout.skin.outline, profile([p, q, q + out, p + out]))
    if not wood:
        words = f"no body stands beside the {side} edge of {neck.id}'s fretboard"
        return passed(code, subjects, words)
    straight = Segments(p[None, :], q[None, :], np.zeros(1))
    room, one, two = min(
        (chain_gap(straight, region.outer.segments) for region in wood), key=lambda gap: gap[0]
    )
    frets = line.saddle[0] + line.scale * np.array([remaining(n) for n in range(1, own.frets + 1)])
    fret = min(int((frets > one[0]).sum()) + 1, own.frets)
    words = f"the body stands {room:.1f} mm beside the {side} edge of {neck.id}'s fretboard at "
    words += f"fret {fret}: so much for the {what}"
    limit, cure = layout.shop.limit(code), "bend the horn away from the neck, or shorten it"
    at = witness(one, two, float(ends[0, 2]))
    return judge(subjects, room, limit, words, cure, at=at)


def _leaves(layout: Layout, edge: Callable[[float], np.ndarray], end: float, own: Neck) -> float:
    """How far along the neck body lies under the edge of the fretboard: to the end of the last
    stretch of it that begins before the mouth; the fretboard's own `end` where none does."""
    far = own.centre_scale
    base, way = edge(end)[None, :2], (edge(far) - edge(end))[None, :2] / (far - end)
    turns = crossed(layout.skin.outline.segments, base, way, 0.0, far - end)[0]
    steps = np.array([0.0, *turns[np.isfinite(turns)], far - end])
    inside = layout.skin.outline.segments.encloses(
        base + (steps[1:] + steps[:-1])[:, None] / 2.0 * way
    )
    before = inside & (steps[:-1] <= mouth_x(own) - end)
    return end + float(steps[1:][before].max(initial=0.0))
