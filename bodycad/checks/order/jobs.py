"""The jobs of a layout: everything that is cut, and what is done at the bench between."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from enum import StrEnum

import numpy as np

from bodycad.checks.order.approach import approach
from bodycad.checks.rules.cutters import edges, halved
from bodycad.checks.wood.before import EXTENT
from bodycad.checks.wood.drilled import drilled_from
from bodycad.checks.wood.near import of_the_skin
from bodycad.geometry.plane.profile import spread
from bodycad.geometry.plane.segments import Segments
from bodycad.geometry.solids.edge import Edge
from bodycad.geometry.solids.skin import Contour
from bodycad.layout.interface import Core, Fit, Joint, Screw, StringHole
from bodycad.layout.layout import Layout
from bodycad.layout.void import Void
from bodycad.layout.workpiece import Workpiece
from bodycad.shop import Shop
from bodycad.words import SIDES, EdgeForm, Face, FitKind, Mount

APART = 4.0
"""How far apart places along the outline are looked at, mm."""
SAME = 1e-6
"""A place of the outline nearer than this (mm) to a stretch lies in it."""


class Hold(StrEnum):
    """How the work is held: lying flat on a face in its waste or on a backing, with the datum pins
    where it has any; free of its waste; on its edge; for a drill at an angle; not at all."""

    BENCH = "bench"
    FLAT = "flat"
    EDGE = "edge"
    ANGLE = "angle"
    FREE = "free"


class Work(StrEnum):
    """What is done."""

    TEST = "test"
    GLUE_UP = "glue-up"
    PLANE = "plane"
    PINS = "pins"
    VOID = "void"
    MEET = "meet"
    WASTE = "waste"
    FIT = "fit"
    LEDGE = "ledge"
    BINDING = "binding"
    EDGE = "edge"
    CONTOUR = "contour"
    OUTLINE = "outline"
    HEEL = "heel"
    GLUE_NECK = "glue-neck"
    ASSEMBLY = "assembly"

    @property
    def cuts(self) -> bool:
        """Whether it cuts what is drawn."""
        return self in CUTS


CUTS = (Work.VOID, Work.LEDGE, Work.EDGE, Work.CONTOUR, Work.OUTLINE)


@dataclass(frozen=True, eq=False)
class Job:
    """One job: its name, unlike any other's; what it does to which workpiece, from which face and
    how that is held; and the ids that it cuts, or of what it is done for. void, edge, contour: what
    it cuts, where it is one of those."""

    name: str
    work: Work
    piece: Workpiece
    hold: Hold
    face: Face | None = None
    ids: tuple[str, ...] = ()
    void: Void | None = None
    edge: Edge | None = None
    contour: Contour | None = None

    @property
    def place(self) -> tuple[str, str, str]:
        """The set-up that it belongs to: workpiece, hold and face."""
        return self.piece.id, self.hold.value, self.face.value if self.face else ""

    @property
    def stretch(self) -> int:
        """The number of the stretch of the rim that an edge's job works, as its id has it; 0 for
        the whole rim."""
        number = self.ids[0].removeprefix(f"{self.piece.id}.{self.face}.edge").lstrip(".")
        return int(number or 0)

    @property
    def chain(self) -> Segments | None:
        """The stretch of the rim that an edge's job works; None for the whole rim."""
        runs = self.piece.skin.runs(self.face) if self.stretch and self.face else ()
        return runs[self.stretch - 1].chain if runs else None


def contour_job(piece: Workpiece, contour: str) -> str:
    """The name of the job that carves a contour."""
    return f"{piece.id}:contour:{contour}"


def shown(name: str) -> str:
    """A job's name for people. A name that is no void's holds a colon, which no id does."""
    return name.removeprefix("edge:").replace(":contour:", ":").replace(":", ".").lstrip(".")


def jobs(layout: Layout) -> Iterator[Job]:
    """Every job of a layout: of each workpiece what is drawn, each once; of the body also blank and
    neck; last the dry assembly."""
    body = layout.body
    yield from _tests(layout)
    for piece in layout.pieces:
        if piece.blank is not None:
            if piece.blank.joints:
                yield Job(f"{piece.id}:glue-up", Work.GLUE_UP, piece, Hold.BENCH)
            yield Job(f"{piece.id}:plane", Work.PLANE, piece, Hold.BENCH)
            if piece.blank.pins:
                yield Job(f"{piece.id}:pins", Work.PINS, piece, Hold.BENCH)
        if piece is body:
            yield from _neck(layout)
        for void in piece.voids:
            yield _void(piece, void)
            if met(void, piece, layout.shop):
                rest = piece, Hold.FLAT, void.face.opposite, (void.id,)
                yield Job(f"{void.id}:meet", Work.MEET, *rest, void=void)
        yield from _edges(piece)
        for contour in piece.skin.contours:
            rest = piece, Hold.FREE, contour.face, (contour.id,)
            yield Job(contour_job(piece, contour.id), Work.CONTOUR, *rest, contour=contour)
        for face in piece.outline_cuts:
            rest = piece, Hold.FLAT, face, (f"{piece.id}.outline",)
            yield Job(f"{piece.id}:outline:{face}", Work.OUTLINE, *rest)
    bitten: dict[str, list[str]] = {}
    for screw in layout.stated(Screw):
        if screw.bitten:
            bitten.setdefault(screw.part, []).append(screw.hole)
    for part, ids in bitten.items():
        yield Job(f"{part}:heel", Work.HEEL, body, Hold.BENCH, None, tuple(ids))
    glued = [(one.part, one.pocket) for one in layout.stated(Joint) if one.mount is Mount.GLUE]
    glued += [(core.part, core.part) for core in layout.stated(Core)]
    for part, what in glued:
        yield Job(f"{part}:glue", Work.GLUE_NECK, body, Hold.BENCH, None, (what,))
    yield Job(":assembly", Work.ASSEMBLY, body, Hold.BENCH)


