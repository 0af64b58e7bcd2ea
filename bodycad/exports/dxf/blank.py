"""The blank's drawing as DXF, for people: what is cut from it stands in the cut files.

Layers: BLANK its rim, JOINT glue joints, GRAIN the way of the grain, OUTLINE-MARK the body, PIN,
TAB, CORE what of the core runs on past the rim as the neck, to the nut, HOLD where it may be held
down, NECK-WAY the waste that is cleared for the neck, INFO words. Millimetres, as seen from the
front, on the body's datum."""

from __future__ import annotations

import math
from collections.abc import Iterator
from pathlib import Path

import ezdxf
from ezdxf.enums import TextEntityAlignment

from bodycad.errors import FileError
from bodycad.exports.coordinates import wood
from bodycad.exports.dxf.document import draw_region, new_document, save, worded
from bodycad.exports.sheet import INFO, OUTLINE_MARK
from bodycad.geometry.plane.arrange import Region
from bodycad.geometry.plane.build import circle
from bodycad.layout.layout import Layout
from bodycad.making.blank_plan import WASHER, BlankPlan

LAYERS = {
    "BLANK": 7,
    "JOINT": 2,
    "GRAIN": 8,
    OUTLINE_MARK: 4,
    "PIN": 1,
    "TAB": 6,
    "HOLD": 3,
    "NECK-WAY": 5,
    "CORE": 2,
    INFO: 6,
}
"""Every layer and its colour index."""
HEIGHT = 5.0
"""Height of the letters, mm."""
ROOM = 12.0
"""How far the rim's lines run on, mm."""
NEAR = 1e-6
"""Places that are read back may be off by so much, mm."""


def write(layout: Layout, plan: BlankPlan, path: Path) -> None:
    """Write the drawing and read it back. Raises FileError where that says otherwise."""
    blank = plan.blank
    lines = list(_words(layout, plan))
    foot = blank.y0 - ROOM - 2.0 * HEIGHT * len(lines)
    far = blank.x1 if plan.core is None else plan.core.box[2]
    box = blank.x0 - ROOM, foot - HEIGHT, far + ROOM, blank.y1 + ROOM
    doc = new_document("R2000", box, box)
    for name, colour in LAYERS.items():
        doc.layers.add(name, color=colour, linetype="CONTINUOUS")
    for layer, region in _regions(layout, plan):
        draw_region(doc, region, layer)
    space = doc.modelspace()
    for y in blank.joints:
        space.add_line((blank.x0, y), (blank.x1, y), dxfattribs={"layer": "JOINT"})
    middle = (blank.x0 + blank.x1) / 2.0
    y = blank.y1 - 2.0 * HEIGHT
    space.add_line((middle - 60.0, y), (middle + 60.0, y), dxfattribs={"layer": "GRAIN"})
    for k in (-1.0, 1.0):
        for up in (-4.0, 4.0):
            tip = middle + 60.0 * k
            space.add_line((tip, y), (tip - 8.0 * k, y + up), dxfattribs={"layer": "GRAIN"})
    for text, spot in _labels(plan):
        _text(doc, text, spot)
    for k, text in enumerate(lines):
        _text(doc, text, (blank.x0, blank.y0 - ROOM - 2.0 * HEIGHT * k))
    save(doc, path)
    verify(layout, plan, path)


def _text(doc: ezdxf.document.Drawing, text: str, spot: tuple[float, float]) -> None:
    made = doc.modelspace().add_text(worded(text), height=HEIGHT, dxfattribs={"layer": INFO})
    made.set_placement(spot, align=TextEntityAlignment.LEFT)


def _regions(layout: Layout, plan: BlankPlan) -> Iterator[tuple[str, Region]]:
    blank = plan.blank
    yield "BLANK", Region(blank.plan)
    yield OUTLINE_MARK, Region(layout.skin.outline)
    for pin in blank.pins:
        yield "PIN", Region(circle(float(pin.diameter), pin.x, pin.y))
    yield from (("TAB", tab.region) for tab in plan.tabs)
    yield from (("HOLD", Region(circle(WASHER, x, y))) for x, y in plan.holds)
    yield from (("NECK-WAY", region) for region in plan.approach)
    if plan.core is not None:
        yield "CORE", Region(plan.core)


