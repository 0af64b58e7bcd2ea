"""Fixtures as pieces of sheet, made from records alone: one that guides the drill through the
string holes from both faces, a frame that closes on the real heel, and jack plates to cut."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace

import numpy as np

from bodycad.checks.wood.near import remembered
from bodycad.geometry.plane.boolean import difference
from bodycad.geometry.plane.build import rectangle
from bodycad.geometry.plane.profile import Profile, flatten, support_range
from bodycad.layout.blank import Pin
from bodycad.layout.interface import Joint, Land, Screw, StringHole, Sweep
from bodycad.layout.layout import Layout
from bodycad.layout.workpiece import Workpiece
from bodycad.making.guided import Track, choose
from bodycad.making.hole import Hole
from bodycad.making.holes import holes
from bodycad.making.located import by_datum
from bodycad.making.sheets import (
    drilled_hole,
    on_packing,
    on_pins,
    pin_holes,
    seat_under,
    sheet_piece,
)
from bodycad.making.upright import level_depth, tilted_floor
from bodycad.shop import Shop
from bodycad.words import Face, SweepKind

GAP = 2.0
"""Air between the two cheeks of a heel frame behind the heel, mm: how much narrower than drawn a
heel may be (common practice, no source)."""
BUSH_WALL = 2.0
"""Sheet between two drill bushes, mm (common practice, no source)."""
FREE = 0.4
"""A screw's hole in a plate is wider than its thread by this, mm (common practice, no source)."""
START = 3.0
"""Hole in the middle of a jack plate, to be opened to the jack's own thread, mm."""


@dataclass(frozen=True, eq=False)
class Fixture:
    """A fixture or a plate. id: as in file names. what: what it is for. piece: the sheet; its own
    frame is the body's where `on_body`. notes: how it is used. faults: what it cannot do. to_nut:
    its x runs toward the nut."""

    id: str
    what: str
    piece: Workpiece
    on_body: bool
    notes: tuple[str, ...]
    faults: tuple[str, ...] = ()
    to_nut: bool = True


def fixtures(layout: Layout) -> tuple[Fixture, ...]:
    """Every fixture that the records of a layout ask for."""
    key = "making", "fixtures"
    return remembered(layout, key, lambda: (*_strings(layout), *_frames(layout), *_plates(layout)))


def _strings(layout: Layout) -> Iterator[Fixture]:
    """For the holes of strings through the body: on the datum pins, so that turned over with the
    blank it serves the other face."""
    drilled = {hole.id: hole for hole in holes(layout) if hole.piece == layout.body.id}
    stated = [(one, drilled.get(one.hole)) for one in layout.stated(StringHole)]
    upright = [(one, hole) for one, hole in stated if hole is not None and hole.upright]
    if not upright:
        return
    shop, sheet = layout.shop, layout.shop.template_thickness[0]
    spots = [Pin(h.at[0], h.at[1], h.size) for _, h in upright]
    pitch = min(
        (math.dist((p.x, p.y), (q.x, q.y)) for k, p in enumerate(spots) for q in spots[:k]),
        default=math.inf,
    )
    guides, used = [], set[str]()
    for spot in spots:
        bush = shop.drill_bush(spot.diameter)
        if bush is not None and bush.outside + BUSH_WALL <= pitch:
            used.add(f"{bush.outside:g} mm for drill bushes of {bush.bore:g}")
            guides.append(Pin(spot.x, spot.y, bush.outside))
        else:
            used.add(f"{spot.diameter:.4g} mm, the drill's own size")
            guides.append(spot)
    xs, ys = [p.x for p in spots], [p.y for p in spots]
    room = rectangle(
        max(xs) - min(xs) + 16.0,
        max(ys) - min(ys) + 16.0,
        0.0,
        (max(xs) + min(xs)) / 2.0,
        (max(ys) + min(ys)) / 2.0,
    )
    located = by_datum(layout.body, room)
    names = [one.hole for one, _ in upright]
    voids = [drilled_hole(n, p, sheet, Face.FRONT) for n, p in zip(names, guides, strict=True)]
    voids += pin_holes(located.holes, sheet, Face.FRONT)
    rim = on_pins(room, located.holes, Face.FRONT, 20.0)
    piece = sheet_piece("string.holes", rim, tuple(voids), sheet)
    notes = [f"guide holes {' and '.join(sorted(used))}", f"held by {located.words}"]
    seats = {one.seat for one, _ in upright if one.seat is not None}
    sizes = sorted({f"{drilled[seat].size:.4g}" for seat in seats if seat in drilled})
    notes += _drilling([hole for _, hole in upright], ", ".join(sizes))
    if high := seat_under(layout, rim, Face.FRONT):
        notes.append(f"on the front {on_packing(high)}")
    faults = [] if located.one_way(shop) else ["it goes on in more than one way: heed its marks"]
    slanted = [one.hole for one, hole in stated if hole is None or not hole.upright]
    faults += [f"not on it, for they slant: {', '.join(slanted)}"] if slanted else []
    yield Fixture("string-holes", "string holes", piece, True, tuple(notes), tuple(faults))


