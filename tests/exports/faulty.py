"""Ways to spoil the drawing of the sample's front: by name, the rule that must speak, on which
layer, and the deed."""

import math

from bodycad.geometry.plane.build import rectangle

POCKET, BORE, OUTLINE = "FRONT_POCKET_D1900", "FRONT_BORE_D0800_DIA950", "FRONT_OUTLINE_D4400"
LONG = "FRONT_" + 20 * "A" + "_D190000"
FREE = (-150.0, 40.0)
"""A place on the sample's front where nothing is cut."""


def add(doc, points, layer=POCKET, close=True, **attribs):
    """A further contour about the free place."""
    rows = [(FREE[0] + x, FREE[1] + y, bulge) for x, y, bulge in ((*p, 0.0)[:3] for p in points)]
    return doc.modelspace().add_lwpolyline(
        rows, format="xyb", close=close, dxfattribs={"layer": layer, **attribs}
    )


def square(side=20.0, x=0.0, y=0.0, turn=1):
    return [(x, y), (x + side, y), (x + side, y + side), (x, y + side)][::turn]


def ring(doc, x, y, radius=5.0, z=0.0, **attribs):
    place = (FREE[0] + x, FREE[1] + y, z)
    return doc.modelspace().add_circle(place, radius, dxfattribs={"layer": BORE, **attribs})


def first(doc, layer=POCKET, kind="LWPOLYLINE"):
    return doc.modelspace().query(f'{kind}[layer=="{layer}"]').first


def change(entity, **attribs):
    entity.update_dxf_attribs(attribs)


def drop(doc, layer):
    for entity in doc.modelspace().query(f'*[layer=="{layer}"]'):
        doc.modelspace().delete_entity(entity)


def stretched(doc, factor):
    bar = first(doc, "CHECK")
    bar.set_points([(x * factor, y) for x, y in bar.get_points("xy")], format="xy")


def undefined(doc):
    change(first(doc), layer="FRONT_POCKET_D5000")


def turned(doc):
    entity = first(doc)
    entity.set_points([(x, y) for x, y in entity.get_points("xy")][::-1], format="xy")


