"""Where to stop and measure before the work goes on, what the layout says there, and under which
names the value goes back into the design."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import replace
from functools import partial

import numpy as np

from bodycad.chance.built import Errors, as_built
from bodycad.chance.variables import size_variables
from bodycad.checks.order.jobs import Job, Work
from bodycad.checks.order.rules import floor
from bodycad.checks.rules.neck import side_plays
from bodycad.checks.rules.seated import necks
from bodycad.checks.wood.near import room_inside
from bodycad.geometry.plane.offset import offset
from bodycad.geometry.plane.profile import Profile
from bodycad.instrument.fitted import Fitted
from bodycad.layout.interface import Bush, Core, Fit, Joint, StringHole
from bodycad.layout.layout import Layout
from bodycad.layout.void import Room, Void
from bodycad.making.room import Off
from bodycad.making.step import Stop
from bodycad.words import Face, FitKind

HEEL = "heel.width_mouth", "heel.width_end"
"""A neck's widths, where its part has them."""
AFTER = "nut face to 12th fret, and as much again, along the middle: from the drawn scale line "
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
        how, names = f"{how}; enter the mean", ("stock.thickness",)
        off = partial(_thicker, layout)
        yield Stop("Thickness of the blank", how, deep, off, names, "thickness")
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
            off = _narrower(layout, neck.joint.part)
            yield Stop("Play of the heel across", how, min(side_plays(neck)), off)
    for fit in layout.stated(Fit):
        if fit.kind is FitKind.COVER and fit.outer in ids:
            how = "lay the cover in: the gap is the same all round, its face is flush"
            inner, outer = layout.rooms_by_id[fit.room], layout.by_id[fit.outer]
            gap = room_inside(layout, inner.shape.plan, outer.shape.plan)[0]
            yield Stop("Gap round the cover", how, gap, partial(_smaller, layout, inner))
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
    board, along = "at the fretboard's end", f"{AFTER}to where that ends, + where it ends nearer"
    for what, where, name in (
        ("Neck aside at the saddles", f"{how}{middle}at the scale line", "aside"),
        ("Neck aside at the fretboard", f"{middle}{board}", "aside_at_board"),
        ("Scale line along", f"{along} the nut", "along"),
    ):
        drawn = getattr(layout.instrument.fitted or Fitted(), name)
        off = partial(_led, layout, name)
        yield Stop(what, where, float(drawn), off, (f"fitted.{name}",))


def _pocket(ids: set[str], layout: Layout) -> Iterator[Stop]:
    for joint in layout.stated(Joint):
        if joint.pocket not in ids:
            continue
        void, heel = layout.by_id[joint.pocket], layout.rooms_by_id[joint.heel].shape.plan
        prism = void.shape.prism
        ahead, end = np.array(joint.ahead[:2]), np.array(joint.end[:2])
        mouth = end + float(((heel.vertices[:, :2] - end) @ ahead).max()) * ahead
        how, off = "depth gauge from the plain face", partial(_deeper, layout, void.id)
        if prism is None or not prism.tilted:
            deep = floor(void, layout.body)
            yield Stop("Depth of the pocket", how, deep, off, parameter="pocket_depth")
            return
        how += ", off by as much at mouth and end"
        # A neck's depth is that at the mouth.
        for where, (x, y), own in (("mouth", mouth, "pocket_depth"), ("end", end, "")):
            z = float(prism.floor(x, y))
            deep = -z if void.face is Face.FRONT else z + layout.thickness
            yield Stop(f"Depth of the pocket at its {where}", how, deep, off, parameter=own)


