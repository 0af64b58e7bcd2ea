"""`stack`, `saddle-window`, `string-margin`: each string over its saddle and the fretboard."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import replace
from functools import partial

from bodycad.checks.finding import Finding, both_ways, judge, skip
from bodycad.checks.page import Page
from bodycad.checks.rules.seated import Held, held, unasked
from bodycad.checks.strings_served import advice, by_string, running, saddles
from bodycad.instrument.lines import Instrument, StringLine
from bodycad.instrument.neck import board_half_width, last_fret_x
from bodycad.instrument.strings import same_course
from bodycad.layout.interface import Saddle
from bodycad.layout.layout import Layout

STACK_PAGE = Page(
    asks="Do heel, fretboard, frets, action, pocket depth and neck angle put the strings within "
    "the saddles' height travel?",
    why="Saddle height is the only take-up; found too late it means a shim, a deeper pocket or "
    "another bridge.",
    limits=("stack",),
    cures="Change the pocket depth or the neck angle, or add a shim; the text gives the depth "
    "that centres the saddles.",
)
WINDOW_PAGE = Page(
    asks="Does every string's compensated point lie within its saddle's travel along the string?",
    why="A bridge a few millimetres off leaves the low strings sharp with the saddle at its stop.",
    limits=("saddle-window",),
    cures="Move the bridge along the centreline; give a wound string the core from its maker's "
    "sheet, which takes the bound away.",
)
MARGIN_PAGE = Page(
    asks="How far inside the fretboard's edge do the outer strings run at the last fret, and is "
    "it even; how far inside do they lie at the nut, and how far is each from the next there?",
    why="Under about 2.5 mm the string slides off the board; uneven margins show that the neck "
    "line is off. Strings too near each other at the nut leave a fingertip no room.",
    limits=(
        "string-margin",
        "string-margin.difference",
        "string-margin.nut",
        "string-margin.apart",
    ),
    cures="Use a narrower bridge spread, a wider fretboard, or move the bridge across; at the nut, "
    "choose another spread of its slots.",
)


def stack(layout: Layout) -> Iterator[Finding]:
    """Height that the neck gives each string against its saddle's travel: the treble-most and the
    bass-most saddle of each bridge, and those between with a travel of their own."""
    bridges = _bridges(layout)
    if not bridges:
        yield skip("stack", "no part of this design states saddles")
        return
    yield from unasked(layout, "stack", pocketed=False)
    for neck in held(layout):
        for part, served in bridges.items():
            yield from _stack(layout, neck, part, served)


def _bridges(layout: Layout) -> dict[str, list[tuple[Saddle, StringLine]]]:
    """The saddles of each part that serve a string, with it, from treble to bass."""
    found: dict[str, list[tuple[Saddle, StringLine]]] = {}
    for saddle, line in saddles(layout):
        if line is not None:
            found.setdefault(saddle.part, []).append((saddle, line))
    return {part: sorted(row, key=lambda f: f[1].number) for part, row in found.items()}


def _stack(
    layout: Layout, neck: Held, part: str, served: list[tuple[Saddle, StringLine]]
) -> Iterator[Finding]:
    """Each string's height where its saddle bears once it is in tune."""
    seat, spots = neck.seat, layout.instrument.saddle_points
    sides = {0: "treble", len(served) - 1: "bass"} if len(served) > 1 else {0: ""}
    travels = {(served[k][0].low, served[k][0].high) for k in sides}
    bears = [spots[line.number - 1] for _, line in served]
    heights = [
        seat.string(line.number, x)[2] for (_, line), (x, _) in zip(served, bears, strict=True)
    ]
    over = [heights[k] - (served[k][0].low + served[k][0].high) / 2.0 for k in sides]
    lower = sum(over) / len(over)
    best = None if neck.depth is None else neck.depth + lower
    for k, (height, (saddle, line)) in enumerate(zip(heights, served, strict=True)):
        if k not in sides and (saddle.low, saddle.high) in travels:
            continue
        side, (x, y) = sides.get(k, ""), bears[k]
        rooms = height - saddle.low, saddle.high - height
        spare = min(rooms)
        subjects = (part if k in sides else saddle.id, neck.cut)
        name = f"the {side or f'string {line.number}'} saddle of {part}"
        travel = f"it travels {saddle.low:g} to {saddle.high:g} mm"
        words = f"{name} must stand {height:.2f} mm over the body; {travel}"
        limit = layout.shop.limit("stack")
        cure = f"a pocket {best or 0.0:.1f} mm deep would centre the saddles"
        if best is None:
            way = "lower" if lower > 0.0 else "higher"
            cure = f"a fretboard {abs(lower):.1f} mm {way} over the front would centre the saddles"
        elif not 0.0 < best < layout.thickness:
            cure = "no pocket's depth does it: give the neck an angle, or use another bridge"
        at, code = ((x, y, 0.0), (x, y, height)), f"stack.{side}" if side else ""
        of = partial(tuple, rooms)
        judged = judge(subjects, spare, limit, words, cure, at=at, code=code, of=of)
        yield replace(judged, size=height)


