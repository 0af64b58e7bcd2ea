"""What `bodycad route` prints: the ways found as lines of script, and the wire list; as text or
JSON."""

from __future__ import annotations

import textwrap
from collections.abc import Iterator
from typing import Any

from bodycad.checks.rules.wires import WIRE_PAGE
from bodycad.exports.coordinates import script, wood
from bodycad.exports.report.json import dumped, safety
from bodycad.making.leads import SLACK, Lead, leads, wire_rows
from bodycad.routing.route import Missing, Proposed, Routed
from bodycad.safety import CAUTIONS
from bodycad.version import VERSION

WIDTH = 96
FOLLOW = (
    "So that they follow the parameters, let the script find them itself: "
    "return replace(body, parts=body.parts + route(body))"
)


def text(routed: Routed) -> str:
    """The ways for a terminal."""
    return "\n".join(_lines(routed)) + "\n"


def line_of(hole: Proposed) -> str:
    """The line of a script that places a hole."""
    channel = hole.channel
    given = [repr(channel.start), repr(channel.end), _names(channel.through)]
    defaults = {"diameter": 6.35, "from_face": "", "kind": "wire"}
    given += [
        f"{name}={_plain(getattr(channel, name))}"
        for name, plain in defaults.items()
        if getattr(channel, name) != plain
    ]
    return f'Placed("{hole.id}", Channel({", ".join(given)})),'


def _plain(value: str | float) -> str:
    return f'"{value}"' if isinstance(value, str) else f"{float(value):g}"


def _names(ids: tuple[str, ...]) -> str:
    inner = ", ".join(f'"{one}"' for one in ids)
    return f"({inner},)" if len(ids) == 1 else f"({inner})"


def _lines(routed: Routed) -> Iterator[str]:
    holes, missing, name = routed.found.holes, routed.found.missing, routed.layout.name
    if not holes and not missing:
        yield f"{name}: every link and every ground has its way; nothing to add"
    for hole in holes:
        yield line_of(hole)
        yield from textwrap.wrap(_least(hole), WIDTH, initial_indent="# ", subsequent_indent="# ")
    if holes:
        yield ""
        yield from textwrap.wrap(FOLLOW, WIDTH)
    for one in missing:
        yield ""
        yield from textwrap.wrap(_missing(one), WIDTH, subsequent_indent="  ")
    rows = leads(routed.after)
    if rows:
        yield ""
        yield f"Wires (mm; cut {SLACK:g} longer at each end):"
        wide = max(len(_ends(row)) for row in rows)
        for row in rows:
            yield f"  {_ends(row):<{wide}}  {row.kind:<13}  {_size(row)}"
    yield ""
    yield "Working safely."
    for danger in WIRE_PAGE.dangers:
        words = f"{danger}: {CAUTIONS[danger].words}"
        yield from textwrap.wrap(words, WIDTH, initial_indent="  ", subsequent_indent="  ")


def _least(hole: Proposed) -> str:
    """The tightest finding of a hole that has a figure, in words."""
    figures = [f for f in hole.findings if f.value is not None and f.limit is not None]
    woods = [f for f in figures if f.check in ("wall", "floor", "edge")]
    said = [min(woods, key=lambda f: f.margin or 0.0).text] if woods else []
    said += [f.text for f in figures if f.code == "wire-path.reach"]
    bad = [f"{f.code} {f.status}: {f.text}" for f in hole.findings if f.status in ("fail", "warn")]
    return "; ".join(bad or said)


def _missing(one: Missing) -> str:
    what = " to ".join(one.names) if len(one.names) > 1 else f"the ground of {one.names[0]}"
    return f"No way for {what}: no drilling reaches {one.end}: {one.why}"


def _ends(row: Lead) -> str:
    return f"{row.one} to {row.two}"


def _size(row: Lead) -> str:
    if row.cut is None:
        return "no way yet"
    bundle = f", {row.bundle:g} mm bundle" if row.bundle is not None else ""
    return f"{row.cut:.0f} long{bundle}"


def json_text(routed: Routed) -> str:
    """The ways as one JSON document, mm."""
    holes = [
        {
            "id": hole.id,
            "start": list(hole.channel.start),
            "end": list(hole.channel.end),
            "diameter": float(hole.channel.diameter),
            "through": list(hole.channel.through),
            "from_face": hole.channel.from_face or None,
            "kind": hole.channel.kind,
            "script": line_of(hole),
            "findings": [
                {
                    "code": f.code,
                    "status": f.status,
                    "subjects": list(f.subjects),
                    "value": f.value,
                    "text": f.text,
                }
                for f in hole.findings
            ],
        }
        for hole in routed.found.holes
    ]
    document: dict[str, Any] = {
        "design": routed.layout.name,
        "units": "mm",
        "version": VERSION,
        "coordinates": {
            "wood": wood(routed.layout),
            "script": script(routed.layout) or None,
            "start and end": "as the script gives them",
        },
        "holes": holes,
        "missing": [
            {"parts": list(one.names), "end": one.end, "why": one.why}
            for one in routed.found.missing
        ],
        "wires": wire_rows(routed.after),
        "safety": safety(routed.after),
    }
    return dumped(document)
