"""What every solid answers that shapes the outside of a body."""

from __future__ import annotations

import math
from abc import abstractmethod
from typing import TYPE_CHECKING, Self

import numpy as np

from bodycad.geometry.plane.profile import Profile
from bodycad.geometry.solids.solid import Solid

if TYPE_CHECKING:
    from bodycad.geometry.solids.carve import Carve


class Shaping(Solid):
    """A solid whose surface becomes a face of the body; it runs on out of the face into the air."""

    @property
    @abstractmethod
    def straight(self) -> Carve | None:
        """The sweep along a straight line that this is; None for one whose surface breaks off
        nowhere within a body."""

    @property
    @abstractmethod
    def level(self) -> bool:
        """Whether its level slices are exact."""

    @property
    def steepest(self) -> float:
        """No place of its surface is steeper than this, radians."""
        return math.pi / 2.0

    @property
    def endless(self) -> Self:
        """The same without ends, as its level slices have it."""
        return self

    @abstractmethod
    def height(self, points: np.ndarray, face: str) -> np.ndarray:
        """Height z (m,) at which it leaves the wood over plan points (m, 2); nan beside it.

        `face` "front": its lowest point (wood lies below); "back": its highest."""

    @abstractmethod
    def deepest(self, points: np.ndarray, radius: np.ndarray, face: str) -> np.ndarray:
        """A height z (m,) that `height` does not pass, into the body, anywhere within `radius` (m,)
        mm of plan points (m, 2); nan where it is nowhere so near."""

    @abstractmethod
    def level_distances(self, points: np.ndarray, z: float) -> tuple[np.ndarray, np.ndarray]:
        """Distance (m,) at height `z` from plan points (m, 2), and the nearest points; negative
        inside, inf when the plane misses it."""

    @abstractmethod
    def level_slices(self, z: float) -> tuple[Profile, ...]:
        """The section at height `z`, in plan, in pieces that may touch each other."""
