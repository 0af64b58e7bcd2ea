"""Router templates: sheets that guide a hand router, one for each feature.

A template for a route has an opening and lies on the blank's datum pins, so that all of them share
one datum and each goes on in one way. One for an outline is run round; it is held by holes of the
piece itself. Where no guide on hand makes a cut as drawn, the template says what is left over;
where a guide would take wood that is to stay, there is no template, and the reason stands instead.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace

import numpy as np

from bodycad.checks.wood.before import before
from bodycad.checks.wood.near import remembered
from bodycad.geometry.plane.boolean import difference, intersection, union
from bodycad.geometry.plane.build import rectangle
from bodycad.geometry.plane.offset import offset
from bodycad.geometry.plane.profile import Profile, flatten
from bodycad.geometry.plane.region import polygon, width
from bodycad.layout.blank import Pin
from bodycad.layout.layout import Layout
from bodycad.layout.void import Void
from bodycad.layout.workpiece import Workpiece
from bodycad.making.bearings import under_outline, wall_at_rim, wall_beside
from bodycad.making.blank_plan import WASHER, blank_plan
from bodycad.making.guided import Guide, Track, choose, spot, wanted
from bodycad.making.located import Located, by_datum, by_holes, wide
from bodycad.making.sheets import (
    drilled_hole,
    on_packing,
    on_pins,
    pin_holes,
    seat_under,
    sheet_piece,
    through,
)
from bodycad.making.upright import in_plan, level_depth
from bodycad.making.wedged import Wedge, wedge_for, wedged
from bodycad.shop import Shop
from bodycad.words import SIDES, Face

THROUGH = 1.0
"""How far a cut that goes right through runs into the board under the work, mm (common practice, no
source)."""
FRAGILE = 6.0
"""A tongue or wall of a template narrower than this breaks or bends, mm (common practice, no
source)."""
RUN_OUT = 2.0
"""How far a cutter runs out past the outline at least, mm (common practice, no source)."""
SHARP = 1.0
"""What a round of radius 1 leaves of a sharp corner of 60 degrees or more (0.68), rounded up."""
MOST_BASE = 20.0
"""A router's base that is so much wider than an opening still stands on both sides, mm."""


TONGUE = (
    "its tongue lies on the core, which runs on as the neck: rout from one side of the core round "
    "to the other, never round the tongue's end"
)


@dataclass(frozen=True, eq=False)
class RouterTemplate:
    """One template, or the reason why there is none.

    id: what it makes, as in file names. piece, face: what is cut, and from where. cuts: the ids of
    what it cuts. plan: the line of the cut and of its tongue, in the piece's own frame. outside:
    the router runs round it. depth: under the plain face, of a level cut, mm. guide: None where no
    guide on hand will do. sheet: the template itself as a workpiece in the piece's frame, None
    without a guide. located: what holds it. notes: what the maker must mind. faults: what it cannot
    do. wedge: how it is laid for a floor that is not level. turned: it is drawn as seen from `face`
    and goes onto the other one turned over."""

    id: str
    piece: Workpiece
    face: Face
    cuts: tuple[str, ...]
    plan: Profile
    outside: bool
    depth: float
    guide: Guide | None
    sheet: Workpiece | None
    located: Located
    notes: tuple[str, ...] = ()
    faults: tuple[str, ...] = ()
    wedge: Wedge | None = None
    turned: bool = False

    @property
    def on(self) -> Face:
        """The face that it lies on."""
        return self.face.opposite if self.turned else self.face

    @property
    def what(self) -> str:
        """What it is for, in a few words."""
        if self.outside:
            return f"outline of {self.piece.title or f'the {self.piece.id}'}"
        return ", ".join(self.cuts)


def templates(layout: Layout) -> tuple[RouterTemplate, ...]:
    """Every template of a layout: routes of the body from the front, then from the back, in the
    order of its voids; its outline; then the other pieces as they are cut from sheet."""
    return remembered(layout, ("making", "templates"), lambda: tuple(_named(_all(layout))))


def _all(layout: Layout) -> list[RouterTemplate]:
    found = [*_routes(layout), _outline(layout)]
    return found + [_part(piece, layout) for piece in layout.pieces[1:]]


def _named(found: Sequence[RouterTemplate]) -> Iterator[RouterTemplate]:
    """Each under an id that no other has, whatever a file system takes for one."""
    taken: set[str] = set()
    for one in found:
        name, k = one.id.replace(".", "-"), 1
        while name.casefold() in taken:
            k += 1
            name = f"{one.id.replace('.', '-')}-{k}"
        taken.add(name.casefold())
        yield replace(one, id=name)


