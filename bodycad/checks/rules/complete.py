"""`complete`: is anything forgotten?"""

from __future__ import annotations

from collections.abc import Iterator

from bodycad.checks.finding import Finding, failed, judge, passed
from bodycad.checks.page import Page
from bodycad.checks.wood.near import open_into
from bodycad.geometry.distance.gap import gap
from bodycad.layout.layout import Layout
from bodycad.layout.void import Void
from bodycad.parts.bridge import Hardtail
from bodycad.parts.cavity import Cavity
from bodycad.parts.control import Control
from bodycad.parts.jack import EndJack, StrapButton
from bodycad.parts.neckjoint import NeckJoint
from bodycad.parts.pickup import Humbucker

PAGE = Page(
    asks="Has every part its holes, does every hole open where it should, does every cut lie "
    "within the blank, and is every part that an instrument needs there?",
    why="The forgotten hole is found at first stringing, with the finish on.",
    limits=("complete",),
    cures="Place the missing part, or lengthen the hole that stops short.",
)

NEEDED = (
    (NeckJoint, 1, "a neck joint"),
    (Hardtail, 1, "a bridge"),
    (StrapButton, 2, "two strap buttons"),
)
NEEDED_WITH_PICKUPS = ((Control, 1, "a control"), (EndJack, 1, "a jack"))


def complete(layout: Layout) -> Iterator[Finding]:
    """Parts, their holes, declared openings, connections and cavities."""
    needed = NEEDED + (NEEDED_WITH_PICKUPS if layout.parts(Humbucker) else ())
    for kind, count, words in needed:
        have = len(layout.parts(kind))
        if have < count:
            yield failed(
                "complete", (words,), f"the design has {have} of {words}", f"place {words}"
            )
    for placed in layout.placed:
        if not layout.voids_of(placed.id):
            yield failed(
                "complete",
                (placed.id,),
                f"{placed.id} has no cut and no hole",
                "give the part its holes or leave it out",
            )
    opened = 0
    for void in layout.voids:
        for other in sorted(void.meets):
            if open_into(layout.body, void, layout.by_id[other]):
                opened += 1
            else:
                found = gap(void.shape, layout.by_id[other].shape)
                yield judge(
                    (void.id, other),
                    -found.distance,
                    layout.shop.limit("complete"),
                    f"{void.id} stops {found.distance:.2f} mm short of {other}, which it should "
                    "open into",
                    f"make {void.id} deeper or move it",
                    at=found.at,
                )
    for void, beyond in outside(layout):
        yield failed(
            "complete",
            (void.id, "blank"),
            f"{void.id} lies {beyond:.2f} mm outside the blank",
            f"move {void.part} into the body",
        )
    cavities = {p.id for p in layout.parts(Cavity)}
    for placed in layout.placed:
        cavity = getattr(placed.part, "cavity", None)
        if cavity is not None and cavity not in cavities:
            yield failed(
                "complete",
                (placed.id,),
                f"{placed.id} hangs in {cavity}, which is not a placed cavity",
                f"place a cavity {cavity}",
            )
    linked = {end for link in layout.links for end in (link.one, link.two)}
    for placed in (*layout.parts(Humbucker), *layout.parts(Control), *layout.parts(EndJack)):
        if placed.id not in linked:
            yield failed(
                "complete",
                (placed.id,),
                f"{placed.id} has no connection to anything",
                f"add a Link for {placed.id}",
            )
    yield passed(
        "complete",
        (),
        f"{len(layout.placed)} parts, {len(layout.voids)} cuts and holes, {opened} openings, "
        f"{len(layout.links)} connections",
    )


def outside(layout: Layout) -> list[tuple[Void, float]]:
    """The cuts from a face that reach beyond the blank, and how far (mm); those that open in the
    edge may."""
    blank, found = layout.blank, []
    for void in layout.voids:
        x0, y0, _, x1, y1, _ = void.shape.box
        beyond = max(blank.x0 - x0, blank.y0 - y0, x1 - blank.x1, y1 - blank.y1)
        if "edge" not in void.opens and beyond > 1e-3:
            found.append((void, beyond))
    return found
