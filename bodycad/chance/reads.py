"""Which figures of a layout a check looks at, found by watching it look.

A watched layout answers like the layout itself and notes every size, place, room, void and record
that is read. So a check is run again only for what it can see, whoever wrote the check or the part.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable
from dataclasses import dataclass, fields, is_dataclass, replace
from typing import Any

from bodycad.layout.interface import Interface
from bodycad.layout.layout import Layout

SIZES_OF = "instrument"
"""Owner of the instrument's own sizes; every other owner is a placed part's id."""
_NOTES = "_notes_of_what_is_read"


def watched(layout: Layout, note: Callable[[str], None]) -> Layout:
    """The same layout, calling `note` with a token for everything that is read of it.

    Tokens: the dotted path of a part's or the instrument's field ("neck.heel.length"), that of a
    record's field (see `stated_names`), "place:", "room:", "void:" and "piece:" (a workpiece beside
    the body) with an id. The skin and the blank are not watched: every check may read them, and
    "skin" is noted at once."""
    note("skin")
    watch = _Watch(note, {}, {})
    records = stated_names(layout)
    voids = tuple(watch.one(v, {"shape": f"void:{v.id}"}) for v in layout.voids)
    pieces = (
        watch.one(p, dict.fromkeys(("skin", "voids", "frame"), f"piece:{p.id}"))
        for p in layout.pieces[1:]
    )
    return replace(
        layout,
        placed=tuple(
            watch.one(p, {"place": f"place:{p.id}"}, part=watch.all(p.part, p.id))
            for p in layout.placed
        ),
        instrument=watch.all(layout.instrument, SIZES_OF),
        pieces=(replace(layout.body, voids=voids), *pieces),
        interfaces=tuple(
            watch.one(record, {name: f"{path}.{name}" for name in stated(record)})
            for path, record in records.items()
        ),
        rooms=tuple(watch.one(r, {"shape": f"room:{r.id}"}) for r in layout.rooms),
    )


def stated_names(layout: Layout) -> dict[str, Interface]:
    """Every record that parts state, by a name: "interface:neck.Joint.1" is the neck's first."""
    found: dict[str, Interface] = {}
    count: Counter[str] = Counter()
    for record in layout.interfaces:
        name = f"interface:{record.part}.{type(record).__name__}"
        count[name] += 1
        found[f"{name}.{count[name]}"] = record
    return found


def stated(record: Interface) -> list[str]:
    """The names of a record's fields, but for that of its part."""
    return [spec.name for spec in fields(record) if spec.name != "part"]


@dataclass(frozen=True)
class _Watch:
    """What is told of a reading; the watching subclass of each class met so far, and the names of
    its fields."""

    note: Callable[[str], None]
    classes: dict[type, type]
    names: dict[type, tuple[str, ...]]

    def all(self, thing: Any, name: str) -> Any:
        """A dataclass with every field watched, those of its own dataclasses too."""
        inner, tokens = {}, {}
        for own in self.of(type(thing)):
            value, path = getattr(thing, own), f"{name}.{own}"
            if _figures(value):
                inner[own] = self.all(value, path)
            elif isinstance(value, tuple) and any(map(_figures, value)):
                inner[own] = tuple(
                    self.all(v, f"{path}.{k}") if _figures(v) else v for k, v in enumerate(value, 1)
                )
            else:
                tokens[own] = path
        return self.one(thing, tokens, **inner)

    def of(self, kind: type) -> tuple[str, ...]:
        """The names of the fields of a class."""
        if kind not in self.names:
            self.names[kind] = tuple(spec.name for spec in fields(kind))
        return self.names[kind]

    def one(self, thing: Any, tokens: dict[str, str], **inner: Any) -> Any:
        """A copy of a dataclass that notes the reading of the fields in `tokens`, without what it
        had worked out."""
        kind = type(thing)
        if kind not in self.classes:
            self.classes[kind] = _watching(kind)
        made: Any = object.__new__(self.classes[kind])
        values = {name: getattr(thing, name) for name in self.of(kind)}
        vars(made).update(values | inner | {_NOTES: (tokens, self.note)})
        return made


def _figures(value: Any) -> bool:
    """Whether a value is a dataclass of plain figures (geometry is read as a whole)."""
    return (
        is_dataclass(value)
        and not isinstance(value, type)
        and not type(value).__module__.startswith("bodycad.geometry")
    )


def _watching(kind: type) -> type:
    """A subclass of `kind`, named like it, that notes what is read."""

    def read(self: Any, name: str) -> Any:
        notes = object.__getattribute__(self, "__dict__").get(_NOTES)
        if notes is not None and name in notes[0]:
            notes[1](notes[0][name])
        return object.__getattribute__(self, name)

    return type(kind.__name__, (kind,), {"__getattribute__": read, "__module__": kind.__module__})
