"""What a CAM would make of the cut files, by GDAL and shapely alone: what each layer removes, in
which order, and how the blank goes on its pins.

A layer is read as CAM programs read it: all that lies inside its closed contours goes, islands
stay (even-odd), to the depth in its name from the face in its name; round an outline the cutter
runs outside. Layers are worked in the order of the file.
"""

from __future__ import annotations

import itertools
import math
import re
from dataclasses import replace
from pathlib import Path

import numpy as np
import pyogrio
import pytest
import shapely
from pyogrio.raw import read as gdal_read
from shapely import affinity

from bodycad.exports.dxf.document import write
from bodycad.geometry.solids.edge import Ledge, Roundover
from bodycad.geometry.solids.stretch import Stretch
from bodycad.layout.blank import blank_round
from bodycad.script import load_design
from tests.exports.bodies import crowded
from tests.strangers.bench import quoin

DEMO = Path(__file__).resolve().parents[2] / "designs" / "teasel.py"
NAME = re.compile(r"(FRONT|BACK)_([A-Z-]+)_D(\d+)(?:_DIA(\d+))?")
KERF = 12.7
"""The widest cutter of a shop as shipped, mm: the waste that an outline's cut may take."""


@pytest.fixture(scope="module", autouse=True)
def fine_arcs():
    """GDAL's own 4 degree chords are 1.35e-4 short in area (measured)."""
    pyogrio.set_gdal_config_options({"OGR_ARC_STEPSIZE": "0.1"})
    yield
    pyogrio.set_gdal_config_options({"OGR_ARC_STEPSIZE": None})


def rounded_blank(layout, **changes):
    """The layout on the blank that a script gets round its outline."""
    right = layout.mirrored() if layout.left_handed else layout
    made = right.with_body(blank=blank_round(right.skin.outline, right.blank.species, **changes))
    return made.mirrored() if layout.left_handed else made


def with_front(layout, edge):
    return layout.with_body(skin=replace(layout.skin, front=edge))


RIGHT = {
    "demo": load_design(DEMO).layout(),
    "bench": quoin().layout(),
    "crowded": rounded_blank(crowded().layout()),
    "half from each": rounded_blank(crowded().layout(), outline_from=None),
    "outline from the front": rounded_blank(crowded().layout(), outline_from="front"),
    "stretch": with_front(
        rounded_blank(crowded().layout()), Stretch(Ledge((1.0,), 5.0), (200.0, 0.0), (-200.0, 0.0))
    ),
    "no ledge": with_front(rounded_blank(crowded().layout()), Roundover(3.0)),
}
BODIES = {
    f"{name}, {hand}": made
    for name, layout in RIGHT.items()
    for hand, made in (("right", layout), ("left", layout.mirrored()))
}


@pytest.fixture(scope="module", params=BODIES)
def body(request):
    return BODIES[request.param].body


@pytest.fixture(scope="module")
def read(tmp_path_factory):
    """The (layer, polygon inside one contour) of a face's file in its order, once for each."""
    kept, folder = {}, tmp_path_factory.mktemp("cam")

    def rows(body, face):
        key = id(body), face
        if key not in kept:
            path = write(body, face, folder / f"{len(kept)}.dxf")
            meta, _, geometry, fields = gdal_read(path)
            layers = fields[list(meta["fields"]).index("Layer")]
            lines = (shapely.force_2d(line) for line in shapely.from_wkb(geometry))
            kept[key] = [(a, shapely.Polygon(b)) for a, b in zip(layers, lines, strict=True)]
        return kept[key]

    return rows


def layers(rows):
    """By layer in the file's order: what lies inside its contours, in the wood's own (x, y)."""
    found = {}
    for layer, plan in rows:
        before = found.get(layer, shapely.Polygon())
        found[layer] = before.symmetric_difference(plan)
    back = {name: affinity.scale(p, 1.0, -1.0, origin=(0, 0)) for name, p in found.items()}
    return {n: back[n] if any(k.startswith("BACK") for k in found) else p for n, p in found.items()}


def cuts(rows):
    """(operation, depth, plan) of each layer that is cut, in the file's order."""
    for name, plan in layers(rows).items():
        if match := NAME.fullmatch(name):
            yield match[2], int(match[3]) / 100.0, plan


