"""Which figures of a layout a check looks at, found by watching it look.

A watched layout answers like the layout itself and notes every size, place, room and void that is read.
So a check is run again only for what it can see, whoever wrote the check or the part.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable
from dataclasses import fields, is_dataclass, replace
from functools import cache
from typing import Any

from bodycad.chance.built import SIZES_OF
from bodycad.layout.interface import Interface
from bodycad.layout.layout import Layout

_NOTES = "_notes_of_what_is_read"


def watched(layout: Layout, note: Callable[[str], None]) -> Layout:
    """The same layout, calling `note` with a token for everything that is read of it.

    Tokens: the dotted path of a part's or the instrument's field ("neck.heel.length"), "place:",
    "room:", "void:" and "piece:" (a workpiece other than the body) with an id. The skin and the blank are not watched: every check may read
    them."""
    placed = tuple(
        _watch(p, {"place": f"place:{p.id}"}, note, part=_all(p.part, p.id, note))
        for p in layout.placed
    )
    return replace(
        layout,
        placed=placed,
        instrument=_all(layout.instrument, SIZES_OF, note),
        pieces=(
            replace(
                layout.body,
                voids=tuple(_watch(v, {"shape": f"void:{v.id}"}, note) for v in layout.voids),
            ),
            *(
                _watch(p, dict.fromkeys(("skin", "voids", "frame"), f"piece:{p.id}"), note)
                for p in layout.pieces[1:]
            ),
        ),
        interfaces=tuple(
            _watch(record, {name: token for name, token in names}, note)
            for record, names in stated_names(layout)
        ),
        rooms=tuple(_watch(r, {"shape": f"room:{r.id}"}, note) for r in layout.rooms),
    )


def stated_names(layout: Layout) -> list[tuple[Interface, list[tuple[str, str]]]]:
    """Every record that parts state, with (field, token) of each of its fields."""
    found: list[tuple[Interface, list[tuple[str, str]]]] = []
    count: Counter[str] = Counter()
    for record in layout.interfaces:
        name = f"interface:{record.part}.{type(record).__name__}"
        count[name] += 1
        tokens = [
            (spec.name, f"{name}.{count[name]}.{spec.name}")
            for spec in fields(record)
            if spec.name != "part"
        ]
        found.append((record, tokens))
    return found


def _all(thing: Any, name: str, note: Callable[[str], None]) -> Any:
    """A dataclass with every field watched, those of its own dataclasses too."""
    inner, tokens = {}, {}
    for spec in fields(thing):
        value, path = getattr(thing, spec.name), f"{name}.{spec.name}"
        if _figures(value):
            inner[spec.name] = _all(value, path, note)
        elif isinstance(value, tuple) and any(map(_figures, value)):
            inner[spec.name] = tuple(
                _all(v, f"{path}.{k}", note) if _figures(v) else v for k, v in enumerate(value, 1)
            )
        else:
            tokens[spec.name] = path
    return _watch(thing, tokens, note, **inner)


def _figures(value: Any) -> bool:
    """Whether a value is a dataclass of plain figures (geometry is read as a whole)."""
    return (
        is_dataclass(value)
        and not isinstance(value, type)
        and not type(value).__module__.startswith("bodycad.geometry")
    )


def _watch(thing: Any, tokens: dict[str, str], note: Callable[[str], None], **inner: Any) -> Any:
    """A copy of a dataclass that notes the reading of the fields in `tokens`, without what it had
    worked out."""
    made = object.__new__(_class(type(thing)))
    values = {spec.name: getattr(thing, spec.name) for spec in fields(thing)}
    vars(made).update(values | inner | {_NOTES: (tokens, note)})
    return made


@cache
def _class(kind: type) -> type:
    """A subclass of `kind`, named like it, that notes what is read."""

    def read(self, name):
        notes = object.__getattribute__(self, "__dict__").get(_NOTES)
        if notes is not None and name in notes[0]:
            notes[1](notes[0][name])
        return object.__getattribute__(self, name)

    return type(kind.__name__, (kind,), {"__getattribute__": read, "__module__": kind.__module__})
