"""What a field or an argument may hold, declared on its annotation and held when it is given.

A declaration is an annotation: a class, a vocabulary of `words`, `Literal`, a tuple, `None` beside
another kind, or `Annotated[float, mm(3, 60)]` with the lowest and the highest value that a workshop
could mean. `declared` goes over a function, or over a frozen dataclass (under `@dataclass`): what
is given is read by the declarations, or refused as one InputError that says which field of what,
its value, what is allowed and what to do. A list is read as a tuple, a word as its own kind, 22.0
as 22 where a whole number is wanted; nothing else is changed.
"""

from __future__ import annotations

import functools
import inspect
import re
from collections.abc import Callable, Iterable
from dataclasses import dataclass, fields, is_dataclass
from types import SimpleNamespace
from typing import Annotated, Any, TypeVar, get_type_hints

from bodycad.errors import InputError, shown
from bodycad.kinds.read import Among, Count, kind_of
from bodycad.kinds.rows import Rows
from bodycad.kinds.value import ANYTHING, Answers, Free, Kind, Number, Pattern, Refused

__all__ = ["Among", "Answers", "Count", "Free", "Pattern", "Rows"]

D = TypeVar("D", bound=Callable[..., Any])


def mm(low: float, high: float) -> Number:
    """A length from `low` to `high` mm."""
    return Number(low, high)


def over(high: float, unit: str = "mm") -> Number:
    """More than 0 and at most `high`."""
    return Number(0.0, high, unit, above=True)


def between(low: float, high: float, unit: str = "") -> Number:
    """From `low` to `high` of another unit than mm."""
    return Number(low, high, unit)


Spot = Annotated[float, mm(-3000.0, 3000.0)]
"""A coordinate on an instrument, or how far one thing lies from another to either side, mm."""
Far = Annotated[float, mm(-1e5, 1e5)]
"""A coordinate of any drawing, mm."""
Turn = Annotated[float, between(-720.0, 720.0, "degrees")]
_LETTERS = "letters a to z, digits, . - and _, beginning with a letter,"
Id = Annotated[str, Pattern(r"[A-Za-z][A-Za-z0-9._-]{0,59}", f"{_LETTERS} 60 at most")]
"""What a layer's name and the extended data of DXF (255 bytes) and a name in STEP can carry, with
what a part puts after its own id."""
CutId = Annotated[str, Pattern(r"[A-Za-z][A-Za-z0-9._-]{0,119}", f"{_LETTERS} 120 at most")]
"""The id of a cut or a room: its part's, and what the part puts after it."""
_LINE = r"[^\x00-\x1f\x7f-\x9f\u2028\u2029\ud800-\udfff]"
Text = Annotated[str, Pattern(rf"(?=.*\S){_LINE}{{1,300}}", "words, 300 characters at most")]
"""Words for people: nothing that moves a terminal's cursor or that no file can hold."""
Name = Annotated[str, Pattern(rf"{_LINE}{{0,120}}", "words, 120 characters at most, or none")]
"""What a message calls a thing by; it may be empty."""


@dataclass(frozen=True)
class Declared:
    """One field or argument and its kind. rest: it stands for all that follow, as in *others."""

    name: str
    kind: Kind
    rest: bool = False


def declared(whose: str = "") -> Callable[[D], D]:
    """Hold a frozen dataclass or a function to its declarations.

    whose: what its fields belong to, "a pot" for "the panel of a pot"; {words} in it stand for what
    was given by that name, {class} for the class. Left out, it is made of the class's own name, or
    the function's. What is made of a declared class is held as a whole by what it inherits."""

    def wrap(thing: Any) -> Any:
        return _class(thing, whose) if isinstance(thing, type) else _function(thing, whose)

    return wrap


def declarations(thing: Any) -> tuple[Declared, ...]:
    """The declarations of a class's fields or of a function's arguments, in order."""
    if not isinstance(thing, type):
        return _arguments(thing)
    return _fields(thing) if is_dataclass(thing) else ()


