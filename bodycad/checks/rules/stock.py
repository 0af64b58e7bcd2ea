"""`stock`: the blank round the outline, its datum pins and its thickness."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np

from bodycad.checks.finding import Finding, judge, skip
from bodycad.checks.page import Page
from bodycad.layout.blank import Pin
from bodycad.layout.layout import Layout

PAGE = Page(
    asks="Does the blank hold the outline with waste all round, do its datum pins stand in waste with wood round them, and is it as thick as drawn?",
    why="A blank with no waste leaves no room for clamps and a slip; a pin hole in the outline stays in the body; every depth is measured from the real face.",
    limits=("stock", "stock.pin", "stock.thickness"),
    cures="Use a larger blank, move the outline or the pins in it, or lay the design out for the thickness you measured.",
)


def stock(layout: Layout) -> Iterator[Finding]:
    """Margin on each side, wood round each pin, measured against drawn thickness."""
    blank, shop = layout.blank, layout.shop
    x0, y0, x1, y1 = layout.skin.outline.box
    middle = (x0 + x1) / 2.0, (y0 + y1) / 2.0
    for side, margin, one, two in (
        ("bridge end", x0 - blank.x0, (x0, middle[1]), (blank.x0, middle[1])),
        ("neck end", blank.x1 - x1, (x1, middle[1]), (blank.x1, middle[1])),
        ("-y side", y0 - blank.y0, (middle[0], y0), (middle[0], blank.y0)),
        ("+y side", blank.y1 - y1, (middle[0], y1), (middle[0], blank.y1)),
    ):
        words = (
            f"reaches {margin:.2f} mm beyond the outline"
            if margin >= 0.0
            else f"is {-margin:.2f} mm short of the outline"
        )
        yield judge(
            ("blank", side),
            margin,
            shop.limit("stock"),
            f"the blank {words} at its {side}",
            "use a larger blank or shift the outline in it",
            at=((*one, 0.0), (*two, 0.0)),
        )
    for index, pin in enumerate(blank.pins, 1):
        yield _pin(layout, index, pin)
    if shop.measured_stock is None:
        yield skip(
            "stock",
            "the blank's thickness has not been measured: give Shop(measured_stock=...) once it is planed",
        )
    else:
        off = abs(shop.measured_stock - layout.thickness)
        yield judge(
            ("blank", "thickness"),
            off,
            shop.limit("stock.thickness"),
            f"the blank measures {shop.measured_stock:.2f} mm and is drawn {layout.thickness:.2f} mm thick",
            f"lay the design out with thickness = {shop.measured_stock:.2f}",
        )


def _pin(layout: Layout, index: int, pin: Pin) -> Finding:
    """Least wood round a pin hole: to the outline (negative inside it) and to the blank's sides."""
    blank, spot = layout.blank, np.array([[pin.x, pin.y]])
    foot = tuple(map(float, layout.skin.outline.segments.nearest(spot)[1][0]))
    rows = [
        (-float(layout.skin.inset(spot)[0]), "the outline", foot),
        (pin.x - blank.x0, "the blank's end", (blank.x0, pin.y)),
        (blank.x1 - pin.x, "the blank's end", (blank.x1, pin.y)),
        (pin.y - blank.y0, "the blank's side", (pin.x, blank.y0)),
        (blank.y1 - pin.y, "the blank's side", (pin.x, blank.y1)),
    ]
    room, what, near = min(rows)
    wood = room - pin.diameter / 2.0
    return judge(
        (f"pin.{index}", what),
        wood,
        layout.shop.limit("stock.pin"),
        f"{wood:.2f} mm of waste between datum pin {index} and {what}",
        f"move pin {index} away from {what}",
        at=((pin.x, pin.y, 0.0), (*near, 0.0)),
    )
