"""The steps of the cut order in words, with what of a design must be minded at each."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence

import numpy as np

from bodycad.checks.order.approach import BESIDE, approach_to
from bodycad.checks.order.jobs import Hold, Job, Work, met
from bodycad.checks.order.rules import floor
from bodycad.checks.wood.before import deepest
from bodycad.geometry.solids.edge import Ledge
from bodycad.layout.assembly import standing
from bodycad.layout.core import beside_neck
from bodycad.layout.interface import Joint
from bodycad.layout.layout import Layout
from bodycad.layout.workpiece import Workpiece
from bodycad.making.bearings import notes_at, rebate_bit
from bodycad.making.hole import Hole
from bodycad.making.holes import holes
from bodycad.making.tabs import LOOSE, how_high, loose, tabs
from bodycad.making.upright import level_depth, tilted_floor
from bodycad.safety import LONG, Danger
from bodycad.tools import FLAT
from bodycad.words import Face

ROUND, UNDER = 25.0, 10.0
"""A test piece is so much larger than what is cut in it on every side, and thicker, mm (common
practice, no source)."""
OVER_PIN = 3.0
"""A cutter passes a pin's end by so much, mm (common practice, no source)."""
INTO = 10.0
"""A datum pin holds a piece with so much of it in the wood, mm (common practice, no source)."""
NAMED = 4
"""So many cuts are named in a step's own line."""
AROUND = (
    "never across the core: plunge and lift straight, without leads, at the ends of its way, and "
    "saw and pare by hand what stays in the corners beside the core"
)
CORE_NOTES = {
    Work.FIT: "made before it by the neck's own drawing, which this is not: the core's headstock "
    "and taper, the truss rod's channel, the fretboard and its nut; two pins through fret slots "
    "hold the fretboard in its place",
    Work.GLUE_NECK: "the neck's back, its frets and its headstock are by its own drawing too",
    Work.EDGE: "it ends where its bearing comes beside the core, which runs on as the neck: blend "
    "it there by hand",
}
"""What is minded at a step where the core runs on as the neck."""
ROUTED = (Work.TEST, Work.WASTE, Work.LEDGE, Work.EDGE, Work.OUTLINE)


def words_of(jobs: Sequence[Job], layout: Layout) -> str:
    """What a step does, in a line."""
    first, piece = jobs[0], jobs[0].piece
    names = _listed([job.ids[0] for job in jobs if job.ids])
    if first.work is Work.TEST:
        return _test(first, layout)
    if first.work is Work.FIT:
        joined = any(joint.pocket in first.ids for joint in layout.stated(Joint))
        board = "Lay the fretboard with its nut on its seat, dry, and look along it"
        return "Fit the neck, and look along it" if joined else board
    if first.void is not None and first.void.shape.hole is None:
        level = level_depth(first.void, piece.thickness)
        deep = f", {level:.2f} mm deep" if first.hold is Hold.FLAT else ""
        deep = ", half through" if met(first.void, piece, layout.shop) else deep
        return f"Rout {'the other half of ' * (first.work is Work.MEET)}{names}{deep}"
    if first.void is not None:
        return _drilled(jobs, layout)
    said: dict[Work, Callable[[], str]] = {
        Work.GLUE_UP: lambda: _glue_up(piece, layout),
        Work.PLANE: lambda: _plane(piece, layout),
        Work.PINS: lambda: _pins(piece),
        Work.WASTE: lambda: _waste(first, layout),
        Work.LEDGE: lambda: f"Cut the {_edge(first)} on the {first.face}",
        Work.BINDING: lambda: (
            f"Glue the binding into its ledge on the {first.face}; scrape it "
            "flush when the glue is hard"
        ),
        Work.EDGE: lambda: f"Run the {_edge(first)} along the {first.face}'s edge",
        Work.CONTOUR: lambda: (
            f"Carve {names}, {_deepest(first):.2f} mm at its deepest inside the outline"
        ),
        Work.OUTLINE: lambda: _outline(first),
        Work.HEEL: lambda: (
            "Mark the screws through the body on the heel, and drill the neck's own "
            f"holes by the schedule ({len(first.ids)})"
        ),
        Work.GLUE_NECK: lambda: (
            "Glue the fretboard on its seat, and shape the neck"
            if piece.neck is not None
            else "Glue the neck in, with its threads stretched once more"
        ),
        Work.ASSEMBLY: lambda: "Put everything together dry, before the finish, and string it up",
    }
    return said[first.work]()