def flattened(shape):
    """A profile as a polygon, by the bulges' own arithmetic: tan(angle / 4)."""
    points, rows = [], shape.vertices
    for (x, y, bulge), (u, v, _) in zip(rows, np.roll(rows, -1, axis=0)):
        count = 1 if abs(bulge) < 1e-12 else max(2, int(math.atan(abs(bulge)) * 400))
        sweep, chord = 4.0 * math.atan(bulge), math.hypot(u - x, v - y)
        for k in range(count):
            if count == 1:
                points.append((x, y))
                continue
            radius = chord / 2.0 / math.sin(sweep / 2.0)
            turn = sweep * k / count
            # Along the chord's own axes from its start: the arc leaves it at minus half the sweep.
            along = radius * (math.sin(turn - sweep / 2.0) + math.sin(sweep / 2.0))
            aside = radius * (math.cos(sweep / 2.0) - math.cos(turn - sweep / 2.0))
            ex, ey = (u - x) / chord, (v - y) / chord
            points.append((x + along * ex - aside * ey, y + along * ey + aside * ex))
    return shapely.Polygon(points)


def test_each_layer_removes_what_the_layout_says(body, read):
    """Every void that is cut upright from a face, as deep as it is at full width, and no more."""
    for face in ("front", "back"):
        meant = {}
        for void in body.voids:
            if void.face != face or not void.shape.upright:
                continue
            hole = void.shape.hole
            deep = -void.low if face == "front" else void.high + body.thickness
            deep -= hole.tip if hole else 0.0
            key = str(void.operation), round(deep, 2)
            meant.setdefault(key, []).append(flattened(void.shape.plan))
        meant = {key: shapely.union_all(plans) for key, plans in meant.items()}
        found = {}
        for operation, depth, plan in cuts(read(body, face)):
            key = operation, depth
            found[key] = shapely.union(found.get(key, shapely.Polygon()), plan)
        kept = {k: v for k, v in found.items() if k[0] not in ("OUTLINE", "LEDGE")}
        assert kept.keys() == meant.keys()
        for key, plan in meant.items():
            assert kept[key].symmetric_difference(plan).area < 1e-4 * plan.area, key


def test_a_ledge_is_a_ring_of_wood_to_remove(body, read):
    """Inside the outline the ring is the ledge, outside it is as wide as a cutter's way, and
    nothing else of the body goes with it."""
    outline = flattened(body.skin.outline)
    for face in ("front", "back"):
        rings = [(d, plan) for op, d, plan in cuts(read(body, face)) if op == "LEDGE"]
        whole, runs = body.skin.edge(face), body.skin.runs(face)
        edges = [whole] if isinstance(whole, Ledge) else []
        edges += [run.edge for run in runs if isinstance(run.edge, Ledge)]
        assert len(rings) == len({edge.height for edge in edges})
        for depth, ring in rings:
            (reach,) = {edge.reach for edge in edges if abs(edge.height - depth) < 5e-3}
            inside = ring.intersection(outline)
            band = outline.difference(outline.buffer(-reach, quad_segs=400))
            if not isinstance(whole, Ledge):
                # The stretch of the test's body runs along one half of it, right or left.
                up = 1e3 if ring.centroid.y > 0.0 else -1e3
                band = band.intersection(shapely.box(-1e3, min(up, 0.0), 1e3, max(up, 0.0)))
            assert inside.symmetric_difference(band).area < 2e-3 * band.area
            # A cutter as wide as the smallest on hand runs round in it.
            way = ring.buffer(-6.35 / 2.0)
            assert way.geom_type == "Polygon" and way.area > 0.0


RANK = ("BORE", "PILOT", "POST", "CHANNEL", "RECESS", "POCKET", "LEDGE", "OUTLINE")
"""Order of work: what is drilled from the plain face first, what is routed, what is the way of
the binding, and the outline, which frees the body, last."""


def test_the_layers_stand_in_the_order_of_work(body, read):
    for face in ("front", "back"):
        names = list(layers(read(body, face)))
        ranks = [RANK.index(match[2]) for name in names if (match := NAME.fullmatch(name))]
        step = [0 if rank < 4 else rank for rank in ranks]
        assert step == sorted(step), names
        assert names[0] == "DATUM"


def test_the_outline_is_cut_once_or_half_from_each(body, read):
    """From one face right through and a mark on the other, or past the middle from both."""
    deep, outline = {}, flattened(body.skin.outline)
    for face in ("front", "back"):
        made = layers(read(body, face))
        own = {n: plan for n, plan in made.items() if "OUTLINE" in n}
        assert len(own) == 1
        ((name, plan),) = own.items()
        assert plan.symmetric_difference(outline).area < 1e-4 * outline.area
        deep[face] = int(NAME.fullmatch(name)[3]) / 100.0 if NAME.fullmatch(name) else 0.0
    assert sum(deep.values()) == 44.0 if 0.0 in deep.values() else min(deep.values()) > 22.0
    assert sum(deep.values()) >= body.thickness


