"""What must come before what, each with its reason. All of it is common practice, no source."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from enum import StrEnum

import numpy as np

from bodycad.checks.order.jobs import (
    Hold,
    Job,
    Work,
    along,
    contour_job,
    followed,
    rim_contours,
)
from bodycad.checks.wood.before import EXTENT, before
from bodycad.checks.wood.near import near_voids, of_the_cuts
from bodycad.geometry.distance.plan import inside_gap
from bodycad.layout.follow import LED
from bodycad.layout.interface import Fit, Joint, Post
from bodycad.layout.layout import Layout
from bodycad.layout.void import Void
from bodycad.layout.workpiece import Workpiece
from bodycad.words import EdgeForm, Face, FitKind

BEARING = 5.0
"""How high the bearing under an edge bit is, mm (common practice, no source)."""
ON_AXIS = 0.5
"""Holes whose axes are nearer than this are drilled on one axis, mm."""
AT = 0.05
"""A cut that begins within this of a height begins there, mm."""


class Why(StrEnum):
    """Why one job comes before another."""

    BLANK = "the blank is glued up, then planed, before anything is measured on it"
    DATUM = "everything on a face is set out from the datum pins"
    PROOF = "the test piece shows in an offcut whether the cut fits its part"
    NECK = "the neck is fitted into its pocket"
    LIES = "the neck lies over the waste before its pocket's mouth"
    LINE = "strings, bridge and pickups follow the neck as it is fitted, not the drawing"
    WIDER = "the bit of the wider hole wants wood under its point"
    PLAIN = "a drill wants the plain face that its depth counts from"
    STARTS = "it begins in the other cut"
    NESTED = "the shallower cut holds the deeper one: its template wants a whole face"
    FACE = "its depth counts from the plain face, which the carve takes away"
    OPEN = "a drill must come out into a cut that is open, where it can be seen"
    WASTE = "the datum pins stand in the waste, and the waste keeps the work flat"
    FREED = "it wants the side of the body, or room for a chuck, where waste still stands"
    HALF = "the second half is cut to meet the first"
    SIDE = "a drill wants the whole square side to start on"
    BEARING = "the bit's bearing would drop into a hole in the side"
    BASE = "the router's base rides on the plain face, which the carve takes away"
    REST = "the work lies flat on that face while the other face's edge is cut"
    FOLLOWS = "the ledge's floor counts from the carved face"
    RIM = "the edge is drawn on the carved rim"
    STRIP = "the strip is glued into the finished ledge"
    BOUND = "the ledge's guide and the strip's clamps want the square corner on the other face"
    RECESS = "a sheet is trimmed to its recess, not the recess to the sheet"
    THROUGH = "the neck's own holes are marked through those in the body"
    LAST = "a neck that is glued in, or a fretboard on its core, keeps the work from lying flat"
    WHOLE = "everything is cut"

    @property
    def yields(self) -> bool:
        """Whether it is a convenience, which gives way where no order keeps it."""
        return self in (Why.REST, Why.SIDE)


@dataclass(frozen=True)
class Rule:
    """The job named `first` comes before the one named `then`, and why."""

    first: str
    then: str
    why: Why


def rules(layout: Layout, todo: Sequence[Job]) -> tuple[Rule, ...]:
    """Every rule between the jobs of a layout."""
    found = list(_of_the_neck(layout, todo))
    for piece in layout.pieces:
        own = [job for job in todo if job.piece is piece]
        found += _of_the_piece(own)
        found += _of_voids(piece)
        found += _of_halves(own)
        found += _of_edges(own)
    found += _of_sheets(layout, todo)
    found += _of_the_end(todo)
    return tuple(dict.fromkeys(found))


def _named(todo: Sequence[Job], *works: Work) -> list[Job]:
    return [job for job in todo if job.work in works]


def _of_the_piece(own: Sequence[Job]) -> Iterator[Rule]:
    """Blank, datum, and the outline that frees the piece."""
    blank = _named(own, Work.GLUE_UP, Work.PLANE)
    for first, then in zip(blank, blank[1:]):
        yield Rule(first.name, then.name, Why.BLANK)
    pins = _named(own, Work.PINS)
    for one in pins:
        yield from (Rule(last.name, one.name, Why.BLANK) for last in blank[-1:])
    start = [(one, Why.DATUM) for one in pins] or [(one, Why.BLANK) for one in blank[-1:]]
    outlines = _named(own, Work.OUTLINE)
    for job in own:
        if job.hold is Hold.FLAT or (job.work is Work.FIT and job.hold is Hold.BENCH):
            yield from (Rule(one.name, job.name, why) for one, why in start)
        for end in outlines[-1:]:
            if job.hold is Hold.FLAT and job is not end:
                yield Rule(job.name, end.name, Why.WASTE)
            elif job.hold in (Hold.EDGE, Hold.ANGLE, Hold.FREE):
                yield Rule(end.name, job.name, Why.FREED)


def _of_the_neck(layout: Layout, todo: Sequence[Job]) -> Iterator[Rule]:
    """Test pieces, then the pocket, then the neck, then what follows the neck."""
    for job in _named(todo, Work.TEST):
        yield from (Rule(job.name, name, Why.PROOF) for name in job.ids)
    strung = {one.part for kind in LED for one in layout.stated(kind)}
    posts = {layout.by_id[post.hole].part for post in layout.stated(Post)}
    waste = {job.name for job in _named(todo, Work.WASTE)}
    pockets = {joint.part: layout.by_id[joint.pocket].face for joint in layout.stated(Joint)}
    for fit in _named(todo, Work.FIT):
        neck = fit.name.removesuffix(":fit")
        for void in layout.voids_of(neck):
            if void.shape.hole is None and void.face is pockets.get(neck):
                yield Rule(void.id, fit.name, Why.NECK)
        if f"{neck}:waste" in waste:
            yield Rule(f"{neck}:waste", fit.name, Why.LIES)
        for job in todo:
            own = job.void.part if job.void is not None and job.piece is layout.body else neck
            if own in strung | posts and own != neck:
                yield Rule(fit.name, job.name, Why.LINE)


def _of_voids(piece: Workpiece) -> tuple[Rule, ...]:
    key = ("rules between voids",)
    return of_the_cuts(piece, key, lambda: (*_between(piece), *_under_carves(piece)))


def _between(piece: Workpiece) -> Iterator[Rule]:
    """Pairs of cuts of which one stands in the other or opens into it."""
    for one, two in near_voids(piece, AT):
        for first, then in ((one, two), (two, one)):
            why = _why(piece, first, then)
            if why is not None:
                yield Rule(first.id, then.id, why)


def _why(piece: Workpiece, first: Void, then: Void) -> Why | None:
    """Why of two cuts the first comes first; None where nothing says so."""
    a, b = first.shape.hole, then.shape.hole
    if not then.shape.upright or then.face is Face.EDGE:
        if first.face is Face.EDGE or not first.shape.upright:
            wider = a is not None and b is not None and a.diameter > b.diameter + AT
            return Why.WIDER if wider and piece.meant(first, then) else None
        return Why.OPEN if piece.meant(first, then) else None
    if not first.shape.upright or first.face is not then.face:
        return None
    if a is not None and b is not None:
        apart = float(np.hypot(a.start[0] - b.start[0], a.start[1] - b.start[1]))
        return Why.WIDER if apart < ON_AXIS and a.diameter > b.diameter + AT else None
    if a is not None:
        meets = top(first, piece) < AT and _inside(a.start[:2], then)
        return Why.PLAIN if meets else None
    if b is not None:
        begins = top(then, piece)
        over = begins >= AT and top(first, piece) < begins
        return Why.STARTS if over and _inside(b.start[:2], first) else None
    if floor(first, piece) < floor(then, piece) - AT:
        within = inside_gap(then.shape.plan, first.shape.plan)[0] > -AT
        return Why.NESTED if within else None
    return None


def top(void: Void, piece: Workpiece) -> float:
    """How far (mm) under its plain face a cut begins."""
    return void.low + piece.thickness if void.face is Face.BACK else -void.high


def floor(void: Void, piece: Workpiece) -> float:
    """How far (mm) under its plain face a cut ends."""
    return void.high + piece.thickness if void.face is Face.BACK else -void.low


def _of_halves(own: Sequence[Job]) -> Iterator[Rule]:
    """The second half of a hole: after the first and the wider hole on its axis, before a carve
    over it."""
    holes = [(job, job.void.shape.hole) for job in own if job.void is not None]
    for half in _named(own, Work.MEET):
        assert half.void is not None and half.face is not None
        yield Rule(half.void.id, half.name, Why.HALF)
        turned = replace(half.void, face=half.face)
        for contour in before(turned, half.piece) if half.piece.skin.contours else ():
            yield Rule(half.name, contour_job(half.piece, contour), Why.FACE)
        mine = half.void.shape.hole
        for job, hole in holes if mine is not None else ():
            if hole and mine and job.hold is Hold.FLAT and job.face is half.face:
                apart = np.hypot(hole.start[0] - mine.start[0], hole.start[1] - mine.start[1])
                if apart < ON_AXIS and hole.diameter > mine.diameter + AT:
                    yield Rule(job.name, half.name, Why.WIDER)


def _inside(spot: Sequence[float], void: Void) -> bool:
    return bool(void.shape.plan.segments.encloses(np.array([spot], float))[0])


def _under_carves(piece: Workpiece) -> Iterator[Rule]:
    for void in piece.voids if piece.skin.contours else ():
        for contour in before(void, piece):
            yield Rule(void.id, contour_job(piece, contour), Why.FACE)


def _of_edges(own: Sequence[Job]) -> Iterator[Rule]:
    """Edges, bindings and contours of a piece, and the bores in its side."""
    carves = _named(own, Work.CONTOUR)
    ledges = _named(own, Work.LEDGE)
    for job in _named(own, Work.EDGE):
        assert job.edge and job.face
        rim = {contour.id for contour in rim_contours(job.piece, job.face, job.edge)}
        lowered = _lowered(job)
        for carve in carves:
            if carve.face is job.face and carve.ids[0] in rim:
                pair = (carve, job, Why.RIM) if lowered else (job, carve, Why.BASE)
                yield Rule(pair[0].name, pair[1].name, pair[2])
        yield from _beside(job, own)
        bound = [ledge for ledge in ledges if _opposite(ledge, job)]
        for ledge in bound:
            yield Rule(f"{ledge.name}:binding", job.name, Why.BOUND)
        for carve in carves:
            if carve.face is not job.face and not bound and not lowered:
                yield Rule(job.name, carve.name, Why.REST)
    for job in ledges:
        assert job.edge and job.face
        yield Rule(job.name, f"{job.name}:binding", Why.STRIP)
        if job.hold is Hold.FREE:
            for contour in followed(job.piece, job.face, job.edge):
                yield Rule(contour_job(job.piece, contour.id), job.name, Why.FOLLOWS)


def _opposite(ledge: Job, job: Job) -> bool:
    """Whether a ledge runs along the corner opposite to an edge somewhere."""
    if ledge.face is job.face:
        return False
    assert ledge.edge and ledge.face and job.edge and job.face
    one = along(ledge.piece, ledge.face, ledge.edge)
    shared = one & along(job.piece, job.face, job.edge)
    return int(shared.sum()) > 2  # where two stretches meet, both of them hold the place


def _lowered(job: Job) -> bool:
    """Whether an edge is drawn on a rim that lies lower than the plain face."""
    assert job.edge
    (reach, top, _), (next_, deep, _) = job.edge.rows[:2]
    return job.edge.form is not EdgeForm.STRAIGHT and reach == next_ and deep > top + EXTENT


def _beside(job: Job, own: Sequence[Job]) -> Iterator[Rule]:
    """The bores in the side before an edge; those of a part whose mouths lie in the way of the
    bit's bearing after it."""
    assert job.edge and job.face
    deep, t = (job.edge.drop, job.edge.drop + BEARING), job.piece.thickness
    low, high = (-deep[1], -deep[0]) if job.face is Face.FRONT else (deep[0] - t, deep[1] - t)
    bores = [(bore, bore.void) for bore in own if bore.hold is Hold.EDGE and bore.void is not None]
    parts = {void.part for _, void in bores if void.low < high and void.high > low}
    for bore, void in bores:
        if void.part in parts and job.edge.form:
            yield Rule(job.name, bore.name, Why.BEARING)
        else:
            yield Rule(bore.name, job.name, Why.SIDE)


def _of_sheets(layout: Layout, todo: Sequence[Job]) -> Iterator[Rule]:
    """What is let into a recess is cut to it."""
    recess = {f.part: f.outer for f in layout.stated(Fit) if f.kind is FitKind.COVER}
    for job in _named(todo, Work.OUTLINE):
        if job.piece is not layout.body and job.piece.part in recess:
            yield Rule(recess[job.piece.part], job.name, Why.RECESS)


def _of_the_end(todo: Sequence[Job]) -> Iterator[Rule]:
    """A glued neck after all that is cut of the body; the assembly after everything."""
    glue = _named(todo, Work.GLUE_NECK)
    names = {job.name for job in todo}
    for heel in _named(todo, Work.HEEL):
        yield from (Rule(hole, heel.name, Why.THROUGH) for hole in heel.ids if hole in names)
    for job in todo:
        for one in glue:
            if job.piece is one.piece and job.work not in (Work.GLUE_NECK, Work.ASSEMBLY):
                yield Rule(job.name, one.name, Why.LAST)
        for one in _named(todo, Work.ASSEMBLY):
            if job is not one:
                yield Rule(job.name, one.name, Why.WHOLE)
