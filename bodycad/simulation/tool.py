"""The tools that cut: solids of revolution, by how far their surface rises from the axis out."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass
from enum import StrEnum

import numpy as np

from bodycad.errors import InputError
from bodycad.tools import FLAT


class ToolKind(StrEnum):
    """What a tool is."""

    FLAT = "flat"
    BALL = "ball"
    DRILL = "drill"
    ROUNDOVER = "roundover"
    COVE = "cove"
    CHAMFER = "chamfer"


EDGES = ToolKind.ROUNDOVER, ToolKind.COVE, ToolKind.CHAMFER
"""Bits whose bearing follows a contour."""


@dataclass(frozen=True)
class Tool:
    """A tool by its kind and its diameter, mm: of a bit with a bearing, the bearing's.

    point_deg: the angle of a drill's point. size: the radius of a roundover or a cove, the greatest
    width of a chamfer."""

    kind: ToolKind
    diameter: float
    point_deg: float = FLAT
    size: float = 0.0

    def __post_init__(self) -> None:
        if not (math.isfinite(self.diameter) and self.diameter > 0.0):
            raise InputError("a tool's diameter", self.diameter, "more than 0 mm")
        if not 1.0 <= self.point_deg <= FLAT:
            raise InputError("the angle of a tool's point", self.point_deg, "1 to 180 degrees")
        if self.kind in EDGES and not self.size > 0.0:
            raise InputError(f"the size of a {self.kind} bit", self.size, "more than 0 mm")

    @property
    def radius(self) -> float:
        """Of the cutter, or of a bit's bearing, mm."""
        return self.diameter / 2.0

    @property
    def reach(self) -> float:
        """How far from its axis it cuts, mm."""
        return self.radius + (self.size if self.kind in EDGES else 0.0)

    @property
    def point(self) -> float:
        """How far a drill's point stands before the full diameter, mm."""
        if self.kind is not ToolKind.DRILL or self.point_deg >= FLAT:
            return 0.0
        return self.radius / math.tan(math.radians(self.point_deg / 2.0))

    @property
    def words(self) -> str:
        """The tool in a few words."""
        if self.kind in EDGES:
            return f"{self.kind} bit {self.size:g}, bearing {self.diameter:g}"
        point = f", point {self.point_deg:g} deg" if self.point else ""
        return (
            f"{self.kind}{' cutter' * (self.kind is not ToolKind.DRILL)} {self.diameter:g}{point}"
        )

    def rise(self, out: np.ndarray) -> np.ndarray:
        """How far (m,) its surface lies above its lowest place, `out` (m,) mm from the axis; inf
        where it does not cut, outside it and, of an edge bit, inside its bearing's radius."""
        r = self.radius
        if self.kind in EDGES:
            s = np.clip(out - r, 0.0, self.size)
            if self.kind is ToolKind.ROUNDOVER:
                found = np.sqrt(np.maximum(self.size**2 - (self.size - s) ** 2, 0.0))
            elif self.kind is ToolKind.COVE:
                found = self.size - np.sqrt(np.maximum(self.size**2 - s**2, 0.0))
            else:
                found = s
            cuts = (out >= r - 1e-9) & (out < self.reach)
        else:
            o = np.minimum(out, r)
            if self.kind is ToolKind.BALL:
                found = r - np.sqrt(np.maximum(r * r - o * o, 0.0))
            else:
                found = o * (self.point / r)
            cuts = out <= r + 1e-9
        return np.where(cuts, found, np.inf)


def scallop(radius: float, step: float) -> float:
    """How high (mm) a ball of `radius` mm leaves the ridge between two passes `step` mm apart on a
    level face: h = R - sqrt(R^2 - (s/2)^2), by Pythagoras."""
    half = step / 2.0
    return radius - math.sqrt(max(radius * radius - half * half, 0.0))


def footprint(tool: Tool, step: float) -> Iterator[tuple[int, int, float]]:
    """Rows and columns of a lattice of `step` mm under a tool about its axis, each with the rise of
    its surface there."""
    n = math.floor(tool.reach / step + 1e-9)
    at = np.arange(-n, n + 1)
    rise = tool.rise(step * np.hypot(at[:, None], at[None, :]))
    for j, i in np.argwhere(np.isfinite(rise)).tolist():
        yield j - n, i - n, float(rise[j, i])
