"""The strokes of an SVG file: paths and shapes under nested transforms, `use` and viewBox.

The walk through the tree is our own, for it counts and names what it passes; svgelements reads path
data and makes paths of shapes, and keeps their arcs arcs."""

from __future__ import annotations

import math
import re
from collections import Counter
from collections.abc import Iterator, Sequence
from pathlib import Path
from typing import Any

import numpy as np

from bodycad.errors import InputError
from bodycad.imports.curve import Shape, Track, bezier, elliptic, line, placed
from bodycad.imports.markup import DEEPEST, MOST_ELEMENTS, Element, elements
from bodycad.imports.stroke import MOST_POINTS, Sketch, Stroke, bounded
from bodycad.units import MM_PER_INCH

PX = MM_PER_INCH / 96.0
"""mm of a CSS pixel (CSS Values and Units 4, 6.2)."""
LENGTHS = {"": PX, "px": PX, "mm": 1.0, "cm": 10.0, "in": 25.4, "pt": 25.4 / 72.0}
LENGTHS |= {"pc": 25.4 / 6.0, "Q": 0.25}
"""mm of each absolute unit (ibid.)."""
GROUPS = frozenset({"svg", "g", "a", "switch"})
DRAWN = frozenset({"path", "rect", "circle", "ellipse", "line", "polyline", "polygon"})
SKIPPED = frozenset({"text", "image", "foreignObject"})
"""What is seen but is no stroke; what else is no group is not seen."""
_FLOAT = r"[+-]?(?:\d+\.?\d*|\.\d+)(?:[eE][+-]?\d+)?"
_NUMBER = re.compile(_FLOAT)
_LENGTH = re.compile(rf"\s*({_FLOAT})\s*([A-Za-z]*|%)\s*")
_CALL = re.compile(r"\s*(\w+)\s*\(([^()]*)\)[\s,]*")
_SEPARATED = re.compile(rf"\s*{_FLOAT}(?:[\s,]+{_FLOAT}|(?=[+-]){_FLOAT})*\s*")
MOST_DATA = 2_000_000
"""Characters of one path's data."""
MOST_TRANSFORM = 4000


def svg_sketch(path: Path, file: str, raw: bool) -> Sketch:
    """What an SVG file shows, in mm from the page's top left corner, y down; in its own user units
    where `raw`. Raises InputError for a file that cannot be used."""
    root = elements(path.read_bytes(), file)
    if root.name != "svg":
        found = f"one whose root is <{root.name}>"
        raise InputError(f"the drawing {file}", found, "an SVG file")
    walk = _Walk(root, file)
    if raw:
        matrix, unit, note = np.eye(2, 3), None, ""
    else:
        matrix, unit, note = walk.page()
    strokes = bounded(walk.strokes(root, matrix, frozenset(), 0), file)
    notes = [f"{count} {kind} not heeded" for kind, count in sorted(walk.skipped.items())]
    notes = [note, *notes] if note else notes
    layers = sorted({name for one in strokes for name in one.names})
    return Sketch(strokes, unit, True, notes=tuple(notes), layers=tuple(layers))