def dangers_of(jobs: Sequence[Job], layout: Layout) -> tuple[Danger, ...]:
    """The cautions that belong at a step, the gravest first."""
    first = jobs[0]
    routed = first.work in ROUTED or (first.void is not None and first.void.shape.hole is None)
    if first.work is Work.ASSEMBLY:
        return Danger.NECK, Danger.FILINGS, Danger.MAINS
    if first.work in (Work.CONTOUR, Work.PLANE):
        return Danger.DUST, Danger.NOISE
    if first.work in (Work.PINS, Work.HEEL):
        return (Danger.DUST,)
    if routed:
        return Danger.ROUTER, Danger.DUST, Danger.NOISE
    drills = [job for job in jobs if job.void is not None and job.void.shape.hole is not None]
    if any(job.hold is Hold.ANGLE or job.work is Work.MEET or _long(job, layout) for job in drills):
        return Danger.DRILL, Danger.DUST
    return (Danger.DUST,) if drills else ()


def _long(job: Job, layout: Layout) -> bool:
    """Whether a hole wants a long drill for its diameter."""
    hole = _hole(job, layout)
    return hole.full - hole.begin > LONG * hole.diameter


def notes_of(jobs: Sequence[Job], layout: Layout) -> Iterator[str]:
    """What of this design must be minded at a step."""
    first, piece = jobs[0], jobs[0].piece
    if first.work in CORE_NOTES and _on_core(first):
        yield CORE_NOTES[first.work]
    if first.work is Work.WASTE:
        yield from _under(first, layout)
    elif first.work is Work.OUTLINE:
        own = [tab for tab in tabs(layout) if tab.piece == piece.id and tab.face is first.face]
        if piece.neck is not None:
            yield AROUND
        if own:
            held = f"{len(own)} tabs hold it, {how_high(own)}"
            yield f"{held}; by hand, leave a skin of 1 mm and trim it"
        if first.face is not None and loose(layout, piece, first.face):
            yield LOOSE
        if first.face is piece.faces[-1] and piece.blank is not None:
            yield "the waste goes with it, and the pins: look once more that nothing is left out"
    elif first.work is Work.VOID and first.void is not None and first.void.shape.hole is not None:
        yield from _of_holes(jobs, layout)
    elif first.work is Work.VOID and first.void is not None:
        left = piece.thickness - floor(first.void, piece)
        if first.hold is Hold.FLAT and 0.0 < left < 10.0:
            yield f"{left:.1f} mm of wood stay under its floor: set the depth stop, then test it"
        if (prism := tilted_floor(first.void)) is not None:
            low = -prism.floor_range[0]
            yield f"that is with a level cut: its floor slopes to {low:.2f}, the rest on a wedge"
    elif first.work is Work.MEET:
        yield "from the same pins: the halves meet in the middle, so a step shows by feel"
    elif first.work is Work.LEDGE and isinstance(first.edge, Ledge):
        yield _guided(first.hold, first.edge)
        yield from notes_at(first, layout)
    elif first.work is Work.EDGE and first.edge is not None and first.edge.form is not None:
        yield from notes_at(first, layout)
    elif first.work is Work.EDGE:
        yield "no one bit cuts this form: shape it in passes or by hand, to a template"


def _guided(hold: Hold, edge: Ledge) -> str:
    """What guides the cutter of a ledge."""
    bit = f"the side guides a {rebate_bit(edge)}"
    if hold is Hold.FREE:
        return (
            f"{bit}, upright on a carriage whose foot rides on the carved rim; or by hand, with a "
            "gauge, a knife and a chisel"
        )
    return f"the cutting program guides it; a hand router waits for the outline: then {bit}"


