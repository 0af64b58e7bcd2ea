"""The kinds of parts, each laid out alone in a plain block from its own example: what
`bodycad parts` lists and draws."""

from __future__ import annotations

import ast
import re
import textwrap
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import MISSING, dataclass, fields, is_dataclass, replace
from typing import Any

import bodycad
from bodycad.cli.names import by_kind
from bodycad.declare import declarations
from bodycad.errors import InputError
from bodycad.examples import EXAMPLES
from bodycad.exports.parts_page import KindOfPart, SizeRow
from bodycad.geometry.plane.build import rectangle
from bodycad.geometry.solids.prism import Prism
from bodycad.geometry.solids.solid import Point3
from bodycad.layout.layout import Layout, Placed, lay_out
from bodycad.layout.place import Place
from bodycad.layout.void import Room, Void
from bodycad.units import Size
from bodycad.words import Face, Operation, RoomKind

THICKNESS = 44.0
LEFT, HALF = -200.0, 150.0
"""The block: from `LEFT` to the neck's mouth, and `HALF` to either side of the centreline, mm."""
STANDING = 80.0, 64.0
"""Length and width of a cavity that stands for another part's, mm."""
COMMON = {
    "thickness": "how thick it is",
    "height": "how high it is",
    "thread": "the screw's outside diameter",
    "pilot": "diameter of the hole that a wood screw is driven into",
    "pilot_depth": "how deep that hole is",
    "screw_pilot": "diameter of the hole that a wood screw is driven into",
    "screw_depth": "how deep that hole is",
    "plate_front": "from the datum to the plate's front edge",
    "plate_rear": "from the datum to the plate's rear edge",
    "plate_thickness": "how thick the plate is",
    "lip_thickness": "how thick the lip on the side is",
    "string_hole": "diameter of the hole that a string passes",
    "slot_corner": "radius of the slot's corners",
    "recess_corner": "radius of the recess's corners",
}
"""What names mean that several kinds share."""
MOST = 12
"""How many cuts of other parts are made up at most."""


@dataclass(frozen=True)
class StandIn:
    """Ready cuts and rooms of another part that the one to be drawn refers to."""

    cut: tuple[Void, ...] = ()
    room: tuple[Room, ...] = ()

    def voids(self, part: str, place: Place, thickness: float) -> tuple[Void, ...]:
        return self.cut

    def rooms(self, part: str, place: Place, thickness: float) -> tuple[Room, ...]:
        return self.room

    def interfaces(self, part: str, place: Place, piece: Any) -> tuple[Any, ...]:
        return ()


def kinds() -> tuple[KindOfPart, ...]:
    """Every kind of part, and what belongs to one, in the order of the package."""
    return tuple(kind_of_part(name) for name in by_kind()["Parts"])


def kind_of_part(name: str) -> KindOfPart:
    """One kind of part. Raises InputError for a name that is none."""
    names = by_kind()["Parts"]
    if name not in names:
        from bodycad.errors import nearest

        raise InputError("a kind of part", name, ", ".join(names), nearest(name, names))
    thing = getattr(bodycad, name)
    text = doc(thing)
    placed = example(name)
    layout = None if placed is None else alone(placed)
    sketch, words = parted(text)
    near = thing.__mro__[1:-1] if isinstance(thing, type) else ()
    said = [text, *map(doc, near)]
    said += [doc(getattr(bodycad, n)) for n in mentioned("\n".join(said), set(names) - {name})]
    rows = tuple(rows_of(thing, said))
    return KindOfPart(
        name,
        words,
        sketch or next(filter(None, (parted(one)[0] for one in said)), ""),
        rows,
        EXAMPLES.get(name, ""),
        layout,
    )


def given() -> Mapping[str, Any]:
    """What the examples of parts may use, over the plain block."""
    heel = bodycad.Heel(length=64.0, width_mouth=54.4, corner=7.0)
    neck = bodycad.Neck(
        scale=643.0, frets=23, nut_width=42.0, nut_spread=35.0, width_at_last_fret=56.5, heel=heel
    )
    right = bodycad.mouth_x(neck)
    outline = rectangle(right - LEFT, 2.0 * HALF, 0.0, (right + LEFT) / 2.0, 0.0)
    skin = bodycad.Skin(outline, THICKNESS, bodycad.Square(), bodycad.Square())
    gauges = ".010", ".013", ".017", ".026w", ".036w", ".046w"
    return {
        **{name: getattr(bodycad, name) for name in bodycad.NAMES},
        "outline": outline,
        "skin": skin,
        "blank": bodycad.blank_round(outline, bodycad.species("alder, red")),
        "neck": neck,
        "heel": heel,
        "instrument": bodycad.Instrument(neck, bodycad.strings(gauges), bridge_spread=52.5),
    }


