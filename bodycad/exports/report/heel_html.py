"""The report's section on the neck screws: a drawing of the heel from the back, and a table."""

from __future__ import annotations

from collections.abc import Iterable
from html import escape

from bodycad.checks.rules.seated import Neck
from bodycad.exports.dxf.heels import placed_regions, screws_words
from bodycad.exports.pattern_text import newton_metres
from bodycad.exports.report.tables import cell, table, tag
from bodycad.exports.svg import BACK, drawing, element, group, path, words
from bodycad.geometry.plane.arrange import Region
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
    found = screwed(layout)
    return (
        tag("h2", "Neck screws", id="heel") + "".join(_joint(layout, neck) for neck in found)
        if found
        else ""
    )


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
    box = x0 - MARGIN, y0 - MARGIN, x1 + MARGIN, y1 + MARGIN
    box = (
        box[0],
        min(BACK.point(0.0, y)[1] for y in (box[1], box[3])),
        box[2],
        max(BACK.point(0.0, y)[1] for y in (box[1], box[3])),
    )
    body = BACK.path(layout.skin.outline)
    parts = [
        path(body, "wood"),
        path(BACK.path(pocket), "hidden", "pocket"),
        path(BACK.path(heel), "room", "heel"),
        path(_regions(placed_regions(found)), "stands", "a screw may stand", fill_rule="evenodd"),
        path(
            _regions(placed_regions(clear)),
            "clear",
            "a screw may stand without a warning",
            fill_rule="evenodd",
        ),
        path(body, "line"),
    ]
    flange = found.neck.screws[0].flange / 2.0
    if best is not None:
        parts.append(group(_screws(best, flange, "better", LETTERS)))
    parts.append(
        group(
            _screws(present, flange, "screw", [str(k) for k in range(1, len(present.stands) + 1)])
        )
    )
    return drawing(
        box,
        f"{found.neck.id}: where a neck screw may stand, seen from the back",
        "".join(parts),
        alone,
        "heelmap",
    )


def _joint(layout: Layout, neck: Neck) -> str:
    found, clear = (standing_of(layout, neck=neck.id, strict=strict) for strict in (False, True))
    present = pattern_of(layout, neck=neck.id)
    count = len(present.stands) if len(present.stands) in COUNTS else 4
    best = best_pattern(layout, count, neck=neck.id)
    figure = tag(
        "figure",
        tag(
            "figcaption",
            "Where a neck screw may stand",
            tag("span", ", seen from the back", class_="quiet"),
        ),
        heel_svg(layout, found, clear, present, best, alone=False),
        _key(best),
    )
    return tag(
        "div",
        figure,
        tag("div", _words(found, clear, present, best, count), _table(present, best)),
        class_="heel",
    )


def _key(best: Pattern | None) -> str:
    swatch = (
        '<svg class="drawing" viewBox="0 0 26 14">'
        '<rect class="{0}" x="1" y="1" width="24" height="12"/></svg>'
    )
    rows = [
        ("stands", "may stand"),
        ("clear", "and no check warns"),
        ("screw", "present screws"),
        *([("better", "best pattern")] if best else []),
    ]
    return tag(
        "ul", *(tag("li", swatch.format(style), text) for style, text in rows), class_="legend"
    )


def _words(
    found: Standing, clear: Standing, present: Pattern, best: Pattern | None, count: int
) -> str:
    first = (
        f"The axis of a screw ({screws_words(found)}) may stand on {found.area:.0f} mm\u00b2 of "
        f"the heel, on {clear.area:.0f} without a warning. Every corner of the "
        f"outlines was checked, on a {found.grid:g} mm grid"
        + (
            f"; between its places a figure is at most {found.between:.2f} mm less."
            if found.between
            else "."
        )
    )
    lines = [first, f"The present screws resist {_resists(present)}."]
    if best is None:
        lines.append(f"No {count} of these screws stand without a warning.")
    else:
        lines.append(f"The best {count} screws on that grid resist {_resists(best)}.")
    model = (
        "A rigid heel turned about its bridge-side end until the first screw draws out of the "
        "neck; clamping, friction and knocks are left out. The best pattern passes every bolt "
        "check, has screws on both sides and spans half the heel."
    )
    return "".join(tag("p", escape(line)) for line in lines) + tag(
        "p", escape(model), class_="quiet"
    )


def _resists(pattern: Pattern) -> str:
    times = f", {pattern.times:.1f} times the strings' pull" if pattern.times is not None else ""
    return (
        f"{newton_metres(pattern.moments.pull)}{times}; tightest "
        f"{round(pattern.margin, 2) + 0.0:.2f} mm to spare "
        f"({pattern.check[0]}, {pattern.check[1]})"
    )


def _table(present: Pattern, best: Pattern | None) -> str:
    heads = (("Screw", ""), ("u, v", "n"), ("Wood", "n"), ("Length", "n"), ("To spare", ""))
    rows = [
        *_rows(present, [str(k) for k in range(1, len(present.stands) + 1)]),
        *(_rows(best, LETTERS) if best else ()),
    ]
    return table(heads, rows, "sheet narrow")


def _rows(pattern: Pattern, names: Iterable[str]) -> Iterable[str]:
    for name, stand in zip(names, pattern.stands):
        b = stand.screw
        spare = f"{round(stand.margin, 2) + 0.0:.2f} mm, {stand.check[0]}: {stand.check[1]}"
        yield tag(
            "tr",
            cell(tag("b", name)),
            cell(f"{b.u:.2f}, {b.v + 0.0:.2f}", class_="n", data_label="u, v"),
            cell(f"{b.wood:g}", class_="n", data_label="wood"),
            cell(f"{b.length:g}", class_="n", data_label="length"),
            cell(escape(spare), class_="full"),
        )


def _regions(regions: Iterable[Region]) -> str:
    return (
        "".join(BACK.path(shape) for region in regions for shape in (region.outer, *region.holes))
        or "M0 0"
    )


def _screws(pattern: Pattern, flange: float, style: str, names: Iterable[str]) -> Iterable[str]:
    """Each ferrule's flange, its axis, and its name: inside the flange, present ones below the
    axis, others above."""
    side = 1.0 if style == "screw" else -1.0
    for name, stand in zip(names, pattern.stands):
        x, y = BACK.point(*stand.point)
        yield element("circle", cx=x, cy=y, r=float(flange), class_=style)
        yield element("circle", cx=x, cy=y, r=0.5, class_="bar")
        yield words(x, y + side * 3.6 + 1.2, name, 3.6, "label", "middle")