class _Walk:
    """One way through a file's tree; counts what it passes."""

    def __init__(self, root: Element, file: str) -> None:
        self.root, self.thing = root, f"the drawing {file}"
        self.passed = 0
        self.skipped: Counter[str] = Counter()
        self.ids: dict[str, Element] = {}
        self._known(root)

    def _known(self, element: Element) -> None:
        if "id" in element.attributes:
            self.ids.setdefault(element.attributes["id"], element)
        for child in element.children:
            self._known(child)

    def wrong(self, element: Element, found: str, allowed: str, remedy: str = "") -> InputError:
        """The refusal of an element."""
        where = f"<{element.name}> on line {element.line}"
        return InputError(self.thing, f"{where} with {found}", allowed, remedy)

    def page(self) -> tuple[np.ndarray, float | None, str]:
        """From the root's user units to mm; 1.0, or None where the file does not say its size; and
        what is to be said of that."""
        texts = [self.root.attributes.get(name, "") for name in ("width", "height")]
        given = [None if t.strip() in ("", "auto") or "%" in t else t for t in texts]
        box = self._box(self.root)
        if box is None:
            # Without a viewBox a user unit is a pixel, whatever the page's size.
            return (
                _scaled(PX, PX),
                None,
                "the file has no viewBox; its units are taken as 96 to the inch",
            )
        sizes = [None if t is None else self._length(self.root, t) * PX for t in given]
        if sizes == [None, None]:
            note = "the file does not say how large it is; its units are taken as 96 to the inch"
            return _scaled(PX, PX) @ _square(_shifted(-box[0], -box[1])), None, note
        wide, high = sizes
        wide = wide if wide is not None else (high or 0.0) * box[2] / box[3]
        high = high if high is not None else wide * box[3] / box[2]
        plain = any(t is not None and _LENGTH.fullmatch(t)[2] in ("", "px") for t in given)  # type: ignore[index]
        note = (
            "the file gives its size in pixels; they are taken as 96 to the inch" if plain else ""
        )
        return self._fitted(self.root, box, wide, high), None if plain else 1.0, note

    def strokes(
        self, element: Element, matrix: np.ndarray, names: frozenset[str], depth: int
    ) -> Iterator[Stroke]:
        """Every stroke that is shown under an element."""
        self.passed += 1
        if self.passed > MOST_ELEMENTS or depth > DEEPEST:
            found = f"more than {MOST_ELEMENTS} elements shown, or <use> that shows itself"
            raise self.wrong(element, found, "fewer", "save the outline alone, as plain SVG")
        if self._hidden(element):
            self.skipped["hidden element"] += 1
            return
        self._seen_otherwise(element)
        own = (element.attributes.get(key) for key in ("id", "label"))
        names |= {name.casefold() for name in own if name}
        if "transform" in element.attributes:
            matrix = matrix @ _square(self._transform(element))
        if element.name in GROUPS:
            if element.name == "svg" and depth:
                matrix = matrix @ _square(self._inner(element))
            for child in element.children:
                yield from self.strokes(child, matrix, names, depth + 1)
        elif element.name == "use":
            yield from self._used(element, matrix, names, depth)
        elif element.name in DRAWN:
            what = element.attributes.get("id")
            label = f"<{element.name}>{f' {what}' if what else ''} on line {element.line}"
            for shape in self._shapes(element):
                for moved in shape.moved(matrix):
                    yield Stroke(moved, label, names)
        elif element.name in SKIPPED:
            self.skipped[element.name] += 1
        elif element.name == "style" and depth:
            self.skipped["style"] += 1

    def _used(
        self, element: Element, matrix: np.ndarray, names: frozenset[str], depth: int
    ) -> Iterator[Stroke]:
        target = self.ids.get(element.attributes.get("href", "").strip().removeprefix("#"))
        if target is None:
            remedy = "unlink clones, or save it as plain SVG"
            raise self.wrong(element, "a link to what is not in the file", "#id of it", remedy)
        x, y = (self._number(element, key) for key in ("x", "y"))
        matrix = matrix @ _square(_shifted(x, y))
        if target.name != "symbol":
            yield from self.strokes(target, matrix, names, depth + 1)
            return
        if "viewBox" in target.attributes:
            raise self.wrong(target, "a viewBox of its own", "none", "unlink it in the drawing")
        for child in target.children:
            yield from self.strokes(child, matrix, names, depth + 1)

    def _seen_otherwise(self, element: Element) -> None:
        """Refuse, or note, what makes an element look otherwise than it is drawn."""
        style = _style(element)
        if "transform" in style:
            remedy = "save it as plain SVG, or flatten its transforms"
            raise self.wrong(element, "a transform in its style", "transform=...", remedy)
        if {"clip-path", "mask"} & {*style, *element.attributes}:
            self.skipped["clip or mask"] += 1

    def _hidden(self, element: Element) -> bool:
        style = _style(element)
        return "none" in (element.attributes.get("display"), style.get("display")) or (
            "hidden" in (element.attributes.get("visibility"), style.get("visibility"))
        )

    def _box(self, element: Element) -> list[float] | None:
        text = element.attributes.get("viewBox")
        if text is None:
            return None
        found = self._numbers(element, text)
        if len(found) != 4 or min(found[2:]) <= 0.0:
            raise self.wrong(
                element, f'viewBox="{text[:40]}"', "four numbers, the last two above 0"
            )
        return found

    def _inner(self, element: Element) -> np.ndarray:
        """What a nested <svg> does to what it holds."""
        x, y = (self._number(element, key) for key in ("x", "y"))
        box = self._box(element)
        if box is None:
            return _shifted(x, y)
        wide, high = (self._number(element, key) for key in ("width", "height"))
        if not (wide > 0.0 and high > 0.0):
            raise self.wrong(element, "a viewBox without a size", "width and height above 0")
        return _shifted(x, y) @ _square(self._fitted(element, box, wide, high))

    def _fitted(self, element: Element, box: list[float], wide: float, high: float) -> np.ndarray:
        """From a viewBox to a page of its width and height (SVG 2, 8.2 and 8.6)."""
        if not (wide > 0.0 and high > 0.0):
            raise self.wrong(element, "a width or a height of nil", "sizes above 0")
        words = element.attributes.get("preserveAspectRatio", "xMidYMid").split() or ["xMidYMid"]
        sx, sy = wide / box[2], high / box[3]
        found = re.fullmatch(r"x(Min|Mid|Max)Y(Min|Mid|Max)", words[0])
        if found is None:
            return _scaled(sx, sy) @ _square(_shifted(-box[0], -box[1]))
        s = max(sx, sy) if words[1:] == ["slice"] else min(sx, sy)
        share = {"Min": 0.0, "Mid": 0.5, "Max": 1.0}
        x, y = (wide - s * box[2]) * share[found[1]], (high - s * box[3]) * share[found[2]]
        return _shifted(x, y) @ _square(_scaled(s, s)) @ _square(_shifted(-box[0], -box[1]))

    def _length(self, element: Element, text: str) -> float:
        """A length in user units."""
        found = _LENGTH.fullmatch(text)
        if found is None or found[2] not in LENGTHS:
            allowed = f"a number, or one with {', '.join(filter(None, LENGTHS))}"
            raise self.wrong(element, f'the length "{text[:40]}"', allowed)
        return float(found[1]) * LENGTHS[found[2]] / PX

    def _number(self, element: Element, key: str) -> float:
        text = element.attributes.get(key)
        return 0.0 if text is None or text.strip() in ("", "auto") else self._length(element, text)

    def _numbers(self, element: Element, text: str) -> list[float]:
        if text.strip() and not _SEPARATED.fullmatch(text):
            raise self.wrong(element, f'the numbers "{text[:40]}"', "numbers with spaces or commas")
        return [float(one) for one in _NUMBER.findall(text)]

    def _transform(self, element: Element) -> np.ndarray:
        """The matrix (2, 3) of a transform attribute (SVG 2, 8.5)."""
        text, at, whole = element.attributes["transform"], 0, np.eye(2, 3)
        if len(text) > MOST_TRANSFORM:
            raise self.wrong(element, f"a transform of {len(text)} characters", f"{MOST_TRANSFORM}")
        while text[at:].strip():
            found = _CALL.match(text, at)
            made = None if found is None else _called(found[1], self._numbers(element, found[2]))
            if found is None or made is None:
                allowed = "matrix, translate, scale, rotate, skewX, skewY with their numbers"
                raise self.wrong(element, f'transform="{text[at : at + 40]}"', allowed)
            whole, at = whole @ _square(made), found.end()
        return whole

    def _shapes(self, element: Element) -> Sequence[Shape]:
        """The lines, arcs and curves of a shape, in its own user units."""
        get = element.attributes.get
        if element.name in ("polyline", "polygon"):
            numbers = self._numbers(element, get("points", ""))
            if len(numbers) % 2:
                raise self.wrong(element, "an odd count of numbers", "x and y of each point")
            points = np.array(numbers).reshape(-1, 2)
            if element.name == "polygon" and len(points):
                points = np.vstack([points, points[:1]])
            return _apart(points)
        if element.name == "line":
            numbers = [self._number(element, key) for key in ("x1", "y1", "x2", "y2")]
            return _apart(np.array(numbers).reshape(2, 2))
        if element.name == "path":
            return _segments(self._path(element, get("d", "")))
        keys = ("x", "y", "width", "height", "rx", "ry", "cx", "cy", "r")
        size = {
            key: self._number(element, key)
            for key in keys
            if element.attributes.get(key, "auto").strip() != "auto"
        }
        if element.name in ("circle", "ellipse"):
            r = size.get("r", 0.0)
            rx, ry = (r, r) if element.name == "circle" else (size.get("rx", 0), size.get("ry", 0))
            if not (rx > 0.0 and ry > 0.0):
                raise self.wrong(element, f"radii of {rx:g} and {ry:g}", "radii above 0")
            centre = np.array([size.get("cx", 0.0), size.get("cy", 0.0)])
            along, across = np.array([rx, 0.0]), np.array([0.0, ry])
            return (elliptic(centre, along, across, 0.0, math.tau),)
        if not (size.get("width", 0.0) > 0.0 and size.get("height", 0.0) > 0.0):
            raise self.wrong(element, "a width or a height of nil", "sizes above 0")
        from svgelements import Path as Data
        from svgelements import Rect

        return _segments(Data(Rect(**size)))

    def _path(self, element: Element, data: str) -> Any:
        """The path of path data, read to its end: a reader of the web stops at the first error and
        shows what came before it, which is not what was drawn."""
        from svgelements import Path as Data
        from svgelements.svgelements import SVGLexicalParser

        if len(data) > MOST_DATA:
            raise self.wrong(element, f"{len(data)} characters of data", f"at most {MOST_DATA}")
        made, reader = Data(), SVGLexicalParser()
        try:
            reader.parse(made, data)
            left = data[reader.pos :].strip()
        except (KeyboardInterrupt, MemoryError):
            raise
        except Exception:
            left = data[max(reader.pos - 10, 0) :] or data
        if left:
            place = f'path data that breaks off at character {reader.pos}: "{left[:30]}"'
            raise self.wrong(element, place, "whole path data", "save it again")
        if len(made) > MOST_POINTS:
            raise self.wrong(element, f"{len(made)} segments", f"at most {MOST_POINTS}")
        return made


