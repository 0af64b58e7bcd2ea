"""The cut order's steps and stops as HTML."""

from __future__ import annotations

import math
from collections.abc import Collection, Iterator, Sequence
from itertools import groupby

from bodycad.checks.order.jobs import Hold, Work
from bodycad.checks.order.rules import Why
from bodycad.checks.report import Report
from bodycad.exports.bench_page import care, fill_in, tick
from bodycad.exports.report.tables import tag
from bodycad.exports.svg import escape, num
from bodycad.layout.layout import Layout
from bodycad.making.rest import FAR, LEAST, Rest
from bodycad.making.room import HAIR, REACH, room
from bodycad.making.step import Run, SetUp, Step, Stop, spans
from bodycad.safety import CAUTIONS, Danger

EACH = (Danger.NECK, Danger.DRILL, Danger.MAINS, Danger.FILINGS)
"""Cautions that stand at each step that they concern; the others once in a set-up."""
FITTED = ("aside", "aside_at_board", "along")
SCRIPT = "YOUR-SCRIPT.py"
"""A layout does not know of which file it is."""


def held(one: SetUp) -> str:
    """How a set-up holds its piece, in words."""
    blank = one.piece.blank
    pins = blank is not None and blank.pins
    how = {
        Hold.BENCH: "at the bench",
        Hold.FLAT: f"{one.face} up, {'on the datum pins' if pins else 'on a backing board'}",
        Hold.EDGE: "on its edge, square to the fence, for a drill in the side",
        Hold.ANGLE: f"{one.face} up, out of its waste, for drills at an angle",
        Hold.FREE: f"{one.face} up, out of its waste",
    }[one.hold]
    return f"{one.piece.id}: {how}"


def minutes(value: float) -> str:
    """A time: minutes, above two hours hours."""
    return f"{value:.0f} min" if value < 120.0 else f"{value / 60.0:.1f} h"


def steps(report: Report, one: SetUp) -> str:
    """A set-up's steps as a list to tick off."""
    told: set[Danger] = set()
    common, rows = _common(one), []
    for step in one.steps:
        fresh = [d for d in step.dangers if d in EACH or d not in told]
        told |= set(step.dangers)
        rows.append(_step(report, step, fresh, common))
    return tag("ol", *rows, class_="steps")


def _step(
    report: Report, step: Step, dangers: Sequence[Danger], common: Collection[tuple[int, Why]]
) -> str:
    name = f"step {step.number} done"
    head = tag("b", f"{step.number}. "), escape(step.words)
    top = tag("div", tick(name), tag("span", *head), class_="do")
    inside = [top, *(_run(run) for run in step.runs)]
    if step.by_hand:
        inside.append(_by_hand(step))
    for words in (*_after([pair for pair in step.after if pair not in common]), *step.notes):
        inside.append(_small(words))
    if step.rest is not None:
        inside.append(_rest(step.rest))
    inside += [care(CAUTIONS[danger]) for danger in dangers]
    inside.append(_small(_time(step)))
    inside += [_stop(report, step.stops)] if step.stops else []
    return tag("li", *inside, class_="step")


def _by_hand(step: Step) -> str:
    """A step that no tool of the shop makes: what is shaped by hand, and what should not be."""
    edge = step.jobs[0].edge
    if step.work is Work.CONTOUR or (edge is not None and edge.form is None):
        return _small("by hand: rasp, plane, scraper or a free router, to lines")
    words = "no tool on hand makes it: cutter-corner and cutter-reach say which would"
    return tag("p", escape(words), class_="prop")


def _small(text: str) -> str:
    return tag("p", escape(text), class_="quiet")


def _run(run: Run) -> str:
    ends = [f"{deep:.1f}" for deep in run.passes[:-1]] + [f"{run.depth:.2f}"]
    begin = f"from {run.start:.2f} " if run.start > 0.0 else ""
    count = len(run.passes)
    how = f"{count} passes, ending at {', '.join(ends)} mm" if count > 1 else ""
    tip = f" at full diameter, {run.tip:.2f} at the tip" if run.tip is not None else ""
    how = how or f"{begin}to {run.depth:.2f} mm{tip}"
    rest = ", what the larger one left" if run.rest else ""
    begin = f", {begin.strip()} mm on" if begin and count > 1 else ""
    return tag("p", tag("b", escape(run.tool)), escape(f"{rest}{begin}: {how}"), class_="tool")


