"""Builds of the sample that take milliseconds: nothing is asked or drawn, the files hold a word and
end as they should. How they are put in place is the package's own."""

from __future__ import annotations

import json

from bodycad.checks.report import Report
from bodycad.exports import files
from bodycad.layout.layout import Layout

GLB = b"glTF" + (2).to_bytes(4, "little") + (12).to_bytes(4, "little")
ENDS = {
    "step": b"ISO-10303-21;\n/* %s */\nEND-ISO-10303-21;\n",
    "dxf": b"999\n%s\n  0\nEOF\n",
    "html": b"<html><p>%s</html>\n",
    "pdf": b"%%PDF %s\n%%%%EOF\n",
    "csv": b"%s\n",
    "png": b"%sIEND\xaeB`\x82",
    "tif": b"%s",
    "stl": b"%s",
}


def small(name: str, layout: Layout) -> bytes:
    """A small whole file of that name; another one for the other hand."""
    word = b"left-handed" if layout.left_handed else b"right-handed"
    kind = name.rpartition(".")[2]
    if kind == "json":
        pieces = [{"id": piece.id} for piece in layout.pieces]
        return json.dumps({"design": layout.name, "pieces": pieces, "hand": str(word)}).encode()
    return GLB if kind == "glb" else ENDS[kind] % word


def write(layout: Layout, place: files.stage.Stage, *_: object) -> Report:
    """All files but the list, in the stage."""
    for name in files.names(layout)[:-1]:
        (place.new / name).write_bytes(small(name, layout))
    return Report(layout, (), ())


def patch(patcher) -> None:
    """Have builds be quick: `patcher(module, name, value)` puts a function in place of another."""
    patcher(files, "_write", write)