ERRORS = {
    "not-finite coordinate": (
        "not-finite",
        POCKET,
        lambda d: add(d, [(0, 0), (9, 0), (math.nan, 9)]),
    ),
    "not-finite bulge": (
        "not-finite",
        POCKET,
        lambda d: add(d, [(0, 0, math.inf), (9, 0), (9, 9)]),
    ),
    "zero-length segment": (
        "zero-length",
        POCKET,
        lambda d: add(d, [(0, 0), (9, 0), (9, 0), (9, 9)]),
    ),
    "zero-length contour": ("zero-length", POCKET, lambda d: add(d, [(0, 0), (9, 0)])),
    "circle without radius": ("zero-length", BORE, lambda d: ring(d, 0, 0, 0.0)),
    "open": ("open", POCKET, lambda d: add(d, square(), close=False)),
    "open though its ends meet": (
        "open",
        POCKET,
        lambda d: add(d, [*square(), (0, 0)], close=False),
    ),
    "gap between its ends": ("gap", POCKET, lambda d: add(d, [*square(), (0, 0.03)], close=False)),
    "gap between two pieces": (
        "gap",
        POCKET,
        lambda d: (add(d, [(0, 0), (9, 0)], close=False), add(d, [(9.04, 0), (9, 9)], close=False)),
    ),
    "repeated first vertex": ("repeated-vertex", POCKET, lambda d: add(d, [*square(), (0, 0)])),
    "crossing itself": ("crossing", POCKET, lambda d: add(d, [(0, 0), (20, 20), (20, 0), (0, 20)])),
    "touching itself": (
        "crossing",
        POCKET,
        lambda d: add(d, [(0, 0), (9, 0), (9, 9), (4, 0), (0, 9)]),
    ),
    "crossing itself by an arc": (
        "crossing",
        POCKET,
        lambda d: add(d, [(0, 0, 1), (20, 0), (20, -5), (0, -5)]),
    ),
    "duplicate": ("duplicate", POCKET, lambda d: (add(d, square()), add(d, square()))),
    "duplicate begun elsewhere": (
        "duplicate",
        POCKET,
        lambda d: (add(d, square()), add(d, square()[1:] + square()[:1])),
    ),
    "duplicate circle": ("duplicate", BORE, lambda d: (ring(d, 0, 0), ring(d, 0, 0))),
    "overlap": ("overlap", POCKET, lambda d: (add(d, square()), add(d, square(20.0, 10.0, 10.0)))),
    "overlap by a hair": (
        "overlap",
        POCKET,
        lambda d: (add(d, square()), add(d, square(20.0, 19.999, 0.0))),
    ),
    "overlap of circles": ("overlap", BORE, lambda d: (ring(d, 0, 0), ring(d, 9.9, 0))),
    "one within another": (
        "overlap",
        POCKET,
        lambda d: (add(d, square()), add(d, square(5.0, 3.0, 3.0))),
    ),
    "an outer contour clockwise": ("turning", POCKET, lambda d: add(d, square(turn=-1))),
    "a hole in a hole": (
        "turning",
        POCKET,
        lambda d: (
            add(d, square()),
            add(d, square(9.0, 5.0, 5.0, -1)),
            add(d, square(3.0, 7.0, 7.0, -1)),
        ),
    ),
    "arc over half a turn": (
        "wide-arc",
        POCKET,
        lambda d: add(d, [(0, 0), (9, 0), (9, 4), (0, 4, 1.2)]),
    ),
    "elevation": ("height", POCKET, lambda d: change(first(d), elevation=-19.0)),
    "circle at a height": ("height", BORE, lambda d: ring(d, 0, 0, z=1.0)),
    "thickness": ("height", POCKET, lambda d: change(first(d), thickness=19.0)),
    "extrusion down": ("height", POCKET, lambda d: change(first(d), extrusion=(0, 0, -1))),
    "undefined layer": ("layer", "FRONT_POCKET_D5000", undefined),
    "layer 0": ("layer", "0", lambda d: change(first(d), layer="0")),
    "layer with a dot": (
        "layer",
        "FRONT_POCKET_19.0",
        lambda d: d.layers.add("FRONT_POCKET_19.0", color=1),
    ),
    "layer too long": ("layer", LONG, lambda d: d.layers.add(LONG, color=1)),
    "layer colour": ("layer", POCKET, lambda d: change(d.layers.get(POCKET), color=30)),
    "layer dashed": (
        "layer",
        POCKET,
        lambda d: (
            d.linetypes.add("DASHED", [1.0, 0.5, -0.5]),
            change(d.layers.get(POCKET), linetype="DASHED"),
        ),
    ),
    "colour of its own": ("by-layer", POCKET, lambda d: change(first(d), color=3)),
    "unit missing": ("unit", "", lambda d: d.header.__delitem__("$INSUNITS")),
    "unit inch": ("unit", "", lambda d: d.header.__setitem__("$INSUNITS", 1)),
    "imperial": ("unit", "", lambda d: d.header.__setitem__("$MEASUREMENT", 0)),
    "extents": ("extents", "", lambda d: d.modelspace().reset_extents((0, 0, 0), (10, 10, 0))),
    "outside the stock": ("stock", POCKET, lambda d: add(d, square(20.0, -80.0, 0.0))),
    "line": (
        "entity",
        POCKET,
        lambda d: d.modelspace().add_line((0, 0), (9, 0), dxfattribs={"layer": POCKET}),
    ),
    "arc": (
        "entity",
        POCKET,
        lambda d: d.modelspace().add_arc((0, 0), 9, 0, 90, dxfattribs={"layer": POCKET}),
    ),
    "spline": (
        "entity",
        POCKET,
        lambda d: d.modelspace().add_spline([(0, 0), (5, 5), (9, 0)], dxfattribs={"layer": POCKET}),
    ),
    "text": (
        "entity",
        POCKET,
        lambda d: d.modelspace().add_text("19 deep", dxfattribs={"layer": POCKET}),
    ),
    "block": (
        "entity",
        POCKET,
        lambda d: (
            d.blocks.new("B").add_circle((0, 0), 3),
            d.modelspace().add_blockref("B", (0, 0), dxfattribs={"layer": POCKET}),
        ),
    ),
    "drawn on paper": (
        "space",
        POCKET,
        lambda d: d.layout("Layout1").add_circle((0, 0), 9, dxfattribs={"layer": POCKET}),
    ),
    "no datum": ("datum", "DATUM", lambda d: drop(d, "DATUM")),
    "no check bar": ("check-bar", "CHECK", lambda d: drop(d, "CHECK")),
    "check bar in inches": ("check-bar", "CHECK", lambda d: stretched(d, 1 / 25.4)),
    "check bar a hair long": ("check-bar", "CHECK", lambda d: stretched(d, 1.0001)),
}
WARNINGS = {
    "short segment": ("short", POCKET, lambda d: add(d, [(0, 0), (9, 0), (9, 9), (8.97, 9)])),
    "short arc": ("short", POCKET, lambda d: add(d, [(0, 0), (9, 0), (9, 9, 1), (8.98, 9)])),
    "arc nearly straight": ("flat-arc", POCKET, lambda d: add(d, [(0, 0, 1e-4), (9, 0), (9, 9)])),
    "kink": ("kink", POCKET, lambda d: add(d, [(0, 0), (9, 0), (18, 0.1), (18, 9)])),
    "sharp corner": ("corner", POCKET, lambda d: add(d, square())),
    "tight corner": ("corner", POCKET, lambda d: add(d, rectangle(20.0, 20.0, 3.0).vertices)),
    "tight corner of an outline": (
        "corner",
        OUTLINE,
        lambda d: add(d, [(0, 0), (40, 0), (40, 9), (22, 9, -1), (18, 9), (0, 9)], OUTLINE),
    ),
    "small round pocket": ("corner", POCKET, lambda d: ring(d, 0, 0, 3.0, layer=POCKET)),
}
