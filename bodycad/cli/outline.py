"""The command `bodycad outline`: what a drawing would give as an outline."""

from __future__ import annotations

import argparse
from collections.abc import Callable
from pathlib import Path
from typing import TYPE_CHECKING, Any

from bodycad.cli import console
from bodycad.errors import InputError

if TYPE_CHECKING:
    from bodycad.imports.drawing import Drawing
    from bodycad.imports.figures import Figures
    from bodycad.imports.outline import Outline

WORDS = {
    "layer": "take what goes by this name: a layer (DXF), a group, a layer or an id (SVG)",
    "units": "what the drawing's numbers are: mm, cm, m, inch, pt or px",
    "neck": "where the neck points on the drawing: right, up, left or down (right)",
    "seen": "the face that is looked at: front or back (front)",
    "centreline": "the name of the straight line that becomes y = 0",
    "scale_line": "the name of the straight line that crosses it at the scale-length point, x = 0",
}
NUMBERS = {
    "gap": "ends no farther apart are joined, mm (0.05)",
    "tolerance": "how far arcs may leave drawn curves, mm (0.01)",
    "corner_deg": "points that turn by more are corners, degrees (30)",
}
FLAGS = {
    "half": "one half is drawn, from the centreline round to the centreline",
    "largest": "of several closed chains take the largest, which holds the others",
}


def add_outline(commands: argparse._SubParsersAction[Any]) -> None:
    """Put the command among the others."""
    parser = commands.add_parser(
        "outline",
        allow_abbrev=False,
        help="what a drawing (DXF, SVG, CSV) gives as an outline, and the line of script for it",
        description="Read an outline from a drawing: its size, its tightest hollow against the "
        "smallest cutter, its narrowest neck of wood, how symmetric it is, a picture, and the line "
        "of script to paste. A left-handed body that is drawn from the front is read with --seen "
        "back, for a script draws the right-handed one and mirrors it with left_handed=True. Exit "
        "status 1: no cutter of the shop follows it; 2: the drawing cannot be used.",
    )
    parser.add_argument("file", metavar="FILE", help="a .dxf, .svg, .csv or .txt file")
    for name, words in WORDS.items():
        parser.add_argument(_option(name), metavar="NAME", dest=name, help=words)
    for name, words in NUMBERS.items():
        parser.add_argument(_option(name), metavar="NUMBER", dest=name, help=words)
    for name, words in FLAGS.items():
        parser.add_argument(_option(name), action="store_true", dest=name, help=words)
    parser.add_argument(
        "--reference",
        metavar="X,Y,X,Y,MM",
        help="two points of the drawing and how many mm they are apart",
    )
    parser.add_argument("--origin", metavar="X,Y", help="the drawing's point that becomes 0, 0")
    parser.add_argument(
        "--smooth",
        choices=("yes", "no"),
        help="whether straight sides stand for a curve through their ends",
    )
    parser.add_argument(
        "--any-size", action="store_false", dest="body", help="it need not be a body's outline"
    )
    parser.add_argument(
        "--out", metavar="DIR", default="out", help="where the picture is written (out)"
    )
    parser.add_argument(
        "--json", action="store_true", help="print one JSON document and nothing else"
    )
    parser.set_defaults(run=_outline)


def _option(name: str) -> str:
    return "--" + name.replace("_", "-")


def _outline(arguments: argparse.Namespace) -> int:
    from bodycad.imports.figures import figures
    from bodycad.imports.outline import read
    from bodycad.shop import Shop

    drawing = _drawing(arguments)
    found = read(drawing, Path())
    sizes = figures(found.profile)
    picture = _pictured(arguments, found, sizes)
    least = min(cutter.diameter for cutter in Shop().flat_cutters) / 2.0
    follows = sizes.inside is None or sizes.inside >= least
    if arguments.json:
        from bodycad.exports.report.json import dumped

        console.write(dumped(_document(drawing, found, sizes, picture, least)))
    else:
        console.write(_text(drawing, found, sizes, picture, least))
    return 0 if follows else 1


def _drawing(arguments: argparse.Namespace) -> Drawing:
    """How the command line says that the file is to be read."""
    from bodycad.imports.drawing import Drawing

    given: dict[str, Any] = {"file": arguments.file, "body": arguments.body}
    for name in WORDS:
        if getattr(arguments, name) is not None:
            given[name] = getattr(arguments, name)
    for name in NUMBERS:
        text = getattr(arguments, name)
        if text is not None:
            (given[name],) = _numbers(_option(name), text, 1)
    for name in FLAGS:
        given[name] = getattr(arguments, name)
    if arguments.smooth is not None:
        given["smooth"] = arguments.smooth == "yes"
    if arguments.origin is not None:
        given["origin"] = tuple(_numbers("--origin", arguments.origin, 2))
    if arguments.reference is not None:
        x0, y0, x1, y1, apart = _numbers("--reference", arguments.reference, 5)
        given["reference"] = ((x0, y0), (x1, y1), apart)
    return Drawing(**given)


