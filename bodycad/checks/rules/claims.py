"""`size-claim`: sizes that the calipers contradict."""

from __future__ import annotations

from collections.abc import Iterator

from bodycad.checks.finding import Finding, judge, skip
from bodycad.checks.page import Page
from bodycad.layout.layout import Layout
from bodycad.units import Dimension, dimensions

PAGE = Page(
    asks="How far does each size that was measured lie from what its vendor, or the script before "
    "it, claimed?",
    why="The wood follows the calipers. Where they say something else than the sheet, either the "
    "sheet is loose, which is usual, or another part came, another place was measured, or inches "
    "were read as millimetres.",
    limits=("size-claim",),
    cures="Measure once more, and see that it is the part that was meant and the place that the "
    "sketch shows. If it is so, make the claim in the script the measured value.",
)


def size_claim(layout: Layout) -> Iterator[Finding]:
    """Measured against claimed, each size once, however many parts share it."""
    rows: dict[tuple[str, float, float], Dimension] = {}
    for owner, thing in (
        *((one.id, one.part) for one in layout.placed),
        ("instrument", layout.instrument),
    ):
        for one in dimensions(owner, thing):
            if one.origin == "measured" and one.claim is not None and one.unit == "mm":
                rows.setdefault((one.name, one.value, one.claim), one)
    if not rows:
        yield skip("size-claim", "no measured size stands beside a claim")
    for one in rows.values():
        name, limit = f"{one.part}.{one.name}", layout.shop.limit("size-claim")
        words = f"{name} measures {one.value:g} mm and is claimed {one.claim:g} mm: "
        words += f"{one.apart:.2f} mm apart"
        cure = f"measure {name} once more; if it is so, claim {one.value:g}"
        yield judge((name, "claim"), one.apart, limit, words, cure)
