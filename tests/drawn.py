"""The layouts of `designs/`, each laid out once in a process: some let the checks' router find the
ways for their wires, which takes a second."""

from __future__ import annotations

import os
from functools import cache
from pathlib import Path

from bodycad.layout.layout import Layout
from bodycad.script import load_design

DESIGNS = Path(__file__).resolve().parents[1] / "designs"
NAMES = sorted(path.stem for path in DESIGNS.glob("*.py"))

SOME = ("bramble", "campion", "sorrel", "tansy", "teasel", "yarrow")
"""An arched top with a glued neck, a vibrato with a guard, a plain one, a left-handed one, the
demo, and a neck through the body: where each of all designs would take too long."""
ASKED = NAMES if os.environ.get("BODYCAD_DESIGNS") == "all" else SOME
"""What every run of the tests asks; BODYCAD_DESIGNS=all asks every design."""


@cache
def layout_of(name: str) -> Layout:
    """The layout of one of `NAMES` as drawn."""
    return load_design(str(DESIGNS / f"{name}.py")).layout()
