"""Where to stop and measure before the work goes on, what the layout says there, and under which
names the value goes back into the design."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

import numpy as np

from bodycad.checks.order.jobs import Job, Work
from bodycad.checks.order.rules import floor
from bodycad.checks.rules.neck import side_plays
from bodycad.checks.rules.seated import necks
from bodycad.layout.interface import Bush, Core, Fit, Joint, StringHole
from bodycad.layout.layout import Layout
from bodycad.layout.void import Void
from bodycad.making.step import Stop
from bodycad.words import Face, FitKind

STACK = "stack", "stack.bass", "stack.treble"
"""The findings on saddles that stand as high as the strings want them."""
THREADS = "stretch two threads from the nut's outer slots over the outer saddles' places: "


def stops_of(jobs: Sequence[Job], layout: Layout) -> Iterator[Stop]:
    """The stops behind a step."""
    ids = {one for job in jobs for one in job.ids}
    work = jobs[0].work
    if work is Work.TEST:
        yield from _tested(ids, layout)
    elif work is Work.PLANE:
        piece, where = jobs[0].piece, "at its four corners and its middle"
        if piece.neck is not None:
            where = "at the four corners of its wings and at the core's tail"
        how = f"caliper the planed blank {where}"
        deep = float(piece.thickness)
        if piece is not layout.body:
            yield Stop(f"Thickness of the blank of {piece.id}", how, deep)
            return
        codes, names = ("stock.thickness",), ("stock.thickness",)
        how = f"{how}; enter the mean"
        yield Stop("Thickness of the blank", how, deep, codes, names=names, parameter="thickness")
    elif work is Work.FIT:
        yield from _line(layout)
    elif work is Work.VOID and jobs[0].piece is layout.body:
        yield from _pocket(ids, layout)
        yield from _rows(ids, layout)
        yield from _panels(ids, layout)


def _tested(ids: set[str], layout: Layout) -> Iterator[Stop]:
    """What a test piece must show."""
    for neck in necks(layout):
        if neck.joint.pocket in ids:
            how = "push the heel in by hand: it slides in without rocking and without a mallet"
            about = neck.joint.pocket, neck.joint.heel
            play = min(side_plays(neck))
            yield Stop("Play of the heel across", how, play, ("pocket-fit.least",), about)
    for fit in layout.stated(Fit):
        if fit.kind is FitKind.COVER and fit.outer in ids:
            how = "lay the cover in: the gap is the same all round, its face is flush"
            yield Stop("Gap round the cover", how, None, ("cover-fit.gap",), (fit.outer,))
            return
    seats = sorted(one for one in ids if layout.by_id[one].shape.hole is not None)
    for name in seats[:1]:
        hole = layout.by_id[name].shape.hole
        assert hole is not None
        how = "press the real ferrule in: it goes home without splitting, and its flange lies flat"
        yield Stop("Diameter of the seat", how, float(hole.diameter))


def _line(layout: Layout) -> Iterator[Stop]:
    """Where the fitted neck points."""
    glued = bool(layout.stated(Core))
    held = "" if glued else "clamp the neck home in its pocket; "
    how = f"{held}{THREADS}equal margins to the fretboard's edges at the last fret; then measure "
    middle = "from the drawn centreline to the middle between the threads, + toward the bass: "
    codes = ("string-margin.difference",)
    saddles = f"{how}{middle}at the scale line"
    own = "fitted.aside", "fitted.aside_at_board", "fitted.along"
    yield Stop("Neck aside at the saddles", saddles, 0.0, codes, names=own[:1], takes=2.0)
    board = f"{middle}at the fretboard's end"
    yield Stop("Neck aside at the fretboard", board, 0.0, codes, names=own[1:2], takes=2.0)
    how = "nut face to 12th fret, and as much again, along the middle: from the drawn scale line "
    how += "to where that ends, + where it ends nearer the nut"
    yield Stop("Scale line along", how, 0.0, ("saddle-window",), names=own[2:])


def _pocket(ids: set[str], layout: Layout) -> Iterator[Stop]:
    for joint in layout.stated(Joint):
        if joint.pocket not in ids:
            continue
        void, heel = layout.by_id[joint.pocket], layout.rooms_by_id[joint.heel].shape.plan
        prism = void.shape.prism
        ahead, end = np.array(joint.ahead[:2]), np.array(joint.end[:2])
        mouth = end + float(((heel.vertices[:, :2] - end) @ ahead).max()) * ahead
        how = "depth gauge from the plain face"
        if prism is None or not prism.tilted:
            deep = floor(void, layout.body)
            yield Stop("Depth of the pocket", how, deep, STACK, parameter="pocket_depth")
            return
        # A neck's depth is that at the mouth.
        for where, (x, y), own in (("mouth", mouth, "pocket_depth"), ("end", end, "")):
            z = float(prism.floor(x, y))
            deep = -z if void.face is Face.FRONT else z + layout.thickness
            yield Stop(f"Depth of the pocket at its {where}", how, deep, STACK, parameter=own)


def _rows(ids: set[str], layout: Layout) -> Iterator[Stop]:
    """The row of string holes, as it comes out on each face."""
    own = [one for one in layout.stated(StringHole) if {one.hole, one.seat} & ids]
    if len(own) < 2:
        return
    across = sorted((one.at[1], one.at[0]) for one in own)
    spread = float(np.hypot(across[-1][0] - across[0][0], across[-1][1] - across[0][1]))
    how = f"outer hole to outer hole, centre to centre, {len(own)} in the row; then the steps"
    codes = "string-holes.pitch", "string-holes.drift"
    yield Stop(
        "Row of string holes", how, spread, codes, tuple(dict.fromkeys(one.part for one in own))
    )


def _panels(ids: set[str], layout: Layout) -> Iterator[Stop]:
    """The wood that bushes clamp over a cavity."""
    found: dict[str, list[Void]] = {}
    for bush in layout.stated(Bush):
        if bush.under in ids and bush.hole in layout.body.by_id:
            found.setdefault(str(bush.under), []).append(layout.by_id[bush.hole])
    for under, holes in found.items():
        left = layout.thickness - floor(layout.by_id[under], layout.body)
        how = f"calipers through {', '.join(sorted(h.id for h in holes))}"
        yield Stop(f"Wood left over {under}", how, left, ("control-clamp", "floor"), (under,))
