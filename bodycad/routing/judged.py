"""A proposed hole as the checks judge it, in the body that has it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from bodycad.checks.finding import STATUSES, Finding
from bodycad.checks.rules.reach import drill_reach
from bodycad.checks.rules.screws import pilot_tip, post_web
from bodycad.checks.rules.walls import around
from bodycad.checks.rules.wires import drilled_way, ground_path
from bodycad.layout.interface import Way
from bodycad.layout.layout import Layout, Placed
from bodycad.layout.workpiece import Workpiece
from bodycad.parts.channel import Channel
from bodycad.words import Operation, Wire


def with_hole(layout: Layout, placed: Placed) -> Layout:
    """The layout, drawn right-handed, with one more hole for wires."""
    channel: Channel = placed.part
    cut = channel.voids(placed.id, placed.place, layout.thickness)
    body: Workpiece = replace(layout.body, voids=(*layout.voids, *cut))
    says = channel.interfaces(placed.id, placed.place, body)
    return replace(
        layout,
        pieces=(body, *layout.pieces[1:]),
        placed=(*layout.placed, placed),
        interfaces=(*layout.interfaces, *says),
    )


def without_ways(layout: Layout) -> Layout:
    """The layout without the parts that are drilled ways and nothing else."""
    ways = {one.part for one in layout.stated(Way)}
    other = {v.part for v in layout.voids if v.operation is not Operation.CHANNEL}
    gone = ways - other - {room.part for room in layout.rooms}
    cut = {v.id for v in layout.voids if v.part in gone}
    left = tuple(
        replace(v, meets=v.meets - cut) if v.meets & cut else v
        for v in layout.voids
        if v.part not in gone
    )
    placed = tuple(one for one in layout.placed if one.id not in gone)
    links = tuple(one for one in layout.links if not {one.one, one.two} & gone)
    return layout.with_body(voids=left).with_parts(placed, links)


def judged(layout: Layout, name: str) -> tuple[Finding, ...]:
    """What the checks find of the hole `name` of a layout, the worst first."""
    hole = layout.by_id[name]
    (way,) = (one for one in layout.stated(Way) if one.hole == name)
    found = [*drilled_way(layout, hole, way.through), *around(layout, hole)]
    for asked in (drill_reach(layout), post_web(layout), pilot_tip(layout)):
        found += [f for f in asked if name in f.subjects]
    if way.kind is Wire.GROUND:
        found += [f for f in ground_path(layout) if f.subjects[:1] == (name,)]
    return tuple(sorted(found, key=_rank))


def _rank(finding: Finding) -> tuple[int, float]:
    """The worst first; of equals the one with the least band to spare."""
    bands = finding.bands
    return STATUSES.index(finding.status), float("inf") if bands is None else bands


def worst(found: Sequence[Finding]) -> str:
    """The worst status of some findings."""
    return min((f.status for f in found), key=STATUSES.index, default="pass")
