"""The tools that a design needs, against those that the shop has."""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator
from dataclasses import dataclass, replace

from bodycad.checks.rules.cutters import edges
from bodycad.geometry.solids.edge import Ledge
from bodycad.layout.interface import Bush, Screw, Sweep
from bodycad.layout.layout import Layout
from bodycad.making.bearings import rebate_bit
from bodycad.making.cuts import cuts, unreached
from bodycad.making.hole import bit_of, chosen
from bodycad.making.holes import holes
from bodycad.making.leads import leads
from bodycad.making.rims import rims
from bodycad.making.shaped import follower
from bodycad.making.templates import templates
from bodycad.tools import Cutter, Drill, EdgeBit
from bodycad.words import HeadForm, SweepKind

CUTTER, EDGE_BIT, DRILL = "router cutter", "edge bit", "drill"
GUIDE, HAND = "along a template", "by hand"
KINDS = CUTTER, EDGE_BIT, DRILL, GUIDE, HAND


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
    """Every tool, each once with all its uses: cutters, edge bits and drills by size, what leads a
    router along templates, then what is held in the hand."""
    found: dict[tuple[object, ...], Tool] = {}
    for tool in (*_routing(layout), *_drilling(layout), *_led(layout)):
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


def _routing(layout: Layout) -> Iterator[Tool]:
    """The cutters and edge bits of the cutting programs, and what they leave for others."""
    for cut in cuts(layout):
        tool, ids = cut.tool, cut.ids
        if isinstance(tool, Cutter):
            size, what = float(tool.diameter), "straight cutter"
            yield Tool(CUTTER, what, size, ids, cut.depth, tool.reach)
        elif isinstance(tool, EdgeBit):
            what = f"{tool.form} bit, {tool.bearing:g} mm bearing"
            yield Tool(EDGE_BIT, what, tool.size, ids)
    for piece in layout.pieces:
        for face in piece.faces:
            curved = [c.id for c in piece.skin.contours if c.face is face]
            curved += [rim.id for rim in rims(piece, face, layout.shop) if rim.bit is None]
            if curved and (followed := follower(layout.shop)) is not None:
                ball, _ = followed
                what = "ball-nose cutter, where a machine shapes the face"
                yield Tool(CUTTER, what, ball.diameter, tuple(curved), None, ball.reach)
    for left in unreached(layout):
        words = "straight cutter, narrower" if left.cutter else "straight cutter, longer"
        yield Tool(CUTTER, words, None, left.ids, left.depth, None, False)
    for piece in layout.pieces:
        for face in piece.faces:
            for rim in rims(piece, face, layout.shop):
                if rim.bit is None and rim.edge.form is not None:
                    what, size = f"{rim.edge.form} bit", rim.edge.reach
                    yield Tool(EDGE_BIT, what, size, (rim.id,), on_hand=False)


def _drilling(layout: Layout) -> Iterator[Tool]:
    """The drills of the drilling schedule, and of the datum pins."""
    for hole in holes(layout):
        yield _drill(hole.drill, hole.diameter, hole.out, hole.flat, (hole.id,))
    for piece in layout.pieces:
        for name, pin in piece.pins.items():
            drill, _ = chosen(layout.shop, float(pin.diameter), piece.thickness)
            yield _drill(drill, pin.diameter, piece.thickness, False, (name,))


def _drill(drill: Drill | None, size: float, out: float, flat: bool, uses: tuple[str, ...]) -> Tool:
    if math.isinf(out):
        return Tool(DRILL, "longer drill", size, uses, on_hand=False)
    if drill is None:
        words = "bit with a flat floor" if flat else "drill"
        return Tool(DRILL, words, size, uses, out, None, False)
    return Tool(DRILL, bit_of(drill), drill.diameter, uses, out + drill.point, drill.reach)


def _led(layout: Layout) -> Iterator[Tool]:
    """The bearing bits and guide bushes of the router templates."""
    for one in templates(layout):
        guide, uses = one.guide, one.cuts
        if guide is None:
            words = "bush or bearing bit for a template"
            yield Tool(GUIDE, words, None, uses, one.depth, None, False)
            continue
        if guide.bush is not None:
            yield Tool(GUIDE, "guide bush", guide.bush.outside, uses)
        for step in guide.steps:
            last = step is guide.steps[-1]
            deep, reach = (guide.depth, guide.reached) if last else (step.end, step.end)
            yield Tool(GUIDE, step.bit, None, uses, deep, reach if guide.short else None)


def _by_hand(layout: Layout) -> Iterator[Tool]:
    """What is held in the hand, told by what it is for."""
    screws = layout.stated(Screw)
    rows: list[tuple[str, float | None, Iterable[str]]] = [
        ("rasp, file and scraper, where no machine shapes it", None, _carved(layout)),
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
    for piece in layout.pieces:
        own = [(name, edge) for name, _, edge, _ in edges(piece)]
        rows += [(rebate_bit(edge), None, (name,)) for name, edge in own if isinstance(edge, Ledge)]
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
        for face in piece.faces:
            own = rims(piece, face, layout.shop)
            yield from (rim.id for rim in own if rim.edge.form is None)