def _on_core(job: Job) -> bool:
    """Whether a job is done where the core runs on as the neck; of an edge, whether it comes
    there."""
    piece = job.piece
    if piece.neck is None or job.edge is None:
        return piece.neck is not None
    return beside_neck(piece, 0.0, 0.0, job.chain) != (job.chain,)


def _listed(names: Sequence[str]) -> str:
    names = list(dict.fromkeys(names))
    more = f" and {len(names) - NAMED} more" if len(names) > NAMED else ""
    return ", ".join(names[:NAMED]) + more


def _test(job: Job, layout: Layout) -> str:
    """A test piece and how large an offcut it wants."""
    voids = [layout.by_id[name] for name in job.ids]
    x0, y0, x1, y1 = voids[0].shape.plan.box
    deep = max(floor(void, layout.body) for void in voids)
    size = f"{x1 - x0 + 2 * ROUND:.0f} x {y1 - y0 + 2 * ROUND:.0f} x {deep + UNDER:.0f} mm"
    joint = any(joint.pocket in job.ids for joint in layout.stated(Joint))
    hole = voids[0].shape.hole
    what = "the neck's pocket" if joint else "the recess and its cover"
    what = f"one seat of {hole.diameter:.2f} mm and its ferrule" if hole is not None else what
    return f"Test piece: {what} ({_listed(job.ids)}), in an offcut of at least {size}"


def _glue_up(piece: Workpiece, layout: Layout) -> str:
    assert piece.blank is not None
    places = ", ".join(f"{y:g}" for y in sorted(piece.blank.joints))
    count, seat = len(piece.blank.joints), standing(layout)
    words = f"Glue up the blank: {count} joint{'' if count == 1 else 's'}, at y = {places}"
    if piece.neck is None:
        return words
    wings = f"{piece.thickness:.2f} mm"
    core = f"the core to {piece.thickness + seat.high:.2f}" if seat is not None else "the core too"
    return (
        f"Plane the wings to {wings}, {core}. {words}, backs flush; no glue on the core past the "
        f"outline, where the wings' waste must come off it"
    )


def _plane(piece: Workpiece, layout: Layout) -> str:
    seat = standing(layout) if piece.neck is not None else None
    if seat is None:
        return f"Plane the blank to {piece.thickness:.2f} mm, both faces flat"
    (x0, high), (x1, low) = seat.end, seat.mouth
    return (
        f"Plane the core flush with the wings, {piece.thickness:.2f} mm, from the tail to x = "
        f"{x0:.1f}: there the fretboard's seat begins and stands {high:.2f} mm over the front, "
        f"{low:.2f} at x = {x1:.1f}, where the neck leaves the body, and is flat between"
    )


def _pins(piece: Workpiece) -> str:
    assert piece.blank is not None
    sizes = sorted({float(pin.diameter) for pin in piece.blank.pins})
    wide = " and ".join(f"{size:g}" for size in sizes)
    return (
        f"Draw the centreline, and drill {len(piece.blank.pins)} pin holes of {wide} mm through, "
        "square, at the places of the blank's drawing"
    )


def _waste(job: Job, layout: Layout) -> str:
    way = approach_to(layout, job.ids[0])
    assert way is not None
    return (
        f"Clear the waste before the pocket's mouth {way.depth:.2f} mm deep, as wide as the heel "
        f"and {BESIDE:g} mm more on each side, to the blank's end: the neck lies there"
    )


def _under(job: Job, layout: Layout) -> Iterator[str]:
    """Pins under the way of a neck."""
    for k, deep in cleared_round(job, layout):
        high = job.piece.thickness - deep - OVER_PIN
        back = Face(job.face or "front").opposite
        words = f"datum pin {k} is under it: no pin may stand over {high:.0f} mm into the wood"
        yield f"{words} from the {back}"


def cleared_round(job: Job, layout: Layout) -> Iterator[tuple[int, float]]:
    """The datum pins, from 1 on, round which the way of a neck is cleared, and how deep, mm."""
    way, blank = approach_to(layout, job.ids[0]), job.piece.blank
    for k, pin in enumerate(blank.pins if way is not None and blank is not None else (), 1):
        assert way is not None
        spot = np.array([[pin.x, pin.y]])
        past = min(float(r.outer.signed_distance(spot)[0]) for r in way.regions)
        if past < pin.diameter / 2.0:
            yield k, way.depth