def _routes(layout: Layout) -> Iterator[RouterTemplate]:
    piece = layout.body
    for face in SIDES:
        for void in piece.voids:
            if void.shape.hole is None and in_plan(void, face):
                one = _route(void, wall_beside(void, piece, layout), layout)
                yield replace(one, notes=(*one.notes, *_on_the_blank(layout, one)))


def _on_the_blank(layout: Layout, one: RouterTemplate) -> Iterator[str]:
    """What of the blank a template meets: hold-downs under it, and pins whose wood is cleared for
    the neck."""
    plan = blank_plan(layout)
    if plan is None or one.sheet is None:
        return
    rim = one.sheet.skin.outline
    near = rim.signed_distance(np.array(plan.holds).reshape(-1, 2)) < WASHER / 2.0
    if near.any():
        under = ", ".join(f"H{k + 1}" for k in np.flatnonzero(near).tolist())
        yield f"lies over the hold-down at {under}: clamp the blank at its rim meanwhile"
    for k, pin in enumerate(plan.blank.pins, 1):
        spot = np.array([[pin.x, pin.y]])
        sunk = any(region.outer.signed_distance(spot)[0] < 0.0 for region in plan.approach)
        if sunk and pin in one.located.holes and one.face is Face.FRONT:
            lower = f"{plan.approach_depth:.2f} mm lower once the neck's way is cleared"
            yield f"pin {k} stands in wood that is {lower}"


def _route(void: Void, wall: float, layout: Layout) -> RouterTemplate:
    """The template of a route. On what it lies its own size says, and how far its bits must reach
    follows from that: they are chosen again until they do."""
    piece, shop, plan = layout.body, layout.shop, void.shape.plan
    track = Track(plan, skin=piece.skin, wall=wall)
    level = depth = level_depth(void, piece.thickness)
    given = void.id, piece, void.face, (void.id,), plan, False, level
    packing: float | None = None
    while True:
        guide = choose((track,), depth, shop, packing)
        if guide is None:
            return RouterTemplate(*given, None, None, Located((), ""), faults=(_none(shop),))
        opening, located = _opening(void, piece, guide)
        rim = on_pins(opening, located.holes, void.face, shop.router_base / 2.0)
        high = seat_under(layout, rim, void.face)
        wedge = wedge_for(void, opening, rim, piece, high)
        deep = depth if wedge is None else max(depth, wedge.under)
        lies = high if high or wedge is not None else packing
        if (deep, lies) == (depth, packing):
            break
        depth, packing = deep, lies
    hint = "" if guide.perfect else wanted((track,), depth, shop, packing)
    guide = guide if wedge is None else wedged(guide, wedge)
    hole = through(void.id, opening, guide.sheet, void.face)
    pins = pin_holes(located.holes, guide.sheet, void.face)
    made = sheet_piece("template", rim, (hole, *pins), guide.sheet)
    notes = [] if wedge is None else [*wedge.notes]
    notes += [on_packing(high)] if high else []
    notes += [*_lies(void, piece), *_base(opening, shop)]
    faults = [*_left(guide, wedge), *_two_ways(located, shop), *_fragile(opening)]
    faults += [hint] if hint else []
    return RouterTemplate(*given, guide, made, located, tuple(notes), tuple(faults), wedge)


def _opening(void: Void, piece: Workpiece, guide: Guide) -> tuple[Profile, Located]:
    """The opening of a route's template, cut short where that keeps a datum pin, and its pins."""
    opening = Track(void.shape.plan).line(guide.off)
    assert opening is not None
    located = by_datum(piece, opening)
    if piece.blank is not None and len(located.holes) < len(piece.blank.pins):
        short = _cut_short(void, piece, guide)
        other = by_datum(piece, short) if short is not None else located
        if short is not None and len(other.holes) > len(located.holes):
            return short, other
    return opening, located


