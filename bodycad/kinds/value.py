"""The kinds of single values: each says in words what it allows, whether a value is right as it
stands, and reads what nearly is."""

from __future__ import annotations

import re
import sys
from collections.abc import Callable
from dataclasses import MISSING, dataclass, fields, is_dataclass
from enum import StrEnum
from functools import cached_property
from numbers import Real
from typing import Any

from bodycad.errors import finite

MOST = sys.float_info.max
UNQUOTED = "write the number without quotes"
BARE = "write it without brackets and comma"


class Refused(Exception):
    """A value that its kind does not allow. where: which item it is of what was given."""

    def __init__(self, value: object, allowed: str, remedy: str = "", where: str = "") -> None:
        super().__init__()
        self.value, self.allowed, self.remedy, self.where = value, allowed, remedy, where


class Kind:
    """What every kind answers."""

    hint = ""
    """What to do where a value is refused and nothing better is known."""

    @property
    def words(self) -> str:
        """What is allowed."""
        raise NotImplementedError

    @property
    def many(self) -> str:
        """The same, of each of several."""
        return self.words

    @property
    def bare(self) -> bool:
        """Whether nothing but a bare type is declared: no range, no pattern."""
        return False

    def fits(self, value: Any) -> bool:
        """Whether a value is right as it stands."""
        raise NotImplementedError

    def read(self, value: Any) -> Any:
        """The value as it is meant. Raises Refused."""
        if self.fits(value):
            return value
        raise Refused(value, self.words, self.hint)

    def near(self, value: Any) -> bool:
        """Whether a value was meant for this kind, among several."""
        return False


@dataclass(frozen=True)
class Anything(Kind):
    """Nothing is asked."""

    @property
    def words(self) -> str:
        return "anything"

    @property
    def bare(self) -> bool:
        return True

    def fits(self, value: Any) -> bool:
        return True


ANYTHING = Anything()


@dataclass(frozen=True)
class Free(Anything):
    """Anything, on purpose."""

    @property
    def bare(self) -> bool:
        return False


@dataclass(frozen=True)
class Number(Kind):
    """A finite number from `low` to `high`; above: more than `low`; whole: without a fraction."""

    low: float
    high: float
    unit: str = "mm"
    above: bool = False
    whole: bool = False
    hint: str = ""

    @property
    def words(self) -> str:
        if self.bare:
            return "a whole number" if self.whole else "a finite number"
        unit = f" {self.unit}" if self.unit else ""
        if self.above:
            return f"more than {self.low:g} and at most {self.high:g}{unit}"
        what = "a whole number from " if self.whole else ""
        return f"{what}{self.low:g} to {self.high:g}{unit}"

    @property
    def many(self) -> str:
        return f"numbers, each {self.words}"

    @property
    def bare(self) -> bool:
        return self.high == MOST

    def fits(self, value: Any) -> bool:
        # The ends are finite: what lies between them is, too.
        if value.__class__ is float and not self.whole:
            return self.low < value <= self.high or (value == self.low and not self.above)
        if not finite(value) or (self.whole and not isinstance(value, int)):
            return False
        return self.low < value <= self.high or (value == self.low and not self.above)

    def read(self, value: Any) -> Any:
        if self.fits(value):
            return value
        # What a numeric library calls its numbers is read as Python's own.
        if isinstance(value, Real) and not isinstance(value, (bool, int, float)):
            value = float(value)
        if self.whole and isinstance(value, float) and value.is_integer() and abs(value) < 1e15:
            value = int(value)
        elif isinstance(value, Real) and finite(value) and not self.whole and self.fits(value):
            return value
        if self.fits(value):
            return value
        raise Refused(value, self.words, self._remedy(value))

    def _remedy(self, value: Any) -> str:
        if isinstance(value, str):
            return UNQUOTED
        if isinstance(value, (tuple, list)) and len(value) == 1 and self.near(value[0]):
            return BARE
        if self.hint or self.unit != "mm" or not finite(value) or self.whole:
            return self.hint
        if value < self.low and self.fits(25.4 * value):
            return f"lengths are mm: write inch({value:g}) for inches"
        if value > 100.0 * self.high and self.fits(value / 1000.0):
            return "lengths are mm"
        return ""

    def near(self, value: Any) -> bool:
        return isinstance(value, Real) and not isinstance(value, bool)


@dataclass(frozen=True)
class Flag(Kind):
    """True or False."""

    hint: str = "write it without quotes"

    @property
    def words(self) -> str:
        return "True or False"

    def fits(self, value: Any) -> bool:
        return value is True or value is False

    def read(self, value: Any) -> bool:
        if self.fits(value):
            return bool(value)
        raise Refused(value, self.words, self.hint if isinstance(value, str) else "")


