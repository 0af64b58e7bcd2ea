"""Measure before cutting: which sizes are not yet the maker's own, and what hangs on each.

A size that is common practice or a vendor's claim may be off. The wood is cut to the number, the
part turns out otherwise: how many mm, before a finding fails? That is the finding's margin over its
slope (see `chance.slopes`), the least of all findings that hold as drawn: in proportion, so about
right, the better the nearer. What cannot make anything fail is not listed.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace

import numpy as np

from bodycad.chance.chance import BODIES, bodies_of, judged
from bodycad.chance.slopes import Slopes, slopes
from bodycad.chance.variables import Variable, shop_variables, size_variables
from bodycad.checks.outlook import Hanging
from bodycad.checks.report import Report
from bodycad.checks.runner import sizes
from bodycad.layout.layout import Layout
from bodycad.units import Dimension

CLOSE = 0.3
"""A claim may differ from the measured size by this, mm, before it is worth a word of warning
(common practice, no source)."""


def unsure(dimension: Dimension) -> bool:
    """Whether a size is not, or not undoubtedly, the maker's own."""
    return dimension.origin != "measured" or differs(dimension)


def differs(dimension: Dimension) -> bool:
    """Whether a measured size replaces a claim that says otherwise."""
    return dimension.apart > 0.0


def contradicted(dimensions: Iterable[Dimension]) -> tuple[Dimension, ...]:
    """Measured sizes whose vendor claims otherwise, the widest apart first."""
    found = filter(differs, dimensions)
    return tuple(sorted(found, key=lambda d: (-d.apart, d.part, d.name)))


def unsure_variables(layout: Layout) -> tuple[Variable, ...]:
    """A variable for every length or angle that is unsure."""
    rows = {(d.part, d.name): d for d in sizes(layout)}
    return tuple(v for v in size_variables(layout) if unsure(rows[_row(v.subject)]))


def _row(path: str) -> tuple[str, str]:
    """The owner and the last name of a dotted path, as the list of sizes has them."""
    owner, _, name = path.rpartition(".")
    return owner, name


def measure_first(layout: Layout) -> tuple[Hanging, ...]:
    """What to measure before cutting a layout, the least room for error first."""
    return hanging(layout, slopes(layout, unsure_variables(layout)))


def with_measure(report: Report) -> Report:
    """The report with its list of what to measure."""
    return replace(report, measure=measure_first(report.layout))


def with_chances(report: Report, bodies: object = BODIES) -> Report:
    """The report with its chances (see `chance.chance`) and its list of what to measure, from one
    set of slopes."""
    bodies = bodies_of(bodies)
    names, layout = {v.name for v in unsure_variables(report.layout)}, report.layout
    sizes_ = [v for v in size_variables(layout) if v.tolerance > 0.0 or v.name in names]
    found = slopes(layout, [*shop_variables(layout), *sizes_])
    return replace(judged(report, found, bodies), measure=hanging(layout, found))


def hanging(layout: Layout, found: Slopes) -> tuple[Hanging, ...]:
    """What hangs on the unsure sizes among the variables of `found`, the least room for error
    first."""
    holds = found.rows.least(found.margins) >= 0.0
    rows = {(d.part, d.name): d for d in sizes(layout)}
    listed = []
    for k, variable in enumerate(found.variables):
        d = rows.get(_row(variable.subject)) if variable.kind == "size" else None
        if d is None or not unsure(d):
            continue
        loss = np.maximum(-found.up[k], -found.down[k]) / variable.reach
        with np.errstate(divide="ignore", invalid="ignore"):
            room = np.where(loss > 1e-9, found.margins / loss, np.inf)
        room = np.where(holds, found.rows.least(room), np.inf) if len(room) else room
        i = int(np.argmin(room)) if len(room) else 0
        # Off by more than itself is no error of a size.
        if len(room) and room[i] < (abs(d.value) or np.inf):
            names = tuple(_row(f"{owner}.{path}") for owner, path in variable.sizes)
            off, decides = float(room[i]), found.findings[i]
            listed.append(Hanging(**vars(d), may_be_off=off, finding=decides, names=names))
    return tuple(sorted(listed, key=lambda h: (round(h.may_be_off, 9), h.part, h.name)))
