"""The kinds of several values: tuples, sets, tables, and one of several kinds."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from collections.abc import Set as AbstractSet
from dataclasses import dataclass
from math import isfinite
from string import ascii_lowercase
from typing import Any

from bodycad.kinds.value import Kind, Refused

MOST = 100_000
"""No list of a script is longer."""
COMMA = "one alone is written (it,) with a comma"


@dataclass(frozen=True)
class Items(Kind):
    """A tuple (or a set) of one kind of items; a list or an array is read as one. loose: any other
    row of values too, a generator say."""

    item: Kind
    least: int = 0
    most: int = MOST
    as_set: bool = False
    loose: bool = False
    hint: str = ""

    @property
    def words(self) -> str:
        count = {0: "", 1: "one or more "}.get(self.least, f"{self.least} or more ")
        most = "" if self.most == MOST else f", {self.most} at most"
        return f"a {'set' if self.as_set else 'tuple'} of {count}{self.item.many}{most}"

    @property
    def bare(self) -> bool:
        return self.item.bare

    @property
    def _holder(self) -> type:
        return frozenset if self.as_set else tuple

    def fits(self, value: Any) -> bool:
        rows: Any = value if value.__class__ is self._holder else None
        if rows is None or not self.least <= len(rows) <= self.most:
            return False
        return all(map(self.item.fits, rows))

    def read(self, value: Any) -> Any:
        rows = items(value, self.as_set, self.loose)
        if rows is None:
            raise Refused(value, self.words, self._remedy(value))
        if not self.least <= len(rows) <= self.most:
            found = f"{len(rows)} of them" if rows else value
            raise Refused(found, self.words, self.hint)
        read = []
        for k, one in enumerate(rows, 1):
            try:
                read.append(self.item.read(one))
            except Refused as no:
                doubled = isinstance(one, (tuple, list)) and len(rows) == 1
                if doubled and self._is(one):
                    no.value, no.remedy, no.where = value, "leave out one pair of brackets", ""
                    no.allowed = self.words
                else:
                    no.where += f"item {k} of "
                raise
        return self._holder(read)

    def _is(self, value: Any) -> bool:
        try:
            self.read(value)
        except Refused:
            return False
        return True

    def _remedy(self, value: Any) -> str:
        try:
            self.item.read(value)
        except Refused:
            return self.hint
        return COMMA

    def near(self, value: Any) -> bool:
        return items(value, self.as_set, False) is not None


@dataclass(frozen=True)
class Rows(Kind):
    """An array of rows of three finite numbers."""

    said: str
    hint: str = ""

    @property
    def words(self) -> str:
        return self.said

    def fits(self, value: Any) -> bool:
        shape: Any = getattr(value, "shape", ())
        # A sum is finite where every number is, and no array of them need be made.
        two = isinstance(shape, tuple) and len(shape) == 2  # a class has a shape that is none
        right = two and shape[0] > 1 and shape[1] == 3 and value.dtype.kind == "f"
        return bool(right and isfinite(value.sum()))


@dataclass(frozen=True)
class Row(Kind):
    """A tuple of so many values, each of its own kind."""

    each: tuple[Kind, ...]
    hint: str = ""

    @property
    def words(self) -> str:
        if len(set(self.each)) == 1:
            return f"({', '.join(ascii_lowercase[: len(self.each)])}), each {self.each[0].words}"
        return f"({', '.join(one.words for one in self.each)})"

    @property
    def bare(self) -> bool:
        return any(one.bare for one in self.each)

    def fits(self, value: Any) -> bool:
        if value.__class__ is not tuple or len(value) != len(self.each):
            return False
        for one, item in zip(self.each, value):  # noqa: SIM110 - called very often
            if not one.fits(item):
                return False
        return True

    def read(self, value: Any) -> Any:
        rows = items(value, False, False)
        if rows is None or len(rows) != len(self.each):
            doubled = rows is not None and len(rows) == 1 and isinstance(rows[0], (tuple, list))
            remedy = "leave out one pair of brackets" if doubled else self.hint
            raise Refused(value, self.words, remedy)
        read = []
        for k, (kind, one) in enumerate(zip(self.each, rows), 1):
            try:
                read.append(kind.read(one))
            except Refused as no:
                no.where += f"item {k} of "
                raise
        return tuple(read)

    def near(self, value: Any) -> bool:
        return items(value, False, False) is not None


@dataclass(frozen=True)
class Table(Kind):
    """A mapping of one kind of keys to one kind of values."""

    key: Kind
    value: Kind
    hint: str = ""

    @property
    def words(self) -> str:
        return f"{{{self.key.words}: {self.value.words}}}"

    @property
    def bare(self) -> bool:
        return self.key.bare or self.value.bare

    def fits(self, value: Any) -> bool:
        right = isinstance(value, Mapping) and len(value) <= MOST
        return right and all(self.key.fits(k) and self.value.fits(v) for k, v in value.items())

    def read(self, value: Any) -> Any:
        if not isinstance(value, Mapping) or len(value) > MOST:
            raise Refused(value, self.words, self.hint)
        read = {}
        for name, one in value.items():
            for kind, given in ((self.key, name), (self.value, one)):
                try:
                    kind.read(given)
                except Refused as no:
                    what = "a name" if kind is self.key else str(name)[:60]
                    no.where += f"{what} in "
                    raise
            read[self.key.read(name)] = self.value.read(one)
        return read


@dataclass(frozen=True)
class Either(Kind):
    """One of several kinds, the first that reads it."""

    kinds: tuple[Kind, ...]
    hint: str = ""

    @property
    def words(self) -> str:
        return ", or ".join(one.words for one in self.kinds)

    @property
    def bare(self) -> bool:
        return any(one.bare for one in self.kinds)

    def fits(self, value: Any) -> bool:
        for one in self.kinds:  # noqa: SIM110 - called very often
            if one.fits(value):
                return True
        return False

    def read(self, value: Any) -> Any:
        found = []
        for one in self.kinds:
            try:
                return one.read(value)
            except Refused as no:
                found.append((one.near(value), no))
        near = next((no for close, no in found if close), None)
        if near is not None and near.where:
            raise near
        remedy = near.remedy if near else next((no.remedy for _, no in found if no.remedy), "")
        raise Refused(value, self.words, remedy or self.hint)

    def near(self, value: Any) -> bool:
        return any(one.near(value) for one in self.kinds)


def items(value: Any, as_set: bool, loose: bool) -> list[Any] | None:
    """The items of a row of values; None where it is none, or a text."""
    if isinstance(value, (tuple, list)) or (as_set and isinstance(value, AbstractSet)):
        return list(value)
    rows = value.tolist() if type(value).__module__ == "numpy" else None
    if isinstance(rows, list):
        return rows
    if loose and isinstance(value, Iterable) and not isinstance(value, (str, bytes, Mapping)):
        return list(value)
    return None
