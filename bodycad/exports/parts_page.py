"""The kinds of parts as text, as JSON and as one self-contained page: sketch, sizes to measure, a
plan and a section to scale from the part's own cuts and rooms, what it states and who asks."""

from __future__ import annotations

import textwrap
from collections import Counter
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from bodycad.checks.runner import answers
from bodycad.checks.table import CHECKS
from bodycad.errors import InputError
from bodycad.exports.plan import close_up
from bodycad.exports.report.json import dumped
from bodycad.exports.report.tables import cell, full, number, quiet, row, table, tag
from bodycad.exports.sections.drawing import Key, draw
from bodycad.exports.svg import STYLE, escape
from bodycad.layout.layout import Layout
from bodycad.safety import ADVICE
from bodycad.version import VERSION
from bodycad.words import SIDES, Face

WIDTH = 96
AROUND = 14.0
"""How far round a part its block is drawn, mm."""
SCALE = 2.1
"""Pixels a millimetre, of every drawing of the page where the screen is wide enough."""

Box = tuple[float, float, float, float]


@dataclass(frozen=True)
class SizeRow:
    """A field of a part: its name, its default ("": must be given), what is allowed, what it is,
    and whether it is a size to measure off the real part."""

    name: str
    default: str
    allowed: str
    what: str
    measured: bool


@dataclass(frozen=True, eq=False)
class KindOfPart:
    """A kind of part: its docstring's words and its sketch, its fields, an example; and the part
    alone in a plain block, None for what belongs to another part."""

    name: str
    words: str
    sketch: str
    rows: tuple[SizeRow, ...]
    example: str
    layout: Layout | None

    @property
    def brief(self) -> str:
        """What it is, in its first sentence."""
        text = " ".join(self.words.split())
        return f"{text.partition('. ')[0].rstrip('.')}."

    @property
    def sizes(self) -> tuple[SizeRow, ...]:
        """What is measured off the real part."""
        return tuple(one for one in self.rows if one.measured)


def list_text(kinds: Sequence[KindOfPart]) -> str:
    """Every kind in a few lines: what it is and the sizes to measure."""
    lines: list[str] = []
    for kind in kinds:
        belongs = "" if kind.layout is not None else " (belongs to a part)"
        lines += textwrap.wrap(f"{kind.name}: {kind.brief}{belongs}", WIDTH)
        names = ", ".join(f"{one.name} {one.default}" for one in kind.sizes)
        if names:
            indent = "    "
            lines += textwrap.wrap(
                f"measure: {names}", WIDTH, initial_indent=indent, subsequent_indent=indent
            )
    lines += ["", "bodycad parts NAME shows one; bodycad parts --page FILE draws all of them."]
    return "\n".join(lines) + "\n"


def one_text(kind: KindOfPart) -> str:
    """One kind: its sketch, its sizes and what it states."""
    lines = [kind.name, ""]
    for paragraph in kind.words.split("\n\n"):
        lines += [*textwrap.wrap(paragraph, WIDTH), ""]
    if kind.sketch:
        lines += [*(f"    {line}" for line in kind.sketch.split("\n")), ""]
    for title, rows in (("Sizes to measure (mm)", kind.sizes), ("Chosen", _chosen(kind))):
        if rows:
            lines += [f"{title}:", *_columns(rows), ""]
    stated = record_rows(kind)
    if stated:
        lines.append("States, and who asks:")
        wide = max(len(name) for name, _, _ in stated)
        lines += [f"  {count:>3} {name:<{wide}}  {', '.join(by)}" for name, count, by in stated]
        lines.append("")
    lines += ["For example:", *(f"  {line}" for line in kind.example.rstrip().split("\n"))]
    return "\n".join(lines) + "\n"


def _chosen(kind: KindOfPart) -> tuple[SizeRow, ...]:
    return tuple(one for one in kind.rows if not one.measured)


def _columns(rows: Iterable[SizeRow]) -> Iterator[str]:
    shown = [(one.name, one.default or "to be given", one.allowed, one.what) for one in rows]
    wide = [max(len(row[k]) for row in shown) for k in range(3)]
    for name, default, allowed, what in shown:
        head = f"  {name:<{wide[0]}}  {default:<{wide[1]}}  {allowed:<{min(wide[2], 30)}}"
        yield f"{head}  {what}".rstrip()


