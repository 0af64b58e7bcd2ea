"""`screw-grip`: how deep each screw bites that is none of a neck's."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

import numpy as np

from bodycad.checks.finding import Finding, failed, judge, passed, skip
from bodycad.checks.page import Page
from bodycad.checks.rules.bolts import radius_of
from bodycad.checks.rules.clamp import held
from bodycad.checks.rules.seated import necks
from bodycad.checks.wood.thread import bitten, length
from bodycad.geometry.solids.solid import point3
from bodycad.layout.interface import Screw, Sprung
from bodycad.layout.layout import Layout

FAR = 10.0
"""Wood screws that bite more than this (mm) are not listed: no limit is near them."""
PAGE = Page(
    asks="How much thread does each screw that is none of a neck's have in the wood, or in the "
    "part, that it bites, and is its hole there narrower than its thread?",
    why="A screw that does not reach what it bites looks driven home and holds nothing; a few "
    "turns in wood strip when it is tightened.",
    limits=("screw-grip", "screw-grip.thread"),
    cures="Use a longer screw, set its head deeper, or drill its hole narrower or deeper.",
)


def screw_grip(layout: Layout) -> Iterator[Finding]:
    """Each screw but those of necks (`bolt-grip`), of what hangs in a cavity (`control-clamp`) and
    of what springs hold up (`pickup-mount`)."""
    elsewhere = {screw for neck in necks(layout) for screw in neck.screws}
    elsewhere |= {screw for screw, _ in held(layout)}
    sprung = {name for one in layout.stated(Sprung) for name in one.holes}
    asked = [s for s in layout.stated(Screw) if s not in elsewhere and s.hole not in sprung]
    if not asked:
        yield skip("screw-grip", "this design has no screws but those that other checks ask about")
        return
    found = [one for screw in asked for one in _grip(layout, screw)]
    yield from found
    words = f"{len(asked) - len(found)} of {len(asked)} screws bite over {FAR:g} mm of wood"
    yield passed("screw-grip.far", (), words)


def _grip(layout: Layout, screw: Screw) -> Iterator[Finding]:
    what = screw.bites or layout.homes[screw.hole].id
    name = f"screw {screw.number} of {screw.part}"
    wide = 2.0 * radius_of(layout.by_id[screw.hole])
    if screw.bites is None and screw.insert is None and wide >= screw.thread - 1e-9:
        words = f"{name} bites nothing in {screw.hole}: the hole is {wide:.2f} mm wide, its thread "
        cure = f"drill {screw.hole} narrower, or state in `bites` the room that the thread holds in"
        yield failed("screw-grip.free", (screw.hole, "thread"), f"{words}{screw.thread:.2f}", cure)
        return
    spans, reach = bitten(layout, screw), float(screw.reach)
    bite = length(spans, reach)
    wood = screw.insert is None and (screw.bites is None or bool(screw.pilot))
    if screw.insert is not None:
        bite = min(bite, screw.insert.length)
    if screw.grip is not None and (wood or screw.insert):
        bite = min(bite, screw.grip)
    if wood and bite > FAR:
        return
    tip = point3(np.add(screw.at, reach * np.array(screw.way)))
    mouth = point3(np.subtract(tip, max(bite, 0.0) * np.array(screw.way)))
    # A screw that its hole's face lets in goes as deep however that face comes out.
    at = (mouth, tip) if screw.bites else (tip, tip)
    words = f"{name} has {bite:.2f} mm of thread in {what}"
    words = words if bite > 0.0 else f"{name} ends {-bite:.2f} mm short of {what}"
    cure = f"use a longer screw in {screw.hole}, or set its head deeper"
    if wood:
        limit = layout.shop.limit("screw-grip")
        found = judge((screw.hole, what), bite, limit, words, cure, at=at)
        yield replace(found, steps=True)  # of several errors another end of the thread decides
        return
    wants = screw.thread if screw.insert is not None or screw.grip is None else screw.grip
    limit = layout.shop.limit("screw-grip.thread")
    words = f"{words}; it wants {wants:.2f} mm there"
    yield judge((screw.hole, what), bite - wants, limit, words, cure, at=at)