def example(name: str) -> Placed | None:
    """The part that a name's example places; None where it makes what belongs to a part."""
    if name not in EXAMPLES:
        return None
    tree, space = ast.parse(EXAMPLES[name]), dict(given())
    exec(compile(ast.Module(tree.body[:-1], []), f"<{name}>", "exec"), space)
    last = tree.body[-1]
    assert isinstance(last, ast.Expr)
    found = eval(compile(ast.Expression(last.value), f"<{name}>", "eval"), space)
    return found if isinstance(found, Placed) else None


def alone(placed: Placed) -> Layout:
    """A part in the plain block, with stand-ins for what it needs of other parts."""
    own = given()
    others: dict[str, StandIn] = {}
    for _ in range(MOST):
        parts = placed, *(Placed(name, other) for name, other in others.items())
        try:
            return lay_out("part", own["blank"], own["skin"], own["instrument"], parts)
        except InputError as error:
            missing = _missing(error.value, placed.id)
            if missing is None:
                raise
            cause = error.thing
        except KeyError as error:
            missing = _missing(error.args[0], placed.id)
            if missing is None:
                raise
            cause = "the void"
        part = missing.partition(".")[0]
        other = others.get(part, StandIn())
        shape = _stand_in(placed, missing)
        if cause.startswith("the room"):
            made = Room(missing, part, RoomKind.PLATE, shape)
            others[part] = replace(other, room=(*other.room, made))
        else:
            face = Face.BACK if shape.low <= -THICKNESS else Face.FRONT
            made_cut = Void(missing, part, face, Operation.POCKET, shape, frozenset({face}))
            others[part] = replace(other, cut=(*other.cut, made_cut))
    raise AssertionError(f"{placed.id} needs more than {MOST} cuts of other parts")


def _missing(value: object, own: str) -> str | None:
    """The id of another part's cut or room that an error speaks of."""
    text = str(value)
    if re.fullmatch(r"[a-z][\w.-]*\.[\w.-]+", text) and not text.startswith(f"{own}."):
        return text
    return None


def _stand_in(placed: Placed, name: str) -> Prism:
    """A pocket where the part wants to meet it: at the deep end of the hole that leads there, or
    under the part."""
    voids = placed.part.voids(placed.id, placed.place, THICKNESS)
    meeting = [v for v in voids if name in v.meets]
    spot: Point3 = (placed.place.x, placed.place.y, -THICKNESS)
    for void in meeting:
        hole = void.shape.hole
        if hole is not None:
            order = [one for one in sorted(void.meets) if not one.startswith(f"{placed.id}.")]
            spots = [hole.end, hole.start] if len(order) > 1 else [hole.end]
            spot = spots[order.index(name) % len(spots)]
            break
    x, y, z = spot
    plan = rectangle(*STANDING, 6.0, x, y)
    if z <= -THICKNESS / 2.0:
        return Prism(plan, -THICKNESS, -6.0)
    return Prism(plan, -19.0, 0.0)


def doc(thing: Any) -> str:
    """The docstring of a class without the indent of its place: a sketch keeps its own."""
    first, *rest = (thing.__doc__ or "").rstrip().split("\n")
    return "\n".join([first, *(line.removeprefix("    ") for line in rest)])


STROKES = re.compile(r"--|==|__|\||<-|->|\[ |   ")
"""What lines of a sketch have and lines of words have not."""


