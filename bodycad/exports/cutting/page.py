"""`<design>-cutting.html` and `<design>-blank.dxf`: in which order the wood is cut, set-up by
set-up, to be ticked off, and the blank."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from pathlib import Path

from bodycad.checks.finding import Finding
from bodycad.checks.order.jobs import Hold, Job, Work, met
from bodycad.checks.report import Report
from bodycad.checks.rules.cutters import edges
from bodycad.checks.wood.drilled import drilled_from
from bodycad.errors import FileError
from bodycad.exports import cautions
from bodycad.exports.bench_page import Section, bench_page, fill_in, picture, ticked, verified
from bodycad.exports.cutting.pictures import blank_picture, set_up_picture
from bodycad.exports.cutting.texts import coordinates, held, minutes, shared, steps
from bodycad.exports.report.tables import cell, full, number, quiet, row, table
from bodycad.exports.svg import num
from bodycad.layout.assembly import standing
from bodycad.layout.layout import Layout
from bodycad.layout.workpiece import Workpiece
from bodycad.making.blank_plan import CLEAR, FEWEST, WASHER, BlankPlan, blank_plan
from bodycad.making.order import cut_order
from bodycad.making.step import CutOrder, SetUp, spans
from bodycad.making.tabs import how_high
from bodycad.making.told import pins_short
from bodycad.shop import Shop
from bodycad.words import EdgeForm, Face

TITLE = "cut order"
BRIEF = (
    "Every job in an order in which no step takes away what a later one needs, by set-up, with "
    "tools and passes, what must come before and why, and where to stop and measure. The order and "
    "its reasons are common practice, no source; where the rules leave a choice, so may you."
)
GUESS = (
    "Times are a guess from the shop's pace (Shop, Pace): area and rim of each cut over feed and "
    "step over, for each pass; a fixed time for each hole, tool, set-up and job at the bench. "
    "Drying, sanding and finish are left out."
)
CARVED = (
    "Contours are carved by hand here, with the body out of its waste and its edges run. A machine "
    "that carves from the height grids does so on the pins, in the set-up of that face, after its "
    "other cuts and before the outline: then the edges are run last."
)
DRY = (
    (("pocket-fit.least",), "Neck in its pocket"),
    (("stack", "stack.bass", "stack.treble"), "Saddle heights"),
    (("saddle-window",), "Saddles along the strings"),
    (("string-margin", "string-margin.difference"), "Strings beside the fretboard's edges"),
    (("string-clearance",), "Strings over the pickups"),
    (("bolt-grip",), "Neck screws"),
    (("cover-fit.gap",), "Covers in their recesses"),
    (("ring-cover",), "Rings over their routes"),
    (("jack-path.plug", "jack-path.grip", "jack-path.plate"), "Plug in the jack"),
)
"""What is compared at the dry assembly, by code."""
MOST = 6
"""So many figures of each are shown, the tightest first."""


def names(layout: Layout) -> tuple[str, ...]:
    """The files that are written of a layout."""
    drawn = (f"{layout.name}-blank.dxf",) if layout.body.blank is not None else ()
    return (f"{layout.name}-cutting.html", *drawn)


def write(report: Report, folder: Path) -> None:
    """Write the page and the blank's drawing, and read them back. Raises FileError where the page
    leaves a cut out."""
    layout = report.layout
    order = cut_order(layout)
    complete(layout, order)
    name, *drawn = names(layout)
    wanted = [f"{step.number}. " for step in order.steps] + [s.words for s in order.steps]
    verified(folder / name, page(report), wanted)
    plan = blank_plan(layout)
    for own in drawn if plan is not None else ():
        from bodycad.exports.dxf import blank

        assert plan is not None
        blank.write(layout, plan, folder / own)


def complete(layout: Layout, order: CutOrder) -> None:
    """Raise FileError where the order leaves out what is drawn, or holds it twice. Where no order
    keeps every rule `cut-order` has said so, and the page says what is left."""
    done = [job for step in order.steps for job in step.jobs if job.work.cuts]
    keys = [(job.piece.id, job.name) for job in done]
    if len(set(keys)) < len(keys):
        raise FileError("the cut order holds a cut twice")
    if left := missing(layout, order):
        from bodycad.checks.order.sequence import sequence

        if not sequence(layout).clash:
            raise FileError(f"the cut order leaves out {', '.join(left)}")


def missing(layout: Layout, order: CutOrder) -> tuple[str, ...]:
    """What is drawn and in no step: voids and their second halves, contours, edges and ledges,
    outlines from each of their faces."""
    cut = [job for step in order.steps for job in step.jobs]
    done = {(job.piece.id, job.work, job.face, one) for job in cut for one in job.ids}
    return tuple(
        f"the second half of {name}" if work is Work.MEET else name
        for piece in layout.pieces
        for work, face, name in _due(piece, layout.shop)
        if (piece.id, work, face, name) not in done
    )


def _due(piece: Workpiece, shop: Shop) -> Iterator[tuple[Work, Face, str]]:
    """All that is cut of a workpiece, by work, face and id."""
    for void in piece.voids:
        yield Work.VOID, drilled_from(void, piece), void.id
        if met(void, piece, shop):
            yield Work.MEET, void.face.opposite, void.id
    for contour in piece.skin.contours:
        yield Work.CONTOUR, contour.face, contour.id
    for name, face, edge, _ in edges(piece):
        yield Work.LEDGE if edge.form is EdgeForm.STRAIGHT else Work.EDGE, face, name
    for face in piece.outline_cuts:
        yield Work.OUTLINE, face, f"{piece.id}.outline"


def page(report: Report) -> str:
    """The page as text."""
    layout = report.layout
    order = cut_order(layout)
    sections = [Section("overview", "Set-ups and times", tuple(_overview(layout, order)))]
    plan = blank_plan(layout)
    if plan is not None:
        sections.append(Section("blank", "The blank", tuple(_blank(layout, plan)), new_sheet=True))
    done: list[Job] = []
    for one in order.set_ups:
        sections.append(_set_up(report, one, done))
        done += [job for step in one.steps for job in step.jobs]
    dry = tuple(_dry(report))
    if dry:
        sections.append(Section("dry", "At the dry assembly", dry, "Dry assembly"))
    return bench_page(report, TITLE, BRIEF, sections, cautions.of_design(layout))


def _overview(layout: Layout, order: CutOrder) -> Iterator[str]:
    rows = []
    for one in order.set_ups:
        numbers = [step.number for step in one.steps]
        rows.append(
            row(
                ticked(f"set-up {one.number} done"),
                number(str(one.number), "Set-up"),
                full(held(one)),
                cell(spans(numbers)),
                number(minutes(one.whole), "Time"),
            )
        )
    yield table(("Done", "Set-up #", "Piece and hold", "Steps", "Time #"), rows)
    yield quiet(f"About {order.minutes / 60.0:.0f} h in all. {GUESS}")
    if any(job.contour for step in order.steps for job in step.jobs):
        yield quiet(CARVED)
    left = missing(layout, order)
    if left:
        yield quiet(f"No order keeps every rule (cut-order fails): {', '.join(left)} are left out.")


def _blank(layout: Layout, plan: BlankPlan) -> Iterator[str]:
    svg, _ = blank_picture(layout, plan)
    blank = plan.blank
    yield picture("Seen from the front, to scale, mm", svg)
    size = f"{blank.x1 - blank.x0:.0f} x {blank.y1 - blank.y0:.0f} x {plan.piece.thickness:.2f} mm"
    yield quiet(
        f"Finished blank {size} of {blank.species.name}, planed; bought at least {plan.bought} mm. "
        f"The grain runs along the strings (the thin lines)."
    )
    if plan.core is not None:
        x0, _, x1, _ = plan.core.box
        yield quiet(
            f"The blank is no rectangle: its core runs on past it as the neck, from x = {x0:.0f} "
            f"to the nut at {x1:.0f} and on for the headstock, {x1 - blank.x0:.0f} mm and more "
            "long. Past the outline the wings are waste that is not glued to it."
        )
    if blank.joints:
        boards = ", ".join(f"{width:.0f}" for width in plan.boards)
        where = ", ".join(num(y) for y in sorted(blank.joints))
        yield quiet(
            f"Glue joints (dashed) at y = {where}: boards {boards} mm wide when jointed, from the "
            "lowest y on. Reverse their growth rings one by one, and joint them until no light "
            "shows."
        )
    rows = [
        row(
            ticked(f"{name} marked"),
            cell(name),
            number(num(round(x, 2)), "x"),
            number(num(round(y, 2)), "y"),
            full(what),
        )
        for name, x, y, what in _places(plan)
    ]
    yield table(("Done", "Place", "x #", "y #", "What"), rows)
    yield quiet("x from the scale line toward the nut, y from the centreline, up in the drawing.")
    yield quiet(_held_down(plan))
    if plan.tabs:
        where = ", ".join(coordinates(*tab.at) for tab in plan.tabs)
        yield quiet(f"Tabs (black) hold the body, {how_high(plan.tabs)}, at {where}.")
    if plan.approach:
        yield quiet(
            f"The darker strip is waste that is cleared {plan.approach_depth:.2f} mm deep from the "
            "front, so that the neck lies in its pocket while the blank is whole."
        )


def _places(plan: BlankPlan) -> Iterator[tuple[str, float, float, str]]:
    for k, pin in enumerate(plan.blank.pins, 1):
        yield f"pin {k}", pin.x, pin.y, f"{pin.diameter:g} mm through, for both faces"
    for k, (x, y) in enumerate(plan.holds, 1):
        yield f"H{k}", x, y, f"screw and washer of {WASHER:g} mm at most, or a clamp's pad"


def _held_down(plan: BlankPlan) -> str:
    clear = f"{CLEAR:g} mm and more clear of the way of a {plan.way:.4g} mm cutter"
    if plan.firm:
        return f"H: places to hold the blank down, {clear}. Keep every clamp within them."
    few = f"only {len(plan.holds)}" if plan.holds else "none"
    need = plan.way + CLEAR + WASHER
    return (
        f"Places to hold the blank down that are {clear} and hold it from all sides: {few} of the "
        f"{FEWEST} it takes. Hold it by tape or from below, or use a blank with {need:.0f} mm of "
        "waste where a clamp shall stand."
    )


def _set_up(report: Report, one: SetUp, done: Sequence[Job]) -> Section:
    drawn = set_up_picture(report.layout, one, done)
    content = []
    if drawn is not None:
        svg, wide = drawn
        caption = f"What is cut here, by the numbers of the steps: {held(one)}"
        scale = 1.4 if wide > 200.0 else 2.0
        content.append(picture(caption, svg, scale=scale))
    if one.minutes:
        content.append(
            quiet(f"To set up: about {minutes(one.minutes)}. {_flat(report.layout, one, done)}")
        )
    content += [quiet(f"All of it {words}.") for words in shared(one)]
    content.append(steps(report, one))
    title = f"Set-up {one.number}. {held(one)}"
    return Section(f"setup-{one.number}", title, tuple(content), f"{one.number} {one.piece.id}")


def _flat(layout: Layout, one: SetUp, done: Sequence[Job]) -> str:
    """On what it lies where it is still in its waste."""
    if one.hold is not Hold.FLAT or one.face is None:
        return ""
    if one.piece.blank is None:
        return "It lies flat on its backing, held by tape or by screws in the waste."
    own = (job for job in done if job.work is Work.VOID and job.piece is one.piece)
    turned = any(job.face is not one.face for job in own)
    but = ", but for what is cut there" if turned else ""
    seat = standing(layout) if one.face is Face.BACK and one.piece.neck is not None else None
    if seat is not None:
        but += f", on packing of {seat.high:.2f} mm or more: the fretboard's seat stands over it"
    short = pins_short(one.piece, one.face.opposite, done, layout)
    lies = f"It lies on its {one.face.opposite}, flat over the whole blank{but}."
    return " ".join((lies, *short))


def _dry(report: Report) -> Iterator[str]:
    rows = []
    for codes, what in DRY:
        found = sorted(
            (f for f in report.findings if f.code in codes and f.value is not None),
            key=lambda f: (f.margin is None, f.margin or 0.0, f.subjects),
        )
        for one in list({one.text: one for one in found}.values())[:MOST]:
            expected, holds = measured(one)
            rows.append(
                row(
                    ticked(f"{what} compared"),
                    cell(what),
                    full(one.text),
                    number(f"{expected:.2f} {one.unit}", "Expected"),
                    cell(holds, data_label="Holds"),
                    cell(fill_in(one.unit), data_label="Measured"),
                )
            )
    if rows:
        yield quiet(
            "Before the finish, with everything in place: what the checks worked out, the tightest "
            "of each kind, beside what you measure. Heights are over the front's highest plane, "
            "places along the strings from the scale line toward the tail."
        )
        yield table(("Done", "What", "The layout says", "Expected #", "Holds", "Measured"), rows)


def measured(finding: Finding) -> tuple[float, str]:
    """What a finding says will be measured, and between which figures it holds."""
    value, limit, size = finding.value or 0.0, finding.limit or 0.0, finding.size
    if size is not None and finding.of is not None:
        less, more = finding.of()
        return size, f"{size - less + limit:.2f} to {size + more - limit:.2f}"
    if finding.limit is None:
        return value, ""
    return value, f"{'at most' if finding.most else 'at least'} {limit:.2f}"
