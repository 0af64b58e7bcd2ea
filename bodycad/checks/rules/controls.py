"""`control-room`, `cover-fit`: what hangs or lies in a cavity, and the cover over it."""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Iterator

import numpy as np

from bodycad.checks.finding import Finding, failed, judge, skip, witness
from bodycad.checks.page import Page
from bodycad.checks.wood.near import room_inside
from bodycad.checks.wood.stand import stand
from bodycad.geometry.distance.plan import inside_gap, plan_gap
from bodycad.geometry.plane.profile import Profile
from bodycad.geometry.solids.prism import Prism
from bodycad.geometry.solids.solid import Shape, boxes_apart
from bodycad.layout.interface import Fit, Hides, Terminal, Way
from bodycad.layout.layout import Layout
from bodycad.layout.void import Void
from bodycad.words import Face, FitKind, HideKind, RoomKind, Wire

CARRIES = (Wire.SIGNAL, Wire.POWER)
"""What a hollow that stays empty is for."""
ABOVE = (RoomKind.COVER, RoomKind.GUARD)
"""What is taken off before a battery is, with what hangs from it."""
APART = 30.0
"""Two controls farther apart than this (mm) are not listed."""

ROOM_PAGE = Page(
    asks="Does each control, capacitor and battery stand clear of the cavity's walls, of each "
    "other and of the cover, is there a cover, and does a battery come out past what is fitted?",
    why="A lug on the cover shorts; a can against a wall cannot be turned or fitted; a battery is "
    "changed a hundred times.",
    limits=("control-room.depth", "control-room.side", "control-room.out"),
    cures="Deepen or widen the cavity, move the control, or use a shorter one.",
)
COVER_PAGE = Page(
    asks="Does the cover drop in with a fair gap, lie on a wide enough ledge, and do its screws "
    "have wood round them?",
    why="A cover with a wide gap looks bad, one with none binds when the wood moves; a screw at "
    "the rim splits it out.",
    limits=(
        "cover-fit.gap",
        "cover-fit.gap.most",
        "cover-fit.gap.finished",
        "cover-fit.ledge",
        "cover-fit.boss",
        "cover-fit.season",
    ),
    cures="Change gap or ledge, or move the screws to where the ledge is wide.",
)


def control_room(layout: Layout) -> Iterator[Finding]:
    """What hangs or lies in a cavity: to the cover, to the cavity's walls and to each other."""
    fits = [fit for fit in layout.stated(Fit) if fit.kind is FitKind.CONTROL]
    if not fits:
        yield skip("control-room", "this design has no controls in a cavity")
    yield from _open(layout, fits)
    side = layout.shop.limit("control-room.side")
    many = Counter(fit.part for fit in fits)
    rows: list[tuple[str, Profile, float, float, float, str]] = []
    for fit in fits:
        name = fit.part if many[fit.part] == 1 else fit.room
        shape, void = layout.rooms_by_id[fit.room].shape, layout.by_id[fit.outer]
        low, high = shape.box[2], shape.box[5]
        if fit.plate is not None:
            under = layout.rooms_by_id[fit.plate].shape.box
            front = void.face is Face.FRONT
            low, high = (
                (under[2] - high + low, under[2]) if front else (under[5], under[5] + high - low)
            )
        elif fit.hangs:
            tall, wall = high - low, _wall(void)
            low, high = (wall, wall + tall) if void.face is Face.FRONT else (wall - tall, wall)
        yield from _above_and_below(layout, fit, name, low, high)
        plan = shape.plan
        spare, p, q = room_inside(layout, plan, void.shape.plan)
        words = f"{spare:.2f} mm between {name} and the wall of {void.id}"
        cure = f"widen {void.id} or move {name}"
        yield judge((name, void.id), spare, side, words, cure, at=witness(p, q, low))
        rows.append((name, plan, low, high, _wall(void), fit.part))
        if layout.rooms_by_id[fit.room].kind is RoomKind.BATTERY:
            yield from _way_out(layout, fit, void, low, high)
    rows.sort(key=lambda row: row[0])
    for k, (one, plan, low, high, z, part) in enumerate(rows):
        for two, other, bottom, top, _, its in rows[k + 1 :]:
            if part == its:
                continue
            gap, p, q = plan_gap(plan, other)
            gap = math.hypot(gap, max(bottom - high, low - top, 0.0))
            if gap < APART:
                words, cure = f"{gap:.2f} mm between {one} and {two}", f"move {one} and {two} apart"
                yield judge((one, two), gap, side, words, cure, at=witness(p, q, z))


