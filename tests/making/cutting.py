"""What a hand router cuts along a template, by shapely alone: where the middle of the tool may be
while its bush stays on the right side of the template, and what its cutter covers there."""

from __future__ import annotations

import shapely

from bodycad.geometry.plane.profile import flatten

SAGITTA = 2e-4
"""How far the polygons leave the arcs, mm."""
ROUND = 96
"""Chords of a quarter circle: those of a 15 mm disc leave it by 0.0005 mm."""


def polygon(shape):
    return shapely.Polygon(flatten(shape, SAGITTA))


def grown(shape, by):
    return shape.buffer(by, quad_segs=ROUND)


def inside(opening, bush, cutter):
    """What is cut through an opening."""
    return grown(grown(polygon(opening), -bush / 2.0), cutter / 2.0)


def outside(pattern, bush, cutter):
    """What stays when the router has gone round a pattern wherever it can."""
    body = polygon(pattern)
    near, far = grown(body, 40.0), grown(body, 100.0).envelope
    cut = grown(grown(far.difference(body), -bush / 2.0), cutter / 2.0)
    return near.difference(cut)


def beyond(one, two, by):
    """Area (mm2) of each of two shapes that lies more than `by` mm outside the other."""
    return one.difference(grown(two, by)).area + two.difference(grown(one, by)).area
