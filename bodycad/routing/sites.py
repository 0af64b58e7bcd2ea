"""What of a laid-out body wires can already run through, and what is not yet joined."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass

from bodycad.checks.rules.wires import Graph, ends, ground_path, way_between, ways
from bodycad.layout.interface import Terminal
from bodycad.layout.layout import Layout, Link
from bodycad.layout.void import Void
from bodycad.layout.workpiece import Workpiece
from bodycad.words import Wire

MOST_MAIN = 2
"""How many of its pockets a site is entered or reached by."""
SHARE = 0.5
"""A pocket of a site counts where it holds so much of the largest one's volume."""


@dataclass(frozen=True, eq=False)
class Site:
    """Voids that are open into each other wide enough for wires.

    name: its largest pocket's id. voids: all. main: those that a drill may begin or end in, the
    largest first. signal: whether signal wires end there."""

    name: str
    voids: frozenset[str]
    main: tuple[Void, ...]
    signal: bool


@dataclass(frozen=True, eq=False)
class Wanted:
    """Two sites that a bundle of `bundle` mm must get between, and the link that asks for it."""

    link: Link
    one: Site
    two: Site


def joined(layout: Layout, links: tuple[Link, ...], spare: float) -> tuple[Site, ...]:
    """The sites of a body: what a bundle of the widest of `links` and `spare` mm can get
    through."""
    graph, voids = ways(layout), layout.by_id
    least = max((link.bundle for link in links), default=0.0) + spare
    stated = layout.stated(Terminal)
    ends_of = {name for one in stated for name in one.voids}
    signal = {
        name for one in stated if one.linked and one.kind is Wire.SIGNAL for name in one.voids
    }
    found, seen = [], set[str]()
    for start in (v.id for v in layout.voids):
        if start in seen:
            continue
        group = _reached(graph, start, least)
        seen |= group
        main = _main([voids[name] for name in group], ends_of)
        if main:
            found.append(Site(main[0].id, frozenset(group), main, bool(group & signal)))
    return tuple(found)


def _reached(graph: Graph, start: str, least: float) -> set[str]:
    found, left = {start}, [start]
    while left:
        here = left.pop()
        for other, width in graph.get(here, {}).items():
            if width >= least and other not in found:
                found.add(other)
                left.append(other)
    return found


def _main(voids: list[Void], ends_of: set[str]) -> tuple[Void, ...]:
    """The pockets of a group, and the holes in which wires end, that a drill may begin or end
    in."""
    able = [v for v in voids if v.operation.routed or v.id in ends_of]
    size = {v.id: _volume(v) for v in able}
    able.sort(key=lambda v: (-size[v.id], v.id))
    return tuple(v for v in able if size[v.id] >= SHARE * size[able[0].id])[:MOST_MAIN]


def _volume(void: Void) -> float:
    if void.shape.hole is not None:
        return void.shape.hole.volume
    return void.shape.plan.area * (void.high - void.low)


def wanted(layout: Layout, sites: tuple[Site, ...]) -> Iterator[Wanted | Link]:
    """Each link that has no way yet; the link alone where a part of it has no site."""
    graph, spare = ways(layout), layout.shop.limit("wire-path.bundle").warn
    for link in layout.links:
        both = [ends(layout, name) for name in (link.one, link.two)]
        width, path = way_between(layout, graph, both)
        if path and (math.isinf(width) or width >= link.bundle + spare):
            continue
        found = [site_of(sites, names) for names in both]
        if found[0] is None or found[1] is None:
            yield link
        elif found[0] is not found[1]:
            yield Wanted(link, found[0], found[1])


def site_of(sites: tuple[Site, ...], voids: tuple[str, ...]) -> Site | None:
    """The first site that holds any of those voids."""
    return next((site for site in sites if site.voids & set(voids)), None)


def ungrounded(layout: Layout) -> tuple[Terminal, ...]:
    """The metal that no ground way serves yet, as `ground-path` says."""
    bad = {f.subjects[-1] for f in ground_path(layout) if f.status == "fail"}
    metal = [one for one in layout.stated(Terminal) if one.kind is Wire.GROUND]
    return tuple(one for one in metal if {one.part, one.under} & bad)


def related_step(piece: Workpiece, void: Void) -> frozenset[str]:
    """The voids that count as one with `void` for a way into it: the steps of its own pocket."""
    steps = (v for v in piece.openings[void.id] if v.part == void.part and v.operation.routed)
    return frozenset({void.id, *(v.id for v in steps)})
