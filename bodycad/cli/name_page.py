"""The page of one public name of the package: what it is, and what it takes with which defaults."""

from __future__ import annotations

import inspect
from typing import Any

import bodycad
from bodycad.units import Size

PARTS = "parts."


def parts() -> tuple[str, ...]:
    """The public names of the kinds of hardware."""
    return tuple(name for name, module in bodycad.NAMES.items() if module.startswith(PARTS))


def name_page(name: str) -> str:
    """The docstring of a public name, then its arguments: each with its default and, where it is a
    size, its tolerance."""
    thing = getattr(bodycad, name)
    lines = [name, "", inspect.getdoc(thing) or ""]
    if callable(thing):
        rows = [_row(one) for one in inspect.signature(thing).parameters.values()]
        width = max((len(row[0]) for row in rows), default=0)
        lines += ["", "Takes:", *(f"  {left:<{width}}  {right}".rstrip() for left, right in rows)]
    return "\n".join(lines) + "\n"


def _row(one: inspect.Parameter) -> tuple[str, str]:
    if one.default is inspect.Parameter.empty:
        return one.name, "must be given"
    return one.name, _shown(one.default)


def _shown(value: Any) -> str:
    if isinstance(value, Size):
        return f"{float(value):g}" + (
            f", give or take {value.tolerance:g}" if value.tolerance else ""
        )
    text = repr(value)
    if isinstance(value, tuple) and len(text) > 60:
        return f"{len(value)} of them"
    return (
        text
        if len(text) <= 60
        else f"{type(value).__name__}(...), see explain {type(value).__name__}"
    )
