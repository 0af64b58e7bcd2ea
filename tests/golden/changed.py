"""What differs on purpose from the figures that were kept, each with its reason."""

from __future__ import annotations

CHANGED: dict[tuple[str, tuple[str, ...]], str] = {}
"""(check, subjects) of kept findings that are now otherwise or gone -> why."""
ADDED: dict[tuple[str, tuple[str, ...]], str] = {}
"""(code, subjects) of new findings that fail or warn -> why."""
CUTS: dict[str, str] = {}
"""Ids of kept cuts that are now otherwise -> why."""
