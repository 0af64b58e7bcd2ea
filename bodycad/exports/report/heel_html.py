"""The report's section on the neck screws: a drawing of the heel from the back, and a table."""

from __future__ import annotations

import math
from collections.abc import Iterable

from bodycad.checks.rules.seated import Neck
from bodycad.exports.coordinates import HEEL, convention
from bodycad.exports.dxf.heels import placed_regions, screws_words
from bodycad.exports.pattern_text import (
    MODEL,
    WIDEST,
    load_words,
    reach_words,
    spared,
    times_words,
)
from bodycad.exports.report.tables import cell, full, legend, number, quiet, row, table, tag
from bodycad.exports.svg import BACK, drawing, element, escape, group, path, words
from bodycad.geometry.plane.boolean import intersection
from bodycad.geometry.plane.build import rectangle
from bodycad.geometry.plane.profile import Profile
from bodycad.layout.layout import Layout
from bodycad.pattern.standing import Standing, screwed, standing_of
from bodycad.pattern.widest import COUNTS, Held, Pattern, pattern_of, widest_pattern
from bodycad.words import Face

MARGIN = 12.0
"""Wood and air shown round the heel, mm."""
LETTERS = "ABCDE"
STEPS = (0.0, 2.0, 4.0, 6.0, 8.0, 10.0, 15.0, 20.0)
"""Depths under the back at which the map draws the lines of a contour, mm."""
SKIM = 1e-6
"""How far under the back its edge is drawn: at the back itself a contour only touches it, mm."""


def heel_section(layout: Layout) -> str:
    """For every neck: where a neck screw may stand, its screws and the widest pattern of as many
    (of four where there are fewer than three or more than five), with what both hold; nothing for
    a body without one."""
    joints = "".join(_joint(layout, neck) for neck in screwed(layout))
    words = quiet(f"u, v: {HEEL}. {convention(layout)}")
    return tag("h2", "Neck screws", id="screws") + words + joints if joints else ""


def heel_svg(
    layout: Layout,
    found: Standing,
    clear: Standing,
    present: Pattern,
    widest: Pattern | None,
    alone: bool = True,
) -> str:
    """The heel seen from the back: how deep it is carved, where a screw may stand (`clear`: without
    a warning), the present screws numbered, those of the widest pattern lettered."""
    heel, pocket = found.neck.block.profile, found.neck.pocket.profile
    x0, y0, x1, y1 = heel.box
    ys = [BACK.point(0.0, y)[1] for y in (y0 - MARGIN, y1 + MARGIN)]
    box = x0 - MARGIN, min(ys), x1 + MARGIN, max(ys)
    body = BACK.path(layout.skin.outline)
    flange = found.neck.screws[0].flange / 2.0
    parts = [
        path(body, "wood"),
        group(
            path(BACK.path(shape), "level", f"{name}, {depth:g} mm deep")
            for name, depth, shape in levels(layout, found.neck)
        ),
        path(BACK.path(pocket), "hidden", "pocket"),
        path(BACK.path(heel), "room", "heel"),
        _areas(found, "stands", "a screw may stand"),
        _areas(clear, "clear", "a screw may stand without a warning"),
        path(body, "line"),
        group(_screws(widest, flange, "better", LETTERS)) if widest else "",
        group(_screws(present, flange, "screw", _numbers(present))),
    ]
    title = f"{found.neck.id}: where a neck screw may stand, seen from the back"
    return drawing(box, title, "".join(parts), alone, "heelmap")


def _numbers(present: Pattern) -> list[str]:
    return [str(k) for k in range(1, len(present.stands) + 1)]


def _joint(layout: Layout, neck: Neck) -> str:
    found, clear = (standing_of(layout, neck=neck.id, strict=strict) for strict in (False, True))
    present = pattern_of(layout, neck=neck.id)
    count = len(present.stands) if len(present.stands) in COUNTS else 4
    widest = widest_pattern(layout, count, neck=neck.id)
    title = "Where a neck screw may stand", tag("span", ", seen from the back", class_="quiet")
    drawn = heel_svg(layout, found, clear, present, widest, alone=False)
    figure = tag("figure", tag("figcaption", *title), drawn, _key(layout, neck, widest))
    tables = _held(present, widest), _table(present, widest)
    told = tag("div", _words(found, clear, widest, count), *tables)
    return tag("div", figure, told, class_="heel")


def levels(layout: Layout, neck: Neck) -> Iterable[tuple[str, float, Profile]]:
    """The lines of equal depth of the back's contours that the map shows, each with its contour
    and its depth, mm."""
    (x0, y0, x1, y1), wide = neck.block.profile.box, 2.0 * MARGIN + 2.0
    middle = (x0 + x1) / 2.0, (y0 + y1) / 2.0
    window = rectangle(x1 - x0 + wide, y1 - y0 + wide, 0.0, *middle)
    for contour in layout.skin.contours:
        for depth in STEPS if contour.face == Face.BACK else ():
            for shape in contour.carve.level_slices(depth - layout.thickness + SKIM):
                for region in intersection(shape, window, layout.skin.outline):
                    yield contour.id, depth, region.outer


