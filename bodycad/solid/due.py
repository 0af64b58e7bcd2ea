"""What the layout's own sums say of a workpiece before the kernel is asked. Loads no kernel."""

from __future__ import annotations

from dataclasses import dataclass

from bodycad.checks.finding import Finding, failed
from bodycad.checks.rules.kernel import SOLID
from bodycad.checks.wood.inwood import face_wood
from bodycad.layout.tool import tool_shapes
from bodycad.layout.volume import BodyFigures, body_figures, skin_volume, wood_removed
from bodycad.layout.workpiece import Workpiece
from bodycad.solid.snap import Tools, snapped
from bodycad.words import SIDES

CHECK = SOLID.name
MISS = 1e-3
"""A void that takes less wood than this (mm3) misses the body."""
VOIDS_AGREE = 1e-4
"""Largest disagreement of the kernel's, as a share of the volume that the voids remove."""
OUTSIDES_AGREE = 1e-5
"""Largest relative disagreement on the body before its voids."""
LEAST = 0.5
"""Disagreement (mm3) that is never held against the kernel: rounding of a large body."""
ROUGH = 1e-2
"""Whether a void takes wood at all is seen from a volume true to this share of its own."""


@dataclass(frozen=True)
class Due:
    """What a finished workpiece should be: `found`, what is wrong with its cuts as drawn; its
    figures; its volume before any void, mm3."""

    found: tuple[Finding, ...]
    figures: BodyFigures
    outside: float

    @property
    def removed(self) -> float:
        """What the voids take, mm3."""
        return self.outside - self.figures.volume

    @property
    def outside_off(self) -> float:
        """How far the kernel's volume before any void may be off, mm3."""
        return OUTSIDES_AGREE * self.outside

    @property
    def voids_off(self) -> float:
        """How far what the kernel's voids take may be off, mm3."""
        return max(VOIDS_AGREE * self.removed, LEAST)


def due(piece: Workpiece, tools: Tools | None = None) -> Due:
    """What a workpiece should be, its near misses taken out. `tools`: `tools_of` it, where they are
    known."""
    tools = tools or tools_of(piece)
    return due_of(piece, tools, before(piece, tools))


def due_of(piece: Workpiece, tools: Tools, found: tuple[Finding, ...] = ()) -> Due:
    """What a workpiece should be, cut by those tools."""
    return Due(found, body_figures(piece, tools.shapes), skin_volume(piece.skin))


def tools_of(piece: Workpiece) -> Tools:
    """The tools of every void, overshooting open faces and free of near misses."""
    return snapped(tool_shapes(piece), piece.skin.outline)


def before(piece: Workpiece, tools: Tools) -> tuple[Finding, ...]:
    """Findings that need no kernel: what was snapped, cuts that miss, blind cuts that come
    through."""
    found = [
        Finding(CHECK, "warn", ids, text, cure="draw them clearly apart or clearly overlapping")
        for ids, text in tools.notes
    ]
    missed = _missed(piece)
    for void in piece.voids:
        words = void.shape.words
        if void.id in missed:
            text = f"{void.id} takes no wood: {words} misses the {piece.id}"
            found.append(failed(CHECK, (void.id,), text, "move it into the wood, or leave it out"))
            continue
        for face in SIDES:
            if face not in void.opens and face_wood(void, piece, face)[0].distance == 0.0:
                text = (
                    f"{void.id} is a blind cut but comes out of the {face}: "
                    f"{words} in a {piece.thickness:g} mm {piece.id}"
                )
                cure = f"make it shallower or the {piece.id} thicker"
                found.append(failed(CHECK, (void.id,), text, cure))
    return tuple(found)


def _missed(piece: Workpiece) -> set[str]:
    """The voids that take no wood: roughly, and again where that does not settle it."""
    tools = tool_shapes(piece)
    rough = wood_removed(piece, tools, ROUGH)
    unsure = {
        name: shape
        for name, shape in tools.items()
        if rough[name] < MISS + 10.0 * ROUGH * shape.volume
    }
    taken = wood_removed(piece, unsure)
    return {name for name, volume in taken.items() if volume < MISS}
