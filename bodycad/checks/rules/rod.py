"""`rod-reach`: a truss rod that is adjusted at the heel, and the tool that turns it."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from functools import partial

from bodycad.checks.finding import Finding, failed, judge, judge_gap, skip
from bodycad.checks.page import Page
from bodycad.checks.rules.assembly import lets_through
from bodycad.checks.rules.seated import held
from bodycad.checks.wood.near import room_inside
from bodycad.checks.wood.stand import LOOK, stand
from bodycad.geometry.distance.gap import at_least, gap
from bodycad.geometry.solids.prism import Prism
from bodycad.instrument.seat import Seat
from bodycad.layout.assembly import assembled
from bodycad.layout.interface import Sweep
from bodycad.layout.layout import Layout
from bodycad.layout.void import Room
from bodycad.words import SweepKind

PAGE = Page(
    asks="Where the truss rod is adjusted at the heel: is there a notch for its tool, and does the "
    "tool pass the wood, the fretboard's overlap, and pickups, rings, guards and covers?",
    why="A rod that cannot be turned with the neck in its pocket is turned with the strings off "
    "and the neck out, by trial. The tool is brought in between the strings or beside them.",
    limits=("rod-reach", "rod-reach.part"),
    cures="Make the notch longer or wider, use a pin on a wheel in place of a key, move the pickup "
    "toward the bridge, or give the guard an opening there.",
)
NEAR = 4.0
"""What stands farther than this from the tool is not listed, mm."""


def rod_reach(layout: Layout) -> Iterator[Finding]:
    """Each tool against the wood, the fretboard and everything fitted; and a rod at the heel that
    no part brings a tool to."""
    tools = [one for one in layout.stated(Sweep) if one.kind is SweepKind.TOOL]
    necks = held(layout)
    if not layout.instrument.neck.heel.rod_at_heel:
        if not tools:
            yield skip("rod-reach", "the truss rod is not adjusted at the heel")
    else:
        for neck in necks:
            if not any(tool.part == neck.id for tool in tools):
                words = f"the truss rod is adjusted at the heel, and {neck.id} has no way for a"
                cure = f"give {neck.id} a RodNotch, or adjust the rod at the head"
                yield failed("rod-reach.none", (neck.id,), f"{words} tool", cure)
        if not necks:
            yield skip("rod-reach", "this design has no neck")
    rooms = assembled(layout)
    for tool in tools:
        yield from _tool(layout, rooms[tool.room], rooms.values())
        for neck in necks:
            if neck.id == tool.part:
                yield from _under_board(layout, rooms[tool.room], neck.seat, neck.board)


def _tool(layout: Layout, tool: Room, rooms: Iterable[Room]) -> Iterator[Finding]:
    limit, part = layout.shop.limit("rod-reach"), layout.shop.limit("rod-reach.part")
    found = stand(tool.shape, layout.body, partial(room_inside, layout))
    words = (
        f"the tool for the truss rod clears the wood by {min(found.value, LOOK):.2f} mm"
        if found.value >= 0.0
        else f"the tool for the truss rod stands {-found.value:.2f} mm in the wood"
    )
    cure = "make the notch longer or wider, or hold the tool more steeply"
    yield judge((tool.id, "wood"), found.value, limit, words, cure, at=found.at, bound=found.bound)
    for room in rooms:
        if room.part == tool.part or at_least(tool.shape, room.shape) > NEAR:
            continue
        near = gap(tool.shape, room.shape)
        if near.distance > NEAR or lets_through(layout, tool, room):
            continue
        words = f"{near.distance:.2f} mm between the tool for the truss rod and {room.id}"
        cure = f"move {room.part} toward the bridge, or give it an opening there"
        yield judge_gap((tool.id, room.id), near, part, words, cure)


def _under_board(layout: Layout, tool: Room, seat: Seat, board: str) -> Iterator[Finding]:
    """The tool to the fretboard's overlap past the heel."""
    plan, thick = seat.board, layout.instrument.neck.board_thickness
    heights = seat.underside(plan.vertices[:, :2])
    solid = Prism(plan, float(heights.min()), float(heights.max()) + thick)
    found = gap(tool.shape, solid)
    if found.distance <= NEAR:
        words = f"{found.distance:.2f} mm between the tool for the truss rod and the fretboard"
        cure = "let the rod's nut stand out farther, or the fretboard overlap less"
        limit = layout.shop.limit("rod-reach.part")
        yield judge_gap((tool.id, board), found, limit, words, cure)