def _style(element: Element) -> dict[str, str]:
    """The declarations of a style attribute."""
    rules = (rule.partition(":") for rule in element.attributes.get("style", "").split(";"))
    return {key.strip(): value.strip() for key, _, value in rules}


def _segments(path: Any) -> Sequence[Shape]:
    """The segments of a path; lines in a row are one track."""
    made: list[Shape] = []
    points: list[tuple[float, float]] = []

    def close() -> None:
        if len(points) > 1:
            made.extend(_apart(np.array(points)))
        points.clear()

    for one in path:
        kind = type(one).__name__
        if kind == "Move":
            close()
            continue
        if one.start is None or one.end is None:
            continue
        start, end = (one.start.x, one.start.y), (one.end.x, one.end.y)
        if kind in ("Line", "Close") or (kind == "Arc" and _flat(one)):
            points = points or [start]
            points.append(end)
            continue
        close()
        if kind == "Arc":
            made.append(_arc(one, np.array([start, end])))
        else:
            names = ("start", "control", "control1", "control2", "end")
            spots = [getattr(one, name) for name in names if hasattr(one, name)]
            controls = np.array([(spot.x, spot.y) for spot in spots])
            if np.ptp(controls, axis=0).max() > 0.0:
                made.append(bezier(controls))
    close()
    return made


