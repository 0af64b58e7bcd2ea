"""The kernel's whole job for one layout: solids, judgement, files. Runs inside the child
process."""

from __future__ import annotations

import re
from collections.abc import Callable, Sequence
from functools import partial
from pathlib import Path

import numpy as np

from bodycad.checks.finding import Finding
from bodycad.checks.rules.assembly import Claim
from bodycad.errors import BodycadError
from bodycad.layout.layout import Layout
from bodycad.layout.workpiece import Workpiece
from bodycad.solid import contours, fitted, glb, occ, step, verify
from bodycad.solid.beside import Beside, Ended
from bodycad.solid.body import (
    BODY_COLOUR,
    SHEET_COLOUR,
    Carved,
    NamedSolid,
    carved,
    in_place,
    room_solids,
)
from bodycad.solid.due import CHECK, Due, due, tools_of
from bodycad.solid.snap import Tools

Progress = Callable[[str], None]
NEAR = 0.5
"""What comes this near (mm) to a place stands there."""


def run(
    layout: Layout,
    directory: Path,
    progress: Progress = lambda step: None,
    claims: Sequence[Claim] = (),
    dues: Callable[[], Sequence[Due]] | None = None,
    tools: Sequence[Tools] | None = None,
    judged: Callable[[Sequence[Finding]], None] = lambda found: None,
) -> tuple[Finding, ...]:
    """Make the solids of `layout`, judge them, put what the `claims` speak of into them, and write
    its STEP and GLB files into `directory`. `dues` answers what each workpiece should be, `tools`
    are those of each, where that is worked out already. `judged` is told what was found before the
    files are written.

    Nothing is written where a workpiece disagrees with the layout. Faults come back as findings,
    never as exceptions of ours.
    """
    found: list[Finding] = []
    made: list[NamedSolid] = []
    cut: list[tuple[Workpiece, Tools, Carved]] = []
    known: list[Due] = []

    def of(k: int) -> Callable[[], Due]:
        return lambda: should()[k]

    def should() -> list[Due]:
        if not known:
            progress("adding up the pieces")
            known.extend(_should(layout, dues))
        return known

    try:
        try:
            for k, piece in enumerate(layout.pieces):
                progress(f"preparing the tools for {piece.id}")
                own = tools[k] if tools else tools_of(piece)
                cut.append((piece, own, carved(piece, own, progress, of(k))))
        finally:
            found += (one for its in should() for one in its.found)
        for its, (piece, own, one) in zip(should(), cut, strict=True):
            progress(f"verifying {piece.id}")
            found += (*verify.told(one.notes), *verify.after(piece, one, own, its))
            colour = BODY_COLOUR if piece is layout.body else SHEET_COLOUR
            made.append(NamedSolid(piece.id, colour, in_place(one.solid, piece.frame)))
        if any(f.status == "error" for f in found):
            return tuple(found)
        if claims:
            progress("putting the instrument together")
            found += fitted.proven(claims, {one.id: one.solid for one in made})
        progress("making the rooms")
        made += room_solids(layout)
    except BodycadError as err:
        return (*found, _fault(layout, str(err)))
    judged(found)
    outsides = [(piece, one.blank) for piece, _, one in cut if piece.skin.contours]
    return (*found, *_written(layout, made, outsides, directory, progress))


def _should(layout: Layout, dues: Callable[[], Sequence[Due]] | None) -> Sequence[Due]:
    """What each workpiece should be. Raises BodycadError where that cannot be said."""
    if dues is not None:
        try:
            return dues()
        except Ended:  # the copy could not say it, so it is asked here, where its reason is heard
            pass
    return tuple(map(due, layout.pieces))


def _written(
    layout: Layout,
    made: Sequence[NamedSolid],
    outsides: Sequence[tuple[Workpiece, occ.Solid]],
    directory: Path,
    progress: Progress,
) -> list[Finding]:
    """Write and read back the files, side by side; a finding for each that is refused."""
    name, body = layout.name, made[0].solid
    writers: list[tuple[str, Callable[[Path], None]]] = [
        (f"{name}-layout.step", lambda p: step.write_layout(made, p, name)),
        (f"{name}-body.step", lambda p: step.write_body(body, p, f"{name}-body", layout.thickness)),
        (f"{name}-body.glb", lambda p: glb.write_glb(made, p, name)),
    ]
    if outsides:
        write = partial(contours.write_contours, outsides)
        writers.insert(0, (f"{name}-contours.step", write))

    def refusal(path: str, write: Callable[[Path], None]) -> str:
        try:
            write(directory / path)
        except BodycadError as err:
            return str(err)
        return ""

    progress(f"writing {', '.join(path for path, _ in writers)}")
    answers = [Beside(f"writing {one[0]}", partial(refusal, *one)) for one in writers[:-1]]
    refused = refusal(*writers[-1]), *(one.answer() for one in answers)
    return [_fault(layout, text) for text in refused if text]


def _fault(layout: Layout, text: str) -> Finding:
    """An error with the ids that its text names as subjects; where it names none, what stands at
    the places it speaks of."""
    words = set(re.findall(r"[\w.+-]*\w", text))
    ids = [
        *(name for piece in layout.pieces for name in piece.by_id),
        *(room.id for room in layout.rooms),
        *(c.id for piece in layout.pieces for c in piece.skin.contours),
        *(piece.id for piece in layout.pieces if piece is not layout.body),
    ]
    named = tuple(i for i in ids if i in words)
    cure = f"change {' or '.join(named[:4])} slightly; the kernel cannot make it as drawn"
    if not named:
        named = _standing(layout.body, text)
        if named:
            cure = f"move {' or '.join(named[:4])} by a tenth of a millimetre at that place"
        else:
            cure = "leave out edges, contours and parts in turn to find what it cannot make"
    return Finding(CHECK, "error", named or (layout.body.id,), text, cure=cure)


def _standing(piece: Workpiece, text: str) -> tuple[str, ...]:
    """The voids and contours that stand at a place (x, y) or (x, y, z) of a text, and the edge
    where it lies at the outline."""
    number = r"(-?\d+\.?\d*)"
    found: list[str] = []
    shapes = [(void.id, void.shape.box) for void in piece.voids]
    shapes += [(contour.id, contour.carve.box) for contour in piece.skin.contours]
    for x, y, z in re.findall(rf"\({number}, {number}(?:, {number})?\)", text):
        spot = (float(x), float(y), *((float(z),) if z else ()))
        found += [
            name
            for name, box in shapes
            if all(box[k] - NEAR <= v <= box[k + 3] + NEAR for k, v in enumerate(spot))
        ]
        inset = float(piece.skin.inset(np.array([spot[:2]]))[0])
        if abs(inset) <= piece.skin.reach + NEAR:
            found.append(piece.edge)
    return tuple(dict.fromkeys(found))
