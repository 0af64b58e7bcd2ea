"""XML from outside, read with nothing expanded, nothing fetched, and everything counted."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import NoReturn
from xml.parsers import expat

from bodycad.errors import InputError

MOST_ELEMENTS = 50_000
DEEPEST = 64


@dataclass(frozen=True)
class Element:
    """One element: its name without namespace, attributes without theirs, and where it stands in
    the file."""

    name: str
    attributes: dict[str, str]
    line: int
    children: list[Element] = field(default_factory=list)


def elements(text: bytes, file: str) -> Element:
    """The root element. Raises InputError for what is no XML, declares entities, is nested deeper
    than DEEPEST or has more elements than MOST_ELEMENTS."""
    thing, count = f"the drawing {file}", 0
    root = Element("", {}, 0)
    path = [root]
    parser = expat.ParserCreate(namespace_separator=" ")
    parser.buffer_text = True

    def start(name: str, attributes: dict[str, str]) -> None:
        nonlocal count
        count += 1
        if count > MOST_ELEMENTS or len(path) > DEEPEST:
            found = f"more than {MOST_ELEMENTS} elements, or one more than {DEEPEST} deep"
            raise InputError(thing, found, "a drawing of the outline alone", "save it alone")
        own = {key.rpartition(" ")[2]: value for key, value in attributes.items()}
        made = Element(name.rpartition(" ")[2], own, parser.CurrentLineNumber)
        path[-1].children.append(made)
        path.append(made)

    def end(name: str) -> None:
        path.pop()

    def entity(*_: object) -> NoReturn:
        remedy = "save it as plain SVG, which declares none"
        raise InputError(thing, "one that declares entities", "SVG without them", remedy)

    parser.StartElementHandler, parser.EndElementHandler = start, end
    parser.EntityDeclHandler = entity
    try:
        parser.Parse(text, True)
    # An encoding that Python does not know is a LookupError or a ValueError.
    except (expat.ExpatError, LookupError, ValueError) as error:
        if isinstance(error, InputError):
            raise
        remedy = "save it again as SVG"
        raise InputError(thing, f"unreadable: {error}", "well-formed XML", remedy) from None
    return root.children[0]
