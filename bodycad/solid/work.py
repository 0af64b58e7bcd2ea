"""The kernel's whole job for one layout: solids, judgement, files. Runs inside the child process."""

from __future__ import annotations

import re
from collections.abc import Callable
from pathlib import Path

from bodycad.checks.finding import Finding
from bodycad.errors import BodycadError
from bodycad.layout.layout import Layout
from bodycad.solid import glb, step, verify
from bodycad.solid.body import carved, room_solids, tools_of

Progress = Callable[[str], None]


def run(
    layout: Layout, directory: Path, progress: Progress = lambda step: None
) -> tuple[Finding, ...]:
    """Make the solids of `layout`, judge them, and write its STEP and GLB files into `directory`.

    A body that disagrees with the layout is not written. Faults come back as findings, never as
    exceptions of ours.
    """
    found: list[Finding] = []
    try:
        progress("preparing the tools")
        tools = tools_of(layout)
        found += verify.before(layout, tools)
        body, blank = carved(layout, tools, progress)
        progress("verifying the body")
        found += verify.after(layout, body, blank, tools)
        if any(f.status == "error" for f in found):
            return tuple(found)
        progress("making the rooms")
        rooms = room_solids(layout)
    except BodycadError as err:
        return (*found, _fault(layout, str(err)))
    name = layout.name
    for path, write in (
        (f"{name}-body.step", lambda p: step.write_body(body, p, f"{name}-body", layout.thickness)),
        (f"{name}-layout.step", lambda p: step.write_layout(body, rooms, p, name)),
        (f"{name}-body.glb", lambda p: glb.write_glb(body, rooms, p, name)),
    ):
        progress(f"writing {path}")
        try:
            write(directory / path)
        except BodycadError as err:
            found.append(_fault(layout, str(err)))
    return tuple(found)


def _fault(layout: Layout, text: str) -> Finding:
    """An error with the ids that its text names as subjects."""
    words = set(re.findall(r"[\w.+-]*\w", text))
    ids = (
        [v.id for v in layout.voids]
        + [r.id for r in layout.rooms]
        + [c.id for c in layout.skin.contours]
    )
    return Finding(
        verify.CHECK,
        "error",
        tuple(i for i in ids if i in words) or ("body",),
        text,
        cure="change what is named here; the kernel cannot make it as drawn",
    )
