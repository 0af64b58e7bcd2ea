"""What the kernel made, judged against the layout's own sums: it accepts nonsense silently.

One valid solid, volume and balance as the layout sums them (`due`). Only when these disagree is
every void looked at alone, to name the one that is wrong.
"""

from __future__ import annotations

import math
from collections.abc import Sequence

from bodycad.checks.finding import Finding
from bodycad.errors import SolidError
from bodycad.layout.volume import body_figures, wood_removed
from bodycad.layout.workpiece import Workpiece
from bodycad.solid import kernel, occ
from bodycad.solid.body import Carved
from bodycad.solid.compare import at_most
from bodycad.solid.due import CHECK, LEAST, VOIDS_AGREE, Due, due_of
from bodycad.solid.snap import Note, Tools
from bodycad.solid.ways import SHIFT

BALANCE = 0.01
"""Largest distance (mm) between the kernel's and the layout's centre of the body."""


def told(notes: Sequence[Note]) -> tuple[Finding, ...]:
    """What was done to make a workpiece."""
    cure = f"cut by the drawings, which are as drawn; the STEP files keep within {SHIFT:g} mm"
    return tuple(Finding(CHECK, "warn", ids, text, cure=cure) for ids, text in notes)


def after(
    piece: Workpiece, made: Carved, tools: Tools, due: Due | None = None
) -> tuple[Finding, ...]:
    """Findings on a finished workpiece: one valid solid, volume and centre as the layout's own.

    The volume may differ by `VOIDS_AGREE` of what the voids remove. `due`: the layout's sums, where
    they are known.
    """
    body, blank = made.solid, made.blank
    try:
        kernel.sound(body, f"the {piece.id}", f"{len(tools.shapes)} voids")
    except SolidError as err:
        cure = "leave out its voids one by one to find the one that the kernel cannot cut"
        return (Finding(CHECK, "error", (piece.id,), str(err), cure=cure),)
    due = due or due_of(piece, tools)
    figures, outside = due.figures, due.outside
    shell = kernel.volume(blank)
    if abs(shell - outside) > due.outside_off:
        ids = tuple(contour.id for contour in piece.skin.contours) or (piece.id,)
        text = (
            f"before any void the kernel's {piece.id} holds {shell:.1f} mm3, the layout's own "
            f"sum is {outside:.1f} mm3"
        )
        cure = "change the outline, the edge treatment or a contour slightly"
        gap = abs(shell - outside), due.outside_off
        return (at_most("error", CHECK, ids, text, *gap, cure, unit="mm3"),)
    removed, got = outside - figures.volume, kernel.volume(body)
    # The outside was judged above: what is left of its disagreement is not held against the voids.
    off, allowed = abs((shell - got) - removed), due.voids_off
    text = (
        f"the kernel's {piece.id} holds {got:.1f} mm3, the layout's own sum is "
        f"{figures.volume:.1f} mm3; the voids remove {removed:.1f} mm3"
    )
    if off > allowed:
        guilty, why = blame(piece, body, blank, tools)
        ids, text = guilty or (piece.id,), f"{text}; {why}"
        cure = "change the named void slightly: the kernel cannot cut it as drawn"
        return (at_most("error", CHECK, ids, text, off, allowed, cure, unit="mm3"),)
    drift = math.dist(figures.centroid, kernel.centre(body))
    if drift > BALANCE:
        text += f", but their centres are {drift:.3f} mm apart"
        cure = "two faults cancel in volume: look for a void in the wrong place"
        return (at_most("error", CHECK, (piece.id,), text, drift, BALANCE, cure),)
    if made.closed:
        text += (
            f"; edges and faces narrower than {made.closed:g} mm are closed up in the STEP files"
        )
    return (at_most("pass", CHECK, (piece.id,), text, off, allowed, unit="mm3"),)


def blame(
    piece: Workpiece, body: occ.Shape, blank: occ.Solid, tools: Tools
) -> tuple[tuple[str, ...], str]:
    """Which voids the disagreement comes from, and why, in words.

    Wood left inside a void's room; then each void cut alone against its own sum; then all but one.
    """
    solids = {name: kernel.solid_of(shape, name) for name, shape in tools.shapes.items()}
    left = {name: kernel.volume(body.intersect(solid)) for name, solid in solids.items()}
    worst = [name for name, wood in left.items() if wood > LEAST]
    if worst:
        return tuple(worst), "; ".join(
            f"{left[name]:.1f} mm3 of wood is left inside {name} ({tools.shapes[name].words})"
            for name in worst
        )
    whole, due, parts = kernel.volume(blank), wood_removed(piece, tools.shapes), []
    for name, solid in solids.items():
        got = whole - kernel.volume(kernel.cut(blank, [(name, solid)], name))
        if abs(got - due[name]) > max(VOIDS_AGREE * due[name], LEAST):
            words = tools.shapes[name].words
            text = f"{name} alone removes {got:.1f} mm3 where {due[name]:.1f} mm3 are due ({words})"
            parts.append((name, text))
    if parts:
        return tuple(name for name, _ in parts), "; ".join(text for _, text in parts)
    again = kernel.volume(kernel.cut(blank, list(solids.items()), "the voids"))
    if abs(again - body_figures(piece, tools.shapes).volume) <= LEAST:
        return (), "every void is right alone, and all together when cut again"
    names = []
    for name in solids:
        rest = {n: shape for n, shape in tools.shapes.items() if n != name}
        made = kernel.cut(blank, [(n, solids[n]) for n in rest], f"all but {name}")
        if abs(kernel.volume(made) - body_figures(piece, rest).volume) <= LEAST:
            names.append(name)
    if names:
        text = f"the volume is right as soon as one of these is left out: {', '.join(names)}"
        return tuple(names), text
    return (), "every void is right alone; the kernel fails on them together"