def _open(layout: Layout, fits: list[Fit]) -> Iterator[Finding]:
    """Each cavity for controls or wires that nothing hides; a hollow that no wire comes to may stay
    open, as one for fingers does."""
    hidden = {name for hides in layout.stated(Hides) for name in hides.voids}
    rows: list[tuple[str, ...]] = [(fit.outer,) for fit in fits]
    ends = [one for one in layout.stated(Terminal) if one.kind in CARRIES]
    wired = {name for one in ends if one.linked for name in one.voids}
    wired |= {name for way in layout.stated(Way) for name in way.through}
    rows += [one.voids for one in ends if not one.linked and wired & {*one.voids}]
    for names in dict.fromkeys(rows):
        routed = [name for name in names if layout.by_id[name].operation.routed]
        if routed and not hidden & {*names}:
            words, cure = (
                f"no cover and no guard lies over {routed[0]}",
                "give it a cover or a guard",
            )
            yield failed("control-room.open", (routed[0],), words, cure)


def _way_out(layout: Layout, fit: Fit, void: Void, low: float, high: float) -> Iterator[Finding]:
    """What stands in the way of a battery straight out of its void's open face, once the cover is
    off: wood, or another part."""
    if void.face is Face.EDGE:
        return
    plan, front = layout.rooms_by_id[fit.room].shape.plan, void.face is Face.FRONT
    level, limit = layout.skin.level(void.face), layout.shop.limit("control-room.out")
    way = Prism(plan, low, max(level, high)) if front else Prism(plan, min(level, low), high)
    own = {fit.part, void.part}
    lifted = {one.room for one in layout.stated(Fit) if one.plate is not None}
    found = stand(way, layout.body)
    rows = [(found.value, "wood", found.at)]
    for room in layout.rooms:
        if room.part in own or room.kind in ABOVE or room.id in lifted:
            continue
        if boxes_apart(room.shape, way) > 0.0:
            continue
        if plan_gap(plan, room.shape.plan)[0] <= 0.0:
            box = room.shape.box
            deep = min(box[5], way.high) - max(box[2], way.low)
            low, (x, y) = max(box[2], way.low), _middle(room.shape)
            rows.append((-max(deep, 0.0), room.id, ((x, y, low), (x, y, low + max(deep, 0.0)))))
    for spare, what, at in rows:
        words = f"stands {-spare:.2f} mm in the way of" if spare < 0.0 else "leaves a way out for"
        cure = f"move {fit.part}, or what stands over it"
        yield judge((fit.room, what), spare, limit, f"{what} {words} {fit.room}", cure, at=at)


def _above_and_below(
    layout: Layout, fit: Fit, name: str, low: float, high: float
) -> Iterator[Finding]:
    """Room in height: to what closes the cavity (else its face), and to the wood at its bottom
    where the solid does not hang from it."""
    void, (x, y) = layout.by_id[fit.outer], _middle(layout.rooms_by_id[fit.room].shape)
    front = void.face is Face.FRONT
    near, far = (high, low) if front else (low, high)
    ends = [(near, *closed) for closed in _closings(layout, void)] if fit.plate is None else []
    if not fit.hangs or fit.plate is not None:
        ends.append((far, _wall(void), void.id, f"the bottom of {void.id}"))
    for end, level, subject, words in ends:
        spare = (level - end) * (1.0 if end == high else -1.0)
        spare -= 0.0 if end == near else fit.below or 0.0
        limit = layout.shop.limit("control-room.depth")
        text = f"{spare:.2f} mm between {name} and {words}"
        cure = f"make {void.id} deeper, or use a shorter control"
        yield judge((name, subject), spare, limit, text, cure, at=((x, y, end), (x, y, level)))