def _void(piece: Workpiece, void: Void) -> Job:
    hold = Hold.FLAT if void.shape.upright else Hold.ANGLE
    hold = Hold.EDGE if void.face is Face.EDGE else hold
    face = drilled_from(void, piece)
    return Job(void.id, Work.VOID, piece, hold, face, (void.id,), void=void)


def met(void: Void, piece: Workpiece, shop: Shop) -> bool:
    """Whether an upright cut through the board is met from both faces: a hole too deep for its
    diameter, or what no tool on hand reaches through (`drill-reach`, `cutter-reach`)."""
    if not ({*SIDES} <= void.opens and void.shape.upright and void.face in SIDES):
        return False
    hole, deep = void.shape.hole, piece.thickness
    if hole is None:
        return halved(void, piece, shop)
    drill = shop.drill_for(hole.diameter, deep)
    if drill is None:
        return not any(c.reach >= deep and c.diameter <= hole.diameter for c in shop.flat_cutters)
    return (
        drill.reach < deep + drill.point
        or deep > shop.limit("drill-reach.ratio").warn * hole.diameter
    )


def _edges(piece: Workpiece) -> Iterator[Job]:
    for name, face, edge, _ in edges(piece):
        if edge.form is not EdgeForm.STRAIGHT:
            yield Job(f"edge:{name}", Work.EDGE, piece, Hold.FREE, face, (name,), edge=edge)
            continue
        hold = Hold.FREE if followed(piece, face, edge) else Hold.FLAT
        yield Job(f"edge:{name}", Work.LEDGE, piece, hold, face, (name,), edge=edge)
        yield Job(f"edge:{name}:binding", Work.BINDING, piece, Hold.FREE, face, (name,), edge=edge)


def followed(piece: Workpiece, face: Face, edge: Edge) -> tuple[Contour, ...]:
    """The contours that an edge of a face follows: its floor counts from their surface."""
    own = {s.contour for s in piece.skin.shelves if s.face is face and s.run.edge == edge}
    return tuple(c for c in rim_contours(piece, face, edge) if c.id in own)


def rim_contours(piece: Workpiece, face: Face, edge: Edge) -> tuple[Contour, ...]:
    """The contours of a face that lower it at the rim along one of its edges."""
    key = "contours at the rim", face, edge
    return of_the_skin(piece, key, lambda: tuple(_rim_contours(piece, face, edge)))


def _rim_contours(piece: Workpiece, face: Face, edge: Edge) -> Iterator[Contour]:
    skin = piece.skin
    own = [contour for contour in skin.contours if contour.face is face]
    if not own:
        return
    rim = _rim(piece)[along(piece, face, edge)]
    level, down = skin.level(face), -1.0 if face is Face.FRONT else 1.0
    for contour in own if len(rim) else ():
        deep = down * (contour.carve.height(rim, face) - level)
        if np.nan_to_num(deep, nan=-1.0).max() > EXTENT:
            yield contour


def _rim(piece: Workpiece) -> np.ndarray:
    """Places (m, 2) round the outline."""
    found: np.ndarray = of_the_skin(piece, ("rim",), lambda: spread(piece.skin.outline, APART))
    return found


def along(piece: Workpiece, face: Face, edge: Edge) -> np.ndarray:
    """At which places (m,) round the outline an edge of a face runs."""
    rim = _rim(piece)
    runs = [run for run in piece.skin.runs(face) if run.edge == edge]
    if not runs:
        return np.ones(len(rim), bool)
    there: np.ndarray = np.min([np.abs(run.inset(rim)) for run in runs], axis=0) < SAME
    return there


def _neck(layout: Layout) -> Iterator[Job]:
    """What is done for the neck: clear the waste where it will lie, fit it and look along it."""
    body = layout.body
    for joint in layout.stated(Joint):
        if joint.pocket not in body.by_id:
            continue
        face = layout.by_id[joint.pocket].face
        rest = body, Hold.FLAT, face, (joint.pocket,)
        if approach(layout, joint) is not None:
            yield Job(f"{joint.part}:waste", Work.WASTE, *rest)
        yield Job(f"{joint.part}:fit", Work.FIT, *rest)
    for core in layout.stated(Core):
        yield Job(f"{core.part}:fit", Work.FIT, body, Hold.BENCH, None, (core.part,))


def _tests(layout: Layout) -> Iterator[Job]:
    """Test pieces: each neck's pocket, each kind of seat that a ferrule is pressed into, and each
    recess that a cover is let into, proven in an offcut first."""
    wanted: dict[str, list[str]] = {}
    for joint in layout.stated(Joint):
        wanted.setdefault(f"test:{joint.part}:pocket", []).append(joint.pocket)
    seats = [hole.seat for hole in layout.stated(StringHole)]
    seats += [screw.seat for screw in layout.stated(Screw) if screw.loaded]
    for seat in filter(None, seats):
        void = layout.by_id[seat]
        hole = void.shape.hole
        if hole is not None:
            wanted.setdefault(f"test:seat:{hole.diameter:.2f}", []).append(seat)
    for fit in layout.stated(Fit):
        if fit.kind is FitKind.COVER:
            wanted.setdefault(f"test:{fit.part}:cover", []).append(fit.outer)
    for name, ids in wanted.items():
        yield Job(name, Work.TEST, layout.body, Hold.BENCH, None, tuple(dict.fromkeys(ids)))