def _drilling(own: Sequence[Hole], seats: str) -> Iterator[str]:
    """In which order the string holes and their seats are drilled, as in the cut order."""
    turn = "turn blank and fixture over together about the centreline"
    if not any(hole.both for hole in own):
        faces = " and ".join(sorted({str(hole.face) for hole in own}))
        yield f"drill from the {faces}, right through"
    elif any(hole.half_after for hole in own):
        yield (
            f"drill half way from the front; {turn}, and mark the seats' centres through the holes"
        )
        yield (
            f"take it off and bore the seats of {seats} mm, which want wood under their bit's "
            "point; then on the same pins drill the other half"
        )
        return
    else:
        yield f"drill half way from the front; {turn} and drill the other half: the same pins"
    if seats:
        words = f"seats of {seats} mm from the back: a bit with a pin that fits"
        yield f"{words} the drilled holes keeps them in line"


def _frames(layout: Layout) -> Iterator[Fixture]:
    """Two cheeks that are pushed against the real heel from both sides, tied by a strip, and guide
    a bearing bit: for a heel whose taper is not trusted."""
    shop, sheet = layout.shop, layout.shop.template_thickness[0]
    band = shop.router_base / 2.0
    for number, joint in enumerate(layout.stated(Joint)):
        turn = math.degrees(math.atan2(joint.ahead[1], joint.ahead[0]))
        x, y = joint.end[0], joint.end[1]
        heel = _own(layout.rooms_by_id[joint.heel].shape.plan, x, y, turn)
        pocket = _own(layout.by_id[joint.pocket].shape.plan, x, y, turn)
        x0, y0, x1, y1 = heel.box
        void = layout.by_id[joint.pocket]
        depth = level_depth(void, layout.thickness)
        guide = choose((Track(heel),), depth, _bearings(layout))
        play = _play(heel, pocket)
        for side in (1.0, -1.0):
            edge = side * ((y1 - y0) / 2.0 + band)
            near = side * GAP / 2.0
            half = rectangle(
                x1 - x0 + band,
                abs(edge - near),
                0.0,
                (x0 - band + x1) / 2.0,
                (edge + near) / 2.0,
            )
            made = difference(half, heel)
            if not made:
                continue
            bass = (side > 0.0) != layout.left_handed
            name = f"heel-{'bass' if bass else 'treble'}" + (f"-{number + 1}" if number else "")
            piece = sheet_piece(name.replace("-", "."), made[0].outer, (), sheet)
            notes = (
                f"push both cheeks against the real heel, {GAP:g} mm apart behind it as drawn, and "
                "tie them with strips across",
                f"the heel's end lies at x {x:.2f}, its middle on the centreline, as the gap does",
                f"packing of {play:.2f} mm on each side gives the play of the drawn pocket",
                f"{depth:.2f} deep, with the bearing bits of the pocket's own template",
                *(("its floor is tilted: the rest on a wedge",) if tilted_floor(void) else ()),
            )
            faults = () if guide is not None else ("no bearing bit on hand follows it",)
            what = f"{'bass' if bass else 'treble'} cheek of a frame round the real heel"
            yield Fixture(name, what, piece, False, notes, faults)


def _bearings(layout: Layout) -> Shop:
    return replace(layout.shop, bushes=())


def _own(plan: Profile, x: float, y: float, turn: float) -> Profile:
    """A plan in the heel's own frame: u toward the nut from the middle of its end."""
    return plan.moved(-x, -y).moved(0.0, 0.0, -turn)


def _play(heel: Profile, pocket: Profile) -> float:
    """The least air between heel and pocket at the sides and the end, mm."""
    points = flatten(heel, 0.01)
    mouth = points[:, 0].max()
    kept = points[points[:, 0] < mouth - 1.0]
    return float(-pocket.signed_distance(kept).max())


def _plates(layout: Layout) -> Iterator[Fixture]:
    """Flat plates on the edge that hold a jack."""
    jacks = {one.part for one in layout.stated(Sweep) if one.kind is SweepKind.PLUG}
    for land in layout.stated(Land):
        flat = land.face is Face.EDGE and land.flat and land.width > 0.0 and land.height > 0.0
        if not (flat and land.part in jacks and land.at is not None and land.inward is not None):
            continue
        side = -land.inward[1], land.inward[0]
        thick = _thickness(layout, land)
        voids = [drilled_hole(f"{land.part}.jack", Pin(0.0, 0.0, START), thick, Face.FRONT)]
        for screw in layout.stated(Screw):
            if screw.part == land.part:
                dx, dy, dz = (a - b for a, b in zip(screw.at, land.at))
                spot = Pin(dx * side[0] + dy * side[1], dz, screw.thread + FREE)
                voids.append(drilled_hole(screw.hole, spot, thick, Face.FRONT))
        rim = rectangle(land.width, land.height)
        piece = sheet_piece(f"{land.part}.plate", rim, tuple(voids), thick)
        notes = (
            f"cut from sheet {thick:g} thick; file the corners round",
            f"open the middle hole from {START:g} mm to the jack's own thread, as measured",
            f"screw holes {FREE:g} mm wider than the threads",
            *((f"bend it to a bow of {land.bow:.2f} mm",) if land.bow else ()),
        )
        name = f"{land.part}-plate".replace(".", "-")
        yield Fixture(name, f"jack plate of {land.part}", piece, False, notes, to_nut=False)


def _thickness(layout: Layout, land: Land) -> float:
    """Of the plate that lies on a land: of its part's room as high as the land, the way in."""
    assert land.inward is not None
    angle = math.atan2(land.inward[1], land.inward[0])
    found = []
    for room in layout.rooms:
        _, _, z0, _, _, z1 = room.shape.box
        if room.part == land.part and abs(z1 - z0 - land.height) < 1e-6:
            low, high = support_range(room.shape.plan, angle)
            found.append(high - low)
    return float(np.round(min(found, default=1.6), 6))
