"""What differs on purpose from the figures that were kept, each with its reason."""

from __future__ import annotations

CHANGED: dict[tuple[str, tuple[str, ...]], str] = {
    ("stack", ("bridge", "neck.pocket")): "the height of a string is taken where its saddle bears "
    "once it is in tune, a setback behind the scale line (0.01 to 0.02 mm)",
}
"""(check, subjects) of kept findings that are now otherwise or gone -> why."""
ADDED: dict[tuple[str, tuple[str, ...]], str] = {}
"""(code, subjects) of new findings that fail or warn -> why."""
CUTS: dict[str, str] = {}
"""Ids of kept cuts that are now otherwise -> why."""
