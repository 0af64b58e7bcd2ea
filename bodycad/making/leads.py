"""The wire list: which lead each link takes, the way it runs and how long it is cut."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass
from itertools import pairwise
from typing import Any

from bodycad.checks.rules.wires import ends, way_between, ways
from bodycad.checks.wood.inwood import in_wood
from bodycad.geometry.solids.solid import Point3
from bodycad.layout.interface import Sweep, Terminal, Way
from bodycad.layout.layout import Layout
from bodycad.layout.void import Void
from bodycad.words import SweepKind, Wire

SLACK = 50.0
"""What a lead is longer at each end than its way, to be stripped and soldered outside the cavity,
mm (common practice, no source)."""
SHIELDED, PLAIN = "shielded lead", "plain wire"
POWER, GROUND = "battery lead", "ground wire"


@dataclass(frozen=True)
class Lead:
    """A lead between two parts. kind: what to buy. bundle: its diameter in the way, mm, None where
    none is asked. way: the voids in turn. length: of the way, mm, None where there is no way yet;
    cut: with `SLACK` at each end."""

    one: str
    two: str
    kind: str
    bundle: float | None
    way: tuple[str, ...]
    length: float | None

    @property
    def cut(self) -> float | None:
        """How long the lead is cut, mm, up to the next 10 mm."""
        if self.length is None:
            return None
        return 10.0 * math.ceil((self.length + 2.0 * SLACK) / 10.0)


def leads(layout: Layout) -> tuple[Lead, ...]:
    """The lead of each link, then the ground wire of each metal part."""
    return (*_links(layout), *_grounds(layout))


def _links(layout: Layout) -> Iterator[Lead]:
    graph = ways(layout)
    plugs = {one.part for one in layout.stated(Sweep) if one.kind is SweepKind.PLUG}
    kinds = {(one.part, one.kind) for one in layout.stated(Terminal)}
    supplies = {part for part, kind in kinds if kind is Wire.POWER} - plugs
    supplies -= {part for part, kind in kinds if kind is Wire.SIGNAL}
    at = {one.id: one.place for one in layout.placed}
    for link in layout.links:
        both = link.one, link.two
        _, path = way_between(layout, graph, [ends(layout, name) for name in both])
        kind = SHIELDED if plugs & set(both) else PLAIN
        if supplies & set(both):
            kind = POWER
        length = None
        if path:
            voids = [layout.by_id[name] for name in path]
            spots = [(at[name].x, at[name].y) for name in both]
            length = _length(layout, voids, *spots)
        yield Lead(link.one, link.two, kind, link.bundle, tuple(path), length)


def _grounds(layout: Layout) -> Iterator[Lead]:
    """From each metal part by its own way into the cavity."""
    found = [way for way in layout.stated(Way) if way.kind is Wire.GROUND]
    for metal in (one for one in layout.stated(Terminal) if one.kind is Wire.GROUND):
        for way in found:
            hole = layout.by_id[way.hole]
            plan = None if metal.under is None else layout.rooms_by_id[metal.under].shape.plan
            here = plan is not None and plan.contains(*hole.shape.ends[0].rim[:, :2].mean(axis=0))
            if here or {*metal.voids} & {*way.through}:
                into = next((v for v in way.through if v not in metal.voids), way.hole)
                length = sum(math.dist(*_ends_of(one)) for one in in_wood(hole, layout.body))
                yield Lead(metal.part, into, GROUND, None, (hole.id, into), length)
                break


def _length(
    layout: Layout, voids: list[Void], first: tuple[float, float], last: tuple[float, float]
) -> float:
    """How long a lead runs from one place in plan to another through voids: straight from doorway
    to doorway."""
    spots: list[Point3] = [(*first, _middle(voids[0]))]
    for one, two in pairwise(voids):
        if one.shape.hole is None and two.shape.hole is None:
            a, b = one.shape.box, two.shape.box
            low, high = (
                tuple(pick(a[k], b[k]) for k in places)
                for pick, places in ((max, range(3)), (min, range(3, 6)))
            )
            spots.append(tuple((p + q) / 2.0 for p, q in zip(low, high)))  # type: ignore[arg-type]
        elif two.shape.hole is not None:
            pieces = in_wood(two, layout.body) or (two,)
            both = _ends_of(pieces[0])
            nearer = sorted(both, key=lambda spot: math.dist(spot, spots[-1]))
            spots += nearer
    spots.append((*last, _middle(voids[-1])))
    return sum(math.dist(a, b) for a, b in pairwise(spots))


def _ends_of(void: Void) -> tuple[Point3, Point3]:
    hole = void.shape.hole
    assert hole is not None
    return hole.start, hole.end


def _middle(void: Void) -> float:
    return (void.low + void.high) / 2.0


def wire_rows(layout: Layout) -> list[dict[str, Any]]:
    """The wire list as plain values."""
    return [
        {
            "from": row.one,
            "to": row.two,
            "kind": row.kind,
            "bundle": None if row.bundle is None else float(row.bundle),
            "way": list(row.way),
            "length": row.length,
            "cut": row.cut,
        }
        for row in leads(layout)
    ]
