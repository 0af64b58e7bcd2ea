"""`string-stress`: does every string hold its own pitch?"""

from __future__ import annotations

import math
from collections.abc import Iterator

from bodycad.checks.finding import Finding, judge
from bodycad.checks.page import Page
from bodycad.instrument.load import string_tensions
from bodycad.instrument.strings import CORE_ESTIMATE, wire_strength
from bodycad.layout.layout import Layout

PAGE = Page(
    asks="How much of its wire's strength does each string take at its pitch, and is it pulled "
    "tight enough to sound?",
    why="A slip in a pitch, a gauge or the scale, an octave say, gives a string that breaks "
    "before it is in tune, or one that hangs; and every load that follows from its pull is wrong "
    "with it. What a plain string takes hangs on pitch and scale, hardly on its gauge.",
    limits=("string-stress", "string-stress.slack"),
    cures="Look at the string's pitch, gauge and core again; else tune it lower, or use a shorter "
    "scale.",
)


def string_stress(layout: Layout) -> Iterator[Finding]:
    """Each string's pull over what its wire, or the core of a wound one, bears; a core that is only
    estimated is the figure's bound. A string that is slack is told too."""
    instrument, shop = layout.instrument, layout.shop
    pulls = string_tensions(instrument)
    for line, string, pull in zip(instrument.lines, instrument.strings, pulls, strict=True):
        name, core = f"string {line.number}", float(string.core or string.gauge)
        taken = _taken(pull, core)
        thin = _taken(pull, core * (1.0 - CORE_ESTIMATE)) if string.core_guessed else taken
        words = f"{name} takes {taken:.0f} % of its wire's strength: {pull:.0f} N at its pitch"
        cure = f"look at the pitch and the gauge of {name}, or tune it lower"
        if string.core_guessed:
            words += f" on a core estimated at {core:.2f} mm"
            cure += "; give it the core from its maker's sheet"
        limit, subjects = shop.limit("string-stress"), (f"string.{line.number}",)
        yield judge(subjects, taken, limit, words, cure, bound=thin - taken, unit="%")
        words = f"{name} is pulled with {pull:.1f} N"
        cure = f"use a thicker {name}, or tune it higher"
        slack = judge(subjects, pull, shop.limit("string-stress.slack"), words, cure, unit="N")
        if slack.status != "pass":
            yield slack


def _taken(pull: float, core: float) -> float:
    """Percent of the strength of a wire of `core` mm that a pull (N) takes."""
    return 100.0 * pull / (math.pi / 4.0 * core**2 * wire_strength(core))
