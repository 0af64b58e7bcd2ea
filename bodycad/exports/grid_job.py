"""Reads the grid of heights of a shaped face as a CAM program reads it: from its 16-bit PNG."""

from __future__ import annotations

import math
from pathlib import Path
from typing import Any

import numpy as np

from bodycad.errors import FileError
from bodycad.simulation.job import Heights
from bodycad.simulation.tool import Tool, ToolKind

HUNDREDTH = 0.01
"""What one step of a pixel is, mm."""
LEAST, MOST = 0.01, 1000.0
"""Between these (mm) a pixel, a tool and the step between two passes can be."""


def read_heights(path: Path) -> tuple[Heights, dict[str, str]]:
    """The grid in a PNG, and all that its text says. Raises FileError for one that cannot be read
    or does not say where it lies and with which tool it is followed."""
    from PIL import Image

    try:
        with Image.open(path) as image:
            said: dict[str, str] = dict(image.text)  # type: ignore[attr-defined]
            mode, table = image.mode, np.array(image)
    except Exception as err:  # a damaged file is met with whatever the reader stumbles over
        raise FileError(f"{path} cannot be read as PNG: {err or type(err).__name__}") from err
    if mode not in ("I;16", "I") or table.ndim != 2:
        raise FileError(f"{path} is no image of 16 bits a pixel, but {mode}")
    x, y, pixel = (_number(said, name, path) for name in ("x", "y", "pixel"))
    tool = said.get("tool", "")
    if tool not in (ToolKind.BALL, ToolKind.FLAT):
        raise FileError(
            f"{path} is followed by {tool or 'no tool that it names'}, not ball or flat"
        )
    diameter, stepover = (_number(said, name, path) for name in ("diameter", "stepover"))
    # The first row lies at the greatest y.
    depth = table[::-1].astype(np.float32) * np.float32(HUNDREDTH)
    low = y - pixel * (len(depth) - 1)
    made = Heights(depth, x, low, pixel, Tool(ToolKind(tool), diameter), stepover, path.name)
    return made, said


def _number(said: dict[str, Any], name: str, path: Path) -> float:
    try:
        found = float(said[name])
    except (KeyError, ValueError):
        found = math.nan
    if not math.isfinite(found) or (name not in ("x", "y") and not LEAST <= found <= MOST):
        raise FileError(f"{path} says {said.get(name)!r} of its {name}, no number that can be")
    return found
