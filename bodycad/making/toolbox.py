"""The tools that a design needs, against those that the shop has."""

from __future__ import annotations

import math
import re
from collections.abc import Iterable, Iterator
from dataclasses import dataclass, replace

from bodycad.checks.rules.cutters import Routed, edges, ledges, routed, too_narrow
from bodycad.checks.rules.reach import like_holes
from bodycad.layout.interface import Bush, Screw, Sweep
from bodycad.layout.layout import Layout
from bodycad.making.leads import leads
from bodycad.shop import Shop
from bodycad.tools import FLAT, Cutter
from bodycad.words import EdgeForm, HeadForm, RoomKind, SweepKind

CUTTER, EDGE_BIT, DRILL, HAND = "router cutter", "edge bit", "drill", "by hand"
KINDS = CUTTER, EDGE_BIT, DRILL, HAND
LONG = 150.0
"""A drill that reaches so far is a long one, mm."""
WIDE = 13.0
"""Bits with a flat floor are brad-point bits up to this, flat or saw-tooth bits above, mm (common
practice, no source)."""
ENOUGH = 1e-9


@dataclass(frozen=True)
class Tool:
    """One tool. kind: of `KINDS`; what: plain words; size: its diameter, or its edge's, mm, None
    where it has none. uses: the cuts, holes, edges or parts that it is for. deepest: the greatest
    depth that it must reach, reach: how deep it does, mm; None where that is not asked. on_hand:
    whether the shop is known to have it; None where the shop does not list such tools."""

    kind: str
    what: str
    size: float | None
    uses: tuple[str, ...]
    deepest: float | None = None
    reach: float | None = None
    on_hand: bool | None = True

    @property
    def lacking(self) -> bool:
        """Whether the shop has not got it, or it does not reach."""
        short = self.deepest is not None and self.reach is not None and self.deepest > self.reach
        return self.on_hand is False or short


def tools(layout: Layout) -> tuple[Tool, ...]:
    """Every tool, each once with all its uses: cutters, edge bits and drills by size, then what is
    held in the hand."""
    found: dict[tuple[object, ...], Tool] = {}
    for tool in (*_routing(layout), *_drilling(layout), *_pilots_in_the_neck(layout)):
        tool = replace(tool, size=None if tool.size is None else round(tool.size, 4))
        key = tool.kind, tool.what, tool.size, tool.reach, tool.on_hand
        if (old := found.get(key)) is not None:
            uses = tuple(dict.fromkeys((*old.uses, *tool.uses)))
            depths = [one.deepest for one in (old, tool) if one.deepest is not None]
            tool = replace(tool, uses=uses, deepest=max(depths, default=None))
        found[key] = tool
    order = sorted(
        found.values(), key=lambda t: (KINDS.index(t.kind), t.size or 0.0, t.what, t.reach or 0.0)
    )
    return *order, *_by_hand(layout)


def chosen(cut: Routed, shop: Shop) -> Cutter | None:
    """The widest cutter on hand that makes every corner of a cut, gets everywhere in it and reaches
    its floor; None where none does."""
    tightest = float(cut.radii.min(initial=math.inf))
    for cutter in sorted(shop.flat_cutters, key=lambda c: (-c.diameter, c.reach)):
        radius = cutter.diameter / 2.0
        fits = radius <= tightest + ENOUGH and cutter.reach >= cut.depth - ENOUGH
        if fits and too_narrow(cut, radius) is None:
            return cutter
    return None


def _routing(layout: Layout) -> Iterator[Tool]:
    shop = layout.shop
    for piece in layout.pieces:
        for cut in (*routed(piece), *ledges(piece)):
            cutter = chosen(cut, shop)
            if cutter is not None:
                wide, what = float(cutter.diameter), "straight cutter"
                yield Tool(CUTTER, what, wide, (cut.subject,), cut.depth, cutter.reach)
            else:
                tightest = float(cut.radii.min(initial=math.inf))
                size = 2.0 * tightest if math.isfinite(tightest) else None
                words = "straight cutter, this wide or narrower"
                yield Tool(CUTTER, words, size, (cut.subject,), cut.depth, None, False)
        for owner, _, edge, _ in edges(piece):
            if edge.form is not None and edge.form is not EdgeForm.STRAIGHT:
                bits = shop.bits_for(edge.form, edge.reach)
                bit = min(bits, key=lambda b: (b.bearing, b.size), default=None)
                size = edge.reach if bit is None else bit.size
                bearing = "" if bit is None else f", {bit.bearing:g} mm bearing"
                what = f"{edge.form} bit{bearing}"
                yield Tool(EDGE_BIT, what, size, (owner,), on_hand=bit is not None)


