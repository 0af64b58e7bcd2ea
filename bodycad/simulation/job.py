"""What is cut from one face, as its files say it: neutral values, whoever wrote them."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field

import numpy as np

from bodycad.geometry.plane.segments import Segments
from bodycad.simulation.grid import Box
from bodycad.simulation.tool import Tool

Point = tuple[float, float]


@dataclass(frozen=True, eq=False)
class Move:
    """A way to carry plan points (x, y) of a file onto the wood: `matrix` (2, 2), a turn or a turn
    and a reflection, then `shift` (2,), mm."""

    matrix: np.ndarray = field(default_factory=lambda: np.eye(2))
    shift: np.ndarray = field(default_factory=lambda: np.zeros(2))

    @property
    def turns_over(self) -> bool:
        """Whether it reflects, as turning the blank over does to what was drawn on it."""
        return bool(np.linalg.det(self.matrix) < 0.0)

    def points(self, given: np.ndarray) -> np.ndarray:
        """Points (m, 2) where they come to lie."""
        moved: np.ndarray = given @ self.matrix.T + self.shift
        return moved

    def back(self) -> Move:
        """The way from the wood to the file."""
        return Move(self.matrix.T, -self.matrix.T @ self.shift)

    def chain(self, given: Segments) -> Segments:
        """Segments where they come to lie; what was on their left stays there."""
        a, b = self.points(given.a), self.points(given.b)
        return Segments(b, a, given.bulge) if self.turns_over else Segments(a, b, given.bulge)


@dataclass(frozen=True, eq=False)
class Tab:
    """A place where an outline's cut stays shallower, so that the piece does not come loose: within
    a closed contour the tool goes no deeper than `depth` mm."""

    chain: Segments
    depth: float


@dataclass(frozen=True, eq=False)
class Cut:
    """One item of a layer. `chain`: closed contours (for an edge bit they may be open), with what
    the tool is to cut, or where it runs, on their left.

    depth: to which the tool goes, mm below the plain face; of a drill, at its full diameter.
    `follows`: the tool runs along the contour and cuts no more than its own width; else it clears
    all that lies on the left."""

    layer: str
    operation: str
    tool: Tool
    depth: float
    chain: Segments
    ids: tuple[str, ...] = ()
    follows: bool = False
    tabs: tuple[Tab, ...] = ()

    @property
    def centre(self) -> Point:
        """Of what is drilled: the middle of its box."""
        x0, y0, x1, y1 = box_of(self.chain)
        return (x0 + x1) / 2.0, (y0 + y1) / 2.0


@dataclass(frozen=True)
class Pin:
    """A datum pin's hole as a file has it, mm."""

    x: float
    y: float
    diameter: float


@dataclass(frozen=True, eq=False)
class Heights:
    """A shaped face as a grid: `depth` (rows, columns), mm below the plain face, at the nodes
    (x0 + column * pitch, y0 + row * pitch); the tool that follows it, and how far its passes,
    which run along x, lie apart, mm."""

    depth: np.ndarray
    x0: float
    y0: float
    pitch: float
    tool: Tool
    stepover: float
    name: str = ""


@dataclass(frozen=True, eq=False)
class Job:
    """All that is cut from one face of one piece, in the coordinates of its files: seen from that
    face. zero: the middle of its datum cross. notes: what is odd in the files.
    said: what its drawing says of itself, by key. tabs: all that it draws."""

    face: str
    name: str
    cuts: tuple[Cut, ...]
    pins: tuple[Pin, ...] = ()
    heights: Heights | None = None
    zero: Point = (0.0, 0.0)
    notes: tuple[str, ...] = ()
    said: Mapping[str, str] = field(default_factory=dict)
    tabs: tuple[Tab, ...] = ()


def box_of(given: Segments) -> Box:
    """The box of several contours, mm."""
    low, high = given.boxes[:, :2].min(axis=0), given.boxes[:, 2:].max(axis=0)
    return float(low[0]), float(low[1]), float(high[0]), float(high[1])


def reversed_chain(given: Segments) -> Segments:
    """The same contours run the other way, so that left and right change sides."""
    return Segments(given.b[::-1], given.a[::-1], -given.bulge[::-1])


def joined(parts: Sequence[Segments]) -> Segments:
    """Several chains as one set of segments."""
    return Segments(*(np.concatenate(rows) for rows in zip(*((p.a, p.b, p.bulge) for p in parts))))
