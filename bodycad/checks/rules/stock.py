"""`stock`: the blank round the outline, its datum pins and its thickness."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from itertools import permutations

import numpy as np

from bodycad.checks.finding import Finding, judge, skip
from bodycad.checks.page import Page
from bodycad.checks.piece import Answers, blank_name, of_each
from bodycad.layout.blank import Blank, Pin
from bodycad.layout.layout import Layout
from bodycad.layout.workpiece import Workpiece
from bodycad.shop import Shop

PAGE = Page(
    asks="Does the blank hold the outline with waste all round, do its datum pins stand in waste, "
    "not in a core that runs on as the neck, clear of the cutter that goes round the outline, do "
    "they let the blank on in one way only, and is it as thick as drawn?",
    why="A blank with no waste leaves no room for clamps and a slip; a pin hole in the outline "
    "stays in the body; a cutter that meets a steel pin breaks; a blank laid end for end or this "
    "face for that is cut wrong; every depth is measured from the real face.",
    limits=("stock", "stock.pin", "stock.pin.cutter", "stock.pins", "stock.thickness"),
    cures="Use a larger blank, move the outline or the pins in it, set a third pin beside the line "
    "of the other two, or lay the design out for the thickness you measured.",
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
    name = blank_name(piece)
    x0, y0, x1, y1 = piece.skin.outline.box
    middle = (x0 + x1) / 2.0, (y0 + y1) / 2.0
    room = {" end": blank.x1 - blank.x0 - x1 + x0, "side": blank.y1 - blank.y0 - y1 + y0}
    for side, margin, one, two in (
        ("bridge end", x0 - blank.x0, (x0, middle[1]), (blank.x0, middle[1])),
        ("neck end", blank.x1 - x1, (x1, middle[1]), (blank.x1, middle[1])),
        ("-y side", y0 - blank.y0, (middle[0], y0), (middle[0], blank.y0)),
        ("+y side", blank.y1 - y1, (middle[0], y1), (middle[0], blank.y1)),
    ):
        beyond, short = f"reaches {margin:.2f} mm beyond", f"is {-margin:.2f} mm short of"
        words = f"{beyond if margin >= 0.0 else short} the outline"
        limit, text = shop.limit("stock"), f"the {name} {words} at its {side}"
        cure = "use a larger blank"
        if room[side[-4:]] / 2.0 >= shop.limit("stock").fail:
            cure = "use a larger blank or shift the outline in it"
        yield judge((name, side), margin, limit, text, cure, at=((*one, 0.0), (*two, 0.0)))
    for index, pin_id in enumerate(piece.pins, 1):
        yield from _pin(piece, blank, shop, index, pin_id)
    if len(piece.faces) > 1:
        yield _pins(name, blank, shop)
    return 0


def _pin(piece: Workpiece, blank: Blank, shop: Shop, index: int, pin_id: str) -> Iterator[Finding]:
    """Least wood round a pin hole: to the outline (negative inside it) and to the blank's sides;
    and beside the way of the cutter round the outline, the widest that reaches deep enough."""
    pin = piece.pins[pin_id]
    spot = np.array([[pin.x, pin.y]])
    foot = tuple(map(float, piece.skin.outline.segments.nearest(spot)[1][0]))
    rows = [
        (-float(piece.skin.inset(spot)[0]), "the outline", foot),
        (pin.x - blank.x0, "the blank's end", (blank.x0, pin.y)),
        (blank.x1 - pin.x, "the blank's end", (blank.x1, pin.y)),
        (pin.y - blank.y0, "the blank's side", (pin.x, blank.y0)),
        (blank.y1 - pin.y, "the blank's side", (pin.x, blank.y1)),
    ]
    if piece.neck is not None:
        side = tuple(map(float, piece.neck.segments.nearest(spot)[1][0]))
        beside = float(piece.neck.signed_distance(spot)[0])
        rows.append((beside, "the core that runs on as the neck", side))
    room, what, near = min(rows)
    wood = room - pin.diameter / 2.0
    words = f"{wood:.2f} mm of waste between datum pin {index} and {what}"
    cure, at = f"move pin {index} away from {what}", ((pin.x, pin.y, 0.0), (near[0], near[1], 0.0))
    yield judge((pin_id, what), wood, shop.limit("stock.pin"), words, cure, at=at)
    depth, every = max(piece.outline_cuts.values()), [c.diameter for c in shop.flat_cutters]
    wide = max((c.diameter for c in shop.flat_cutters if c.reach >= depth), default=max(every))
    beside = rows[0][0] - pin.diameter / 2.0 - wide
    if rows[0][0] > 0.0:
        words = (
            f"a {wide:g} mm cutter round the outline passes datum pin {index} by {beside:.2f} mm"
        )
        cure, at = f"move pin {index} away from the outline", (at[0], (foot[0], foot[1], 0.0))
        yield judge((pin_id,), beside, shop.limit("stock.pin.cutter"), words, cure, at=at)


def _pins(name: str, blank: Blank, shop: Shop) -> Finding:
    """How far the blank misses its pins when it is laid on them in any other way."""
    if not blank.pins:
        return skip("stock.pins", f"the {name} has no datum pins: its faces are lined up by hand")
    off = other_way(blank.pins)
    words = (
        f"laid end for end, the other face up or in any way but its own, the {name} misses a "
        f"datum pin by {off:.2f} mm"
    )
    if off < shop.limit("stock.pins").fail:
        words = f"the {name} goes on its datum pins in more than one way, within {off:.2f} mm"
    cure = "set a third pin beside the line of the other two, as blank_round does"
    return judge((name, "pins"), off, shop.limit("stock.pins"), words, cure)


def other_way(pins: Sequence[Pin]) -> float:
    """How far (mm) at least some pin stands off its hole when the blank is laid down in any way but
    its own: turned or turned over, each pin in any hole. A pin too wide for its hole is off by half
    the difference. Of more than four pins four are tried, in every choice of holes."""
    spots, sizes = np.array([(p.x, p.y) for p in pins]), np.array([p.diameter for p in pins])
    count = min(len(pins), 4)
    mine, own = spots[:count] - spots[:count].mean(axis=0), tuple(range(count))
    least = np.inf
    for order in permutations(range(len(pins)), count):
        there = spots[list(order)] - spots[list(order)].mean(axis=0)
        tight = float((sizes[:count] - sizes[list(order)]).max()) / 2.0
        for flip in (1.0, -1.0):
            if order == own and flip > 0.0:
                continue
            one, two = mine @ (1.0, 1j), there @ (1.0, flip * 1j)
            # The turn that brings the holes nearest to the pins; no way to lay it down has a least
            # worst misfit under the root of the mean square.
            across = complex((one * two.conj()).sum())
            turn = across / abs(across) if across else 1.0
            square = float((abs(one - turn * two) ** 2).sum()) / count
            least = min(least, max(tight, square**0.5))
    return float(least)
