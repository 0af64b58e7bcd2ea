"""The report's section on the neck screws: a drawing of the heel from the back, and a table."""

from __future__ import annotations

from collections.abc import Iterable
from html import escape

from bodycad.checks.rules.seated import Neck
from bodycad.exports.dxf.heels import placed_regions, screws_words
from bodycad.exports.pattern_text import newton_metres, spared
from bodycad.exports.report.tables import cell, full, legend, number, quiet, row, table, tag
from bodycad.exports.svg import BACK, drawing, element, group, path, words
from bodycad.layout.layout import Layout
from bodycad.pattern.best import COUNTS, Pattern, best_pattern, pattern_of
from bodycad.pattern.standing import Standing, screwed, standing_of

MARGIN = 12.0
"""Wood and air shown round the heel, mm."""
LETTERS = "ABCDE"


def heel_section(layout: Layout) -> str:
    """For every neck: where a neck screw may stand, its screws and the best pattern of as many (of
    four where there are fewer than three or more than five); nothing for a body without
    one."""
    joints = "".join(_joint(layout, neck) for neck in screwed(layout))
    return tag("h2", "Neck screws", id="heel") + joints if joints else ""


def heel_svg(
    layout: Layout,
    found: Standing,
    clear: Standing,
    present: Pattern,
    best: Pattern | None,
    alone: bool = True,
) -> str:
    """The heel seen from the back: where a screw may stand (`clear`: without a warning), the
    present screws numbered, those of the best pattern lettered."""
    heel, pocket = found.neck.block.profile, found.neck.pocket.profile
    x0, y0, x1, y1 = heel.box
    ys = [BACK.point(0.0, y)[1] for y in (y0 - MARGIN, y1 + MARGIN)]
    box = x0 - MARGIN, min(ys), x1 + MARGIN, max(ys)
    body = BACK.path(layout.skin.outline)
    flange = found.neck.screws[0].flange / 2.0
    parts = [
        path(body, "wood"),
        path(BACK.path(pocket), "hidden", "pocket"),
        path(BACK.path(heel), "room", "heel"),
        _areas(found, "stands", "a screw may stand"),
        _areas(clear, "clear", "a screw may stand without a warning"),
        path(body, "line"),
        group(_screws(best, flange, "better", LETTERS)) if best else "",
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
    best = best_pattern(layout, count, neck=neck.id)
    title = "Where a neck screw may stand", tag("span", ", seen from the back", class_="quiet")
    drawn = heel_svg(layout, found, clear, present, best, alone=False)
    figure = tag("figure", tag("figcaption", *title), drawn, _key(best))
    told = tag("div", _words(found, clear, present, best, count), _table(present, best))
    return tag("div", figure, told, class_="heel")


def _key(best: Pattern | None) -> str:
    area = '<rect class="{0}" x="1" y="1" width="24" height="12"/>'
    rows = [("stands", "may stand"), ("clear", "and no check warns"), ("screw", "present screws")]
    rows += [("better", "best pattern")] if best else []
    return legend((area.format(style), text) for style, text in rows)


def _words(
    found: Standing, clear: Standing, present: Pattern, best: Pattern | None, count: int
) -> str:
    first = (
        f"The axis of a screw ({screws_words(found)}) may stand on {found.area:.0f} mm\u00b2 of "
        f"the heel, on {clear.area:.0f} without a warning. Every corner of the "
        f"outlines was checked, on a {found.grid:g} mm grid"
    )
    if found.between:
        first += f"; between its places a figure is at most {found.between:.2f} mm less"
    lines = [f"{first}.", f"The present screws resist {_resists(present)}."]
    if best is None:
        lines.append(f"No {count} of these screws stand without a warning.")
    else:
        lines.append(f"The best {count} screws on that grid resist {_resists(best)}.")
    model = (
        "A rigid heel turned about its bridge-side end until the first screw draws out of the "
        "neck; clamping, friction and knocks are left out. The best pattern passes every bolt "
        "check, has screws on both sides and spans half the heel."
    )
    return "".join(tag("p", escape(line)) for line in lines) + quiet(model)


def _resists(pattern: Pattern) -> str:
    times = f", {pattern.times:.1f} times the strings' pull" if pattern.times is not None else ""
    tightest = f"tightest {spared(pattern)} to spare ({', '.join(pattern.check)})"
    return f"{newton_metres(pattern.moments.pull)}{times}; {tightest}"


def _table(present: Pattern, best: Pattern | None) -> str:
    rows = [*_rows(present, _numbers(present)), *(_rows(best, LETTERS) if best else ())]
    return table(("Screw", "u, v #", "Wood #", "Length #", "To spare"), rows, "sheet narrow")


def _rows(pattern: Pattern, names: Iterable[str]) -> Iterable[str]:
    for name, stand in zip(names, pattern.stands):
        b = stand.screw
        yield row(
            cell(tag("b", name)),
            number(f"{b.u:.2f}, {b.v + 0.0:.2f}", "u, v"),
            number(f"{b.wood:g}", "wood"),
            number(f"{b.length:g}", "length"),
            full(f"{spared(stand)}, {': '.join(stand.check)}"),
        )


def _areas(found: Standing, style: str, title: str) -> str:
    shapes = (s for r in placed_regions(found) for s in (r.outer, *r.holes))
    data = "".join(map(BACK.path, shapes)) or "M0 0"
    return path(data, style, title, fill_rule="evenodd")


def _screws(pattern: Pattern, flange: float, style: str, names: Iterable[str]) -> Iterable[str]:
    """Each ferrule's flange, its axis, and its name: inside the flange, present ones below the
    axis, others above."""
    side = 1.0 if style == "screw" else -1.0
    for name, stand in zip(names, pattern.stands):
        x, y = BACK.point(*stand.point)
        yield element("circle", cx=x, cy=y, r=float(flange), class_=style)
        yield element("circle", cx=x, cy=y, r=0.5, class_="bar")
        yield words(x, y + side * 3.6 + 1.2, name, 3.6, "label", "middle")