def json_text(kinds: Sequence[KindOfPart]) -> str:
    """The kinds as one JSON document, mm."""
    rows = [
        {
            "name": kind.name,
            "brief": kind.brief,
            "words": kind.words,
            "sketch": kind.sketch or None,
            "part": kind.layout is not None,
            "fields": [
                {
                    "name": one.name,
                    "default": one.default or None,
                    "allowed": one.allowed,
                    "what": one.what or None,
                    "measure": one.measured,
                }
                for one in kind.rows
            ],
            "states": [
                {"record": name, "count": count, "asked_by": list(by)}
                for name, count, by in record_rows(kind)
            ],
            "example": kind.example,
        }
        for kind in kinds
    ]
    document: dict[str, Any] = {"units": "mm", "version": VERSION, "parts": rows}
    return dumped(document)


def record_rows(kind: KindOfPart) -> list[tuple[str, int, tuple[str, ...]]]:
    """The records that a part states in its block: their kind, how many, and the checks that asked
    for that kind when they judged the block."""
    if kind.layout is None:
        return []
    part = kind.layout.placed[0].id
    counts = Counter(type(one).__name__ for one in kind.layout.interfaces if one.part == part)
    asked = askers(kind.layout)
    return [(name, count, asked.get(name, ())) for name, count in sorted(counts.items())]


def askers(layout: Layout) -> dict[str, tuple[str, ...]]:
    """For each kind of record the checks that ask a layout for it."""
    asked: dict[str, list[str]] = {}
    now: list[str] = []

    class Overheard(Layout):
        """The same layout; it notes who asks for which records."""

        def stated(self, kind: Any) -> tuple[Any, ...]:
            found = asked.setdefault(kind.__name__, [])
            if now[0] not in found:
                found.append(now[0])
            return super().stated(kind)

    names = layout.__dataclass_fields__
    heard = Overheard(**{name: getattr(layout, name) for name in names})
    for check in CHECKS:
        now[:] = [check.name]
        answers(check, heard)
    return {name: tuple(found) for name, found in asked.items()}


def page(kinds: Sequence[KindOfPart]) -> str:
    """The whole page. It names no outside file, so it can be sent on its own."""
    css = (Path(__file__).parent / "report" / "report.css").read_text(encoding="utf-8")
    own = Path(__file__).with_name("parts_page.css").read_text(encoding="utf-8")
    head = (
        '<meta charset="utf-8"/><meta name="viewport" content="width=device-width, '
        'initial-scale=1"/>' + tag("title", "Kinds of parts") + f"<style>{STYLE}{css}{own}</style>"
    )
    parts = [one for one in kinds if one.layout is not None]
    others = [one for one in kinds if one.layout is None]
    words = (
        "Each part alone in a plain block, 44 mm thick, drawn from its own cuts and rooms, all to "
        "one scale on a wide screen. A size with ± stands for parts as they are sold: measure "
        "yours with calipers. Pockets of other parts that it opens into are drawn as plain boxes."
    )
    body = [
        tag("header", tag("h1", "Kinds of parts"), quiet(words), class_="parts-top"),
        _contents("Parts", parts),
        _contents("What belongs to a part", others),
        *map(_kind, (*parts, *others)),
        tag("footer", escape(f"bodycad {VERSION}. Millimetres and degrees. {ADVICE}")),
    ]
    return (
        f'<!DOCTYPE html>\n<html lang="en"><head>{head}</head><body><main>{"".join(body)}</main>'
        "</body></html>\n"
    )


def _contents(title: str, kinds: Sequence[KindOfPart]) -> str:
    links = "".join(tag("a", escape(one.name), href=f"#{one.name}") for one in kinds)
    return tag("nav", tag("strong", escape(title)), links)


def _kind(kind: KindOfPart) -> str:
    paragraphs = kind.words.split("\n\n")
    texts = [tag("p", escape(one)) for one in paragraphs]
    sketch = tag("pre", escape(kind.sketch), class_="sketch") if kind.sketch else ""
    sizes = _sizes_table("Sizes to measure", kind.sizes)
    chosen = _fold("Chosen, not measured", _sizes_table("", _chosen(kind)))
    example = tag("pre", escape(kind.example.rstrip()), class_="sketch")
    left = tag("div", *drawings(kind), sketch, class_="seen")
    right = tag("div", *texts, sizes, chosen, _stated(kind), example, class_="told")
    return tag("section", tag("h2", escape(kind.name)), left, right, id=kind.name, class_="kind")


def _sizes_table(title: str, rows: Sequence[SizeRow]) -> str:
    if not rows:
        return ""
    made = (
        row(
            full(one.name),
            number(one.default or "to be given", "default"),
            cell(escape(one.allowed), class_="quiet"),
            full(one.what),
        )
        for one in rows
    )
    head = tag("h3", escape(title)) if title else ""
    return head + table(("Size", "Default #", "Allowed", "What it is"), made)