def _closings(layout: Layout, void: Void) -> list[tuple[float, str, str]]:
    """What closes a void at the face that it is cut from: height of its inside, id, in words."""
    if void.face is Face.EDGE:
        return [(void.shape.full[0], void.id, f"the floor of {void.id}")]
    side = 2 if void.face is Face.FRONT else 5
    found = []
    for hides in layout.stated(Hides):
        room = layout.rooms_by_id[hides.room]
        if void.id in hides.voids and hides.face is void.face:
            words = f"the inside of {hides.part}'s {hides.name}"
            found.append((room.shape.box[side], room.id, words))
    bare = f"the {void.face}, for no cover is stated over {void.id}"
    return found or [(layout.skin.level(void.face), str(void.face), bare)]


def cover_fit(layout: Layout) -> Iterator[Finding]:
    """Gap, ledge and screw bosses of each cover."""
    fits = [fit for fit in layout.stated(Fit) if fit.kind is FitKind.COVER]
    rims = [hides for hides in layout.stated(Hides) if hides.kind is HideKind.IN]
    if not fits and not rims:
        yield skip("cover-fit", "this design has no covered cavity")
    for fit in fits:
        yield from _gap_round(layout, fit)
        if not any(hides.room == fit.room for hides in rims):
            words = f"{fit.part} states no Hides for its {fit.name}: its ledge cannot be judged"
            cure = "state a Hides(kind='in') with the voids that it covers"
            yield failed("cover-fit.rim", (fit.room,), words, cure)
    for hides in rims:
        yield from _ledge(layout, hides)


def _gap_round(layout: Layout, fit: Fit) -> Iterator[Finding]:
    """The gap between a cover and its recess: as cut, as it shows and as finished."""
    shop, recess = layout.shop, layout.by_id[fit.outer]
    gap, p, q = room_inside(layout, layout.rooms_by_id[fit.room].shape.plan, recess.shape.plan)
    left = gap if fit.masked else gap - shop.finish
    where, more = f"mm round {fit.part}'s {fit.name}", "give the cover more gap"
    for name, value, words, cure in (
        ("cover-fit.gap", gap, f"{where}, as cut", more),
        ("cover-fit.gap.most", gap, f"{where}, as cut; wider shows", "give the cover less gap"),
        ("cover-fit.gap.finished", left, f"{where} once the recess is finished", more),
    ):
        subjects, text = (fit.room, recess.id), f"{value:.2f} {words}"
        yield judge(subjects, value, shop.limit(name), text, cure, at=witness(p, q, _wall(recess)))


def _ledge(layout: Layout, hides: Hides) -> Iterator[Finding]:
    """How wide a let-in rim lies on wood all round each void, and the wood about its screws."""
    shop = layout.shop
    outer = hides.rim if hides.recess is None else layout.by_id[hides.recess].shape.plan
    around = hides.recess or hides.room
    starts = [_middle(layout.by_id[screw].shape) for screw in hides.screws]
    spots = np.array(starts).reshape(-1, 2)
    for void in (layout.by_id[name] for name in hides.voids):
        plan = void.shape.plan
        z = _wall(layout.by_id[hides.recess]) if hides.recess else _wall(void)
        ledge, p, q = inside_gap(plan, outer)
        words = f"{hides.part}'s ledge is {ledge:.2f} mm wide at its narrowest"
        cure, at = "give the cover a wider ledge", witness(p, q, z)
        yield judge((void.id, around), ledge, shop.limit("cover-fit.ledge"), words, cure, at=at)
        wood = np.minimum(2.0 * plan.signed_distance(spots), -2.0 * outer.signed_distance(spots))
        feet = plan.segments.nearest(spots)[1]
        rows = zip(hides.screws, spots, wood, feet, strict=True)
        for index, (screw, spot, left, foot) in enumerate(rows, 1):
            subjects, limit = (screw, void.id), shop.limit("cover-fit.boss")
            name = f"screw {index} of {hides.part}'s {hides.name}"
            words = f"{name} stands in {left:.2f} mm of wood across"
            cure = "move the screw to the middle of a wider boss"
            yield judge(subjects, float(left), limit, words, cure, at=witness(spot, foot, z))


def _middle(shape: Shape) -> tuple[float, float]:
    """Where a solid stands in plan: a bore's axis at its start, a prism's centroid."""
    return shape.hole.start[:2] if shape.hole else shape.plan.centroid


def _wall(void: Void) -> float:
    """Height of the wood at the bottom of a void, as seen from the face it is cut from, mm."""
    return void.shape.full[0] if void.face is Face.FRONT else void.high
