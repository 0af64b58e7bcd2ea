"""Findings on what the simulated cutting left and gouged, each with its place and what is there."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator
from dataclasses import replace

import numpy as np

from bodycad.checks.finding import Finding, judge, passed, witness
from bodycad.checks.rules.simulation import NAME
from bodycad.geometry.solids.skin import Contour, Skin
from bodycad.layout.workpiece import BODY, Workpiece
from bodycad.shop import Shop
from bodycad.simulation.compare import Patch
from bodycad.simulation.grid import SHARP
from bodycad.simulation.job import Job
from bodycad.simulation.run import Simulated
from bodycad.simulation.seat import Seat
from bodycad.words import SIDES, Face

NEAR = 2.0
"""A cut is concerned by what is wrong within so many mm of it in plan."""
LOWER = 0.1
"""So much less counts how far above or below a cut a place lies than how far beside it: what goes
too deep goes through the floor of the cut whose plan it has."""
REMEDY = "write the files anew; where they are as written, report it with the design"


def findings(done: Simulated, shop: Shop) -> tuple[Finding, ...]:
    """What a piece's simulated cutting says: what is left, what is gouged, pins that do not go in,
    what is odd in its files, and what was not simulated."""
    found = [
        *_wrong(done, shop),
        *_pins(done, shop),
        *_notes(done),
        *_coarse(done),
        *_by_hand(done),
    ]
    frame, piece = done.piece.frame, done.piece
    if piece.id == BODY:
        return tuple(found)
    return tuple(
        replace(one, at=(frame.point(one.at[0]), frame.point(one.at[1])), piece=piece.id)
        if one.at is not None
        else one
        for one in found
    )


def _wrong(done: Simulated, shop: Shop) -> Iterator[Finding]:
    words = {
        "left": ("is left in", done.compared.left_at),
        "gouge": ("is gouged at", done.compared.gouged_at),
    }
    for name, (verb, patches) in words.items():
        code, limit = f"{NAME}.{name}", shop.limit(f"{NAME}.{name}")
        by_subjects: dict[tuple[str, ...], list[Patch]] = {}
        for patch in patches:
            by_subjects.setdefault(_concerned(done.piece, patch), []).append(patch)
        for ids, own in sorted(by_subjects.items()):
            worst = max(own, key=lambda patch: patch.deep)
            volume = sum(patch.volume for patch in own)
            x, y, z = worst.spot
            places = f" in {len(own)} places" if len(own) > 1 else ""
            text = (
                f"{worst.deep:.2f} mm of wood {verb} {', '.join(ids)}, worst at ({x:.1f}, {y:.1f}, "
                f"{z:.1f}); {volume:.1f} mm3{places}"
            )
            at = witness(worst.spot, worst.spot)
            yield judge(ids, worst.deep, limit, text, REMEDY, at=at)
        if not patches:
            yield judge((done.piece.id,), 0.0, limit, _well(done, name), "", code=code)


def _well(done: Simulated, name: str) -> str:
    """What is said where nothing is left, or nothing gouged."""
    own = done.compared
    if name == "gouge":
        return (
            f"cut from its files on cells of {done.grid.pitch:g} mm, {done.piece.id} is gouged "
            f"nowhere; {own.within[1]:.1f} mm3 are missing within the stated tolerance"
        )
    tabs = f", {done.tabs} tabs" if done.tabs else ""
    ridge = f", ridges of {done.ridge:.3f} mm" if done.ridge else ""
    return (
        f"cut from its files on cells of {done.grid.pitch:g} mm, {done.piece.id} keeps no wood "
        f"that should go but {own.stated:.1f} mm3 in corners that no cutter gets into{tabs}{ridge}"
        f", and {own.within[0]:.1f} mm3 within the stated tolerance"
    )


def _pins(done: Simulated, shop: Shop) -> Iterator[Finding]:
    for job, seat in zip(done.jobs, done.seats):
        yield from _pinned(job, seat, done.piece, shop)


def _pinned(job: Job, seat: Seat, piece: Workpiece, shop: Shop) -> Iterator[Finding]:
    ids, limit = (f"{piece.id}.{job.face}",), shop.limit(f"{NAME}.pins")
    at = witness((*seat.spot, 0.0), (*seat.spot, 0.0))
    if seat.lacking:
        text = f"{job.name} lacks {seat.lacking} of the datum pins that {piece.id} is set up on"
        cure = "put the pins' holes back on its DATUM layer"
        yield Finding(f"{NAME}.pins", "fail", ids, text, at=at, cure=cure)
    elif job.pins and not (piece.blank and piece.blank.pins):
        text = f"{job.name} is set up on {len(job.pins)} datum pins; {piece.id} has none"
        cure = "write the files of this design anew"
        yield Finding(f"{NAME}.pins", "fail", ids, text, at=at, cure=cure)
    elif job.pins:
        off = min(seat.off, 1e4)
        text = f"the datum pins of {job.name} lie within {off:.3f} mm of those in the wood"
        if off > limit.warn:
            text = (
                f"a datum pin of {job.name} lies {off:.2f} mm from any in the wood that is "
                "as wide, however the blank is put on"
            )
        yield judge(ids, off, limit, text, "draw each face as it is seen, pins and all", at=at)


def _notes(done: Simulated) -> Iterator[Finding]:
    for job in done.jobs:
        odd = [(words, (x, y, 0.0)) for name, words, (x, y) in done.odd if name == job.name]
        notes = [*(words for words, _ in odd), *job.notes]
        if notes:
            cure = "write the files anew, or make name and data agree"
            text = "; ".join(notes[:5])
            more = len(notes) - 5
            text += f"; and {more} more" if more > 0 else ""
            at = witness(odd[0][1], odd[0][1]) if odd else None
            yield Finding(f"{NAME}.file", "warn", (job.name,), text, at=at, cure=cure)


def _coarse(done: Simulated) -> Iterator[Finding]:
    pitch, name = done.grid.pitch, done.piece.id
    text = f"the walls of {name} {done.grid.judged}"
    if pitch > SHARP + 1e-9:
        cure = f"cut on cells of {SHARP:g} mm or less"
        yield Finding(f"{NAME}.pitch", "warn", (name,), text, cure=cure)
    else:
        yield passed(f"{NAME}.pitch", (name,), text)


def _by_hand(done: Simulated) -> Iterator[Finding]:
    names = done.target.by_hand
    if names:
        text = "; ".join(f"{name}: {why}" for name, why in names.items())
        text = f"not simulated, made by hand: {len(names)} of {done.piece.id}: {text}"
        yield Finding(f"{NAME}.hand", "skip", tuple(names), text)
    else:
        text = f"all cuts of {done.piece.id} are simulated: none is made by hand"
        yield passed(f"{NAME}.hand", (done.piece.id,), text)


def _concerned(piece: Workpiece, patch: Patch) -> tuple[str, ...]:
    """What lies at most of the cells of a patch."""
    found = Counter(subjects(piece, spot) for spot in patch.spots)
    return min(found, key=lambda ids: (-found[ids], ids))


def subjects(piece: Workpiece, spot: tuple[float, float, float]) -> tuple[str, ...]:
    """What lies at a place of a piece: the cut whose plan and heights come nearest to it; else the
    edge, the contours, or the outline."""
    x, y, z = spot
    point = np.array([[x, y]])
    near = []
    for void in piece.voids:
        beside = max(float(void.shape.plan.signed_distance(point)[0]), 0.0)
        if beside <= NEAR:
            above = max(void.low - z, z - void.high, 0.0)
            near.append((beside + LOWER * above, void.shape.plan.area, void.id))
    if near and min(near)[0] <= NEAR:
        return (min(near)[2],)
    skin, inset = piece.skin, float(piece.skin.inset(point)[0])
    front = abs(z - float(skin.height("front", point)[0]))
    back = abs(z - float(skin.height("back", point)[0]))
    face = Face.FRONT if front <= back else Face.BACK
    for k, run in enumerate(skin.runs(face), 1):
        if float(run.inset(point)[0]) < run.edge.reach and inset > -NEAR:
            return (f"{piece.id}.{face}.edge.{k}",)
    if 0.0 <= inset < skin.edge(face).reach:
        return (f"{piece.id}.{face}.edge",)
    shaped = [c.id for f in (face, *SIDES) for c in _lowering(skin, f, point)]
    if inset > 0.0 and shaped:
        return (shaped[0],)
    if abs(inset) < NEAR:
        return (f"{piece.id}.outline",)
    return (min(near)[2],) if near else (piece.id,)


def _lowering(skin: Skin, face: Face, point: np.ndarray) -> Iterator[Contour]:
    """The contours of a face that lower it at a place."""
    level, up = skin.level(face), 1.0 if face is Face.FRONT else -1.0
    for contour in skin.contours:
        height = float(contour.carve.height(point, face)[0]) if contour.face is face else np.nan
        if up * (level - height) > 0.0:
            yield contour
