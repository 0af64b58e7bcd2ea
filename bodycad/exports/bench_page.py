"""The shell of a page for the bench: read on a phone or a wide screen, ticked off on paper.

A page is its title block (design, hand, revision, units, verdict), the cautions that concern it,
and sections of ready HTML. It names no outside file, so that it can be sent or printed on its own.
Tables repeat their heads from sheet to sheet; each sheet's foot names design, hand, revision and
units.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from pathlib import Path

from bodycad.checks.report import Report
from bodycad.errors import FileError
from bodycad.exports.report.tables import cell, tag
from bodycad.exports.report.text import VERDICTS, counts
from bodycad.exports.svg import STYLE, element, escape
from bodycad.layout.layout import Layout
from bodycad.safety import ADVICE, Caution
from bodycad.version import VERSION

UNITS = "Millimetres and degrees unless another unit is written."
FAILS = (
    "This design does not pass its checks: cut nothing from this page before report.html says PASS."
)

OF_LAYOUT = (
    "the checks of the layout alone; report.html counts what is asked of the finished solids too"
)
"""What the counts of a page are of: it is written while the kernel still works."""


@dataclass(frozen=True)
class Section:
    """A section of a page: its anchor (letters, digits and -), its title, and ready HTML.

    short: its name in the list of sections, the title where "". new_sheet: on paper it begins a
    sheet of its own."""

    anchor: str
    title: str
    content: tuple[str, ...]
    short: str = ""
    new_sheet: bool = False


def bench_page(
    report: Report,
    title: str,
    brief: str,
    sections: Sequence[Section],
    cautions: Sequence[Caution] = (),
    about: str = "",
) -> str:
    """The whole page as text. brief: what it is for, in a sentence or two. about: what it is of
    where that is not the whole design, such as a face."""
    layout = report.layout
    here = Path(__file__)
    css = (here.parent / "report" / "report.css").read_text(encoding="utf-8")
    own = here.with_name("bench.css").read_text(encoding="utf-8")
    foot = _foot(f"{identity(layout, title, about)}, mm and degrees")
    head = (
        '<meta charset="utf-8"/><meta name="viewport" content="width=device-width, '
        'initial-scale=1"/>'
        + tag("title", escape(f"{layout.name}: {title}"))
        + f"<style>{STYLE}{css}{own}{foot}</style>"
    )
    body = [_top(report, title, brief, about), _contents(sections)]
    body += [_care(cautions)] if cautions else []
    body += [
        tag(
            "section",
            tag("h2", escape(one.title)),
            *one.content,
            id=one.anchor,
            class_="bench newsheet" if one.new_sheet else "bench",
        )
        for one in sections
    ]
    body.append(tag("footer", escape(f"bodycad {VERSION}. {UNITS} {ADVICE}")))
    return (
        f'<!DOCTYPE html>\n<html lang="en"><head>{head}</head><body><main>{"".join(body)}</main>'
        "</body></html>\n"
    )


def identity(layout: Layout, title: str, about: str = "") -> str:
    """Which design, hand and revision a sheet belongs to, in one line."""
    words = [f"{layout.name}: {title}", *([about] if about else [])]
    return ", ".join([*words, f"{layout.hand}-handed", f"revision {layout.revision}"])


def tick(what: str) -> str:
    """A box to tick with a pen or a finger; `what` names it for whoever cannot see it."""
    return element("input", type="checkbox", aria_label=what)


def ticked(what: str) -> str:
    """A table's cell with a box to tick; its heading is "Done"."""
    return cell(tick(what), class_="done")


def fill_in(unit: str = "", label: str = "") -> str:
    """A line to write a figure on, with its unit after it."""
    return tag("span", escape(label), class_="fill") + (f" {escape(unit)}" if unit else "")


def picture(caption: str, svg: str, *more: str, scale: float = 0.0) -> str:
    """A drawing with its caption and what follows it (ready HTML), kept on one sheet.

    `scale`: pixels a mm of the drawing where there is room for it; 0 fills the width there is."""
    wide = float(svg.partition('width="')[2].partition("mm")[0])
    style = f"width:{wide * scale:.0f}px" if scale > 0.0 else None
    inside = tag("div", svg, style=style, class_="scaled")
    return tag("figure", tag("figcaption", escape(caption)), inside, *more)


def pictures(*made: str) -> str:
    """Drawings side by side where there is room."""
    return tag("div", *made, class_="cuts")


def care(one: Caution) -> str:
    """A caution in one line, where its danger is."""
    words = tag("b", escape(one.danger.value)), ": ", escape(one.brief), "."
    return tag("p", *words, class_="danger")


def verified(path: Path, text: str, wanted: Iterable[str]) -> None:
    """Write a page and read it back: FileError where the file does not hold it, or the page one of
    the texts that must stand in it."""
    path.write_text(text, encoding="utf-8")
    if path.read_text(encoding="utf-8") != text:
        raise FileError(f"{path.name} does not hold what was written into it")
    for one in wanted:
        if escape(one) not in text:
            raise FileError(f"{path.name} does not name {one!r}")


def _top(report: Report, title: str, brief: str, about: str) -> str:
    layout = report.layout
    what = f"{layout.hand}-handed, revision {layout.revision}, {layout.thickness:g} mm thick"
    words = f"{about}; {what}" if about else what
    name = tag("h1", escape(f"{layout.name}: {title}"))
    header = (
        tag("div", name, tag("p", escape(f"{words}. {UNITS}"), class_="quiet counts")),
        tag("span", VERDICTS[report.verdict], class_=f"verdict {report.verdict}"),
        tag("p", escape(f"{counts(report)}: {OF_LAYOUT}"), class_="counts"),
    )
    stop = tag("p", escape(FAILS), class_="danger") if report.verdict == "fail" else ""
    return tag("header", *header, class_="top") + stop + tag("p", escape(brief))


def _contents(sections: Sequence[Section]) -> str:
    links = (tag("a", escape(s.short or s.title), href=f"#{s.anchor}") for s in sections)
    return tag("nav", *links) if len(sections) > 1 else ""


def _care(cautions: Sequence[Caution]) -> str:
    rows = (tag("dt", escape(c.danger)) + tag("dd", escape(c.words)) for c in cautions)
    inside = tag("h2", "Before you cut"), tag("dl", *rows, class_="box")
    return tag("section", *inside, id="safety", class_="bench")


def _foot(text: str) -> str:
    """The foot of every printed sheet, as a rule of the style sheet."""
    said = "".join(one if one.isalnum() or one in " .,:" else f"\\{ord(one):x} " for one in text)
    page = 'counter(page) " of " counter(pages)'
    return f'@page {{ @bottom-left {{ content: "{said}"; }} @bottom-right {{ content: {page}; }} }}'