def pins_short(piece: Workpiece, face: Face, done: Sequence[Job], layout: Layout) -> Iterator[str]:
    """Datum pins that reach no wood when a piece lies on a face in which that is cleared."""
    if piece.blank is None:
        return
    wastes = (job for job in done if job.work is Work.WASTE and job.piece is piece)
    own = [pair for job in wastes if job.face is face for pair in cleared_round(job, layout)]
    left = len(piece.blank.pins) - len(own)
    for k, deep in own:
        least = deep + INTO
        words = f"Datum pin {k} reaches no wood here: {deep:.2f} mm are cleared round it. "
        if least < piece.thickness:
            words += f"It serves if it stands {least:.0f} to {piece.thickness:.0f} mm over the bed"
            words += "; else the "
        else:
            words += "The "
        yield f"{words}other {left} locate the piece: look that it is not turned end for end."


def _edge(job: Job) -> str:
    assert job.edge is not None
    return job.edge.words


def _deepest(job: Job) -> float:
    assert job.contour is not None
    return deepest(job.contour, job.piece, job.piece.skin.outline)


def _outline(job: Job) -> str:
    deep = job.piece.outline_cuts[Face(job.face or "front")]
    what = "the outline" if job.piece.part == "" else f"the outline of {job.piece.id}"
    if job.piece.neck is not None:
        what += " from one side of the core round the tail to the other"
    if job.face is job.piece.faces[-1]:
        return f"Cut {what} through, {deep:.2f} mm deep"
    return f"Cut {what} {deep:.2f} mm deep: the rest comes from the other face"


def _hole(job: Job, layout: Layout) -> Hole:
    assert job.void is not None
    name, piece = job.void.id, job.piece.id
    return next(one for one in holes(layout) if one.id == name and one.piece == piece)


def _drilled(jobs: Sequence[Job], layout: Layout) -> str:
    """Holes by their tags in the drilling schedule."""
    own = [_hole(job, layout) for job in jobs]
    tags, one = ", ".join(hole.tag for hole in own), own[0]
    what = "Drill the other half of" if jobs[0].work is Work.MEET else "Drill"
    deep = f"{one.full:.2f} mm deep{_tip(one)}"
    if one.both or jobs[0].work is Work.MEET:
        deep = "half through"
    elif one.through and _board(one, jobs[0]):
        deep = "through"
    names = _listed([hole.id for hole in own])
    sunk = _countersunk(own) if jobs[0].work is not Work.MEET else ""
    return f"{what} {tags} ({names}): {one.diameter:.2f} mm, {deep}{sunk}"


def _countersunk(own: Sequence[Hole]) -> str:
    """What is countersunk of holes that were drilled, for which heads."""
    heads: dict[float, list[str]] = {}
    for hole in own:
        if hole.countersink is not None:
            heads.setdefault(round(hole.countersink, 1), []).append(hole.tag)
    every = len(heads) == 1 and all(hole.countersink is not None for hole in own)
    said = (f"{'each' if every else ', '.join(tags)} to {d:.1f}" for d, tags in heads.items())
    return f"; countersink {' and '.join(said)} mm" if heads else ""


def _tip(hole: Hole) -> str:
    return f" at full diameter, {hole.tip:.2f} to the tip" if hole.point_deg < FLAT else ""


def _board(hole: Hole, job: Job) -> bool:
    """Whether a hole goes through the whole board."""
    return hole.upright and abs(hole.full - job.piece.thickness) < 0.05


def _of_holes(jobs: Sequence[Job], layout: Layout) -> Iterator[str]:
    tags: dict[str, list[str]] = {}
    for job in jobs:
        hole = _hole(job, layout)
        if job.hold is Hold.ANGLE:
            yield f"{hole.tag}: {hole.tilt_deg:.1f} deg off upright; its drawing is in the schedule"
        for note in hole.notes:
            tags.setdefault(note, []).append(hole.tag)
    yield from (f"{', '.join(own)}: {note}" for note, own in tags.items())
