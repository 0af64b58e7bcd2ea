"""What the records of `interface` share: fields that say what they hold, so that a record can be
mirrored and moved without knowing its kind."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass, field, fields, replace
from typing import Any, TypeVar

from bodycad.declare import Id, declared
from bodycad.errors import InputError
from bodycad.geometry.plane.profile import Profile

_HOLDS = "holds"


def point(**more: Any) -> Any:
    """A field that holds a Point3, a tuple of them, or None."""
    return field(metadata={_HOLDS: "point"}, **more)


def way(**more: Any) -> Any:
    """A field that holds a direction (a unit vector), or None."""
    return field(metadata={_HOLDS: "way"}, **more)


def shape(**more: Any) -> Any:
    """A field that holds a Profile, a Prism or a Bore, or None."""
    return field(metadata={_HOLDS: "shape"}, **more)


def void(**more: Any) -> Any:
    """A field that holds the id of a void, a tuple of ids, or None."""
    return field(metadata={_HOLDS: "void"}, **more)


def room(**more: Any) -> Any:
    """A field that holds the id of a room, a tuple of ids, or None."""
    return field(metadata={_HOLDS: "room"}, **more)


@dataclass(frozen=True, kw_only=True, eq=False)
@declared("a {class} of {part}")
class Interface:
    """What every record has: the id of the placed part that states it."""

    part: Id

    def __post_init__(self) -> None:
        for spec in fields(self):
            if spec.metadata.get(_HOLDS) == "way":
                value = getattr(self, spec.name)
                if value is not None and abs(math.hypot(*value) - 1.0) > 1e-6:
                    remedy = "divide it by its length"
                    raise InputError(self._thing(spec.name), value, "a unit vector", remedy)

    def _needed(self, name: str, allowed: str) -> None:
        if getattr(self, name) is None:
            raise InputError(self._thing(name), None, allowed)

    def _thing(self, name: str) -> str:
        return f"the {name} of a {type(self).__name__} of {self.part}"

    def mirrored(self: T) -> T:
        """The record reflected in the centreline (y -> -y)."""
        return _changed(self, _mirrored)

    def moved(self: T, dx: float, dy: float, dz: float = 0.0) -> T:
        """The record shifted by (dx, dy, dz) mm."""
        return _changed(self, lambda holds, value: _moved(holds, value, dx, dy, dz))

    def names(self, holds: str) -> Iterator[str]:
        """The ids of the voids (holds="void") or rooms (holds="room") that the record speaks of."""
        for spec in self.__dataclass_fields__.values():
            if spec.metadata.get(_HOLDS) == holds:
                value = getattr(self, spec.name)
                yield from (value,) if isinstance(value, str) else value or ()


T = TypeVar("T", bound=Interface)


def _changed(record: T, change: Any) -> T:
    found = {}
    for spec in fields(record):
        holds, value = spec.metadata.get(_HOLDS), getattr(record, spec.name)
        if holds in ("point", "way", "shape") and value is not None:
            found[spec.name] = change(holds, value)
    return replace(record, **found)


def _mirrored(holds: str, value: Any) -> Any:
    if holds == "shape":
        return value.mirrored()
    if value and isinstance(value[0], tuple):
        return tuple(_mirrored(holds, one) for one in value)
    return value and (value[0], -value[1], value[2])


def _moved(holds: str, value: Any, dx: float, dy: float, dz: float) -> Any:
    if holds == "way":
        return value
    if holds == "shape":
        return value.moved(dx, dy) if isinstance(value, Profile) else value.moved(dx, dy, dz)
    if value and isinstance(value[0], tuple):
        return tuple(_moved(holds, one, dx, dy, dz) for one in value)
    return value and (value[0] + dx, value[1] + dy, value[2] + dz)
