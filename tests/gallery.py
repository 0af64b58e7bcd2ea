"""Draws every design of `designs/` into one picture for the README: `python -m tests.gallery`.

The fronts stand side by side to one scale, each under its name with the first sentence of its
docstring. Chromium makes the picture of the page (any that runs headless; CHROMIUM names it).
"""

from __future__ import annotations

import ast
import os
import subprocess
import sys
import tempfile
import textwrap
from dataclasses import dataclass
from pathlib import Path

from bodycad import load_design
from bodycad.exports.plan import portrait
from bodycad.exports.svg import STYLE, element, num, words
from bodycad.layout.layout import Layout

ROOT = Path(__file__).resolve().parents[1]
PICTURE = ROOT / "out" / "README-gallery.png"
README = ROOT / "README.md"
BEGIN, END = "<!-- designs -->", "<!-- /designs -->"
COLUMNS, SCALE, GAP = 3, 0.8, 26.0
"""How many stand in a row; pixels a millimetre; pixels between two."""
LINE = 58
"""Letters in a line under a drawing."""


@dataclass(frozen=True)
class Shown:
    """A design of the gallery: its file, its name, and what it is, in a sentence."""

    path: Path
    name: str
    sentence: str
    paragraph: str


def gallery() -> tuple[Shown, ...]:
    """The designs that are shown: all but those that are spoiled on purpose."""
    paths = sorted((ROOT / "designs").glob("*.py"))
    return tuple(shown(path) for path in paths if not path.stem.endswith("_wrong"))


def shown(path: Path) -> Shown:
    """A design by what its file's docstring says: "Name: what it is." and a paragraph."""
    doc = ast.get_docstring(ast.parse(path.read_text(encoding="utf-8"))) or ""
    first, _, rest = doc.partition("\n\n")
    name, _, sentence = " ".join(first.split()).partition(": ")
    return Shown(path, name, sentence.replace(",.", "."), " ".join(rest.split()))


def page(designs: tuple[tuple[Shown, Layout], ...]) -> tuple[str, float, float]:
    """The gallery as SVG, and its width and height in pixels."""
    drawn = [(one, *portrait(layout)) for one, layout in designs]
    wide = max(box[2] - box[0] for _, _, box in drawn) * SCALE
    rows = [drawn[k : k + COLUMNS] for k in range(0, len(drawn), COLUMNS)]
    width = COLUMNS * wide + (COLUMNS + 1) * GAP
    y, parts = GAP, []
    for row in rows:
        high = max(box[3] - box[1] for _, _, box in row) * SCALE
        for k, (one, body, box) in enumerate(row):
            x = GAP + k * (wide + GAP)
            own = (box[2] - box[0]) * SCALE, (box[3] - box[1]) * SCALE
            top = y + (high - own[1]) / 2.0
            left = x + (wide - own[0]) / 2.0
            view = " ".join(map(num, (box[0], box[1], box[2] - box[0], box[3] - box[1])))
            size = {"x": left, "y": top, "width": own[0], "height": own[1]}
            parts.append(element("svg", body, **size, viewBox=view))
            middle = x + wide / 2.0
            parts.append(
                words(middle, y + high + 20.0, one.name, 17, None, "middle", font_weight=700)
            )
            for line, text in enumerate(textwrap.wrap(one.sentence, LINE)):
                parts.append(
                    words(middle, y + high + 40.0 + 16.0 * line, text, 12.5, None, "middle")
                )
        lines = max(len(textwrap.wrap(one.sentence, LINE)) for one, _, _ in row)
        y += high + 40.0 + 16.0 * lines + GAP
    inside = element("style", STYLE) + element(
        "rect", x=0.0, y=0.0, width=width, height=y, fill="#f4f0e8"
    )
    svg = element(
        "svg",
        inside + "".join(parts),
        xmlns="http://www.w3.org/2000/svg",
        class_="drawing",
        width=num(width),
        height=num(y),
    )
    return svg, width, y


def renewed(readme: str, designs: tuple[Shown, ...]) -> str:
    """The README's text with the present designs between its two marks."""
    rows = [f"| [`{one.path.name}`](designs/{one.path.name}) | {one.sentence} |" for one in designs]
    head, _, rest = readme.partition(BEGIN)
    table = "\n".join(["| design | what it shows |", "|---|---|", *rows])
    return f"{head}{BEGIN}\n{table}\n{END}{rest.partition(END)[2]}"


def main() -> int:
    """Write the picture and the README's list. Returns 0, or 1 where no browser draws it."""
    designs = gallery()
    text = README.read_text(encoding="utf-8")
    README.write_text(renewed(text, designs), encoding="utf-8")
    svg, width, height = page(tuple((one, load_design(one.path).layout()) for one in designs))
    browser = os.environ.get("CHROMIUM", "chromium")
    with tempfile.TemporaryDirectory() as folder:
        file = Path(folder, "gallery.html")
        file.write_text(f"<body style='margin:0'>{svg}</body>", encoding="utf-8")
        size = f"--window-size={round(width)},{round(height)}"
        command = [browser, "--headless", "--no-sandbox", "--hide-scrollbars"]
        try:
            subprocess.run(
                [*command, size, f"--screenshot={PICTURE}", file.as_uri()],
                check=True,
                capture_output=True,
                timeout=120,
            )
        except (OSError, subprocess.SubprocessError) as error:
            print(f"{browser} drew no picture: {error}", file=sys.stderr)
            return 1
    return 0


if __name__ == "__main__":
    sys.exit(main())