def _key(layout: Layout, neck: Neck, widest: Pattern | None) -> str:
    area = '<rect class="{0}" x="1" y="1" width="24" height="12"/>'
    rows = [("stands", "may stand"), ("clear", "and no check warns"), ("screw", "present screws")]
    rows += [("better", "widest pattern")] if widest else []
    depths = sorted({depth for _, depth, _ in levels(layout, neck)})
    if depths:
        rows.append(("level", f"carve, {', '.join(f'{d:g}' for d in depths)} mm deep"))
    return legend((area.format(style), text) for style, text in rows)


def _words(found: Standing, clear: Standing, widest: Pattern | None, count: int) -> str:
    first = (
        f"The axis of a screw ({screws_words(found)}) may stand on {found.area:.0f} mm\u00b2 of "
        f"the heel, on {clear.area:.0f} without a warning. Every corner of the "
        f"outlines was checked, on a {found.grid:g} mm grid"
    )
    if found.between:
        first += f"; between its places a figure is at most {found.between:.2f} mm less"
    lines = [f"{first}."]
    if widest is None:
        lines.append(
            f"No {count} of these screws stand without a warning, reach round the middle of the "
            "heel and hold every load with its reserve."
        )
    small = (WIDEST, MODEL)
    return "".join(tag("p", escape(line)) for line in lines) + "".join(map(quiet, small))


def _held(present: Pattern, widest: Pattern | None) -> str:
    """How many times each load is held, and how wide both patterns are."""
    shown = [present, *([widest] if widest else [])]
    heads = ["Held, times the load", "Asked #", "Present #", *(["Widest #"] if widest else [])]
    names = [head.removesuffix(" #").lower() for head in heads[2:]]

    def line(words: str, asked: str, values: Iterable[str]) -> str:
        cells = (number(value, name) for value, name in zip(values, names, strict=True))
        return row(cell(words), number(asked, "asked"), *cells)

    rows = [
        line(escape(load_words(both[0])), f"{both[0].reserve:g}", map(_times, both))
        for both in zip(*(pattern.held for pattern in shown), strict=True)
    ]
    rows.append(line("least reach from the heel's middle", "", map(reach_words, shown)))
    rows.append(line("area enclosed", "", (f"{p.area:.0f} mm\u00b2" for p in shown)))
    rows.append(line("symmetric", "", ("yes" if p.symmetric else "no" for p in shown)))
    return table(tuple(heads), rows, "sheet narrow")


def _times(held: Held) -> str:
    return times_words(held) if held.enough else f"{times_words(held)}, short"


def _table(present: Pattern, widest: Pattern | None) -> str:
    rows = [*_rows(present, _numbers(present)), *(_rows(widest, LETTERS) if widest else ())]
    heads = "Screw", "u, v in the script #", "x, y in the wood #", "Wood #", "Length #", "To spare"
    return table(heads, rows, "sheet narrow")


def _rows(pattern: Pattern, names: Iterable[str]) -> Iterable[str]:
    for name, stand in zip(names, pattern.stands):
        b = stand.screw
        yield row(
            cell(tag("b", name)),
            number(f"{b.u:.2f}, {b.v + 0.0:.2f}", "u, v"),
            number("{:.2f}, {:.2f}".format(*(c + 0.0 for c in stand.point)), "x, y"),
            number(f"{b.wood:g}", "wood"),
            number(f"{b.length:g}", "length"),
            full(f"{spared(stand)}, {': '.join(stand.check)}"),
        )


def _areas(found: Standing, style: str, title: str) -> str:
    shapes = (s for r in placed_regions(found) for s in (r.outer, *r.holes))
    data = "".join(map(BACK.path, shapes)) or "M0 0"
    return path(data, style, title, fill_rule="evenodd")


def _screws(pattern: Pattern, flange: float, style: str, names: Iterable[str]) -> Iterable[str]:
    """Each ferrule's flange, its axis, and its name inside the flange: of present ones toward the
    middle of the heel, of others away from it, so that names of near screws do not meet."""
    neck, toward = pattern.neck, -1.0 if style == "screw" else 1.0
    middle = BACK.point(*neck.place.point(neck.length / 2.0, 0.0))
    for name, stand in zip(names, pattern.stands):
        x, y = BACK.point(*stand.point)
        away = max(math.hypot(x - middle[0], y - middle[1]), 1e-9)
        share = toward * 3.6 / away
        across, down = x + share * (x - middle[0]), y + share * (y - middle[1])
        yield element("circle", cx=x, cy=y, r=float(flange), class_=style)
        yield element("circle", cx=x, cy=y, r=0.5, class_="bar")
        yield words(across, down + 1.2, name, 3.6, "label", "middle")