def _rows(ids: set[str], layout: Layout) -> Iterator[Stop]:
    """The row of string holes, as it comes out on each face."""
    own = [one for one in layout.stated(StringHole) if {one.hole, one.seat} & ids]
    if len(own) < 2:
        return
    across = np.array(sorted((one.at[1], one.at[0]) for one in own))[:, ::-1]
    step = across[-1] - across[0]
    spread = float(np.hypot(*step))
    how = f"outer hole to outer hole, centre to centre, {len(own)} in the row; then the steps"
    share = {
        one: (
            (np.array(one.at[:2]) - across.mean(axis=0)) @ step / max(spread, 1e-9) ** 3 * step
        ).tolist()
        for one in own
    }
    off = partial(_spread, layout, share) if spread > 0.0 else None
    yield Stop("Row of string holes", how, spread, off)


def _panels(ids: set[str], layout: Layout) -> Iterator[Stop]:
    """The wood that bushes clamp over a cavity."""
    found: dict[str, list[Void]] = {}
    for bush in layout.stated(Bush):
        if bush.under in ids and bush.hole in layout.body.by_id:
            found.setdefault(str(bush.under), []).append(layout.by_id[bush.hole])
    for under, holes in found.items():
        left = layout.thickness - floor(layout.by_id[under], layout.body)
        how = f"calipers through {', '.join(sorted(h.id for h in holes))}"
        off = partial(_deeper, layout, under, sign=-1.0)
        yield Stop(f"Wood left over {under}", how, left, off)


def _thicker(layout: Layout, by: float) -> Layout:
    """The body of a blank that is so much thicker, whose measure differs from the drawing's."""
    built = as_built(layout, Errors(thicker=by))
    return replace(built, shop=replace(layout.shop, measured_stock=layout.thickness))


def _deeper(layout: Layout, void: str, by: float, sign: float = 1.0) -> Layout:
    return as_built(layout, Errors(deeper={void: sign * by}))


def _narrower(layout: Layout, part: str) -> Off | None:
    """The body whose neck is so much narrower at its heel; None where the part has no such
    sizes."""
    own = {(part, path) for path in HEEL}
    found = [name for v in size_variables(layout) if own & {*v.sizes} for name in v.sizes]
    if not found:
        return None
    return lambda by: as_built(layout, Errors(sizes=dict.fromkeys(found, -by)))


def _smaller(layout: Layout, cover: Room, by: float) -> Layout:
    """The body in whose recess a cover has so much more gap on every side."""
    prism = cover.shape.prism
    assert prism is not None

    def less(plan: Profile) -> Profile:
        own, *_ = offset(plan, -by)
        return own

    own = replace(cover, shape=replace(prism, profile=less(prism.profile)))
    pieces = (
        replace(p, skin=replace(p.skin, outline=less(p.skin.outline))) if p.id == cover.id else p
        for p in layout.pieces
    )
    rooms = (own if one is cover else one for one in layout.rooms)
    return replace(layout, rooms=tuple(rooms), pieces=tuple(pieces))


def _led(layout: Layout, name: str, by: float) -> Layout:
    """The body with its parts where they are drawn, and strings that a fitted neck leads aside."""
    fitted = layout.instrument.fitted or Fitted()
    fitted = replace(fitted, **{name: getattr(fitted, name) + by})
    return replace(layout, instrument=replace(layout.instrument, fitted=fitted))


def _spread(layout: Layout, share: Mapping[StringHole, Sequence[float]], by: float) -> Layout:
    """The body in which a row of holes and their seats is longer, each hole in proportion."""
    hand = -1.0 if layout.left_handed else 1.0
    moved = {
        name: (by * x, hand * by * y)
        for one, (x, y) in share.items()
        for name in (one.hole, one.seat)
        if name is not None
    }
    built = as_built(layout, Errors(strayed=moved))
    at = {
        one.hole: (one.at[0] + by * x, one.at[1] + by * y, one.at[2])
        for one, (x, y) in share.items()
    }
    stated = (
        replace(one, at=at[one.hole]) if isinstance(one, StringHole) and one.hole in at else one
        for one in built.interfaces
    )
    return replace(built, interfaces=tuple(stated))
