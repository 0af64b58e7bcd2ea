"""A design: what a script returns. It lays itself out, checks itself and hands out its files."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field, fields, replace
from functools import cached_property
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any

from bodycad.checks.report import Report
from bodycad.declare import Count, Free, Pattern, declared
from bodycad.errors import InputError
from bodycad.geometry.solids.skin import Skin
from bodycad.instrument.fitted import Fitted
from bodycad.instrument.lines import Instrument
from bodycad.layout.blank import Blank
from bodycad.layout.follow import follow
from bodycad.layout.heights import heights_set
from bodycad.layout.layout import Layout, Link, Placed, answered_anew, lay_out
from bodycad.layout.workpiece import BODY, Workpiece
from bodycad.measuring.table import Asked
from bodycad.shop import Shop
from bodycad.waiver import Waiver, each_once

if TYPE_CHECKING:
    from bodycad.checks.outlook import Hanging

FileName = Annotated[
    str,
    Pattern(
        r"[a-z][a-z0-9_-]{0,39}",
        "lower-case letters, digits, - and _, beginning with a letter, 40 at most",
    ),
]
"""A name that files may have on every system."""
Revision = Annotated[
    str, Pattern(r"[A-Za-z0-9][A-Za-z0-9._-]{0,11}", "letters, digits, ., - and _, 12 at most")
]
"""Which state of a design it is: whatever leaves the program carries it."""
FilePath = Annotated[str, Pattern(r"[^\x00\ud800-\udfff]{1,4000}", "a path")] | Path


@dataclass(frozen=True, eq=False)
@declared("the design")
class Design:
    """Everything that a script decides about one body, drawn right-handed.

    `left_handed` mirrors the finished layout. `waivers` are the findings that the maker accepts.
    `parameters` and `asked`, the sizes that it asks of a table, are filled in by the script loader;
    `revision` stands on every drawing, table and template. `fitted`: how the neck stands once it is
    fitted; what serves the strings then follows it, and what is cut before stays. Raises InputError
    for a waiver that is there twice."""

    name: FileName
    blank: Annotated[Blank, "as blank_round(outline, species) makes one"]
    skin: Skin
    instrument: Instrument
    parts: Annotated[tuple[Placed, ...], Count(0, 5000)]
    links: Annotated[tuple[Link, ...], Count(0, 5000)] = ()
    shop: Shop = field(default_factory=Shop)
    left_handed: bool = False
    parameters: Annotated[Mapping[str, Any], Free()] = field(default_factory=dict)
    waivers: Annotated[tuple[Waiver, ...], Count(0, 5000)] = ()
    pieces: Annotated[tuple[Workpiece, ...], Count(0, 500)] = ()
    revision: Revision = "1"
    fitted: Fitted | None = None
    asked: Annotated[tuple[Asked, ...], Count(0, 5000)] = ()

    def __post_init__(self) -> None:
        object.__setattr__(self, "waivers", each_once(self.waivers))

    @cached_property
    def _layout(self) -> Layout:
        from bodycad.checks.rules.seated import held

        # The fields of a design are the arguments of `lay_out`, by name.
        given = {field.name: getattr(self, field.name) for field in fields(self)}
        given["asked"] = tuple(one.name for one in self.asked)
        fitted = given.pop("fitted")
        given |= {"left_handed": False}
        drawn = lay_out(**given)
        if fitted is not None:
            parts = follow(drawn, fitted)
            instrument = replace(self.instrument, fitted=fitted)
            drawn = lay_out(**{**given, "instrument": instrument, "parts": parts})
        # Without a neck nothing says where the strings run: every part stays as it is.
        for neck in held(drawn)[:1]:
            drawn = answered_anew(drawn, heights_set(drawn.placed, neck.seat))
        return drawn.mirrored() if self.left_handed else drawn

    def layout(self) -> Layout:
        """The laid-out body."""
        return self._layout

    def check(self) -> Report:
        """The Report of every check."""
        return check(self)

    def region(self, void_id: str) -> Any:
        """The plan of one void as a shapely polygon (arcs flattened to 0.005 mm)."""
        from bodycad.geometry.plane.region import polygon

        void = self.layout().by_id.get(void_id)
        if void is None:
            raise InputError("a void id", void_id, ", ".join(sorted(self.layout().by_id)))
        return polygon(void.shape.plan)

    def solid(self) -> Any:
        """The finished body as a cadquery Solid (this loads the kernel)."""
        from bodycad.solid.body import body_solid

        return body_solid(self.layout()).for_cadquery()

    def dxf(self, face: str, piece: str = BODY) -> Any:
        """The bare drawing of one face ("front" or "back") of a workpiece as an ezdxf document."""
        from bodycad.exports.dxf.document import document

        pieces = {one.id: one for one in self.layout().pieces}
        if piece not in pieces:
            raise InputError("a workpiece's id", piece, ", ".join(pieces))
        return document(pieces[piece], face)

    def _repr_svg_(self) -> str:
        from bodycad.exports.plan import plan_svg

        return plan_svg(self.check(), "front")


Subject = Annotated[Design | Layout, "load_design(path) reads a script"]


@declared()
def check(subject: Subject) -> Report:
    """The report of every check on a design or a layout. Writes nothing, loads no kernel."""
    from bodycad.checks.runner import run

    return run(layout_of(subject))


@declared()
def build(
    subject: Subject,
    out: FilePath = "out",
    tell: Callable[[str], None] | None = None,
    improve: Callable[[Report], Report] | None = None,
    proof: bool = False,
    placing: Callable[[Path, str], None] | None = None,
    simulate: bool = False,
) -> Report:
    """Check, then write every file of a design or a layout to `out`/<name>/ (see
    `exports.files.build`, which says what is raised); the report with the kernel's findings."""
    from bodycad.exports.files import build as write

    return write(layout_of(subject), out, tell, improve, proof, placing, simulate)


@declared()
def measure_first(subject: Subject) -> tuple[Hanging, ...]:
    """What to measure before cutting a design or a layout, the least room for error first."""
    from bodycad.chance.measure import measure_first as first

    return first(layout_of(subject))


@declared()
def route(subject: Subject) -> tuple[Placed, ...]:
    """The drilled ways that a design or a layout still lacks, as parts to place: for every link
    without a way, and for every metal part that wants a ground.

    `replace(design, parts=design.parts + route(design))` is the design with them, so that they
    follow its parameters. What no drill on hand can make is left out, and `wire-path` or
    `ground-path` fails for it by name; `bodycad route DESIGN.py` says why."""
    from bodycad.routing.route import routed

    return tuple(hole.placed for hole in routed(layout_of(subject)).found.holes)


def layout_of(subject: Design | Layout) -> Layout:
    """The layout of a design, or the layout itself. Raises InputError for anything else."""
    if isinstance(subject, Design):
        return subject.layout()
    if isinstance(subject, Layout):
        return subject
    thing, allowed = "what to check or build", "a Design or a Layout"
    raise InputError(thing, type(subject).__name__, allowed, "load_design(path) reads a script")
