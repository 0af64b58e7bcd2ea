"""`one-piece`: does every workpiece hang together when all its cuts are made?"""

from __future__ import annotations

from collections.abc import Iterator

from bodycad.checks.finding import Finding, failed, passed, witness
from bodycad.checks.page import Page
from bodycad.checks.piece import Answers, of_each
from bodycad.checks.wood.parted import HELD, parted
from bodycad.layout.layout import Layout
from bodycad.layout.workpiece import Workpiece
from bodycad.safety import Danger
from bodycad.shop import Shop

PAGE = Page(
    asks="Does every workpiece still hang together when all its cuts are made?",
    why="Cuts that go through, or that meet from both faces, part the wood between them: an island "
    "in a ring, a strip beside a slot, a horn. No wall is too thin there, for none is left to be "
    "measured; the cutter takes the loose wood and throws it. It is asked level by level, with "
    f"edges and contours; wood narrower than {HELD:g} mm in plan holds nothing. A part that is "
    "meant to come loose is a workpiece of its own.",
    limits=(),
    cures="Move or shorten a cut that the text names, or let one end higher, so that wood joins "
    "what they part; or draw what is meant to come out as a void.",
    dangers=(Danger.ROUTER,),
)
NAMED = 4
"""So many cuts are named at the most."""


def one_piece(layout: Layout) -> Iterator[Finding]:
    """Each part of a workpiece that its cuts part from the rest."""
    count = yield from of_each(layout, _asked)
    words = f"{count} of {len(layout.pieces)} workpieces hang together with all their cuts made"
    yield passed("one-piece", (), words)


def _asked(piece: Workpiece, shop: Shop) -> Answers:
    found = parted(piece)
    for k, loose in enumerate(found, 1):
        names = loose.cuts[:NAMED]
        words = ", ".join(names) or "its outline and contours"
        text = f"{loose.volume:.0f} mm3 of {piece.id} come loose between {words}"
        cure = f"move or shorten {' or '.join(names)}" if names else "change the contours"
        spot = witness(loose.at, loose.at)
        which = (piece.id,) if len(found) == 1 else (piece.id, f"loose.{k}")
        yield failed("one-piece", (*which, *names), text, cure, at=spot)
    return int(not found)