def parted(text: str) -> tuple[str, str]:
    """The sketch of a docstring (its indented blocks) and its words."""
    lines = text.split("\n")
    drawn = [bool(line.strip()) and line.startswith("  ") for line in lines]
    for around in (range(1, len(lines)), range(len(lines) - 2, 0, -1)):
        for k in around:  # lines of a sketch that begin at the margin, beside those that do not
            beside = drawn[k - around.step]
            drawn[k] = drawn[k] or (beside and bool(STROKES.search(lines[k])))
    first = drawn.index(True) if any(drawn) else 0
    last = len(drawn) - drawn[::-1].index(True) if any(drawn) else 0
    sketch = textwrap.dedent("\n".join(lines[first:last]))
    words = "\n".join(lines[:first]).strip() + "\n\n" + "\n".join(lines[last:]).strip()
    return sketch, "\n\n".join(" ".join(b.split()) for b in words.split("\n\n") if b.strip())


def mentioned(text: str, names: Iterable[str]) -> list[str]:
    """Those of the names that a text has as words."""
    return [name for name in names if re.search(rf"\b{name}\b", text)]


def rows_of(thing: Any, said: list[str]) -> Iterator[SizeRow]:
    """The fields of a class, and what its docstring, or one that it refers to, says of each."""
    if not is_dataclass(thing):
        return
    allowed = {one.name: one.kind.words for one in declarations(thing)}
    for spec in (spec for spec in fields(thing) if spec.init):
        default = spec.default
        measured = isinstance(default, Size) and bool(spec.metadata.get("size", True))
        what = next(filter(None, (how(spec.name, text) for how in MEANINGS for text in said)), "")
        yield SizeRow(spec.name, _shown(default), allowed.get(spec.name, ""), what, measured)


def _shown(value: Any) -> str:
    if value is MISSING:
        return ""
    if isinstance(value, Size):
        spread = f" ± {value.tolerance:g}" if value.tolerance else ""
        return f"{float(value):g}{spread}"
    if value is None or value == ():
        return "none"
    return f"{value:g}" if isinstance(value, float) else str(value)[:40]


def meaning(name: str, text: str) -> str:
    """What a docstring says of a field: the words after "name:" or "name, other:", to the end of
    the clause; beside the sketch, to the end of the line."""
    sketch, words = parted(text)
    several = r"`?(?:,? (?:and )?`?\w+`?)*"
    found = re.search(rf"(?:^|[\s,;(`]){name}{several}: ([^;]*?)(?:;|\. |\.$)", words)
    return found[1].strip().rstrip(",") if found else _beside(name, sketch)


def _beside(name: str, sketch: str) -> str:
    """What a sketch says of a field: the words after its name, on the next lines too where they go
    on in the same column."""
    lines = sketch.split("\n")
    for k, line in enumerate(lines):
        found = re.search(rf"\b((?:\w+, )*){name}(?:, \w+)*: (.+?)(?:   |;|$)", line)
        if found is None:
            continue
        words, column, after = found[2], found.start(), line[found.end(2) :]
        for more in lines[k + 1 :] if not after else ():
            begins = (
                k for k in (column, column + 1, column - 1) if more[max(k, 0) : k + 1].strip()
            )
            start = next(
                (k for k in begins if k >= 0 and not more[max(k - 2, 0) : k].strip()), None
            )
            text = "" if start is None else more[start:]
            if not re.match(r"[a-z]{2}", text) or re.match(r"\w+(, \w+)*: ", text):
                break  # no words, or those of another field
            went = re.match(r"(.+?)(?:   |;|\.$|$)", text)
            assert went is not None
            words = f"{words} {went[1]}"
            if went.end() < len(text) or text.endswith("."):
                break
        return re.split(r"\. |\.$", words)[0].strip().rstrip(",")
    return ""


def named(name: str, text: str) -> str:
    """The clause of a docstring's words that begins with a field's name."""
    found = clause(name, text)
    return found if re.match(rf"`?{name}\b", found) else ""


def clause(name: str, text: str) -> str:
    """The clause of a docstring's words that names a field."""
    clauses = re.split(r"[;.] |\.$", parted(text)[1].replace("\n", " "))
    return next((one.strip() for one in clauses if re.search(rf"\b{name}\b", one)), "")


def drawn(name: str, text: str) -> str:
    """That a docstring's sketch shows a field."""
    return "see the sketch" if re.search(rf"\b{name}\b", parted(text)[0]) else ""


def common(name: str, text: str) -> str:
    """What a name means wherever no docstring says more."""
    return COMMON.get(name, "")


MEANINGS = meaning, named, drawn, clause, common
"""Ways to find out what a field is, the best first."""
