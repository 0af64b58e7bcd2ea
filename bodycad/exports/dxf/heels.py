"""Where a neck screw may stand, as closed contours on a layer of the annotated back."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

from bodycad.checks.rules.bolts import plan_point
from bodycad.exports.lettering import Note
from bodycad.exports.sheet import STANDING, written
from bodycad.geometry.plane.arrange import Region
from bodycad.layout.layout import Layout
from bodycad.pattern.standing import Standing, screwed, standing_of

if TYPE_CHECKING:
    from ezdxf.document import Drawing

COLOUR = 3


@dataclass(frozen=True, eq=False)
class Area:
    """The standing regions of one joint as seen from the back, and what is said of them."""

    regions: tuple[Region, ...]
    note: Note


def standing_areas(layout: Layout) -> tuple[Area, ...]:
    """One for every neck on whose heel a screw of its own kinds may stand at all."""
    found = (standing_of(layout, neck=neck.id) for neck in screwed(layout))
    return tuple(_area(one) for one in found if one.regions)


def draw_standing(doc: Drawing, areas: Sequence[Area]) -> None:
    """Every region as closed LWPOLYLINEs on STANDING, holes clockwise; without areas no layer
    either."""
    if areas:
        doc.layers.add(STANDING, color=COLOUR, linetype="CONTINUOUS")
    space, attribs = doc.modelspace(), {"layer": STANDING}
    for region in (region for area in areas for region in area.regions):
        for shape in (region.outer, *region.holes):
            rows = written(shape, shape is not region.outer).tolist()
            space.add_lwpolyline(rows, format="xyb", close=True, dxfattribs=attribs)


def placed_regions(found: Standing) -> tuple[Region, ...]:
    """A map's regions in the body frame, mm."""
    place = found.neck.place
    return tuple(
        Region(place.profile(r.outer), tuple(map(place.profile, r.holes))) for r in found.regions
    )


def screws_words(found: Standing) -> str:
    """The kinds of screw that a map was made for, such as "16, 17 or 18 mm of wood, 33 mm long"."""
    options = found.options
    woods, lengths = sorted({o.wood for o in options}), sorted({o.length for o in options})
    if len(woods) * len(lengths) != len(options):
        return " or ".join(f"{o.wood:g} mm of wood with {o.length:g} mm long" for o in options)
    return f"{_either(woods)} mm of wood, {_either(lengths)} mm long"


def _either(values: Sequence[float]) -> str:
    words = [f"{value:g}" for value in values]
    return " or ".join(filter(None, (", ".join(words[:-1]), words[-1])))


def _area(found: Standing) -> Area:
    regions = tuple(
        Region(r.outer.mirrored(), tuple(hole.mirrored() for hole in r.holes))
        for r in placed_regions(found)
    )
    lines = (
        f"{found.neck.id}: a screw may stand here (layer {STANDING}, {found.grid:g} mm grid)",
        screws_words(found),
    )
    return Area(regions, Note(lines, plan_point(regions[0].outer.vertices)))
