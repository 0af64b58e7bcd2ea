"""What a report may say of chance and of sizes to be measured (`bodycad.chance` works it out), and
of numbers that no check follows (`bodycad.unwatched`)."""

from __future__ import annotations

from dataclasses import dataclass

from bodycad.checks.finding import Finding
from bodycad.units import Dimension
from bodycad.words import Still


@dataclass(frozen=True)
class Tighten:
    """A tolerance, in `unit`, and the gain in the chance of the whole body when it is halved."""

    what: str
    tolerance: float
    unit: str
    gain: float


@dataclass(frozen=True)
class Unwatched:
    """A number of a design that moves no figure by a small step: its path, its value, and why, as a
    word and in words."""

    number: str
    value: float
    still: Still
    why: str


@dataclass(frozen=True)
class Chance:
    """Of how many bodies; the chance that everything comes out right; the tolerances worth
    tightening, the best first; how many of the shop's errors and of the parts' sizes were drawn."""

    bodies: int
    all: float
    tighten: tuple[Tighten, ...]
    shop_errors: int
    sizes: int


@dataclass(frozen=True, kw_only=True)
class Hanging(Dimension):
    """A size, how far it may be off (mm or degrees), and the finding that fails first."""

    may_be_off: float
    finding: Finding
    names: tuple[tuple[str, str], ...]
    """Every (part, name) of the list of sizes that stands for it."""

    @property
    def within(self) -> bool:
        """Whether it may be off by more than its tolerance."""
        return self.may_be_off > self.tolerance
