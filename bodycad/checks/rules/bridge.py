"""`string-holes`, `ferrule-wall`: the row of string holes and the ferrules behind it."""

from __future__ import annotations

import math
from collections.abc import Iterator

from bodycad.checks.finding import Finding, failed, judge, judge_gap, skip
from bodycad.checks.page import Page
from bodycad.checks.rules.neck import outer_saddles
from bodycad.checks.wood.inwood import face_wood
from bodycad.checks.wood.near import REACH
from bodycad.geometry.distance.gap import gap
from bodycad.layout.layout import Layout
from bodycad.parts.bridge import Hardtail

NONE = "this design has no string-through bridge"

HOLES_PAGE = Page(
    asks="Do the string holes stand at the strings' own pitch and the saddles on the strings' own lines, how far may the drill wander through the body, and how much wood is over each ferrule's seat?",
    why="A row that wanders at the back is the trade's classic blemish; a thin seat pulls through to the top.",
    limits=("string-holes.pitch", "string-holes.drift", "string-holes.wood"),
    cures="Match the pitch to the bridge, drill from both faces off one datum, or use shorter ferrules.",
)
FERRULE_PAGE = Page(
    asks="How much wood stands between neighbouring ferrules at the back, and between the bridge's screws and its string holes?",
    why="Thin walls between press-fitted ferrules split along the grain.",
    limits=("ferrule-wall", "ferrule-wall.season"),
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
            yield failed(
                "string-holes",
                (placed.id,),
                f"{placed.id} has {part.strings} string holes for {len(lines)} strings",
                "choose a bridge with one hole a string",
            )
            continue
        off, v, v1 = max((abs(a - b), a, b) for a, b in zip(part.hole_offsets, _saddles(part)))
        yield judge(
            (placed.id,),
            off,
            layout.shop.limit("string-holes.pitch"),
            f"the string holes of {placed.id} stand {off:.2f} mm at most beside their saddles",
            f"a hole pitch of {part.spread / max(part.strings - 1, 1):.2f} mm matches the saddles",
            at=((*placed.place.point(0.0, v), 0.0), (*placed.place.point(0.0, v1), 0.0)),
        )
        yield _saddles_to_strings(layout, placed.id)
        drift = layout.thickness * math.tan(math.radians(layout.shop.wander_deg))
        yield judge(
            (placed.id, "back"),
            drift,
            layout.shop.limit("string-holes.drift"),
            f"a drill {layout.shop.wander_deg:g} degrees off square comes out {drift:.2f} mm off at the back",
            "drill from both faces off one datum, or guide the drill better",
        )
        for index in range(1, part.strings + 1):
            sleeve = layout.by_id[f"{placed.id}.ferrule.{index}"]
            found, _ = face_wood(sleeve, layout.body, "front")
            yield judge_gap(
                (sleeve.id, "front"),
                found,
                layout.shop.limit("string-holes.wood"),
                f"{found.distance:.2f} mm of wood over the seat of {sleeve.id}",
                "use shorter ferrules or thicker stock",
            )


def _saddles(part: Hardtail) -> list[float]:
    step = part.spread / max(part.strings - 1, 1)
    return [-part.spread / 2.0 + i * step for i in range(part.strings)]


def _saddles_to_strings(layout: Layout, bridge: str) -> Finding:
    """Every saddle of the bridge against the line that its string takes from the nut."""
    lines, ((x0, y0), (x1, y1)) = layout.instrument.lines, outer_saddles(layout)
    shares = [k / max(len(lines) - 1, 1) for k in range(len(lines))]
    saddles = [(x0 + share * (x1 - x0), y0 + share * (y1 - y0)) for share in shares]
    off, line, (x, y) = max(
        ((abs(y - line.y_at(x)), line, (x, y)) for line, (x, y) in zip(lines, saddles)),
        key=lambda f: (round(f[0], 9), -f[1].number),
    )
    return judge(
        (bridge, f"string.{line.number}"),
        off,
        layout.shop.limit("string-holes.pitch"),
        f"the saddles of {bridge} stand {off:.2f} mm at most beside their strings' lines",
        f"centre {bridge} on the neck's own line, and give the instrument the bridge's own string spread",
        at=((x, y, 0.0), (x, line.y_at(x), 0.0)),
    )


def ferrule_wall(layout: Layout) -> Iterator[Finding]:
    """Wood between each pair of neighbouring ferrules, and between the bridge's screws and its
    string holes."""
    bridges = layout.parts(Hardtail)
    if not bridges:
        yield skip("ferrule-wall", NONE)
    for placed in bridges:
        sleeves = [
            layout.by_id[f"{placed.id}.ferrule.{i}"] for i in range(1, placed.part.strings + 1)
        ]
        for one, two in zip(sleeves, sleeves[1:]):
            found = gap(one.shape, two.shape)
            yield judge_gap(
                (one.id, two.id),
                found,
                layout.shop.limit("ferrule-wall"),
                f"{found.distance:.2f} mm between {one.id} and {two.id}",
                "use smaller ferrules or a wider pitch",
            )
        own = layout.voids_of(placed.id)
        screws = [v for v in own if v.operation == "PILOT"]
        for k, screw in enumerate(screws):
            others = [v for v in own if v.operation != "PILOT"] + screws[k + 1 :]
            for other in others:
                found = gap(screw.shape, other.shape)
                if found.distance < REACH:
                    one, two = sorted((screw.id, other.id))
                    yield judge_gap(
                        (one, two),
                        found,
                        layout.shop.limit("ferrule-wall"),
                        f"{found.distance:.2f} mm between {one} and {two}",
                        f"{placed.id}'s screws need shorter pilots or another place",
                    )
