"""`string-holes`, `ferrule-wall`: the row of string holes and the ferrules behind it."""

from __future__ import annotations

import math
from typing import Iterator

from bodycad.checks.finding import Finding, judge, judge_gap, skip
from bodycad.checks.near import floor_gap
from bodycad.checks.page import Page
from bodycad.geometry.gap import gap
from bodycad.layout.body import Layout
from bodycad.parts.bridge import Hardtail

NONE = "this design has no string-through bridge"

HOLES_PAGE = Page(
    asks="Do the string holes stand at the strings' own pitch, how far may the drill wander through the body, and how much wood is over each ferrule's seat?",
    why="A row that wanders at the back is the trade's classic blemish; a thin seat pulls through to the top.",
    limits=("string-holes.pitch", "string-holes.drift", "string-holes.wood"),
    cures="Match the pitch to the bridge, drill from both faces off one datum, or use shorter ferrules.",
)
FERRULE_PAGE = Page(
    asks="How much wood stands between neighbouring ferrules at the back?",
    why="Thin walls between press-fitted ferrules split along the grain.",
    limits=("ferrule-wall",),
    cures="Use smaller ferrules or a wider string pitch.",
)


def string_holes(layout: Layout) -> Iterator[Finding]:
    """Pitch against the saddles, drift of a wandering drill, wood over each ferrule."""
    bridges = layout.parts(Hardtail)
    if not bridges:
        yield skip("string-holes", NONE)
    for placed in bridges:
        part = placed.part
        lines = layout.instrument.lines
        if part.strings != len(lines):
            yield judge("string-holes", (placed.id,), float(abs(part.strings - len(lines))), layout.shop.limit("complete"),
                        f"{placed.id} has {part.strings} string holes for {len(lines)} strings", "choose a bridge with one hole a string")
            continue
        holes = [placed.place.point(0.0, v) for v in part.hole_offsets]
        ends = [placed.place.point((part.window_front + part.window_rear) / 2.0, v) for v in _saddles(part)]
        off, (x, y), (x1, y1) = max((abs(a[1] - b[1]), a, b) for a, b in zip(holes, ends))
        yield judge("string-holes", (placed.id,), off, layout.shop.limit("string-holes.pitch"),
                    f"the string holes of {placed.id} stand {off:.2f} mm at most beside their saddles",
                    f"a hole pitch of {part.spread / (part.strings - 1):.2f} mm matches the saddles", at=((x, y, 0.0), (x1, y1, 0.0)))
        drift = layout.thickness * math.tan(math.radians(layout.shop.wander_deg))
        yield judge("string-holes", (placed.id, "back"), drift, layout.shop.limit("string-holes.drift"),
                    f"a drill {layout.shop.wander_deg:g} degrees off square comes out {drift:.2f} mm off at the back",
                    "drill from both faces off one datum, or guide the drill better")
        for index in range(1, part.strings + 1):
            sleeve = layout.by_id[f"{placed.id}.ferrule.{index}"]
            found, _ = floor_gap(sleeve, layout, "front")
            yield judge_gap("string-holes", (sleeve.id, "front"), found, layout.shop.limit("string-holes.wood"),
                            f"{found.distance:.2f} mm of wood over the seat of {sleeve.id}", "use shorter ferrules or thicker stock")


def _saddles(part: Hardtail) -> list[float]:
    step = part.spread / max(part.strings - 1, 1)
    return [-part.spread / 2.0 + i * step for i in range(part.strings)]


def ferrule_wall(layout: Layout) -> Iterator[Finding]:
    """Wood between each pair of neighbouring ferrules."""
    bridges = layout.parts(Hardtail)
    if not bridges:
        yield skip("ferrule-wall", NONE)
    for placed in bridges:
        sleeves = [layout.by_id[f"{placed.id}.ferrule.{i}"] for i in range(1, placed.part.strings + 1)]
        for one, two in zip(sleeves, sleeves[1:]):
            yield judge_gap("ferrule-wall", (one.id, two.id), gap(one.shape, two.shape), layout.shop.limit("ferrule-wall"),
                            f"{gap(one.shape, two.shape).distance:.2f} mm between {one.id} and {two.id}",
                            "use smaller ferrules or a wider pitch")
