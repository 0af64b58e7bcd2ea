"""A small block that is cut from both faces, its cutting programs, and ways to spoil these."""

from __future__ import annotations

from dataclasses import replace

import ezdxf
import numpy as np
from PIL import Image, PngImagePlugin

from bodycad.exports.dxf.document import APPID
from bodycad.exports.simulation import write_programs
from bodycad.geometry.plane.build import rectangle
from bodycad.geometry.solids.bore import bore
from bodycad.geometry.solids.edge import Roundover, Square
from bodycad.geometry.solids.skin import Skin
from bodycad.layout.blank import Blank, Pin
from bodycad.layout.contours import fall_away, scoop
from bodycad.layout.layout import Placed
from bodycad.layout.void import Void, from_back, from_front
from bodycad.wood import species
from tests import sample

T = 20.0
FRONT, BACK = frozenset({"front"}), frozenset({"back"})


def voids():
    """Nothing of it lies as its own mirror image."""
    tilted = bore((-20.0, -18.0, -2.0), (0.8, 0.0, -0.6), 3.0, 12.0)
    return (
        pocket("route", "front", from_front(rectangle(26.0, 14.0, 3.5, 14.0, 8.0), 8.0)),
        pocket("deep", "front", from_front(rectangle(12.0, 14.0, 3.5, 14.0, 8.0), 12.0)),
        pocket("cavity", "back", from_back(rectangle(22.0, 12.0, 4.0, -16.0, -8.0), 11.0, T)),
        Void(
            "lid", "p", "back", "RECESS", from_back(rectangle(28.0, 18.0, 6.5, -16.0, -8.0), 2.5, T)
        ),
        Void("shaft", "p", "front", "BORE", bore((-16.0, -6.0, 0.0), (0, 0, -1), 5.0, 9.0), FRONT),
        Void(
            "through",
            "p",
            "front",
            "BORE",
            bore((-24.0, 13.0, 0.0), (0, 0, -1), 3.0, T),
            FRONT | BACK,
        ),
        Void("seat", "p", "back", "BORE", bore((-24.0, 13.0, -T), (0, 0, 1), 8.0, 4.0), BACK),
        Void(
            "pilot", "p", "back", "PILOT", bore((20.0, -15.0, -T), (0, 0, 1), 2.0, 9.0, 118.0), BACK
        ),
        Void("wire", "p", "front", "CHANNEL", tilted, FRONT),
    )


def pocket(name, face, shape):
    return Void(name, "p", face, "POCKET", shape, frozenset({face}))


def block(**changes):
    """The block's layout."""
    return block_design(**changes).layout()


def block_design(**changes):
    """The block: 76 x 52 x 20 mm."""
    outline = rectangle(76.0, 52.0, 10.0)
    pins = (Pin(-50.0, 0.0), Pin(50.0, 0.0), Pin(35.0, 40.0))
    given = {
        "skin": Skin(outline, T, Square(), Roundover(3.0)),
        "blank": Blank(-60.0, -50.0, 60.0, 50.0, species("alder, red"), pins=pins),
        "parts": (Placed("p", sample.Loose(voids())),),
    }
    return replace(sample.design(), **(given | changes))


def written(layout, folder):
    """The folder with the block's cutting programs."""
    write_programs(layout, folder)
    return folder


def edited(path, change):
    """A drawing with every contour of its cuts changed: `change` gets and gives its layer and its
    rows x, y, bulge; None drops it. What it carries stays."""
    doc = ezdxf.readfile(path)
    space = doc.modelspace()
    for entity in list(space):
        layer, rows = entity.dxf.layer, rows_of(entity)
        new = change(layer, rows)
        if new is not None and new[0] == layer and new[1] is rows:
            continue
        tags = entity.get_xdata(APPID) if entity.has_xdata(APPID) else None
        closed = entity.dxftype() == "CIRCLE" or entity.closed
        space.delete_entity(entity)
        if new is None:
            continue
        if new[0] not in doc.layers:
            doc.layers.add(new[0], color=1, linetype="CONTINUOUS")
        made = add(space, new[0], new[1], entity.dxftype() == "CIRCLE", closed)
        if tags is not None:
            made.set_xdata(APPID, tags)
    doc.saveas(path)


def rows_of(entity):
    """The rows of a contour; of a circle its middle and radius."""
    if entity.dxftype() == "CIRCLE":
        x, y, _ = entity.dxf.center
        return np.array([[x, y, entity.dxf.radius]])
    return np.array(entity.get_points("xyb"), float)


def add(space, layer, rows, circle, closed):
    attribs = {"layer": layer}
    if circle:
        ((x, y, radius),) = rows.tolist()
        return space.add_circle((x, y), radius, dxfattribs=attribs)
    return space.add_lwpolyline(rows.tolist(), format="xyb", close=closed, dxfattribs=attribs)


def shifted(rows, dx, dy):
    """Rows moved in plan."""
    return rows + np.array([dx, dy, 0.0])


def mirrored(rows):
    """Rows with y turned over, and so their arcs."""
    if len(rows) == 1:
        return rows * np.array([1.0, -1.0, 1.0])
    back = rows[::-1] * np.array([1.0, -1.0, 1.0])
    back[:, 2] = np.roll(back[:, 2], -1)
    return back


def shaped_block():
    """The block with a scoop in its back and a fall-away on its front."""
    contours = (
        fall_away("contour.arm", "front", T, (20.0, -10.0), -60.0, run=18.0, drop=4.0),
        scoop("contour.belly", "back", T, (0.0, 18.0), 90.0, radius=60.0, slope_deg=12.0),
    )
    return block(skin=Skin(rectangle(76.0, 52.0, 10.0), T, Square(), Square(), contours))


def repainted(path, change):
    """A grid of heights with other pixels and texts: `change` gets and gives both."""
    with Image.open(path) as image:
        table, text = change(np.array(image), dict(image.text))
    info = PngImagePlugin.PngInfo()
    for key, value in text.items():
        info.add_text(key, value)
    Image.fromarray(table.astype("<u2")).save(path, pnginfo=info)