def _numbers(option: str, text: str, count: int) -> list[float]:
    try:
        found = [float(one) for one in text.split(",")]
    except ValueError:
        found = []
    if len(found) != count:
        allowed = "a number" if count == 1 else f"{count} numbers with commas between them"
        raise InputError(option, text, allowed)
    return found


def _pictured(arguments: argparse.Namespace, found: Outline, sizes: Figures) -> Path:
    """Write the picture. Raises InputError where it cannot be."""
    import os
    import tempfile

    from bodycad.exports.outline_picture import outline_svg

    name = Path(arguments.file).stem
    path = Path(arguments.out) / f"{name}-outline.svg"
    text = outline_svg(name, found, sizes)
    try:
        path.parent.mkdir(parents=True, exist_ok=True)
        with tempfile.NamedTemporaryFile(
            "w", encoding="utf-8", dir=path.parent, suffix=".part", delete=False
        ) as out:
            out.write(text)
        os.chmod(out.name, 0o644)
        os.replace(out.name, path)
    except OSError as error:
        allowed = f"a folder that can be written to ({error.strerror})"
        raise InputError("the picture", str(path), allowed, "name another one with --out") from None
    return path


def _text(drawing: Drawing, found: Outline, sizes: Figures, picture: Path, least: float) -> str:
    """What the command prints."""
    at: Callable[[Any], str] = lambda spot: f"at ({spot[0]:.1f}, {spot[1]:.1f})"  # noqa: E731
    arcs = int((found.profile.vertices[:, 2] != 0.0).sum())
    hollow = "none"
    if sizes.inside is not None:
        follows = "follows it" if sizes.inside >= least else "DOES NOT FOLLOW IT"
        sharp = "sharp" if sizes.inside == 0.0 else f"radius {sizes.inside:.2f} mm"
        hollow = f"{sharp} {at(sizes.inside_at)}; the smallest cutter, radius {least:g}, {follows}"
    neck = "none: no part hangs on a narrower one"
    if sizes.neck is not None:
        neck = f"{sizes.neck:.1f} mm {at(sizes.neck_at)}"
    rows = (
        ("size", f"{sizes.length:.2f} mm along the neck, {sizes.width:.2f} mm across"),
        ("around", f"{sizes.around:.2f} mm, {arcs} arcs and {_lines(found, arcs)} lines"),
        ("area", f"{sizes.area / 100.0:.2f} cm2"),
        ("scale", _scale(drawing, found)),
        ("places", "x, y of the body, mm: x toward the nut, y toward the bass side"),
        ("tightest hollow", hollow),
        ("narrowest neck of wood", neck),
        ("symmetry", _symmetry(sizes.asymmetry, found)),
        ("fit", f"arcs within {found.error:.4f} mm of what is drawn"),
        *(("note", note) for note in found.notes),
        ("picture", str(picture)),
    )
    wide = max(len(name) for name, _ in rows)
    body = "".join(f"{name:<{wide}}  {words}\n" for name, words in rows)
    return f"{drawing.file}\n\n{body}\n{SCRIPT}\n\n{drawing.line}\n"


SCRIPT = "For the script, with `from bodycad import *` and the file beside it:"


def _scale(drawing: Drawing, found: Outline) -> str:
    if Path(drawing.file).suffix.lower() == ".svg" and not (drawing.units or drawing.reference):
        return "the drawing's numbers are mm from its page's top left corner, y down"
    return f"one of the drawing's numbers is {found.unit:.6g} mm"


def _symmetry(off: float, found: Outline) -> str:
    _, low, _, high = found.profile.box
    if low < 0.0 < high:
        return f"{off:.3f} mm off its mirror image in the centreline"
    return "not told: it lies beside its centreline, y = 0; name that line (--centreline)"


def _lines(found: Outline, arcs: int) -> int:
    return len(found.profile.vertices) - arcs


def _document(
    drawing: Drawing, found: Outline, sizes: Figures, picture: Path, least: float
) -> dict[str, Any]:
    from dataclasses import asdict

    return {
        "file": str(drawing.file),
        "units": "mm",
        "outline": {
            **asdict(sizes),
            "box": found.profile.box,
            "vertices": found.profile.vertices.tolist(),
        },
        "least_cutter_radius": least,
        "fit_error": found.error,
        "scale": found.unit,
        "notes": found.notes,
        "layers": found.layers,
        "picture": str(picture),
        "script": drawing.line,
    }
