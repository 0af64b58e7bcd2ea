"""`outline`: is the body's outline of a body's size, in millimetres, and turned the right way?"""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np

from bodycad.checks.finding import Finding, failed, judge, passed
from bodycad.checks.page import Page
from bodycad.geometry.plane.profile import Profile
from bodycad.layout.layout import Layout
from bodycad.layout.measures import in_millimetres, measures
from bodycad.shop import Shop

HELD, MORE = 0.9, 0.15
"""An outline is turned where it holds this share of the cuts once turned back, and this much more
than as given (common practice, no source)."""

PAGE = Page(
    asks="Is the body's outline of the size of a body, drawn in millimetres, and turned so that "
    "the neck points along +x?",
    why="Points traced in another program come in inches, points or pixels, or with the neck "
    "upright. Every other figure is then wrong in the same way, so nothing else is asked until "
    "the outline stands: one cause, one line. `outline.holds` is the share of the cuts, in "
    "percent, whose middle lies inside the outline.",
    limits=(
        "outline.length",
        "outline.length.most",
        "outline.width",
        "outline.width.most",
        "outline.holds",
    ),
    cures="Multiply the outline's points by what the finding names, or turn them; where the body "
    "really is of that size, set the shop's limit.",
)


def outline(layout: Layout) -> Iterator[Finding]:
    """One finding where the outline cannot be a body's, else one that says its size."""
    wrong = next((found for found in _wrong(layout) if found.status != "pass"), None)
    if wrong is not None:
        yield wrong
        return
    length, width = measures(layout.skin.outline)
    count, held = len(layout.voids), round(_held(layout, layout.skin.outline) * len(layout.voids))
    words = f"the outline is {length:.1f} mm long and {width:.1f} mm wide"
    yield passed("outline", (), f"{words}, and holds {held} of {count} cuts")


def _wrong(layout: Layout) -> Iterator[Finding]:
    shape = layout.skin.outline
    yield from _sizes(shape, layout.shop)
    share = _held(layout, shape)
    turned, way = max((_held(layout, shape.moved(turn_deg=turn)), turn) for turn in (90.0, -90.0))
    if turned >= HELD and turned - share >= MORE:
        points = "(-y, x)" if way > 0.0 else "(y, -x)"
        yield failed(
            "outline.turned",
            ("outline",),
            f"the outline is turned by 90 degrees: it holds {share:.0%} of the cuts as it is, and "
            f"{turned:.0%} when it is turned back; the neck points along +x",
            f"turn the outline's points: write {points} for each (x, y)",
        )
    if layout.voids:
        length, width = measures(shape)
        yield judge(
            ("outline",),
            100.0 * share,
            layout.shop.limit("outline.holds"),
            f"the outline, {length:.1f} by {width:.1f} mm, holds {share:.0%} of the cuts: it is "
            "drawn elsewhere, or in other units, than the parts are placed",
            "draw the outline about the origin that the parts are placed from: the neck's "
            "centreline is y = 0",
            unit="%",
        )


def _sizes(shape: Profile, shop: Shop) -> Iterator[Finding]:
    """The outline's length and width against the least and the most that a body has."""
    sides, (says, cure) = measures(shape), in_millimetres(shape)
    for side, name in zip(sides, ("length", "width")):
        for limit in (shop.limit(f"outline.{name}"), shop.limit(f"outline.{name}.most")):
            far = "large" if limit.most else "small"
            words = f"the outline is {sides[0]:.6g} mm long and {sides[1]:.6g} mm wide"
            text = f"{words}, far too {far} for a body{says}"
            yield judge(("outline",), side, limit, text, cure)


def _held(layout: Layout, shape: Profile) -> float:
    """The share of the body's cuts whose middle lies inside a shape, 0 to 1; 1 without cuts."""
    if not layout.voids:
        return 1.0
    boxes = np.array([void.shape.box for void in layout.voids])
    inside = shape.segments.encloses((boxes[:, :2] + boxes[:, 3:5]) / 2.0)
    return float(inside.mean())
