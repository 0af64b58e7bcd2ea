"""Which cautions concern a design, a drawing of it, or a page of the manual."""

from __future__ import annotations

from collections.abc import Iterator

from bodycad.checks.wood.drilled import drilled_from
from bodycad.layout.interface import Joint, Screw, Terminal
from bodycad.layout.layout import Layout
from bodycad.layout.workpiece import Workpiece
from bodycad.safety import CAUTIONS, LONG, Caution, Danger
from bodycad.words import Face, Mount


def of_design(layout: Layout) -> tuple[Caution, ...]:
    """What concerns whoever builds the whole design, the gravest first."""
    wanted = {Danger.ROUTER, Danger.DUST, Danger.NOISE, Danger.FILINGS, Danger.TRIAL}
    if any(drills_far(piece, face) for piece in layout.pieces for face in Face):
        wanted.add(Danger.DRILL)
    if screwed_on(layout):
        wanted.add(Danger.NECK)
    if layout.shop.finish > 0.0:
        wanted.add(Danger.FINISH)
    if layout.stated(Terminal):
        wanted.add(Danger.MAINS)
    return _of(wanted)


def of_sheet(layout: Layout, piece: Workpiece, face: str) -> tuple[Caution, ...]:
    """What concerns the work of one face of a workpiece, the gravest first."""
    wanted = {Danger.ROUTER, Danger.DUST, Danger.NOISE}
    if drills_far(piece, Face(face)):
        wanted.add(Danger.DRILL)
    heads = {s.seat or s.hole for s in layout.stated(Screw) if s.loaded}
    if screwed_on(layout) and any(v.face == face for v in piece.voids if v.id in heads):
        wanted.add(Danger.NECK)
    return _of(wanted)


def of_drilling(layout: Layout) -> tuple[Caution, ...]:
    """What concerns whoever drills the holes, the gravest first."""
    wanted = {Danger.DUST, Danger.TRIAL}
    if any(drills_far(piece, face) for piece in layout.pieces for face in Face):
        wanted.add(Danger.DRILL)
    return _of(wanted)


def of_pattern(layout: Layout) -> tuple[Caution, ...]:
    """What concerns whoever moves the screws of a neck."""
    wanted = {Danger.DRILL, *([Danger.NECK] if screwed_on(layout) else [])}
    return _of(wanted)


def of_list(layout: Layout) -> tuple[Caution, ...]:
    """What concerns whoever buys what a design is made of."""
    wanted = {Danger.DUST, *([Danger.FINISH] if layout.shop.finish > 0.0 else [])}
    return _of(wanted)


def screwed_on(layout: Layout) -> bool:
    """Whether a neck is held by screws."""
    return any(joint.mount is Mount.SCREWS for joint in layout.stated(Joint))


def _of(wanted: set[Danger]) -> tuple[Caution, ...]:
    return tuple(one for danger, one in CAUTIONS.items() if danger in wanted)


def lines(cautions: tuple[Caution, ...]) -> Iterator[str]:
    """One line for each."""
    yield from (f"{one.danger.value}: {one.brief}" for one in cautions)


def drills_far(piece: Workpiece, face: Face) -> bool:
    """Whether a hole from that face is drilled at an angle to it or with a long drill."""
    holes = (hole for v in piece.voids if (hole := v.shape.hole) and drilled_from(v, piece) is face)
    slanted = face is not Face.EDGE
    return any(h.length > LONG * h.diameter or (slanted and not h.upright) for h in holes)