def _outline(layout: Layout) -> RouterTemplate:
    """Of the body: on the face from which its outline is cut; of two the one with the holes that
    hold it best. A tongue of it lies on the core where that runs on as the neck."""
    piece, shop = layout.body, layout.shop
    depth, plan = piece.thickness + THROUGH, piece.skin.outline
    led, faces = union((plan, *_tongue(piece)))[0].outer, tuple(piece.outline_cuts)
    walls = {face: wall_at_rim(piece, face, layout) for face in faces}
    guides = {w: choose((Track(plan, True, wall=w),), depth, shop) for w in {*walls.values()}}
    ways = []
    for face in faces:
        guide = guides[walls[face]]
        rim = None if guide is None else Track(led, outside=True).line(guide.off)
        if guide is not None and rim is not None:
            ways.append((face, guide, rim, by_holes(layout, face, rim)))
    given = "outline", piece, faces[0], (f"{piece.id}.outline",), plan, True, depth
    if not ways:
        return RouterTemplate(*given, None, None, Located((), ""), faults=(_none(shop),))

    def rank(way: tuple[Face, Guide, Profile, Located]) -> tuple[object, ...]:
        _, guide, rim, one = way
        return one.one_way(shop), one.span >= wide(rim), guide.perfect, len(one.holes)

    cut, guide, rim, located = max(ways, key=rank)
    turned = cut is Face.BACK and not located.holes
    face = cut if located.holes else Face.FRONT  # a sheet that nothing is cut in has a front alone
    given = "outline", piece, face, given[3], led, True, depth
    pins = pin_holes(located.holes, guide.sheet, face)
    made = sheet_piece("template", rim, tuple(pins), guide.sheet)
    shaped = ", ".join(_shaped(piece, cut))
    notes = [f"before {shaped}: on the shaped {cut} it does not lie flat"] if shaped else []
    notes += ["drawn as seen from the front: it goes onto the back turned over"] if turned else []
    notes += _bare(guide, piece, cut, layout)
    notes += [TONGUE] if piece.neck is not None else []
    faults = [*_left(guide), *_two_ways(located, shop, "the arrow to the nut")]
    if located.holes and located.span < wide(rim):
        words = f"its holes are only {located.span:.0f} mm apart: it swings about them"
        faults.append(f"{words}; clamp its far end by the drawn centreline")
    own = tuple(notes), tuple(faults)
    return RouterTemplate(*given, guide, made, located, *own, turned=turned)


def _tongue(piece: Workpiece) -> Iterator[Profile]:
    """The core beside the outline where it runs on as the neck, to the blank's end at most."""
    if piece.neck is not None:
        x0, y0, x1, y1 = piece.neck.box
        x1 = x1 if piece.blank is None else min(x1, piece.blank.x1)
        yield rectangle(x1 - x0, y1 - y0, 0.0, (x0 + x1) / 2.0, (y0 + y1) / 2.0)


def _part(piece: Workpiece, layout: Layout) -> RouterTemplate:
    """A cover or a guard: at size it is the part itself, or a template that is run round it."""
    shop, face = layout.shop, Face.FRONT
    windows = [v for v in piece.voids if v.shape.hole is None and in_plan(v, face)]
    tracks = (
        Track(piece.skin.outline, outside=True, wall=wall_at_rim(piece, face, layout)),
        *(Track(v.shape.plan, wall=wall_beside(v, piece, layout)) for v in windows),
    )
    depth = piece.thickness + THROUGH
    at_size = replace(shop, bushes=()) if shop.bearing_bits else shop
    guide = choose(tracks, depth, at_size)
    given = piece.id, piece, face, (f"{piece.id}.outline",), piece.skin.outline, True, depth
    rim = None if guide is None else tracks[0].line(guide.off)
    if guide is None or rim is None:
        return RouterTemplate(*given, None, None, Located((), ""), faults=(_none(shop),))
    voids = []
    for void in piece.voids:
        opens = set(SIDES) <= void.opens
        if void in windows and opens:
            line = Track(void.shape.plan).line(guide.off)
            voids += [through(void.id, line, guide.sheet, face)] if line is not None else []
        elif (hole := void.shape.hole) is not None and hole.upright and opens:
            at = Pin(float(hole.start[0]), float(hole.start[1]), float(hole.diameter))
            voids.append(drilled_hole(void.id, at, guide.sheet, face))
    made = sheet_piece(piece.id, rim, tuple(voids), guide.sheet)
    own = sum(v.shape.hole is not None for v in voids)
    words = f"its own {own} holes, or double-sided tape" if own else "double-sided tape"
    notes = ["at size: cut the part itself from this drawing, or a template to run round"]
    notes = notes if not guide.off else []
    notes += [f"front edge: {edge.words}" for edge in piece.skin.edges(face) if edge.drop]
    wood = [v.id for v in piece.voids if v.id not in {one.id for one in voids}]
    notes += [f"not on it, but cut in the part: {', '.join(wood)}"] if wood else []
    faults = [f"as a template: {one}" for one in _left(guide)]
    return RouterTemplate(*given, guide, made, Located((), words), tuple(notes), tuple(faults))