def shared(one: SetUp) -> Iterator[str]:
    """What must come before all steps of a set-up."""
    yield from _after(_common(one))


def _common(one: SetUp) -> list[tuple[int, Why]]:
    """What each of a set-up's steps must come after."""
    first, *more = (step.after for step in one.steps)
    return [pair for pair in first if more and all(pair in after for after in more)]


def _after(pairs: Sequence[tuple[int, Why]]) -> Iterator[str]:
    """What must come before, reason by reason."""
    for why, own in groupby(pairs, key=lambda pair: pair[1]):
        yield f"after {spans([number for number, _ in own])}: {Why(why).value}"


def _rest(rest: Rest) -> str:
    words = (
        f"It lies on its {rest.face}: {rest.area / 100.0:.0f} cm2 of it are still flat, "
        f"{100.0 * rest.share:.0f} % of the face"
    )
    if rest.firm:
        return _small(f"{words}; what is cut stands out {rest.out:.0f} mm over it.")
    why = []
    if rest.share < LEAST:
        why.append("that is little")
    if not rest.stands:
        why.append("its weight stands beside that, so it tips")
    if rest.out > FAR:
        why.append(f"what is cut stands out {rest.out:.0f} mm over it")
    words = f"{words}; {', and '.join(why)}: prop it up with a cradle or the offcuts of the carve."
    return tag("p", escape(words), class_="prop")


def _time(step: Step) -> str:
    parts = "; ".join(f"{one.words}: {one.minutes:.1f}" for one in step.time)
    return f"about {minutes(step.minutes)} ({parts})" if len(step.time) > 1 else _lone(step)


def _lone(step: Step) -> str:
    words = f" ({step.time[0].words})" if step.time else ""
    return f"about {minutes(step.minutes)}{words}"


def _stop(report: Report, stops: Sequence[Stop]) -> str:
    rows = [tag("h3", "Stop and measure")]
    for one in stops:
        said = f"; the layout says {one.expected:.2f} mm" if one.expected is not None else ""
        rows.append(
            tag(
                "p",
                tag("b", escape(one.what)),
                escape(f": {one.how}{said}{_may(report, one)}. Measured: "),
                fill_in("mm"),
            )
        )
    rows += [tag("pre", escape(text)) for text in entered(report.layout, stops)]
    return tag("div", *rows, class_="stop")


def _may(report: Report, stop: Stop) -> str:
    """Between which figures all checks hold, and what fails past each."""
    if stop.off is None or stop.expected is None:
        return ""
    less, more = room(report, stop.off)
    low = math.ceil((stop.expected - less.by) * 100.0 - HAIR) / 100.0
    high = math.floor((stop.expected + more.by) * 100.0 + HAIR) / 100.0
    ends = [
        f"{word} {end:.2f} ({side.code})"
        for word, end, side in (("from", low, less), ("to", high, more))
        if side.code
    ]
    said = " ".join(ends) or f"within {REACH:g} mm of it"
    return f"; what holds as drawn holds {said}"


def entered(layout: Layout, stops: Sequence[Stop]) -> Iterator[str]:
    """How the values go back into the design: the command where it asks a table for them, else the
    line of the script, and the parameter where there is one."""
    names = [name for one in stops for name in one.names]
    asked = [name for name in names if name in layout.asked]
    if asked:
        yield f"bodycad enter {SCRIPT} {' '.join(f'{name}=VALUE' for name in asked)}"
    elif names and names[0].startswith("fitted."):
        own = ", ".join(f"{name}=measured(VALUE)" for name in FITTED)
        yield f"in {SCRIPT}: Design(..., fitted=Fitted({own}))"
    elif names:
        yield f"in {SCRIPT}: Design(..., shop=Shop(measured_stock=VALUE))"
    for one in stops:
        if one.parameter in layout.parameters and not set(one.names) & set(asked):
            yield f"bodycad check {SCRIPT} --set {one.parameter}=VALUE"
            return


def coordinates(x: float, y: float) -> str:
    """A place in the plan."""
    return f"({num(round(x, 1))}, {num(round(y, 1))})"