def _flat(arc: Any) -> bool:
    """Whether an arc is a line, as it is where a radius is nil (SVG 2, 9.5.1)."""
    return not (arc.rx > 0.0 and arc.ry > 0.0 and arc.sweep)


def _arc(arc: Any, ends: np.ndarray) -> Shape:
    centre = np.array([arc.center.x, arc.center.y])
    along, across = (np.array([p.x, p.y]) - centre for p in (arc.prx, arc.pry))
    made = elliptic(centre, along, across, float(arc.get_start_t()), float(arc.sweep))
    rows = made.rows if isinstance(made, Track) else made.controls
    rows[[0, -1], :2] = ends  # to the last digit, as the next segment has it
    return made


def _apart(points: np.ndarray) -> Sequence[Shape]:
    """The lines through points, those given twice in a row once."""
    if len(points) < 2:
        return ()
    kept = points[np.append(True, np.hypot(*np.diff(points, axis=0).T) > 0.0)]
    return (line(kept),) if len(kept) > 1 else ()


def _called(name: str, n: list[float]) -> np.ndarray | None:
    """The matrix (2, 3) of one call in a transform; None where there is no such."""
    if name == "matrix" and len(n) == 6:
        return np.array([[n[0], n[2], n[4]], [n[1], n[3], n[5]]])
    if name == "translate" and len(n) in (1, 2):
        return _shifted(n[0], n[1] if n[1:] else 0.0)
    if name == "scale" and len(n) in (1, 2):
        return _scaled(n[0], n[-1])
    if name == "rotate" and len(n) in (1, 3):
        c, s = math.cos(math.radians(n[0])), math.sin(math.radians(n[0]))
        turn, about = np.array([[c, -s, 0.0], [s, c, 0.0]]), np.array([*n[1:], 0.0, 0.0][:2])
        turn[:, 2] = about - placed(turn, about[None])[0]
        return turn
    if name in ("skewX", "skewY") and len(n) == 1:
        lean = math.tan(math.radians(n[0]))
        x, y = (lean, 0.0) if name == "skewX" else (0.0, lean)
        return np.array([[1.0, x, 0.0], [y, 1.0, 0.0]])
    return None


def _shifted(x: float, y: float) -> np.ndarray:
    return np.array([[1.0, 0.0, x], [0.0, 1.0, y]])


def _scaled(x: float, y: float) -> np.ndarray:
    return np.array([[x, 0.0, 0.0], [0.0, y, 0.0]])


def _square(matrix: np.ndarray) -> np.ndarray:
    """The matrix (3, 3) of an affine one (2, 3)."""
    return np.vstack([matrix, [0.0, 0.0, 1.0]])