def _fold(title: str, content: str) -> str:
    return tag("details", tag("summary", escape(title)), content) if content else ""


def _stated(kind: KindOfPart) -> str:
    rows = [
        row(full(name), number(str(count), "records"), full(", ".join(by)))
        for name, count, by in record_rows(kind)
    ]
    if not rows:
        return ""
    return _fold("What it states, and who asks", table(("Record", "Count #", "By"), rows))


def drawings(kind: KindOfPart) -> Iterator[str]:
    """The plan of each face that the part cuts or lies on, and a section along it."""
    layout = kind.layout
    if layout is None:
        return
    box = part_box(layout)
    for face in [face for face in SIDES if _on(layout, face)] or [Face.FRONT]:
        yield _figure(f"From the {face}", close_up(layout, face, box))
    try:
        one, two = line_of(layout, box)
        svg, keys = draw(layout, one, two, f"{kind.name}-section", alone=False)
    except InputError:
        return  # the part lies wholly beside the block's wood
    yield _figure("Section", svg, keys)


def _figure(title: str, svg: str, keys: Sequence[Key] = ()) -> str:
    """A drawing as wide as its own millimetres ask for."""
    width = float(svg.partition('width="')[2].partition("mm")[0])
    listed = [
        tag("li", tag("b", one.letter), " ", escape(f"{one.name} ({one.kind})")) for one in keys
    ]
    more = tag("ul", *listed) if listed else ""
    inside = tag("div", svg, style=f"width:{width * SCALE:.0f}px", class_="scaled")
    return tag("figure", tag("figcaption", escape(title)), inside, more)


def _on(layout: Layout, face: Face) -> bool:
    part = layout.placed[0].id
    if any(v.face is face or face in v.opens for v in layout.voids_of(part)):
        return True
    rooms = [one.shape.box for one in layout.rooms if one.part == part]
    if face is Face.BACK:
        return any(box[2] < -layout.thickness for box in rooms)
    return bool(rooms) and any(box[5] > 0.0 for box in rooms)


def part_box(layout: Layout) -> Box:
    """The box in plan of a part's cuts and rooms, with some wood round it, within the block's
    reach."""
    part = layout.placed[0].id
    boxes = [v.shape.box for v in layout.voids_of(part)]
    boxes += [one.shape.box for one in layout.rooms if one.part == part]
    x0, y0, x1, y1 = layout.skin.outline.box
    low = [min(box[k] for box in boxes) for k in (0, 1)]
    high = [max(box[k] for box in boxes) for k in (3, 4)]
    return (
        max(low[0] - AROUND, x0 - 4.0 * AROUND),
        max(low[1] - AROUND, y0 - 4.0 * AROUND),
        min(high[0] + AROUND, x1 + 4.0 * AROUND),
        min(high[1] + AROUND, y1 + 4.0 * AROUND),
    )


def line_of(layout: Layout, box: Box) -> tuple[tuple[float, float], tuple[float, float]]:
    """The line of the section: along the part's largest cut where that is a slanted or level hole;
    else along x or y through the middle of one of its cuts, where it passes most of them, and of
    those the one nearest to the middle of the largest."""
    part = layout.placed[0].id
    own = layout.voids_of(part)
    x0, y0, x1, y1 = box
    if not own:
        y = (y0 + y1) / 2.0
        return (x0, y), (x1, y)
    main = max(own, key=lambda v: v.shape.plan.area * (v.high - v.low))
    x, y = main.shape.plan.centroid
    hole = main.shape.hole
    if hole is not None and not hole.upright:
        dx, dy, _ = hole.direction
        if abs(dx) >= abs(dy):
            slope = dy / dx
            return (x0, y + slope * (x0 - x)), (x1, y + slope * (x1 - x))
        slope = dx / dy
        return (x + slope * (y0 - y), y0), (x + slope * (y1 - y), y1)
    boxes = [v.shape.plan.box for v in own]
    best: tuple[tuple[int, float], int, float] | None = None
    for axis, middle in ((0, y), (1, x)):
        for at in sorted({round(v.shape.plan.centroid[1 - axis], 3) for v in own}):
            passed = sum(b[1 - axis] + 0.1 < at < b[3 - axis] - 0.1 for b in boxes)
            rank = passed, -abs(at - middle)
            if best is None or rank > best[0]:
                best = rank, axis, at
    assert best is not None
    at = best[2]
    return ((x0, at), (x1, at)) if best[1] == 0 else ((at, y0), (at, y1))