def _labels(plan: BlankPlan) -> Iterator[tuple[str, tuple[float, float]]]:
    for k, pin in enumerate(plan.blank.pins, 1):
        yield f"pin {k}", (pin.x + pin.diameter, pin.y + pin.diameter)
    for k, (x, y) in enumerate(plan.holds, 1):
        yield f"H{k}", (x - HEIGHT / 2.0, y - HEIGHT / 2.0)
    middle = (plan.blank.x0 + plan.blank.x1) / 2.0
    if plan.core is not None:
        x0, _, x1, y1 = plan.core.box
        yield "the core runs on as the neck, to the nut here", ((x0 + x1) / 2.0, y1 + HEIGHT)
    yield "grain", (middle + 66.0, plan.blank.y1 - 2.5 * HEIGHT)


def _words(layout: Layout, plan: BlankPlan) -> Iterator[str]:
    blank = plan.blank
    size = f"{blank.x1 - blank.x0:.1f} x {blank.y1 - blank.y0:.1f} x {layout.thickness:.2f}"
    whose = f"{layout.hand}-handed, rev {layout.revision}"
    yield f"{layout.name}: the blank, seen from the FRONT, {whose}"
    yield f"millimetres; {wood(layout)}"
    yield f"{blank.species.name}, {size} planed; bought {plan.bought}"
    if blank.joints:
        yield f"JOINT: glue joints, boards {', '.join(f'{w:.1f}' for w in plan.boards)} wide"
    if plan.core is not None:
        long = plan.core.box[2] - blank.x0
        yield f"CORE: it runs on past the blank as the neck, {long:.1f} long to the nut, with the"
        yield "headstock on top; past the outline the wings are waste that is not glued to it"
    yield f"HOLD: {WASHER:g} mm washers or pads, clear of a {plan.way:.4g} mm cutter's way"
    if plan.approach:
        yield f"NECK-WAY: waste cleared {plan.approach_depth:.2f} deep from the front for the neck"


def verify(layout: Layout, plan: BlankPlan, path: Path) -> None:
    """Read the drawing back: FileError where a pin, a hold-down, a tab, a joint or the rim is not
    where the plan has it."""
    try:
        doc = ezdxf.readfile(path)
    except (OSError, ezdxf.DXFError) as error:
        raise FileError(f"{path.name} cannot be read back: {error}") from error
    space = doc.modelspace()
    for layer, wanted in (
        ("PIN", [(p.x, p.y, p.diameter / 2.0) for p in plan.blank.pins]),
        ("HOLD", [(x, y, WASHER / 2.0) for x, y in plan.holds]),
    ):
        found = [
            (*one.dxf.center.vec2, one.dxf.radius)
            for one in space.query(f'CIRCLE[layer=="{layer}"]')
        ]
        same = len(found) == len(wanted) and all(
            math.dist(a, b) < NEAR for a, b in zip(sorted(found), sorted(wanted))
        )
        if not same:
            raise FileError(f"{path.name}: the circles on {layer} are not those of the plan")
    joints = sorted(one.dxf.start.y for one in space.query('LINE[layer=="JOINT"]'))
    if not _alike(joints, sorted(plan.blank.joints)):
        raise FileError(f"{path.name}: the joints are not those of the blank")
    counts = {"BLANK": 1, OUTLINE_MARK: 1, "TAB": len(plan.tabs), "NECK-WAY": len(plan.approach)}
    counts["CORE"] = int(plan.core is not None)
    for layer, count in counts.items():
        there = len(space.query(f'LWPOLYLINE[layer=="{layer}"]'))
        if there != count and not (layer == OUTLINE_MARK and layout.skin.outline.circle):
            raise FileError(f"{path.name} has {there} shapes on {layer}, not {count}")


def _alike(one: list[float], other: list[float]) -> bool:
    return len(one) == len(other) and all(abs(a - b) < NEAR for a, b in zip(one, other))
