"""`stock`: the blank round the outline, its datum pins and its thickness."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np

from bodycad.checks.finding import Finding, judge, skip
from bodycad.checks.page import Page
from bodycad.checks.piece import Answers, of_each
from bodycad.layout.blank import Blank, Pin
from bodycad.layout.layout import Layout
from bodycad.layout.workpiece import BODY, Workpiece
from bodycad.shop import Shop

PAGE = Page(
    asks="Does the blank hold the outline with waste all round, do its datum pins stand in waste "
    "with wood round them, and is it as thick as drawn?",
    why="A blank with no waste leaves no room for clamps and a slip; a pin hole in the outline "
    "stays in the body; every depth is measured from the real face.",
    limits=("stock", "stock.pin", "stock.thickness"),
    cures="Use a larger blank, move the outline or the pins in it, or lay the design out for the "
    "thickness you measured.",
)


def stock(layout: Layout) -> Iterator[Finding]:
    """Margin on each side, wood round each pin, measured against drawn thickness; a piece without
    a blank is skipped by name."""
    yield from of_each(layout, _stock)
    offcuts = sorted(piece.id for piece in layout.pieces if piece.blank is None)
    if offcuts:
        yield skip("stock.offcut", f"{', '.join(offcuts)}: cut from an offcut, no blank is drawn")
    if (measured := layout.shop.measured_stock) is None:
        words = "the blank's thickness has not been measured"
        yield skip("stock", f"{words}: give Shop(measured_stock=...) once it is planed")
    else:
        off = abs(measured - layout.thickness)
        words = f"the blank measures {measured:.2f} mm and is drawn {layout.thickness:.2f} mm thick"
        cure = f"lay the design out with thickness = {measured:.2f}"
        yield judge(("blank", "thickness"), off, layout.shop.limit("stock.thickness"), words, cure)


def _stock(piece: Workpiece, shop: Shop) -> Answers:
    blank = piece.blank
    if blank is None:
        return 1
    name = "blank" if piece.id == BODY else f"{piece.id}.blank"
    x0, y0, x1, y1 = piece.skin.outline.box
    middle = (x0 + x1) / 2.0, (y0 + y1) / 2.0
    for side, margin, one, two in (
        ("bridge end", x0 - blank.x0, (x0, middle[1]), (blank.x0, middle[1])),
        ("neck end", blank.x1 - x1, (x1, middle[1]), (blank.x1, middle[1])),
        ("-y side", y0 - blank.y0, (middle[0], y0), (middle[0], blank.y0)),
        ("+y side", blank.y1 - y1, (middle[0], y1), (middle[0], blank.y1)),
    ):
        beyond, short = f"reaches {margin:.2f} mm beyond", f"is {-margin:.2f} mm short of"
        words = f"{beyond if margin >= 0.0 else short} the outline"
        limit, text = shop.limit("stock"), f"the {name} {words} at its {side}"
        cure = "use a larger blank or shift the outline in it"
        yield judge((name, side), margin, limit, text, cure, at=((*one, 0.0), (*two, 0.0)))
    for index, pin in enumerate(blank.pins, 1):
        yield _pin(piece, blank, shop, index, pin)
    return 0


def _pin(piece: Workpiece, blank: Blank, shop: Shop, index: int, pin: Pin) -> Finding:
    """Least wood round a pin hole: to the outline (negative inside it) and to the blank's sides."""
    spot = np.array([[pin.x, pin.y]])
    foot = tuple(map(float, piece.skin.outline.segments.nearest(spot)[1][0]))
    rows = [
        (-float(piece.skin.inset(spot)[0]), "the outline", foot),
        (pin.x - blank.x0, "the blank's end", (blank.x0, pin.y)),
        (blank.x1 - pin.x, "the blank's end", (blank.x1, pin.y)),
        (pin.y - blank.y0, "the blank's side", (pin.x, blank.y0)),
        (blank.y1 - pin.y, "the blank's side", (pin.x, blank.y1)),
    ]
    room, what, near = min(rows)
    wood = room - pin.diameter / 2.0
    pin_id = f"pin.{index}" if piece.id == BODY else f"{piece.id}.pin.{index}"
    words = f"{wood:.2f} mm of waste between datum pin {index} and {what}"
    cure, at = f"move pin {index} away from {what}", ((pin.x, pin.y, 0.0), (near[0], near[1], 0.0))
    return judge((pin_id, what), wood, shop.limit("stock.pin"), words, cure, at=at)