def _drilling(layout: Layout) -> Iterator[Tool]:
    """A drill for each group of like holes, and for the datum pins."""
    shop = layout.shop
    for piece in layout.pieces:
        for one in like_holes(layout, piece):
            more = shop.limit("drill-reach").warn
            ids = tuple(void.id for void in one.voids)
            yield _drill(shop, one.diameter, one.depth, more, one.flat, ids)
        for k, pin in enumerate(piece.blank.pins if piece.blank else (), 1):
            use = (f"{piece.id}.pin.{k}",)
            yield _drill(shop, pin.diameter, piece.thickness, 0.0, False, use)


def _pilots_in_the_neck(layout: Layout) -> Iterator[Tool]:
    """The holes of a neck's screws in its heel, through the body's own."""
    for screw in layout.stated(Screw):
        room = layout.rooms_by_id.get(screw.bites or "")
        if room is None or room.kind is not RoomKind.NECK or screw.pilot is None:
            continue
        heel = room.shape.prism
        low = heel.floor(*screw.at[:2]) if heel is not None else room.shape.box[2]
        deep = screw.at[2] + screw.reach - float(low)
        deep = screw.insert.depth if screw.insert is not None else deep
        use = (f"{room.id}.pilot.{screw.number}",)
        yield _drill(layout.shop, screw.pilot, deep, 0.0, False, use)


def _drill(
    shop: Shop, size: float, depth: float, more: float, flat: bool, uses: tuple[str, ...]
) -> Tool:
    """The drill on hand for holes of that size and depth, as `drill-reach` takes it."""
    drill = shop.drill_for(size, depth + more, flat)
    if drill is None:
        words = "bit with a flat floor" if flat else "drill"
        return Tool(DRILL, words, size, uses, depth, None, False)
    words = "twist drill"
    if drill.point_deg == FLAT:
        words = "brad-point bit" if drill.diameter <= WIDE else "flat or saw-tooth bit"
    words = f"long {words}" if drill.reach >= LONG else words
    return Tool(DRILL, words, drill.diameter, uses, depth + drill.point, drill.reach)


def named(uses: tuple[str, ...]) -> tuple[str, ...]:
    """What a tool is for, like holes counted: "bridge.string (6)" for the ids of six."""
    alike: dict[str, list[str]] = {}
    for use in uses:
        alike.setdefault(re.sub(r"\.\d+(?=\.|$)", "", use), []).append(use)
    return tuple(ids[0] if len(ids) == 1 else f"{name} ({len(ids)})" for name, ids in alike.items())


def _by_hand(layout: Layout) -> Iterator[Tool]:
    """What is held in the hand, told by what it is for."""
    screws = layout.stated(Screw)
    rows: list[tuple[str, float | None, Iterable[str]]] = [
        ("rasp, file and scraper, where no bit or machine shapes it", None, _carved(layout)),
        (
            "countersink",
            None,
            (s.part for s in screws if s.free and s.head is HeadForm.COUNTERSUNK),
        ),
        ("screwdriver", None, (s.part for s in screws)),
        ("driver for threaded inserts", None, (s.part for s in screws if s.insert is not None)),
        ("spanner or socket for the nuts of bushes", None, (b.part for b in layout.stated(Bush))),
    ]
    for sweep in layout.stated(Sweep):
        hole = layout.rooms_by_id[sweep.room].shape.hole
        size = None if hole is None else hole.diameter
        if sweep.kind is SweepKind.TOOL:
            rows.append(("key or pin for the truss rod", size, (sweep.part,)))
        elif sweep.kind is SweepKind.WRENCH:
            rows.append(("thin spanner for a nut in its cavity", None, (sweep.part,)))
    joints = [f"{p.id}: glue joints" for p in layout.pieces if p.blank and p.blank.joints]
    rows += [
        ("clamps", None, joints),
        ("soldering iron", None, (part for one in leads(layout) for part in (one.one, one.two))),
    ]
    for what, size, uses in rows:
        named = tuple(dict.fromkeys(uses))
        if named:
            yield Tool(HAND, what, size, named, on_hand=None)


def _carved(layout: Layout) -> Iterator[str]:
    """What is shaped by hand, or by a machine in three dimensions."""
    for piece in layout.pieces:
        yield from (contour.id for contour in piece.skin.contours)
        yield from (owner for owner, _, edge, _ in edges(piece) if edge.form is None)
