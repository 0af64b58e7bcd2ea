"""The picture of an outline that a drawing gives: what would be used, and where it is tight."""

from __future__ import annotations

from bodycad.exports.svg import FRONT, drawing, element, line, num, path, words
from bodycad.imports.figures import Figures
from bodycad.imports.outline import Outline

MARGIN, BAR = 30.0, 100.0


def outline_svg(name: str, found: Outline, sizes: Figures) -> str:
    """A picture at true size: the outline, centreline and scale line, the tightest hollow, the
    narrowest neck of wood, and a bar of 100 mm."""
    x0, y0, x1, y1 = found.profile.box
    low, high = min(x0, 0.0) - 15.0, max(x1, 0.0) + 15.0
    parts = [
        path(FRONT.path(found.profile), "wood"),
        path(FRONT.path(found.profile), "line", name),
        line(FRONT.point(low, 0.0), FRONT.point(high, 0.0), "axis"),
        line(FRONT.point(0.0, y0 - 8.0), FRONT.point(0.0, y1 + 8.0), "axis"),
    ]
    for at, text in (
        (sizes.inside_at, f"R {sizes.inside or 0.0:.2f}"),
        (sizes.neck_at, f"{sizes.neck or 0.0:.1f} wide"),
    ):
        if at is not None:
            x, y = FRONT.point(*at)
            parts.append(element("circle", cx=x, cy=y, r=4.0, class_="screw"))
            parts.append(words(x + 6.0, y - 6.0, text, 8.0, "label"))
    left, foot = min(x0, 0.0), -y0 + 22.0
    parts.append(element("rect", x=left, y=foot - 2.0, width=BAR, height=2.0, class_="bar"))
    says = f"100 mm; {num(sizes.length)} long, {num(sizes.width)} wide; neck to the right"
    parts.append(words(left, foot + 9.0, says, 7.0, "label"))
    box = low - MARGIN, -y1 - MARGIN, high + MARGIN, foot + MARGIN
    return drawing(box, name, "".join(parts), True, "outline") + "\n"
