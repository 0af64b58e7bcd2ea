"""Errors that say which thing, its value, what is allowed and what to do next."""

from __future__ import annotations

import math
from typing import TypeGuard


class BodycadError(Exception):
    """Any fault that bodycad reports itself, in one line."""


class InputError(BodycadError, ValueError):
    """A design, a part or a command line says something that cannot be used (exit status 2)."""

    def __init__(self, thing: str, value: object, allowed: str, remedy: str = "") -> None:
        self.thing, self.value, self.allowed, self.remedy = thing, value, allowed, remedy
        text = f"{thing} is {_shown(value)}; allowed: {allowed}"
        super().__init__(f"{text}. {remedy}" if remedy else text)

    def __reduce__(self) -> tuple[type[InputError], tuple[str, object, str, str]]:
        return type(self), (self.thing, self.value, self.allowed, self.remedy)


class SolidError(BodycadError):
    """The CAD kernel refused or spoiled a step; the text names the cut and its numbers."""


class FileError(BodycadError):
    """A written file does not say what the layout says."""


def _shown(value: object) -> str:
    return f"{value:g}" if isinstance(value, float) else repr(value)


def finite(value: object) -> TypeGuard[float]:
    """Whether `value` is an int or float (no bool) that a float can hold and that is finite."""
    if isinstance(value, bool) or not isinstance(value, (int, float)):
        return False
    try:
        return math.isfinite(value)
    except OverflowError:
        return False


def number(
    thing: str,
    value: object,
    low: float = -math.inf,
    high: float = math.inf,
    *,
    above: float | None = None,
    remedy: str = "",
) -> float:
    """`value` when it is a finite number in [low, high] (and > `above`), else InputError."""
    if not finite(value):
        raise InputError(
            thing,
            value,
            _range(low, high, above),
            "write the number without quotes" if isinstance(value, str) else remedy,
        )
    if not low <= value <= high or (above is not None and value <= above):
        raise InputError(thing, value, _range(low, high, above), remedy)
    return value


def numbers(
    whose: str,
    thing: object,
    names: str,
    low: float = -math.inf,
    high: float = math.inf,
    *,
    above: float | None = None,
) -> None:
    """`number` of each field of `thing` in `names` (spaces between), by `whose` and its name."""
    for name in names.split():
        number(f"{whose} {name}", getattr(thing, name), low, high, above=above)


def _range(low: float, high: float, above: float | None) -> str:
    if above is not None:
        low_text = f"more than {above:g}"
    elif low > -math.inf:
        low_text = f"at least {low:g}"
    else:
        low_text = ""
    high_text = f"at most {high:g}" if high < math.inf else ""
    return " and ".join(t for t in (low_text, high_text) if t) or "a finite number"