def saddle_window(layout: Layout) -> Iterator[Finding]:
    """Each compensated saddle point against its saddle's travel, measured along that travel. The
    text gives the spread between stiff-string theory with pinned and with clamped ends; a wound
    string's core that is only estimated is the figure's bound."""
    served = [(saddle, line) for saddle, line in saddles(layout) if line is not None]
    if not served:
        yield skip("saddle-window", "this design has no bridge with saddles")
    lines, instrument = list(layout.instrument.lines), layout.instrument
    for saddle, line in served:
        k = lines.index(line)
        (x, y), setback = instrument.saddle_points[k], instrument.setbacks[k]
        along, aside, _ = saddle.along
        u = (x - saddle.at[0]) * along + (y - saddle.at[1]) * aside
        ahead, behind = saddle.ahead - u, u + saddle.behind
        spare = min(ahead, behind)
        more = ahead if ahead < behind else -behind
        # A core that is only estimated moves the point along the string, most of all to one end.
        less, further = setback.value - setback.least, setback.most - setback.value
        bound = max(spare - min(ahead - less * along, behind - further * along), 0.0)
        theory = f"{setback.value:.1f} mm (theory: {setback.low:.1f} to {setback.high:.1f}"
        if bound or less or further:
            theory += (
                f"; by its core, which is estimated, {setback.least:.1f} to {setback.most:.1f}"
            )
        theory += ")"
        left = f"{abs(spare):.2f} mm {'within' if spare >= 0.0 else 'beyond'} the end of its travel"
        words = f"string {line.number} wants its saddle {theory} behind the scale line, {left}"
        cure = f"move {saddle.part} {'toward' if ahead < behind else 'away from'} the nut"
        at = ((x, y, 0.0), (x + more * along, y + more * aside, 0.0))
        room = (ahead - less * along + behind - further * along) / 2.0
        if bound and room < layout.shop.limit("saddle-window").fail:
            cure = f"give string {line.number} the core from its maker's sheet"
        limit, of = layout.shop.limit("saddle-window"), partial(tuple, (ahead, behind))
        judged = judge((saddle.id,), spare, limit, words, cure, at=at, bound=bound, of=of)
        yield replace(judged, size=setback.value)


def string_margin(layout: Layout) -> Iterator[Finding]:
    """Outer strings, from the nut to where they bear on their saddles (or to the scale line where
    no saddle serves them), to the board's edge at the last fret: both sides and their
    difference."""
    instrument: Instrument = layout.instrument
    x, runs, served = last_fret_x(instrument.neck), running(layout), by_string(layout)
    half, margins = board_half_width(instrument.neck, x), list[float]()
    middle = instrument.middle_at(x)
    for side, line in (("treble", instrument.lines[0]), ("bass", instrument.lines[-1])):
        y = runs[line.number].y_at(x)
        out = -1.0 if (side == "treble") != instrument.flipped else 1.0
        margins.append(half - (y - middle) * out)
        limit = layout.shop.limit("string-margin")
        where = "to the fretboard's edge at the last fret"
        words = f"{margins[-1]:.2f} mm from the {side} string {where}"
        cure = "use a narrower bridge spread or a wider fretboard"
        at = ((x, y, 0.0), (x, middle + math.copysign(half, out), 0.0))
        code = f"string-margin.{side}" if len(instrument.lines) == 1 else ""
        yield judge((f"string.{line.number}",), margins[-1], limit, words, cure, at=at, code=code)
    uneven = abs(margins[0] - margins[1])
    limit = layout.shop.limit("string-margin.difference")
    words = f"the two margins differ by {uneven:.2f} mm"
    told = [advice(layout, part) for part in dict.fromkeys(s.part for s in served.values())]
    cure = "; ".join(filter(None, told)) or "centre the bridge on the neck's own line"
    of = both_ways((margins[0] - margins[1],))
    yield judge(("strings",), uneven, limit, words, cure, of=of)
    yield from _at_the_nut(layout)


def _at_the_nut(layout: Layout) -> Iterator[Finding]:
    """The edges of the outer strings to the board's at the nut, and the least air from one string
    to the next, those of one course apart."""
    instrument, limit = layout.instrument, layout.shop.limit("string-margin.nut")
    rows = [
        (line, line.nut[0], line.nut[1] - instrument.middle_at(line.nut[0]), float(string.gauge))
        for line, string in zip(instrument.lines, instrument.strings, strict=True)
    ]
    margins = {}
    for line, x, off, gauge in (rows[0], rows[-1]):
        half = board_half_width(instrument.neck, x)
        margins[line.number] = half - abs(off) - gauge / 2.0, line, math.copysign(half, off)
    spare, line, edge = min(margins.values(), key=lambda row: row[0])
    x, rim = line.nut[0], instrument.middle_at(line.nut[0]) + edge
    words = f"{spare:.2f} mm from string {line.number} to the fretboard's edge at the nut"
    cure = "choose a narrower spread of the nut's slots"
    at = (x, rim - math.copysign(spare, edge), 0.0), (x, rim, 0.0)
    of = partial(tuple, [row[0] for row in margins.values()])
    yield judge((f"string.{line.number}", "nut"), spare, limit, words, cure, at=at, of=of)
    paired = same_course(len(rows), instrument.courses)
    gaps = [
        (abs(two[2] - one[2]) - (one[3] + two[3]) / 2.0, one, two)
        for one, two, inside in zip(rows, rows[1:], paired)
        if not inside
    ]
    if not gaps:
        return
    air, one, two = min(gaps, key=lambda row: (round(row[0], 9), row[1][0].number))
    first, second, side = one[0], two[0], math.copysign(1.0, two[2] - one[2])
    limit = layout.shop.limit("string-margin.apart")
    words = f"{air:.2f} mm of air from string {first.number} to string {second.number} at the nut"
    cure = "choose a wider spread of the nut's slots"
    subjects = f"string.{first.number}", f"string.{second.number}"
    (x, y), of = first.nut, partial(tuple, [row[0] for row in gaps])
    at = ((x, y + side * one[3] / 2.0, 0.0), (x, y + side * (one[3] / 2.0 + air), 0.0))
    yield judge(subjects, air, limit, words, cure, at=at, of=of)
