"""Every name that a script may use, by kind, with its example: what `bodycad explain` lists, and
the README's list and the page of names that it links, which `python -m bodycad.cli.names`
renews."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from pathlib import Path

import bodycad
from bodycad.examples import EXAMPLES, GIVEN

HOMES: Mapping[str, tuple[str, ...]] = {
    "Designs and numbers": ("design", "script", "units", "measuring", "errors", "waiver"),
    "Outlines": ("geometry.plane", "imports"),
    "Solids and cuts": ("geometry.solids.prism", "geometry.solids.bore", "geometry.solids.carve")
    + ("geometry.solids.dome", "layout.void"),
    "Edges": ("geometry.solids.edge", "geometry.solids.stretch"),
    "Skin and contours": ("geometry.solids.skin", "layout.contours"),
    "Strings and neck": ("instrument", "pattern"),
    "Parts": ("parts", "fasteners"),
    "Places and pieces": ("layout.place", "layout.layout", "layout.blank", "layout.workpiece"),
    "Records of a part": ("layout.interface", "layout.record"),
    "Words": ("words",),
    "Shop and wood": ("guides", "pace", "shop", "tools", "wood", "moisture"),
}
"""Kind of name -> the modules whose public names are of it, or the folders."""
README = Path(__file__).resolve().parents[2] / "README.md"
PAGE = Path(__file__).resolve().parents[1] / "pages" / "names.md"
BEGIN, END = "<!-- names -->", "<!-- /names -->"


def kind_of(name: str) -> str | None:
    """The kind of a public name; None where no module of `HOMES` has it."""
    home = f"{bodycad.NAMES[name]}."
    return next(
        (kind for kind, homes in HOMES.items() if any(home.startswith(f"{h}.") for h in homes)),
        None,
    )


def by_kind() -> dict[str, list[str]]:
    """The public names of each kind, in the order of the package."""
    found: dict[str, list[str]] = {kind: [] for kind in HOMES}
    for name in bodycad.NAMES:
        kind = kind_of(name)
        if kind is not None:
            found[kind].append(name)
    return found


def one_line(name: str) -> str:
    """The last line of a name's example, with what a line break parted."""
    lines = EXAMPLES.get(name, "").split("\n")
    start = max((k for k, line in enumerate(lines) if line[:1] not in ("", " ")), default=0)
    return " ".join(line.strip() for line in lines[start:]).strip()


def names_text() -> str:
    """The list for a terminal."""
    return "\n".join(_lines()) + "\n"


def _lines() -> Iterator[str]:
    for kind, names in by_kind().items():
        yield ""
        yield kind
        wide = max(map(len, names), default=0)
        yield from (f"  {name:<{wide}}  {one_line(name)}" for name in names)
    yield ""
    yield (
        f"In the examples {', '.join(GIVEN[:-1])} are your own, and {GIVEN[-1]} is your design. "
        "bodycad explain NAME says what a name takes."
    )


def page() -> str:
    """The page of names in Markdown."""
    return "\n".join(_page()) + "\n"


def _page() -> Iterator[str]:
    yield "# Every name that a script may use"
    yield ""
    yield "Written by `python -m bodycad.cli.names`; each example runs in the tests. In them"
    yield f"`{'`, `'.join(GIVEN[:-1])}` are your own, and `{GIVEN[-1]}` is your"
    yield "design. `bodycad explain NAME` says what a name takes and what is allowed."
    for kind, names in by_kind().items():
        yield from ("", f"## {kind}", "", "```python")
        wide = max(map(len, names), default=0)
        yield from (f"{name + ':':<{wide + 1}}  {one_line(name)}" for name in names)
        yield "```"


def renewed(readme: str) -> str:
    """The README's text with the present names between its two marks."""
    rows = [
        f"| {kind.lower()} | {', '.join(f'`{name}`' for name in names)} |"
        for kind, names in by_kind().items()
    ]
    head, _, rest = readme.partition(BEGIN)
    tail = rest.partition(END)[2]
    table = "\n".join(["| kind | names |", "|---|---|", *rows])
    return f"{head}{BEGIN}\n{table}\n{END}{tail}"


if __name__ == "__main__":
    PAGE.parent.mkdir(exist_ok=True)
    PAGE.write_text(page(), encoding="utf-8")
    text = README.read_text(encoding="utf-8")
    README.write_text(renewed(text), encoding="utf-8")
