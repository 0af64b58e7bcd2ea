"""The distance between a shape and a dome.

In the plane of (s, z), s being the plan distance out from the dome's crown, a level prism is a
rectangle: its distance to the dome's section there is the distance in space."""

from __future__ import annotations

import math

import numpy as np

from bodycad.geometry.distance.curves import (
    floor_rim,
    search_curves,
    search_floor,
    to_shape,
    top_rim,
    uprights,
)
from bodycad.geometry.distance.plan import chain_gap
from bodycad.geometry.distance.search import Best, Gap, bore_gap
from bodycad.geometry.plane.profile import Profile, flatten
from bodycad.geometry.plane.segments import Segments
from bodycad.geometry.solids.bore import Bore
from bodycad.geometry.solids.dome import Dome
from bodycad.geometry.solids.prism import Prism
from bodycad.geometry.solids.solid import boxes_apart, point3

SAGITTA = 0.01
"""A place at a given distance from the crown is looked for along chords so near to the rim, mm."""
HALVINGS = 50


def bore_dome_gap(shape: Bore, dome: Dome) -> Gap:
    """Least distance between a bore and a dome."""
    if shape.upright:
        return _upright_gap(shape, dome)
    return bore_gap(shape, dome.closest, boxes_apart(shape, dome))


def _upright_gap(shape: Bore, dome: Dome) -> Gap:
    """An upright bore with its point: at each height it fills all of s about its axis's, to both
    sides by its radius there."""
    middle, z0, way = np.array([shape.start[:2]]), shape.start[2], shape.direction[2]
    s, r = float(dome.outside(middle)[0]), shape.radius
    z1, tip = z0 + way * shape.shoulder, z0 + way * shape.length
    ring = [(s - r, z0), (s + r, z0), (s + r, z1), (s, tip), (s - r, z1)]
    rows = np.array(ring if shape.tip else [*ring[:3], ring[4]])
    flat, p, q = _section_gap(rows, dome)
    points = dome.at(np.repeat(middle, 2, axis=0), np.array([p[0], q[0]]), np.array([p[1], q[1]]))
    return Gap(flat, 0.0, (point3(points[0]), point3(points[1])))


def _section_gap(rows: np.ndarray, dome: Dome) -> tuple[float, np.ndarray, np.ndarray]:
    """Least distance in the plane of (s, z) of a polygon to a dome's section, and both points."""
    block, section = Segments(rows, np.roll(rows, -1, axis=0), np.zeros(len(rows))), dome.section
    flat, p, q = chain_gap(block, section.segments)
    if flat > 0.0 and section.segments.encloses(rows[:1])[0]:
        return 0.0, rows[0], rows[0]
    if flat > 0.0 and block.encloses(section.vertices[:1, :2])[0]:
        return 0.0, section.vertices[0, :2], section.vertices[0, :2]
    return flat, p, q


def prism_dome_gap(prism: Prism, dome: Dome) -> Gap:
    """Least distance between a prism and a dome."""
    if prism.tilted:
        return _searched(prism, dome)
    (near, first), (far, last) = _nearest(prism.profile, dome), _farthest(prism.profile, dome)
    low, high = prism.low, prism.high
    rows = np.array([[near, low], [far, low], [far, high], [near, high]])
    flat, p, q = _section_gap(rows, dome)
    spot = _spot_at(prism.profile, dome, float(p[0]), first, last)
    foot = dome.at(spot[None, :], np.array([q[0]]), np.array([q[1]]))[0]
    return Gap(flat, 0.0, (point3((*spot, p[1])), point3(foot)))


def _searched(prism: Prism, dome: Dome) -> Gap:
    """Branch and bound over the rims, the uprights and the floor of a prism; it comes no nearer
    than the level prism that holds it."""
    level = Prism(prism.profile, prism.floor_range[0], prism.high)
    least = max(prism_dome_gap(level, dome).distance, boxes_apart(prism, dome))
    best = Best(math.inf, np.zeros(3), np.zeros(3), least=least)
    own = to_shape(dome.closest)
    for curves in (top_rim(prism), floor_rim(prism), uprights(prism, 0.0)):
        search_curves(curves, own, best)
    search_floor(prism, dome.closest, best)
    return best.gap()


def _nearest(profile: Profile, dome: Dome) -> tuple[float, np.ndarray]:
    """The least plan distance of a profile out from the crown, no less than 0 where they overlap,
    and a place of the profile there."""
    apart, p, _ = chain_gap(profile.segments, dome.crown.segments)
    inside = dome.crown.segments.encloses(profile.vertices[:1, :2])[0]
    if apart > 0.0 and not inside and not profile.segments.encloses(dome.crown.vertices[:1, :2])[0]:
        return apart, p
    if apart > 0.0 and inside:
        return float(dome.outside(profile.vertices[:, :2]).min()), profile.vertices[0, :2]
    return 0.0, p if apart == 0.0 else dome.crown.vertices[0, :2]


def _farthest(profile: Profile, dome: Dome) -> tuple[float, np.ndarray]:
    """The greatest plan distance of a profile out from the crown (negative within it), and the
    place: a vertex, or where an arc of the profile faces straight out from a piece of the border.

    Out from a border that bulges everywhere the distance is convex, so that no place between the
    ends of a straight side is farther."""
    s, border = profile.segments, dome.crown.segments
    arcs = s.take(np.flatnonzero(s.arc))
    ahead = border.ahead[~border.arc]
    out = np.arctan2(-ahead[:, 0], ahead[:, 1])
    spots = [s.a]
    for k in range(len(arcs)):
        own = arcs.take(np.array([k]))
        away = own.centre[0] - border.centre[border.arc]
        turned = np.arctan2(away[:, 1], away[:, 0])
        angles = np.concatenate([out, turned, turned + math.pi])
        on = own.spans(angles, np.zeros(len(angles), int))
        ways = np.column_stack([np.cos(angles[on]), np.sin(angles[on])])
        spots.append(own.centre[0] + own.radius[0] * ways)
    places = np.vstack(spots)
    away = dome.outside(places)
    k = int(np.argmax(away))
    return float(away[k]), places[k]


def _spot_at(
    profile: Profile, dome: Dome, s: float, first: np.ndarray, last: np.ndarray
) -> np.ndarray:
    """A place of a profile that lies `s` mm out from the crown, between its nearest (`first`) and
    its farthest (`last`)."""
    rim = flatten(profile, SAGITTA)
    chain = np.vstack([first, rim, rim[:1], last])
    away = dome.outside(chain) - s
    k = int(np.argmin(np.abs(away)))
    turns = np.flatnonzero(away[:-1] * away[1:] < 0.0)
    if abs(away[k]) <= SAGITTA or not len(turns):
        return np.array(chain[k])
    a, b = chain[turns[0]], chain[turns[0] + 1]
    rising = away[turns[0]] < 0.0
    for _ in range(HALVINGS):
        middle = (a + b) / 2.0
        under = bool(dome.outside(middle[None, :])[0] < s)
        a, b = (middle, b) if under == rising else (a, middle)
    return np.array(a)
