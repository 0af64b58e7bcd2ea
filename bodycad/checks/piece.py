"""Questions put to every workpiece of a layout, answered in the frame of the instrument."""

from __future__ import annotations

from collections.abc import Callable, Generator
from dataclasses import replace

from bodycad.checks.finding import Finding
from bodycad.layout.layout import Layout
from bodycad.layout.workpiece import BODY, Workpiece
from bodycad.shop import Limit, Shop

Answers = Generator[Finding, None, int]
"""Findings whose places are in a workpiece's own frame, and at the end how many things were
looked at without a finding of their own."""


def of_each(layout: Layout, ask: Callable[[Workpiece, Shop], Answers]) -> Answers:
    """The answers of every workpiece, their places in the instrument's frame; the sum of the
    counts."""
    total = 0
    for piece in layout.pieces:
        answers = ask(piece, layout.shop)
        while True:
            try:
                found = next(answers)
            except StopIteration as end:
                total += end.value
                break
            if found.at is not None and piece is not layout.body:
                one, two = found.at
                at = piece.frame.point(one), piece.frame.point(two)
                found = replace(found, at=at, piece=piece.id)
            yield found
    return total


def piece_limit(shop: Shop, piece: Workpiece, name: str) -> Limit:
    """The limit of that name in force for a workpiece: sheet has limits of its own."""
    return shop.limit(f"{name}.sheet" if piece.sheet else name)


def blank_name(piece: Workpiece) -> str:
    """What findings call the blank of a workpiece."""
    return "blank" if piece.id == BODY else f"{piece.id}.blank"
