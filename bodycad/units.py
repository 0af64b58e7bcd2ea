"""Millimetres inside; inches only at the border. Lengths remember where they came from."""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass, fields, is_dataclass
from typing import Annotated, Any

from bodycad.declare import Text, between, declared
from bodycad.errors import InputError

MM_PER_INCH = 25.4
Given = Annotated[float, between(-1e5, 1e5)]
Spread = Annotated[float, between(0.0, 100.0)]
_INCHES = re.compile(r"\s*(?:(\d+(?:\.\d+)?)(?:[\s-]+|$))?(?:(\d+)\s*/\s*(\d+))?\s*")


@declared("a length in inches")
def inch(value: Annotated[float, between(-1000.0, 1000.0, "inches")] | Text) -> float:
    """Millimetres of a length in inches: `inch(1.75)`, `inch("1 3/4")`, `inch("3/8")`.

    Raises InputError when the text is not a whole number, a fraction or both."""
    if isinstance(value, str):
        found = _INCHES.fullmatch(value)
        whole, top, bottom = found.groups() if found else (None, None, None)
        if (whole is None and top is None) or (bottom is not None and int(bottom) == 0):
            raise InputError("a length in inches", value, 'a number or text such as "1 3/4"')
        return MM_PER_INCH * (float(whole or 0) + (int(top) / int(bottom or 1) if top else 0.0))
    return MM_PER_INCH * value


class Size(float):
    """A number with its origin and tolerance; in arithmetic it is a plain float.

    `origin` is "default" (common practice), "claimed" (a vendor's sheet or a plain number in the
    script) or "measured" (the maker's calipers); `tolerance` is the plus-or-minus in the same unit;
    `claim` is the vendor's figure that a measured size replaces, if there was one."""

    __slots__ = ("origin", "tolerance", "claim")
    origin: str
    tolerance: float
    claim: float | None

    def __new__(
        cls, value: float, origin: str, tolerance: float = 0.0, claim: float | None = None
    ) -> Size:
        self = super().__new__(cls, value)
        self.origin, self.tolerance, self.claim = origin, float(tolerance), claim
        return self

    def __reduce__(self) -> tuple[type[Size], tuple[float, str, float, float | None]]:
        return type(self), (float(self), self.origin, self.tolerance, self.claim)

    def __repr__(self) -> str:
        return f"{self.origin}({float(self):g})"


class Derived(Size):
    """A size worked out from the others, anew when its owner is copied with a change."""

    __slots__ = ()


@declared("a default size")
def follows(value: Given, tolerance: Spread = 0.0) -> Size:
    """A size from common practice that its owner works out from its other sizes; `value` is that
    of the usual form. To be replaced by the maker's calipers."""
    return Derived(value, "default", tolerance)


@declared("a default size")
def default(value: Given, tolerance: Spread = 0.0) -> Size:
    """A size from common practice: to be replaced by the maker's calipers."""
    return Size(value, "default", tolerance)


@declared("a claimed size")
def claimed(value: Given, tolerance: Spread = 0.0) -> Size:
    """A size from a vendor's sheet, not yet measured."""
    return Size(value, "claimed", tolerance)


@declared("a measured size")
def measured(value: Given, tolerance: Spread = 0.05, claim: Given | None = None) -> Size:
    """A size read off the real part; `claim` keeps the vendor's figure beside it."""
    return Size(value, "measured", tolerance, claim)


@dataclass(frozen=True)
class Dimension:
    """One row of the report's list of sizes."""

    part: str
    name: str
    value: float
    unit: str
    origin: str
    tolerance: float
    claim: float | None = None

    @property
    def apart(self) -> float:
        """How far the size lies from its vendor's claim; 0 without a claim."""
        return 0.0 if self.claim is None else abs(self.value - self.claim)


def dimensions(owner: str, thing: Any) -> Iterator[Dimension]:
    """Every numeric field of a dataclass with its origin; a plain number counts as claimed.

    Fields whose metadata say `{"size": False}` (positions and choices, not sizes) are left out;
    nested dataclasses and tuples of them are walked with dotted names, and so are the places of
    several holes in one part: `screws.2.v`."""
    for field in fields(thing):
        if not field.metadata.get("size", True):
            continue
        value = getattr(thing, field.name)
        if isinstance(value, (int, float)) and not isinstance(value, bool):
            unit = "deg" if field.name.endswith("_deg") else field.metadata.get("unit", "mm")
            yield dimension(owner, field.name, value, unit)
        elif is_dataclass(value):
            yield from dimensions(f"{owner}.{field.name}", value)
        elif isinstance(value, tuple):
            for index, item in enumerate(value, 1):
                if is_dataclass(item):
                    yield from dimensions(f"{owner}.{field.name}.{index}", item)
                elif is_spot(item):
                    for axis, at in zip(SPOT, item, strict=True):
                        yield dimension(f"{owner}.{field.name}.{index}", axis, at)


SPOT = "u", "v"
"""What the two coordinates of a place in a part are called."""


def is_spot(value: Any) -> bool:
    """Whether a value is a place (u, v) in a part."""
    two = isinstance(value, tuple) and len(value) == 2
    return two and all(isinstance(x, (int, float)) and not isinstance(x, bool) for x in value)


def guessed(spot: tuple[float, float]) -> bool:
    """Whether a coordinate of a place in a part is common practice, to be measured."""
    return any(isinstance(x, Size) and x.origin == "default" for x in spot)


def dimension(owner: str, name: str, value: float, unit: str = "mm") -> Dimension:
    """The row of one number."""
    size = value if isinstance(value, Size) else Size(value, "claimed")
    return Dimension(owner, name, float(size), unit, size.origin, size.tolerance, size.claim)
