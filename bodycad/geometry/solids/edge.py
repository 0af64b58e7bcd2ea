"""Edge treatments as chains in (s, depth): plan distance in, and under the face.

A chain runs from (reach, 0) on the face to (0, drop) on the side and never turns back, so nothing
overhangs: the wood below the chain stays, the corner above it goes."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass
from functools import cached_property
from typing import Annotated, ClassVar

import numpy as np

from bodycad.declare import Count, Far, declared, mm
from bodycad.errors import InputError, number
from bodycad.geometry.plane.build import QUARTER
from bodycad.geometry.plane.profile import Profile, trusted
from bodycad.geometry.plane.segments import Segments
from bodycad.words import EdgeForm

Row = tuple[float, float, float]
"""s, depth, and the bulge of the arc that begins there: tan(angle / 4), positive where it rounds
the wood, negative where it hollows it, 0 for a straight line."""
TURNS_BACK = 1e-9
"""A chain that turns back by less than this (mm, or radians at an arc's end) does not overhang."""


class Edge:
    """What every edge treatment answers; its `rows` are the chain from the face to the side."""

    @property
    def rows(self) -> tuple[Row, ...]:
        raise NotImplementedError

    @property
    def words(self) -> str:
        """The edge in a maker's words, with its sizes in mm."""
        kind = type(self).__name__.lower()
        return f"{kind} {self.reach:.2f} wide, {self.drop:.2f} high" if self.drop else kind

    @property
    def form(self) -> EdgeForm | None:
        """The router bit that cuts it in one pass; None where no one bit does, and for a square
        edge."""
        return None

    @property
    def reach(self) -> float:
        """How far in from the outline the edge reaches on the face, mm."""
        return self.rows[0][0]

    @property
    def drop(self) -> float:
        """How far under the face the edge ends on the side, mm."""
        return self.rows[-1][1]

    @cached_property
    def chain(self) -> Segments:
        """The chain in (s, z), z being minus the depth."""
        rows = np.array(self.rows, float).reshape(-1, 3)
        spots = rows[:, :2] * np.array([1.0, -1.0])
        return Segments(spots[:-1], spots[1:], rows[:-1, 2])

    @cached_property
    def section(self) -> Profile:
        """What the edge takes off, as a profile in (s, z); a square edge has none."""
        rows = [(s, -depth, bulge) for s, depth, bulge in self.rows]
        return trusted([*rows, (0.0, 0.0)], "an edge's section")

    @property
    def area(self) -> float:
        """Area of the section that goes, mm2; 0 for a square edge."""
        return self.section.area if self.drop else 0.0

    @property
    def centroid(self) -> tuple[float, float]:
        """Centroid (s, z) of the section that goes, mm: by Pappus the volume taken along an arc of
        the outline of radius R is area x angle x (R - s) where the outline bulges out."""
        return self.section.centroid if self.drop else (0.0, 0.0)

    def inset(self, depth: float) -> float:
        """s (mm) at which wood begins `depth` mm under the face: at a level floor its inner end is
        not counted, beyond the drop it is 0."""
        for (s0, d0, _), (s1, d1, bulge), centre, radius in self._pieces():
            if d0 <= depth < d1:
                if not bulge:
                    return s0 + (s1 - s0) * (depth - d0) / (d1 - d0)
                half = math.sqrt(max(radius**2 - (depth + centre[1]) ** 2, 0.0))
                return float(centre[0]) - math.copysign(half, bulge)
        return 0.0

    def loss(self, inset: np.ndarray) -> np.ndarray:
        """How far (m,) the edge lowers its face at plan distances `inset` (m,), mm."""
        s = np.clip(inset, 0.0, self.reach)
        found = np.zeros(s.shape)
        for (s0, d0, _), (s1, d1, bulge), centre, radius in self._pieces():
            if bulge:
                half = np.sqrt(np.clip(radius**2 - (s - centre[0]) ** 2, 0.0, None))
                depth = -centre[1] - math.copysign(1.0, bulge) * half
            else:
                depth = d0 + (s0 - s) * ((d1 - d0) / (s0 - s1) if s0 > s1 else 0.0)
            found = np.where((s >= s1) & (s < s0), depth, found)
        return found

    def _pieces(self) -> Iterator[tuple[Row, Row, np.ndarray, float]]:
        """Each piece of the chain: its first row, its end with its own bulge, centre and radius."""
        rows, chain = self.rows, self.chain
        for k, (first, last) in enumerate(zip(rows, rows[1:])):
            yield first, (last[0], last[1], first[2]), chain.centre[k], float(chain.radius[k])


@dataclass(frozen=True)
@declared()
class Square(Edge):
    """An edge left square."""

    @property
    def rows(self) -> tuple[Row, ...]:
        return ((0.0, 0.0, 0.0),)


Wide = Annotated[float, mm(0.05, 150.0)]
"""How wide or high an edge treatment is."""


@dataclass(frozen=True)
@declared()
class Quarter(Edge):
    """A quarter round of `radius` mm; `bulge` as in a `Row`."""

    radius: Wide
    bulge: ClassVar[float]
    bit: ClassVar[EdgeForm]

    @property
    def rows(self) -> tuple[Row, ...]:
        return ((self.radius, 0.0, self.bulge), (0.0, self.radius, 0.0))

    @property
    def words(self) -> str:
        return f"{type(self).__name__.lower()} R{self.radius:.2f}"

    @property
    def form(self) -> EdgeForm | None:
        return self.bit


class Roundover(Quarter):
    """A quarter round of `radius` mm that rounds the corner off."""

    bulge = QUARTER
    bit = EdgeForm.ROUNDOVER


class Cove(Quarter):
    """A quarter round of `radius` mm that hollows the corner out."""

    bulge = -QUARTER
    bit = EdgeForm.COVE


@dataclass(frozen=True)
@declared()
class Chamfer(Edge):
    """A straight bevel: `width` mm in on the face, `height` (or as much) down the side."""

    width: Wide
    height: Wide | None = None

    @property
    def rows(self) -> tuple[Row, ...]:
        height = self.width if self.height is None else self.height
        return ((self.width, 0.0, 0.0), (0.0, height, 0.0))

    @property
    def form(self) -> EdgeForm | None:
        """A bit's bevel is at 45 degrees; another one is planed."""
        return EdgeForm.CHAMFER if self.height in (None, self.width) else None


@dataclass(frozen=True)
@declared("a binding")
class Ledge(Edge):
    """A binding ledge: `plies` are the strip's layers in mm, `height` is the strip's height.

    The ledge is cut `proud` mm narrower than the strip is thick, so that the strip stands out and
    is scraped flush. Where a contour lowers the face within the ledge, a ledge that `follows` has
    its floor `height` mm under the shaped face, so that the strip bends down with it; one that does
    not stays level and gets lower there."""

    plies: Annotated[tuple[Annotated[float, mm(0.05, 30.0)], ...], Count(1, 30)]
    height: Wide
    proud: Annotated[float, mm(0.0, 10.0)] = 0.1
    follows: bool = True

    def __post_init__(self) -> None:
        number("a binding's proud allowance", self.proud, high=sum(self.plies) / 2.0)

    @property
    def rows(self) -> tuple[Row, ...]:
        wide = sum(self.plies) - self.proud
        return ((wide, 0.0, 0.0), (wide, self.height, 0.0), (0.0, self.height, 0.0))

    @property
    def words(self) -> str:
        return f"binding {super().words}"

    @property
    def form(self) -> EdgeForm | None:
        return EdgeForm.STRAIGHT


@dataclass(frozen=True)
@declared()
class Rim(Edge):
    """Any edge, an arched rim say, by the rows of its chain: (s, depth) or (s, depth, bulge).

    The first row is (reach, 0) on the face, the last (0, drop) on the side. A bulge is tan(angle /
    4) of the arc that begins at its row, positive where the arc rounds the wood, negative where it
    hollows it. Raises InputError for a chain that turns back anywhere."""

    given: Annotated[tuple[tuple[Far, Far] | tuple[Far, Far, Far], ...], Count(2, 500)]

    def __post_init__(self) -> None:
        (reach, top, _), (side, drop, _) = self.rows[0], self.rows[-1]
        if top != 0.0 or side != 0.0 or reach <= 0.0 or drop <= 0.0:
            found = f"from ({reach:g}, {top:g}) to ({side:g}, {drop:g})"
            allowed = "from (reach, 0) on the face to (0, drop) on the side, both positive"
            raise InputError("a rim's rows", found, allowed)
        chain = self.chain
        ends = [chain.tangent(np.full(len(chain), t)) for t in (0.0, 1.0)]
        back = max(float(end.max()) for end in ends) > TURNS_BACK
        if back or np.any(np.abs(chain.sweep) > math.pi / 2.0 + TURNS_BACK):
            allowed = "rows whose s never grows and whose depth never falls, on the arcs too"
            remedy = "split an arc of more than a quarter turn, or flatten the one that overhangs"
            raise InputError("a rim's rows", self.given, allowed, remedy)
        if np.any(chain.chord <= 0.0):
            raise InputError("a rim's rows", self.given, "no row twice in succession")

    @property
    def rows(self) -> tuple[Row, ...]:
        rows = [(*row, 0.0)[:3] for row in self.given]
        return tuple((float(s), float(d), float(b)) for s, d, b in rows)


@dataclass(frozen=True)
@declared("a lowered edge")
class Lowered(Edge):
    """An `edge` on a face that lies `by` mm under the plain one all along it: on the flat rim of an
    arched top. A binding `Ledge` follows the shaped face by itself and needs no lowering."""

    edge: Annotated[Edge, "an edge such as Roundover(3.0)"]
    by: Wide

    def __post_init__(self) -> None:
        if not self.edge.drop or self.edge.form is EdgeForm.STRAIGHT:
            allowed = "a roundover, a chamfer, a cove or a rim; a binding follows by itself"
            raise InputError("a lowered edge", self.edge.words, allowed)

    @property
    def rows(self) -> tuple[Row, ...]:
        rows = [(s, depth + self.by, bulge) for s, depth, bulge in self.edge.rows]
        return ((self.edge.reach, 0.0, 0.0), *rows)

    @property
    def words(self) -> str:
        return f"{self.edge.words}, {self.by:.2f} under the plain face"

    @property
    def form(self) -> EdgeForm | None:
        return self.edge.form