def _class(cls: Any, whose: str) -> Any:
    if "__dataclass_fields__" in vars(cls):
        raise TypeError(f"@declared() goes under @dataclass, not over it: {cls.__name__}")
    own: Callable[[Any], None] | None = getattr(cls, "__post_init__", None)

    def __post_init__(self: Any) -> None:
        kind, given = type(self), vars(self)
        for name, fits, one in kind.__dict__.get("_declared") or _compiled(kind):
            if not fits(given[name]):
                given[name] = _read(one, given[name], lambda: _owner(kind, whose, (), (), given))
        if own is not None:
            own(self)

    cls.__post_init__ = __post_init__
    cls._held = True
    return cls


def _compiled(cls: Any) -> Any:
    cls._declared = tuple((one.name, one.kind.fits, one) for one in _fields(cls))
    return cls._declared


def _function(function: Any, whose: str) -> Any:
    order: tuple[Declared, ...] = ()
    named: dict[str, Declared] = {}
    rest: int | None = None

    @functools.wraps(function)
    def held(*args: Any, **given: Any) -> Any:
        nonlocal order, named, rest
        if not named:
            order = _arguments(function)
            named = {one.name: one for one in order}
            rest = next((k for k, one in enumerate(order) if one.rest), None)
        asked = order
        if rest is not None:
            asked = (*order[:rest], *[order[rest]] * (len(args) - rest))
        read = None
        for k, (one, value) in enumerate(zip(asked, args)):
            if not one.kind.fits(value):
                read = read or list(args)
                read[k] = _read(one, value, lambda: _owner(function, whose, named, args, given))
        for name, value in given.items():
            if name in named and not named[name].kind.fits(value):
                one = named[name]
                given[name] = _read(one, value, lambda: _owner(function, whose, named, args, given))
        return function(*(read or args), **given)

    vars(held)["_held"] = True
    return held


def _read(one: Declared, value: Any, owner: Callable[[], str]) -> Any:
    try:
        return one.kind.read(value)
    except Refused as no:
        whose, name = owner(), one.name
        noun = re.fullmatch(r"(an?|the)( [a-z]+){1,2}", whose)
        of = "'" if whose.endswith("s") else "'s"
        thing = f"{no.where}{whose}{of} {name}" if noun else f"{no.where}the {name} of {whose}"
        error = InputError(thing, no.value, no.allowed, no.remedy)
    raise error


def _owner(
    thing: Any, whose: str, names: Iterable[str], args: tuple[Any, ...], given: dict[str, Any]
) -> str:
    name = thing.__name__
    if not whose:
        if not isinstance(thing, type):
            return f"{name}()"
        words = re.sub(r"(?<=[a-z])(?=[A-Z])", " ", name).lower()
        return f"{'an' if words[0] in 'aeiou' else 'a'} {words}"
    known = {"class": name}
    if not isinstance(thing, type):
        own = inspect.signature(thing).parameters.values()
        known |= {one.name: one.default for one in own if one.default is not one.empty}
    known |= {**dict(zip(names, args)), **given}

    def filled(found: re.Match[str]) -> str:
        value = known.get(found[1])
        words = value if isinstance(value, (tuple, list)) else (value,)
        return ", ".join(one if isinstance(one, str) else shown(one) for one in words)

    return re.sub(r"\{(\w+)\}", filled, whose).strip() or f"{name}()"


def _fields(cls: Any) -> tuple[Declared, ...]:
    try:
        hints = get_type_hints(cls, include_extras=True)
    # A class of the maker's own may name what only a type checker knows: nothing is held then.
    except Exception:
        hints = {}
    return tuple(
        Declared(one.name, kind_of(hints[one.name]) if one.name in hints else ANYTHING)
        for one in fields(cls)
        if one.init
    )


def _arguments(function: Any) -> tuple[Declared, ...]:
    function = inspect.unwrap(function)
    own = {name: hint for name, hint in function.__annotations__.items() if name != "return"}
    named = SimpleNamespace(__annotations__=own)
    hints = get_type_hints(named, function.__globals__, include_extras=True)
    return tuple(
        Declared(name, kind_of(hints.get(name, Any)), one.kind is one.VAR_POSITIONAL)
        for name, one in inspect.signature(function).parameters.items()
    )
