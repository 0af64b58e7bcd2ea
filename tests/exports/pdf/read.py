"""Reads pages back as a printer gets them: pypdf takes the file apart, the few operators that draw
(ISO 32000-1, 8.5 and 9.4) are followed here. It shares no code with what wrote the file."""

from __future__ import annotations

import re
from dataclasses import dataclass, field

import numpy as np
from pypdf import PdfReader

MM = 25.4 / 72.0
TOKEN = re.compile(rb"\((?:\\.|[^\\()])*\)|\[|\]|/[^\s\[\]()/]+|[^\s\[\]()/]+")
FORM = "/FormXob."
LOOKS = ("BT", "ET", "Tf", "TL", "T*", "g", "J", "j", "M")
"""Operators of looks alone."""


@dataclass
class Path:
    """A painted path: the points of each of its chains (those of a curve sampled), how many curves,
    the pen's width and dashes, and whether it is filled."""

    chains: list[np.ndarray]
    curves: int
    wide: float
    dash: tuple[float, ...]
    filled: bool

    @property
    def points(self):
        return np.vstack(self.chains)


@dataclass
class Drawing:
    """What one content stream draws: paths, texts with the place where each begins, and the
    drawings that it shows: their names, the matrix (3, 2) to this frame, and the window."""

    paths: list[Path] = field(default_factory=list)
    texts: list[tuple[str, np.ndarray]] = field(default_factory=list)
    shown: dict[str, tuple[np.ndarray, tuple[float, ...]]] = field(default_factory=dict)


@dataclass
class Page:
    """A page: its size and what is drawn on it itself, in mm; the drawings that it shows are in
    their own frames."""

    wide: float
    high: float
    own: Drawing
    drawings: dict[str, Drawing]

    def placed(self, name, points):
        """Points (n, 2) of a drawing on the page, mm."""
        return np.hstack([points, np.ones((len(points), 1))]) @ self.own.shown[name][0]


def read(path) -> list[Page]:
    """The pages of a file."""
    made: dict[str, Drawing] = {}
    pages = []
    for one in PdfReader(path).pages:
        for name, form in (one["/Resources"].get("/XObject") or {}).items():
            name, form = name.removeprefix(FORM), form.get_object()
            assert [float(n) for n in form.get("/Matrix", [1, 0, 0, 1, 0, 0])] == [1, 0, 0, 1, 0, 0]
            if name not in made:
                made[name] = _followed(form.get_data(), 1.0)
        own = _followed(one.get_contents().get_data(), MM)
        wide, high = (float(n) * MM for n in (one.mediabox.width, one.mediabox.height))
        pages.append(Page(wide, high, own, {name: made[name] for name in own.shown}))
    return pages


def _followed(content: bytes, unit: float) -> Drawing:
    """Follow a content stream whose unit is so many mm."""
    drawn, matrix = Drawing(), np.array([[unit, 0.0], [0.0, unit], [0.0, 0.0]])
    clip, kept, given = None, [], []
    state = {"w": unit, "d": ()}
    chains, curves, here, clipping, text = [], 0, None, False, None

    def placed(*numbers):
        rows = np.array(numbers).reshape(-1, 2)
        return rows @ matrix[:2] + matrix[2]

    for token in TOKEN.findall(content):
        if token[:1] in b"/([])+-.0123456789":
            given.append(token)
            continue
        op, numbers = token.decode(), [float(t) for t in given if t[:1] in b"+-.0123456789"]
        if op == "q":
            kept.append((matrix, clip, dict(state)))
        elif op == "Q":
            matrix, clip, state = kept.pop()
        elif op == "cm":
            turn = np.array(numbers[:4]).reshape(2, 2)
            matrix = np.vstack([turn @ matrix[:2], placed(*numbers[4:])])
        elif op == "w":
            state["w"] = numbers[0] * float(np.hypot(*matrix[0]))
        elif op == "d":
            state["d"] = tuple(round(n * float(np.hypot(*matrix[0])), 3) for n in numbers[:-1])
        elif op == "m":
            here = placed(*numbers)[0]
            chains.append([here])
        elif op == "l":
            here = placed(*numbers)[0]
            chains[-1].append(here)
        elif op == "c":
            four, t = np.vstack([here, placed(*numbers)]), np.linspace(0.0, 1.0, 33)[1:, None]
            ways = (1.0 - t) ** 3, 3 * t * (1.0 - t) ** 2, 3 * t * t * (1.0 - t), t**3
            chains[-1] += list(sum(way * point for way, point in zip(ways, four)))
            here, curves = four[3], curves + 1
        elif op == "re":
            x, y, w, h = numbers
            chains.append(list(placed(x, y, x + w, y, x + w, y + h, x, y + h, x, y)))
        elif op == "h":
            chains[-1].append(chains[-1][0])
        elif op in ("W", "W*"):
            clipping = True
        elif op in ("S", "f", "f*", "B", "B*", "n"):
            arrays = [np.array(one) for one in chains]
            if clipping:
                clip = (*arrays[0].min(axis=0).tolist(), *arrays[0].max(axis=0).tolist())
            elif op != "n":
                drawn.paths.append(Path(arrays, curves, state["w"], state["d"], op != "S"))
            chains, curves, clipping = [], 0, False
        elif op == "Do":
            name = given[0].decode().removeprefix(FORM)
            assert name not in drawn.shown and clip is not None
            drawn.shown[name] = matrix, clip
        elif op == "Tm":
            text = placed(*numbers[4:])[0]
        elif op == "Tj":
            words = re.sub(rb"\\(.)", rb"\1", given[0][1:-1]).decode("cp1252")
            drawn.texts.append((words, text))
        else:
            assert op in (*LOOKS, "G"), op
        given = []
    return drawn
