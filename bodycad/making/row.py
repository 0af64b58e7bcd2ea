"""A row of the list of what to buy, and lengths in inches where the trade buys by them."""

from __future__ import annotations

import math
import re
from collections.abc import Iterable
from dataclasses import dataclass
from enum import StrEnum
from typing import Any

from bodycad.units import MM_PER_INCH, Size


class Group(StrEnum):
    """What kind of thing a row is."""

    HARDWARE = "hardware"
    SCREWS = "screws, inserts and springs"
    STRINGS = "strings"
    WIRE = "wire"
    WOOD = "wood"
    SHEET = "sheet and pins"
    EDGE = "binding"
    USED = "glue and finish"


GROUPS = tuple(Group)
DRAWN = "drawn"
"""The origin of a size that the design itself says: cut as drawn, it is right."""
_ORDER = "default", "claimed", "measured", DRAWN
EXACT = 0.005
"""A length within so many mm of a 64th of an inch is that fraction."""

Sizes = tuple[tuple[str, float], ...]


@dataclass(frozen=True)
class Row:
    """One thing to buy. what: plain words; sizes: (word, mm) of one; count: how many pieces, or how
    much where there is a `unit`. parts: the placed parts it is for; uses: the holes, of what holds
    in some. origin: the least sure of its
    sizes: "default", "claimed", "measured", or `DRAWN`. inches: where the trade buys by the inch
    its sizes in inches, otherwise "". note: what else to know of it."""

    group: Group
    what: str
    count: float
    sizes: Sizes = ()
    parts: tuple[str, ...] = ()
    unit: str = ""
    origin: str = DRAWN
    inches: str = ""
    note: str = ""
    uses: tuple[str, ...] = ()

    @property
    def serves(self) -> tuple[str, ...]:
        """What it is for: its holes, like ones counted, else its parts."""
        return named(self.uses) or self.parts

    @property
    def key(self) -> tuple[object, ...]:
        """What two rows share that are one thing."""
        sizes = tuple((word, round(value, 3)) for word, value in self.sizes)
        return self.group, self.what, sizes, self.unit, self.origin, self.note


def named(uses: tuple[str, ...]) -> tuple[str, ...]:
    """What a thing is for, like holes counted: "bridge.string (6)" for the ids of six."""
    alike: dict[str, list[str]] = {}
    for use in uses:
        alike.setdefault(re.sub(r"\.\d+(?=\.|$)", "", use), []).append(use)
    return tuple(ids[0] if len(ids) == 1 else f"{name} ({len(ids)})" for name, ids in alike.items())


def origin(values: Iterable[Any], plain: str = "claimed") -> str:
    """The least sure origin of several sizes; `plain`: that of a plain number."""
    found = {getattr(one, "origin", plain) if isinstance(one, Size) else plain for one in values}
    return next((word for word in _ORDER if word in found), DRAWN)


def inches(mm: float) -> str:
    """A length in inches: the fraction where it is one of 64ths, else decimals, of less than an
    inch three."""
    whole = round(mm / MM_PER_INCH * 64.0)
    if whole and abs(whole * MM_PER_INCH / 64.0 - mm) <= EXACT:
        return _fraction(whole)
    value = mm / MM_PER_INCH
    return f"{value:.2f}" if value >= 1.0 else f"{value:.3f}"


def _fraction(sixty_fourths: int) -> str:
    over = math.gcd(sixty_fourths, 64)
    top, bottom = sixty_fourths // over, 64 // over
    units, top = divmod(top, bottom)
    words = [str(units)] if units else []
    words += [f"{top}/{bottom}"] if top else []
    return " ".join(words)
