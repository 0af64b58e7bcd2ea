"""SVG spelled out: numbers, elements, paths whose arcs stay arcs, and the one style sheet of all
drawings.

A `View` says how the body frame lies on the sheet: x to the right; y up seen from the front, down
seen from the back. Sheet units are millimetres.
"""

from __future__ import annotations

import html
from collections.abc import Iterable, Sequence
from dataclasses import dataclass

import numpy as np

from bodycad.errors import harmless
from bodycad.geometry.plane.profile import Profile
from bodycad.geometry.plane.segments import Segments

STYLE = """
svg.drawing { font-family: system-ui, sans-serif; }
.drawing text { fill: var(--ink, #26231e); stroke: none; }
.drawing .wood { fill: var(--wood, #f0e5d2); stroke: none; }
.drawing .line { fill: none; stroke: var(--ink, #26231e); stroke-width: .9;
  stroke-linejoin: round; }
.drawing .thin { fill: none; stroke: var(--soft, #857b6c); stroke-width: .45; }
.drawing .edge { fill: none; stroke: var(--soft, #857b6c); stroke-width: .45; }
.drawing .hatch { fill: none; stroke: var(--grain, #c7b18c); stroke-width: .4; }
.drawing .contour { stroke: var(--soft, #857b6c); stroke-width: .35;
  stroke-dasharray: 5 1.5 1 1.5; }
.drawing .level { fill: var(--grain, #c7b18c); fill-opacity: .3; stroke: var(--soft, #857b6c);
  stroke-width: .25; }
.drawing .void { stroke: var(--ink, #26231e); stroke-width: .4; }
.drawing .hidden { fill: none; stroke: var(--soft, #857b6c); stroke-width: .55;
  stroke-dasharray: 2.4 1.6; }
.drawing .room { fill: none; stroke: var(--part, #2f6690); stroke-width: .5; }
.drawing .string { fill: none; stroke: var(--part, #2f6690); stroke-width: .4; opacity: .6; }
.drawing .axis { fill: none; stroke: var(--soft, #857b6c); stroke-width: .35;
  stroke-dasharray: 9 2 1.5 2; }
.drawing .blank { fill: none; stroke: var(--soft, #857b6c); stroke-width: .3;
  stroke-dasharray: 1.2 1.6; }
.drawing .glue { fill: none; stroke: var(--glue, #8a5a2b); stroke-width: .6;
  stroke-dasharray: 7 2.5; }
.drawing .bar { fill: var(--ink, #26231e); stroke: none; }
.drawing .air { fill: var(--paper, #fffdf9); stroke: none; }
.drawing .cut { fill: none; stroke: var(--ink, #26231e); stroke-width: .6; stroke-linejoin: round; }
.drawing .dim { fill: none; stroke: var(--ink, #26231e); stroke-width: .25; }
.drawing .flange { fill: none; stroke: var(--ink, #26231e); stroke-width: 1.1; }
.drawing .roomtext { fill: var(--part, #2f6690); }
.drawing .label { fill: var(--ink, #26231e); stroke: var(--halo, #fffdf9); stroke-width: 1.6;
  paint-order: stroke;
  stroke-linejoin: round; }
.drawing .d1 { fill: var(--d1, #e2d2b3); } .drawing .d2 { fill: var(--d2, #d0ba91); }
.drawing .d3 { fill: var(--d3, #b79c6f); } .drawing .d4 { fill: var(--d4, #987c52); }
.drawing .d5 { fill: var(--d5, #715a3a); } .drawing .d6 { fill: var(--through, #fffdf9); }
.drawing .stands { fill: var(--pass, #2e6b4f); fill-opacity: .2; stroke: var(--pass, #2e6b4f);
  stroke-width: .35; }
.drawing .clear { fill: var(--pass, #2e6b4f); fill-opacity: .3; stroke: none; }
.drawing .screw { fill: none; stroke: var(--ink, #26231e); stroke-width: .6; }
.drawing .better { fill: none; stroke: var(--part, #2f6690); stroke-width: .6;
  stroke-dasharray: 2 1.2; }
.drawing .mark circle { stroke: var(--paper, #fffdf9); stroke-width: .8; }
.drawing .mark line { stroke-width: .8; } .drawing .mark text { fill: #fff; font-weight: 700; }
.drawing .fail circle, .drawing .error circle { fill: var(--fail, #b3261e); }
.drawing .warn circle { fill: var(--warn, #9a6700); }
.drawing .fail line, .drawing .error line { stroke: var(--fail, #b3261e); }
.drawing .warn line { stroke: var(--warn, #9a6700); }
"""