LEVELS = (-1.0, -5.0, -12.0, -21.9, -22.1, -33.0, -40.0, -43.0)


def removed(operation, plan):
    if operation != "OUTLINE":
        return plan
    return plan.buffer(KERF).difference(plan)


def held(wood, pins, heart):
    """Whether some chain of wood from level to level leads from round every pin to the body."""
    parts = [list(getattr(w, "geoms", [w])) for w in wood]
    nodes = [(k, part) for k, own in enumerate(parts) for part in own]
    reached = {i for i, (_, part) in enumerate(nodes) if part.intersection(heart).area > 1.0}
    while True:
        more = {
            i
            for i, (k, part) in enumerate(nodes)
            if i not in reached
            for j in reached
            if abs(nodes[j][0] - k) == 1 and nodes[j][1].intersection(part).area > 1.0
        }
        if not more:
            break
        reached |= more
    rings = [pin.buffer(2.0).difference(pin) for pin in pins]
    return all(any(nodes[i][1].contains(ring) for i in reached) for ring in rings)


def test_the_pins_stand_in_wood_until_the_last_cut(body, read):
    """All of the first face's file, then the other's in its order: round each pin wood that hangs
    together with the body is left until the outline goes through, and nothing ever cuts a pin."""
    b = body.blank
    pins = [shapely.Point(p.x, p.y).buffer(p.diameter / 2.0) for p in b.pins]
    wood = [shapely.box(b.x0, b.y0, b.x1, b.y1).difference(shapely.union_all(pins))] * len(LEVELS)
    heart = flattened(body.skin.outline).buffer(-15.0)
    work = [(face, cut) for face in body.faces for cut in cuts(read(body, face))]
    assert work[-1][1][0] == "OUTLINE"
    for k, (face, (operation, depth, plan)) in enumerate(work):
        gone = removed(operation, plan)
        assert all(gone.intersection(pin.buffer(1.0)).area == 0.0 for pin in pins), operation
        for n, z in enumerate(LEVELS):
            if depth > (-z if face == "front" else z + body.thickness):
                wood[n] = wood[n].difference(gone)
        if k < len(work) - 1:
            assert held(wood, pins, heart), (face, operation, depth)
    assert not held(wood, pins, heart)


# Pins

PLAY = 1.0
"""A hole that is off by no more than this lets a pin in by force, mm."""
ORIGIN = shapely.Point(0.0, 0.0)


def fixture(rows):
    """(x, y, diameter) of the pin holes as a file draws them, which is how the pins stand."""
    plans = [plan for layer, plan in rows if layer == "DATUM" and not plan.contains(ORIGIN)]
    return np.array([(*p.centroid.coords[0], 2.0 * math.sqrt(p.area / math.pi)) for p in plans])


def misfit(pins, holes, order):
    """How far (mm) the pin that fits worst stands off its hole when the blank is turned and
    shifted to the least squares, each pin in the hole that `order` names."""
    own = holes[list(order)]
    a, b = (p[:, :2] - p[:, :2].mean(axis=0) for p in (pins, own))
    turn = math.atan2((b[:, 0] * a[:, 1] - b[:, 1] * a[:, 0]).sum(), (a * b).sum())
    c, s = math.cos(turn), math.sin(turn)
    off = np.hypot(*(a - b @ np.array([[c, s], [-s, c]])).T)
    return float((off + np.maximum((pins - own)[:, 2], 0.0) / 2.0).max())


@pytest.mark.parametrize("face", ["front", "back"])
def test_the_blank_goes_on_the_pins_in_one_way_only(body, read, face):
    """The pins stand as this face's file draws them. The blank lies this face up, or the other one
    up (end for end, edge for edge, any way), each pin in any hole: it goes on in one way only."""
    pins = fixture(read(body, face))
    assert len(pins) == len(body.blank.pins)
    wrong = fixture(read(body, "back" if face == "front" else "front"))
    as_drawn, *others = itertools.permutations(range(len(pins)))
    assert misfit(pins, pins, as_drawn) < 1e-9
    assert min(misfit(pins, pins, order) for order in others) > PLAY
    assert min(misfit(pins, wrong, order) for order in (as_drawn, *others)) > PLAY


def test_two_pins_are_the_same_for_both_set_ups(body, read):
    """Two of them stand on the line that the blank is turned over about."""
    front, back = (fixture(read(body, face)).tolist() for face in ("front", "back"))
    shared = [p for p in front if any(p == pytest.approx(q, abs=1e-6) for q in back)]
    assert len(shared) == 2