def _cut_short(void: Void, piece: Workpiece, guide: Guide) -> Profile | None:
    """The opening of a cut that runs out past the outline, no farther than its cutter needs to."""
    half, outline = guide.cutter / 2.0, piece.skin.outline
    if Face.EDGE not in void.opens:
        return None
    plan = void.shape.plan
    kept = intersection(plan, offset(outline, half + RUN_OUT)[0])
    shrunk = offset(kept[0].outer, -half) if len(kept) == 1 else ()
    grown = offset(shrunk[0], half) if len(shrunk) == 1 else ()
    if len(grown) != 1:
        return None
    lost = difference(plan, grown[0])
    tip = [p for one in lost for p in flatten(one.outer, 0.05).tolist()]
    if tip and float(piece.skin.inset(np.array(tip)).max()) > 0.0:
        return None
    return Track(grown[0]).line(guide.off)


# What to mind.


def _none(shop: Shop) -> str:
    """Why there is no template."""
    if not (shop.bearing_bits or shop.bushes):
        return "no template: the shop owns neither a guide bush nor a bearing bit"
    return (
        "no template: every bush and bearing bit on hand that comes into its corners is too wide, "
        "too short, or would let the cutter take wood that is to stay"
    )


def _left(guide: Guide, wedge: Wedge | None = None) -> Iterator[str]:
    """What the guide leaves of what is drawn."""
    cure = ": turn the work over for the rest, or get a longer bit"
    cure = " under the wedged template: get a longer bit" if wedge is not None else cure
    if guide.narrow:
        yield f"a place is too narrow for the {guide.cutter:g} mm cutter: it stays uncut"
    if guide.tight:
        corners = [f"{radius:.2f} at {spot((x, y))}" for x, y, radius in guide.tight]
        more = f" and {len(corners) - 4} more" if len(corners) > 4 else ""
        words = f"corners tighter than the cutter's {guide.cutter / 2.0:.2f} stay as round as it"
        yield f"{words}: {'; '.join(corners[:4])}{more}"
    if guide.short > 1e-6:
        words = f"the bits on hand come {guide.reached:.2f} deep of {guide.depth:.2f}"
        yield f"{words}{cure}"


def _bare(guide: Guide, piece: Workpiece, face: Face, layout: Layout) -> Iterator[str]:
    """Where the bearing that follows the side finds no wall under the template."""
    told = set[str]()
    for k, step in enumerate(guide.steps, 1):
        if step.hung is not None:
            for one in under_outline(piece, face, step.hung, step.on, layout):
                if one.cut not in told:
                    yield f"from step {k} on: the bearing {one.words}"
                told.add(one.cut)


def _two_ways(
    located: Located, shop: Shop, mark: str = "the cut corner and the arrow"
) -> Iterator[str]:
    if not located.one_way(shop):
        off = f", within {located.off:.2f} mm" if located.holes else ""
        yield f"it goes on in more than one way{off}: heed {mark}"


def _lies(void: Void, piece: Workpiece) -> Iterator[str]:
    """What the face must still be like."""
    first = before(void, piece)
    if first:
        yield f"before {', '.join(first)}: its depth counts from the plain {void.face}"
    others = [one for one in _shaped(piece, void.face) if one not in first]
    if others:
        yield f"the template lies on the plain {void.face}: before {', '.join(others)}"
    under = -void.high if void.face is Face.FRONT else void.low + piece.thickness
    if under > 1e-6:
        yield f"it begins {under:.2f} under the {void.face}, in another cut, which comes first"


def _shaped(piece: Workpiece, face: Face) -> list[str]:
    """The contours that shape a face."""
    return [contour.id for contour in piece.skin.contours if contour.face == face]


def _base(opening: Profile, shop: Shop) -> Iterator[str]:
    """An opening so wide that the router's base dips into it."""
    x0, y0, x1, y1 = opening.box
    least = shop.router_base - MOST_BASE
    if min(x1 - x0, y1 - y0) > least and width(polygon(opening))[0] > least:
        yield f"wider than a {shop.router_base:g} mm base: screw a longer base under the router"


def _fragile(opening: Profile) -> Iterator[str]:
    """A tongue of the sheet that is too narrow to last."""
    if len(opening.outside_corners[0]):
        wide, half = Track(opening), FRAGILE / 2.0
        line = wide.line(half)
        rest = difference(offset(line, -half)[0], opening) if line is not None else ()
        if line is None or any(one.area > SHARP * half * half for one in rest):
            yield f"a tongue of the template is narrower than {FRAGILE:g} mm: make it of ply"
