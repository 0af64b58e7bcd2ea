"""`fixing`: what holds covers, guards, rings and plates, and a bridge against its strings."""

from __future__ import annotations

import math
from collections.abc import Iterator

import numpy as np

from bodycad.checks.finding import Finding, judge, skip, witness
from bodycad.checks.page import Page
from bodycad.checks.strings_served import anchored, saddles
from bodycad.fasteners import screw_slip
from bodycad.instrument.load import string_tensions
from bodycad.layout.interface import Land, Post, Screw
from bodycad.layout.layout import Layout
from bodycad.layout.void import Room
from bodycad.wood import AIR_DRY
from bodycad.words import Face, RoomKind

SHEETS = (RoomKind.COVER, RoomKind.GUARD, RoomKind.RING, RoomKind.PLATE)
"""What lies on the wood or is let in, and is screwed down."""

SMALL = 20.0
"""What is no longer than this (mm), a bezel say, is pressed in or glued (common practice, no
source)."""

PAGE = Page(
    asks="Is each cover, guard, ring and plate held by two screws or more, none of its corners far "
    "from the next one; and do the screws of a bridge's or a tailpiece's plate hold its strings' "
    "pull?",
    why="What no screw holds falls out, what one holds turns, and a large sheet lifts and rattles "
    "between screws that stand far apart. The strings draw a bridge toward the nut along the face.",
    limits=("fixing", "fixing.far", "fixing.pull"),
    cures="Give it more screws, one near each end and corner, or thicker ones. Waive it where "
    "magnets, glue or springs of your own hold the sheet.",
)


def fixing(layout: Layout) -> Iterator[Finding]:
    """Every sheet and its screws; every plate that strings pull."""
    sheets = [room for room in layout.rooms if room.kind in SHEETS and _long(room) > SMALL]
    pulls = _pulls(layout)
    if not sheets and not pulls:
        yield skip("fixing", "this design has no cover, guard, ring or plate")
    for room in sheets:
        yield from _held(layout, room)
    for part, pull in pulls.items():
        yield from _pulled(layout, part, pull)


def _long(room: Room) -> float:
    x0, y0, _, x1, y1, _ = room.shape.box
    return max(x1 - x0, y1 - y0)


def _screws(layout: Layout, room: Room) -> list[Screw]:
    """The screws of its own part that go through a sheet; on the edge, where a plan tells nothing,
    all of the part's."""
    own = [screw for screw in layout.stated(Screw) if screw.part == room.part]
    aside = any(
        one.part == room.part and one.face is Face.EDGE and not one.plan
        for one in layout.stated(Land)
    )
    return [one for one in own if aside or room.shape.plan.contains(*one.at[:2])]


def _posts(layout: Layout, part: str) -> list[str]:
    return [post.hole for post in layout.stated(Post) if post.part == part]


def _held(layout: Layout, room: Room) -> Iterator[Finding]:
    """How many screws hold a sheet, or posts a bridge's plate, and how far from the nearest its
    farthest corner is."""
    screws, posts = _screws(layout, room), list[str]()
    if not screws and room.kind is RoomKind.PLATE:
        posts = _posts(layout, room.part)
    count, what = len(screws) + len(posts), "posts" if posts else "screws"
    words, limit = f"{count} {what} hold {room.id}", layout.shop.limit("fixing")
    cure = f"give {room.id} two screws or more; waive this where something else holds it"
    yield judge((room.id, "screws"), float(count), limit, words, cure, unit="screws")
    if not screws:
        return
    corners = room.shape.plan.segments.at(np.full(len(room.shape.plan.vertices), 0.5))
    corners = np.vstack([room.shape.plan.vertices[:, :2], corners])
    heads = np.array([one.at[:2] for one in screws])
    away = np.hypot(*(corners[:, None] - heads).transpose(2, 0, 1))
    k, level = int(away.min(axis=1).argmax()), room.shape.box[5]
    far, head = float(away.min(axis=1)[k]), heads[int(away[k].argmin())]
    words = f"{far:.1f} mm from the rim of {room.id} to its next screw"
    limit = layout.shop.limit("fixing.far")
    at, cure = witness(corners[k], head, level), f"put a screw nearer to that place of {room.id}"
    yield judge((room.id, "rim"), far, limit, words, cure, at=at)


def _pulls(layout: Layout) -> dict[str, float]:
    """N that strings draw each part with that bears them or holds their ends, where no posts carry
    it."""
    tensions, found = string_tensions(layout.instrument), dict[str, dict[int, float]]()
    for one, line in (*saddles(layout), *anchored(layout)):
        if line is not None and not _posts(layout, one.part):
            found.setdefault(one.part, {})[line.number] = tensions[line.number - 1]
    return {part: math.fsum(own.values()) for part, own in found.items()}


def _pulled(layout: Layout, part: str, pull: float) -> Iterator[Finding]:
    """How many times the strings' pull the screws of a part's plates hold before one stays bent
    sideways."""
    plates = [r for r in layout.rooms if r.part == part and r.kind is RoomKind.PLATE]
    if not plates:
        return  # what bears them is no plate, and its screws are not told from others
    gravity = layout.blank.species.gravity_at(AIR_DRY)
    screws = [screw for room in plates for screw in _screws(layout, room)]
    holds = math.fsum(screw_slip(gravity, screw.thread, screw.reach) for screw in screws)
    limit, times = layout.shop.limit("fixing.pull"), holds / pull
    words = f"{len(screws)} screws hold {times:.1f} times the {pull:.0f} N that the strings draw "
    words += f"{part} with along the face, before one stays bent"
    cure = f"give {part} more screws, or thicker or longer ones"
    yield judge((part, "strings"), times, limit, words, cure, unit="times")
