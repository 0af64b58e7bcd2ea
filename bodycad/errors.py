"""Errors that say which thing, its value, what is allowed and what to do next."""

from __future__ import annotations

import math
import os
import re
from collections.abc import Iterable
from typing import TypeGuard

LONGEST = 400
"""No message of an InputError has more characters."""
MOST_SHOWN = 60
"""Nor is more of a value shown, but for a text."""
LIKE = 0.65
"""How alike two names must be for one to be a slip of the other, as `difflib` has it."""
_HARM = re.compile("[\x00-\x08\x0b-\x1f\x7f-\x9f\u2028\u2029\ud800-\udfff]")
_UNFIT = re.compile(f"[\n\t]|{_HARM.pattern}")


class BodycadError(Exception):
    """Any fault that bodycad reports itself, in one line."""


class InputError(BodycadError, ValueError):
    """A design, a part or a command line says something that cannot be used (exit status 2)."""

    def __init__(
        self, thing: str, value: object, allowed: str, remedy: str = "", place: str = ""
    ) -> None:
        self.thing, self.value, self.allowed, self.remedy = thing, value, allowed, remedy
        self.place = place
        super().__init__(self._line())

    def at(self, place: str) -> None:
        """Say where in the script it stands, such as "body.py, line 41", if that is not known."""
        self.place = self.place or place
        self.args = (self._line(),)

    def of(self, whose: str) -> None:
        """Say whose thing it is, if that is not said."""
        if whose not in self.thing:
            self.thing = f"{self.thing} of {whose}"
            self.args = (self._line(),)

    def _line(self) -> str:
        place = f" ({plain(self.place, 50)})" if self.place else ""
        text = f"{plain(self.thing, 110)} is {shown(self.value)}; allowed: "
        left = LONGEST - len(text + place) - 2
        after = f". {plain(self.remedy, left - min(len(self.allowed), 70))}" if self.remedy else ""
        return text + plain(self.allowed, left + 2 - len(after)) + after + place

    def __reduce__(self) -> tuple[type[InputError], tuple[str, object, str, str, str]]:
        return type(self), (self.thing, self.value, self.allowed, self.remedy, self.place)


class Asked(str):
    """A note on an error: what was asked of which part when it came. Other notes are the maker's
    own."""


def place_of(error: BaseException, folder: str) -> str:
    """Where an error came out of the files in a folder: "body.py, line 41", the deepest line of any
    of them on the way to it; "" where it passed none."""
    found, trace = "", error.__traceback__
    while trace is not None:
        file = os.path.realpath(trace.tb_frame.f_code.co_filename)
        if file.endswith(".py") and os.path.dirname(file) == folder:
            found = f"{os.path.basename(file)}, line {trace.tb_lineno}"
        trace = trace.tb_next
    return found


class SolidError(BodycadError):
    """The CAD kernel refused or spoiled a step; the text names the cut and its numbers."""


class FileError(BodycadError):
    """A written file does not say what the layout says."""


def nearest(name: str, known: Iterable[str], most: int = 1) -> str:
    """ "did you mean ...?" with so many of the most similar known names at most, or nothing."""
    import difflib

    names = {one.lower(): one for one in known}
    found = difflib.get_close_matches(name.lower(), names, n=most, cutoff=LIKE)
    *others, last = [names[one] for one in found] or [""]
    if not last:
        return ""
    return f"did you mean {', '.join(others)} or {last}?" if others else f"did you mean {last}?"


def whole_names(names: Iterable[str], most: int = 120) -> str:
    """Names with commas between, as many as so many characters hold, none cut in its middle."""
    known, text = list(names), ""
    for k, name in enumerate(known):
        more = f"{text}, {name}" if text else name
        if len(more) > most:
            return f"{text} and {len(known) - k} more"
        text = more
    return text


def harmless(text: str) -> str:
    """`text` with whatever moves a cursor or what no file can hold written as an escape; the ends
    of lines and tabs stay."""
    return _HARM.sub(_escape, text)


def _escape(found: re.Match[str]) -> str:
    return ascii(found[0])[1:-1]


def plain(text: str, most: int) -> str:
    """`text` in at most so many characters, on one line and without any that moves a cursor or that
    no file can hold: those are written as escapes."""
    line = _UNFIT.sub(_escape, " ".join(str(text)[: 4 * most].split()))
    return line if len(line) <= most else f"{line[: most - 3].rstrip()}..."


def shown(value: object) -> str:
    """A value as a message shows it: as it is written, but never long."""
    if isinstance(value, float):
        return f"{value:g}"
    if isinstance(value, type):
        return f"the class {value.__name__}"
    import reprlib

    most = 160 if isinstance(value, str) else MOST_SHOWN
    short = reprlib.Repr()
    short.maxstring = short.maxother = short.maxlong = most
    short.maxtuple = short.maxlist = 12
    try:
        text = short.repr(value)
    # A class of the maker's own may fail to show itself, and Python shows no number of 5000 digits.
    except Exception:
        text = ""
    if not text or (hasattr(value, "__dataclass_fields__") and len(text) > MOST_SHOWN):
        text = f"{type(value).__name__}(...)"
    return plain(text, most)


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


def _range(low: float, high: float, above: float | None) -> str:
    if above is not None:
        low_text = f"more than {above:g}"
    elif low > -math.inf:
        low_text = f"at least {low:g}"
    else:
        low_text = ""
    high_text = f"at most {high:g}" if high < math.inf else ""
    return " and ".join(t for t in (low_text, high_text) if t) or "a finite number"