@dataclass(frozen=True)
class View:
    """How a face of the body lies on the sheet; `up` is -1 seen from the front (y runs up), 1 from
    the back."""

    up: int

    def point(self, x: float, y: float) -> tuple[float, float]:
        """Sheet point of a body point."""
        return x, self.up * y

    def path(self, shape: Profile) -> str:
        """Path data of a closed profile: lines as L, arcs as A."""
        return self.way(shape.segments) + "Z"

    def way(self, s: Segments) -> str:
        """Path data of an open chain."""
        x, y = self.point(*s.a[0])
        words = [f"M{num(x)} {num(y)}"]
        for (bx, by), bulge, radius in zip(s.b, s.bulge, s.radius):
            x, y = self.point(bx, by)
            if bulge == 0.0:
                words.append(f"L{num(x)} {num(y)}")
            else:
                large, turn = int(abs(bulge) > 1.0), int((bulge > 0) == (self.up > 0))
                words.append(f"A{num(radius)} {num(radius)} 0 {large} {turn} {num(x)} {num(y)}")
        return "".join(words)


FRONT, BACK = View(-1), View(1)


def view_of(face: str) -> View:
    """The view of "front" or "back"."""
    return BACK if face == "back" else FRONT


def num(value: float) -> str:
    """A coordinate to a thousandth of a millimetre, without idle zeros."""
    text = f"{value:.3f}".rstrip("0").rstrip(".")
    return "0" if text in ("-0", "") else text


def escape(text: str) -> str:
    """A text as it stands in SVG and HTML, in an element or an attribute; what XML cannot hold is
    shown as an escape."""
    return html.escape(harmless(text))


def element(name: str, content: str | None = None, **attributes: object) -> str:
    """One element; `class_` gives class, underscores in names become hyphens, None leaves an
    attribute out."""
    words = [
        f' {key.rstrip("_").replace("_", "-")}="{escape(_text(value))}"'
        for key, value in attributes.items()
        if value is not None
    ]
    start = f"<{name}{''.join(words)}"
    return f"{start}/>" if content is None else f"{start}>{content}</{name}>"


def group(parts: Iterable[str], **attributes: object) -> str:
    """A <g> round the parts."""
    return element("g", "".join(parts), **attributes)


def path(data: str, style: str, title: str = "", **attributes: object) -> str:
    """A path of a class, with a tooltip."""
    inner = element("title", escape(title)) if title else None
    return element("path", inner, d=data, class_=style, **attributes)


def hatching(name: str, pitch: int, turn_deg: int) -> str:
    """A pattern of lines, `pitch` mm apart, for a fill."""
    return element(
        "pattern",
        path(f"M0 0V{pitch}", "hatch"),
        id=name,
        width=pitch,
        height=pitch,
        patternUnits="userSpaceOnUse",
        patternTransform=f"rotate({turn_deg})",
    )


def line(one: Sequence[float], two: Sequence[float], style: str | None = None) -> str:
    """A straight line between two sheet points."""
    return element("line", x1=one[0], y1=one[1], x2=two[0], y2=two[1], class_=style)


def words(
    x: float,
    y: float,
    text: str,
    size: float,
    style: str | None = None,
    anchor: str | None = None,
    **attributes: object,
) -> str:
    """A line of text, its baseline at (x, y), `size` mm high."""
    looks = {"font_size": size, "class_": style, "text_anchor": anchor, **attributes}
    return element("text", escape(text), x=x, y=y, **looks)


def drawing(
    box: tuple[float, float, float, float], title: str, body: str, style: bool, name: str
) -> str:
    """A whole SVG of the sheet box x0, y0, x1, y1 at true size; with its style sheet when it stands
    alone."""
    x0, y0, x1, y1 = box
    width, height = x1 - x0, y1 - y0
    looks = element("style", STYLE) if style else ""
    return element(
        "svg",
        element("title", escape(title)) + looks + body,
        xmlns="http://www.w3.org/2000/svg",
        class_=f"drawing {name}",
        width=f"{num(width)}mm",
        height=f"{num(height)}mm",
        viewBox=" ".join(map(num, (x0, y0, width, height))),
        role="img",
    )


def _text(value: object) -> str:
    return num(float(value)) if isinstance(value, (float, np.floating)) else str(value)