@dataclass(frozen=True)
class Pattern(Kind):
    """A text of which all matches `form`, as `words` say."""

    form: str
    said: str
    hint: str = ""

    @property
    def words(self) -> str:
        return self.said

    @property
    def bare(self) -> bool:
        return not self.form

    @cached_property
    def _match(self) -> Callable[[str], Any]:
        return re.compile(self.form, re.DOTALL).fullmatch

    def fits(self, value: Any) -> bool:
        return isinstance(value, str) and (not self.form or self._match(value) is not None)

    def near(self, value: Any) -> bool:
        return isinstance(value, str)


@dataclass(frozen=True)
class Word(Kind):
    """A word of a closed vocabulary; a plain string is read as the word."""

    kind: type[StrEnum] | None
    allowed: tuple[str, ...]
    hint: str = ""

    @property
    def words(self) -> str:
        return ", ".join(one or '""' for one in self.allowed)

    def fits(self, value: Any) -> bool:
        return (self.kind or str) is value.__class__ and value in self.allowed

    def read(self, value: Any) -> Any:
        if isinstance(value, str) and str(value) in self.allowed:
            return self.allowed[self.allowed.index(str(value))]
        raise Refused(value, self.words, self.hint or self._remedy(value))

    def _remedy(self, value: Any) -> str:
        close = isinstance(value, str) and value.strip().lower()
        return f'write "{close}"' if close in self.allowed else ""

    def near(self, value: Any) -> bool:
        return isinstance(value, str)


@dataclass(frozen=True)
class Made(Kind):
    """A value of a class."""

    kind: type
    hint: str = ""

    @property
    def words(self) -> str:
        return f"{article(self.kind.__name__)} {self.many}"

    @property
    def many(self) -> str:
        return call(self.kind)

    def fits(self, value: Any) -> bool:
        return isinstance(value, self.kind)

    def read(self, value: Any) -> Any:
        if isinstance(value, self.kind):
            return value
        if isinstance(value, type) and issubclass(value, self.kind):
            raise Refused(value, self.words, f"make one of it: {call(value)}")
        if isinstance(value, (tuple, list)) and len(value) == 1 and self.fits(value[0]):
            raise Refused(value, self.words, BARE)
        raise Refused(value, self.words, self.hint)

    def near(self, value: Any) -> bool:
        return isinstance(value, type) and issubclass(value, self.kind)


@dataclass(frozen=True)
class Nothing(Kind):
    """None."""

    @property
    def words(self) -> str:
        return "None"

    def fits(self, value: Any) -> bool:
        return value is None


@dataclass(frozen=True)
class Answers(Kind):
    """A value of a dataclass that has all of these methods."""

    methods: str
    hint: str = ""

    @property
    def words(self) -> str:
        *first, last = self.methods.split()
        return f"a dataclass that answers {', '.join(first)} and {last}"

    def fits(self, value: Any) -> bool:
        return (
            is_dataclass(value)
            and not isinstance(value, type)
            and all(callable(getattr(value, name, None)) for name in self.methods.split())
        )

    def read(self, value: Any) -> Any:
        if self.fits(value):
            return value
        if isinstance(value, type) or not is_dataclass(value):
            remedy = "put @dataclass(frozen=True) over its class and make one of it"
            raise Refused(value, self.words, remedy)
        without = [n for n in self.methods.split() if not callable(getattr(value, n, None))]
        remedy = f"give it a method {without[0]} that returns a tuple, () where it has none"
        raise Refused(value, self.words, remedy)


@dataclass(frozen=True)
class Called(Kind):
    """A function, or whatever may be called like one."""

    hint: str = ""

    @property
    def words(self) -> str:
        return "a function"

    def fits(self, value: Any) -> bool:
        return callable(value)


def article(word: str) -> str:
    """ "a" or "an"."""
    return "an" if word[0] in "AEIOaeio" else "a"


def call(kind: type) -> str:
    """How one of a class is made: its name and what must be given, at the most three."""
    own: Any = kind
    if not is_dataclass(own):
        return kind.__name__
    needed = [
        one.name
        for one in fields(own)
        if one.init and one.default is MISSING and one.default_factory is MISSING
    ]
    more = "" if len(needed) in (1, 2, 3) else "..."
    return f"{kind.__name__}({', '.join([*needed[:3], *filter(None, [more])])})"
