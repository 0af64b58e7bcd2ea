"""A design: what a script returns. It lays itself out, checks itself and hands out its solids and sheets."""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass, field
from functools import cached_property
from typing import Any

from bodycad.errors import InputError
from bodycad.geometry.solids.skin import Skin
from bodycad.instrument.lines import Instrument
from bodycad.layout.blank import Blank
from bodycad.layout.layout import Layout, Link, Placed, lay_out
from bodycad.layout.workpiece import Workpiece
from bodycad.shop import Shop
from bodycad.waiver import Waiver, each_once

_NAME = re.compile(r"[a-z][a-z0-9_-]{0,39}")


@dataclass(frozen=True, eq=False)
class Design:
    """Everything that a script decides about one body, drawn right-handed.

    `left_handed` mirrors the finished layout. `waivers` are the findings that the maker accepts.
    `parameters` is filled in by the script loader. Raises InputError when the name would not do as
    a file name, or for a waiver that is none or is there twice."""

    name: str
    blank: Blank
    skin: Skin
    instrument: Instrument
    parts: tuple[Placed, ...]
    links: tuple[Link, ...] = ()
    shop: Shop = field(default_factory=Shop)
    left_handed: bool = False
    parameters: Mapping[str, Any] = field(default_factory=dict)
    waivers: tuple[Waiver, ...] = ()
    pieces: tuple[Workpiece, ...] = ()

    def __post_init__(self) -> None:
        if not isinstance(self.name, str) or not _NAME.fullmatch(self.name):
            raise InputError(
                "the design's name",
                self.name,
                "lower-case letters, digits, - and _, beginning with a letter, 40 at most",
            )
        object.__setattr__(self, "waivers", each_once(self.waivers))

    @cached_property
    def _layout(self) -> Layout:
        return lay_out(
            self.name,
            self.blank,
            self.skin,
            self.instrument,
            self.parts,
            self.links,
            self.shop,
            left_handed=self.left_handed,
            parameters=self.parameters,
            waivers=self.waivers,
            pieces=self.pieces,
        )

    def layout(self) -> Layout:
        """The laid-out body."""
        return self._layout

    def check(self):
        """The Report of every check."""
        from bodycad.checks.runner import run

        return run(self.layout())

    def region(self, void_id: str):
        """The plan of one void as a shapely polygon (arcs flattened to 0.005 mm)."""
        from bodycad.geometry.plane.region import polygon

        void = self.layout().by_id.get(void_id)
        if void is None:
            raise InputError("a void id", void_id, ", ".join(sorted(self.layout().by_id)))
        from bodycad.layout.sections import plan_of

        return polygon(plan_of(void.shape))

    def solid(self):
        """The finished body as a cadquery Solid (this loads the kernel)."""
        from bodycad.solid.body import body_solid

        return body_solid(self.layout())

    def dxf(self, face: str):
        """The bare drawing of one face ("front" or "back") as an ezdxf document."""
        from bodycad.exports.dxf import document

        return document(self.layout(), face)

    def _repr_svg_(self) -> str:
        from bodycad.exports.plan import plan_svg

        return plan_svg(self.check(), "front")
