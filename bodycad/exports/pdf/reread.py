"""Reads full-size paper back: the file from the disk, page by page, and a face's drawing against
the layout that it is of.

A file that PDF's rules allow may still lack a hole, show a back that was not turned over, or part
of a page; nobody would see that before the wood is cut."""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator, Sequence
from pathlib import Path

import numpy as np

from bodycad.errors import FileError
from bodycad.exports.pdf.kit import POINTS, Stencil
from bodycad.exports.pdf.pages import Page
from bodycad.geometry.plane.profile import Point
from bodycad.layout.void import Room, Void
from bodycad.layout.workpiece import Workpiece
from bodycad.making.upright import depth_of
from bodycad.words import Face

NEAR = 0.02
"""How far (mm) what is read may stand from where the layout has it."""
WRITTEN = 0.005
"""The same of a page and what was planned for it: a file holds seven digits."""
_NUMBER = rb"(-?[\d.]+)"
_STREAM = re.compile(rb"(\d+) 0 obj\s+<<((?:(?!endobj).)*?)>>\s+stream\r?\n", re.S)
_PAGE = re.compile(rb"/Contents (\d+) 0 R /MediaBox \[ 0 0 %s %s \]" % (_NUMBER, _NUMBER))
_FORM = re.compile(rb"/FormXob\.(\S+) (\d+) 0 R")
_SHOWN = re.compile(
    rb"n %s re W\* n\s+1 0 0 1 %s cm\s+/FormXob\.(\S+) Do"
    % (rb" ".join([_NUMBER] * 4), rb" ".join([_NUMBER] * 2))
)
_LINE = re.compile(r"n (\S+) (\S+) m (\S+) (\S+) l\s+S")
_KNOT = re.compile(r"(-?[\d.]+) (-?[\d.]+) [mlc]\b")


def reread(path: Path, planned: Sequence[Page]) -> None:
    """Hold a file against the pages that it should have: their number, sizes, and each drawing
    whole and in its place. Raises FileError that names the first page that is wrong."""
    raw = path.read_bytes()
    streams = dict(_streams(raw))
    forms = {name.decode(): streams.get(int(number), b"") for name, number in _FORM.findall(raw)}
    found = _PAGE.findall(raw)
    if len(found) != len(planned):
        raise FileError(f"{path.name} has {len(found)} pages, not {len(planned)}")
    for k, (page, (content, wide, high)) in enumerate(zip(planned, found), 1):
        size = float(wide) / POINTS, float(high) / POINTS
        shown = _SHOWN.findall(streams.get(int(content), b""))
        due = [(one.name, (*page.window[:2], *_extent(page), *shift)) for one, shift in page.placed]
        read = [(row[6].decode(), tuple(map(float, row[:6]))) for row in shown]
        right = [name for name, _ in due] == [name for name, _ in read]
        right = right and all(_same(a, b) for (_, a), (_, b) in zip(due, read))
        whole = all(one.stencil.code.encode() in forms[one.name] for one, _ in page.placed)
        if not (right and whole and _same(size, (page.wide, page.high))):
            raise FileError(f"page {k} of {path.name} does not show what was drawn on it")


def _streams(raw: bytes) -> Iterator[tuple[int, bytes]]:
    """Every stream of a file by the number of its object."""
    for found in _STREAM.finditer(raw):
        long = re.search(rb"/Length (\d+)", found[2])
        yield int(found[1]), raw[found.end() : found.end() + int(long[1])] if long else b""


def _extent(page: Page) -> Point:
    x0, y0, x1, y1 = page.window
    return x1 - x0, y1 - y0


def _same(one: Iterable[float], two: Iterable[float]) -> bool:
    return all(abs(a - b) < WRITTEN for a, b in zip(one, two))


def hold(stencil: Stencil, piece: Workpiece, face: Face, parts: Sequence[Room]) -> None:
    """Hold a face's drawing against the layout: a cross in every upright hole and pin, the outline,
    the contours of what is cut upright here or comes out here, and the outlines of `parts`, all as
    seen from that face. Raises FileError that names what is missing."""
    knots = np.array(_KNOT.findall(stencil.code), float).reshape(-1, 2)
    lines = np.array(_LINE.findall(stencil.code), float).reshape(-1, 2, 2)
    level = lines[lines[:, 0, 1] == lines[:, 1, 1]].mean(axis=1)
    upright = lines[lines[:, 0, 0] == lines[:, 1, 0]].mean(axis=1)
    seen = np.array([1.0, -1.0 if face is Face.BACK else 1.0])
    holes = [(v.id, v.shape.hole) for v in piece.voids if v.face is face]
    centres = [(name, hole.start[:2]) for name, hole in holes if hole and hole.upright]
    centres += [
        ("a datum pin", (pin.x, pin.y)) for pin in (piece.blank.pins if piece.blank else ())
    ]
    for name, centre in centres:
        for ends in (level, upright):
            _there(np.array([centre]) * seen, ends, f"the cross of {name}", piece, face)
    shapes = [(f"the outline of {piece.id}", piece.skin.outline)]
    shapes += [(f"the outline of {room.id}", room.shape.plan) for room in parts]
    for name, shape in shapes:
        _there(shape.vertices[:, :2] * seen, knots, name, piece, face)
    for void, due in _contours(piece, face):
        _there(due * seen, knots, f"the contour of {void.id}", piece, face)


def _contours(piece: Workpiece, face: Face) -> Iterator[tuple[Void, np.ndarray]]:
    """Each upright cut that this face shows, with the vertices (n, 2) of its contour that no other
    swallows: cuts of one layer that run into each other are drawn as one."""
    shown = [v for v in piece.voids if v.shape.upright and (v.face is face or face in v.opens)]
    for void in shown:
        due = void.shape.plan.vertices[:, :2]
        for other in shown:
            if other is not void and _one_layer(void, other, piece, face) and len(due):
                x0, y0, x1, y1 = other.shape.plan.box
                low, high = np.array([x0, y0]) - NEAR, np.array([x1, y1]) + NEAR
                if ((due >= low) & (due <= high)).all(axis=1).any():
                    due = due[other.shape.plan.signed_distance(due) > NEAR]
        yield void, due


def _one_layer(one: Void, other: Void, piece: Workpiece, face: Face) -> bool:
    deep = depth_of(one, piece.thickness) - depth_of(other, piece.thickness)
    alike = one.face is other.face is face and one.operation == other.operation
    return alike and abs(deep) < NEAR


def _there(due: np.ndarray, found: np.ndarray, what: str, piece: Workpiece, face: Face) -> None:
    """Raise FileError where a point of `due` (n, 2) is none of those `found` (m, 2)."""
    for point in due:
        if not len(found) or np.abs(found - point).max(axis=1).min() > NEAR:
            raise FileError(f"{what} is missing on the full-size {face} of {piece.id}")
