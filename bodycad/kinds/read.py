"""Which kind an annotation declares."""

from __future__ import annotations

import types
import typing
from collections.abc import Callable, Collection, Iterable, Mapping, Sequence
from collections.abc import Set as AbstractSet
from dataclasses import dataclass, replace
from enum import StrEnum
from typing import Any

from bodycad.kinds.rows import MOST, Either, Items, Row, Table
from bodycad.kinds.value import ANYTHING, Called, Flag, Kind, Made, Nothing, Number, Pattern, Word
from bodycad.kinds.value import MOST as FLOAT


@dataclass(frozen=True)
class Count:
    """Beside a tuple's kind: how many items it has."""

    least: int = 0
    most: int = MOST


@dataclass(frozen=True)
class Among:
    """Beside a vocabulary: the words of it that are allowed."""

    allowed: tuple[str, ...]


_BARE: Mapping[Any, Kind] = types.MappingProxyType(
    {
        float: Number(-FLOAT, FLOAT),
        int: Number(-FLOAT, FLOAT, whole=True),
        str: Pattern("", "text"),
        bool: Flag(),
        None: Nothing(),
        types.NoneType: Nothing(),
        Any: ANYTHING,
        object: ANYTHING,
    }
)


def kind_of(annotation: Any) -> Kind:
    """The kind that an annotation declares."""
    if annotation in _BARE:
        return _BARE[annotation]
    origin, inside = typing.get_origin(annotation), typing.get_args(annotation)
    if origin is typing.Annotated:
        return _marked(annotation, inside)
    if origin is typing.Literal:
        return Word(None, inside)
    if origin in (typing.Union, types.UnionType):
        return Either(tuple(map(kind_of, inside)))
    if origin is tuple and inside[-1] is not Ellipsis:
        return Row(tuple(map(kind_of, inside)))
    if origin in (tuple, list, Sequence):
        return Items(kind_of(inside[0]))
    if origin in (Iterable, Collection):
        return Items(kind_of(inside[0]), loose=True)
    if origin in (frozenset, set, AbstractSet):
        return Items(kind_of(inside[0]), as_set=True)
    if origin in (dict, Mapping):
        return Table(kind_of(inside[0]), kind_of(inside[1]))
    if origin is Callable or annotation is Callable:
        return Called()
    if isinstance(annotation, type) and issubclass(annotation, StrEnum):
        return Word(annotation, tuple(annotation))
    return Made(annotation) if isinstance(annotation, type) else ANYTHING


def _marked(annotation: Any, inside: tuple[Any, ...]) -> Kind:
    kind = kind_of(inside[0])
    for mark in inside[1:]:
        if isinstance(mark, Number):
            kind = replace(mark, whole=inside[0] is int)
        elif isinstance(mark, Kind):
            kind = mark
        elif isinstance(mark, Count) and isinstance(kind, Items):
            kind = replace(kind, least=mark.least, most=mark.most)
        elif isinstance(mark, Among) and isinstance(kind, Word):
            kind = replace(kind, allowed=mark.allowed)
        elif isinstance(mark, str):
            kind = replace(kind, hint=mark)  # type: ignore[type-var]
    return kind
