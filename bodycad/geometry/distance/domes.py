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
    if shape.prism:
        return prism_dome_gap(shape.prism, dome)
    return bore_gap(shape, dome.closest, boxes_apart(shape, dome))


def prism_dome_gap(prism: Prism, dome: Dome) -> Gap:
    """Least distance between a prism and a dome."""
    if prism.tilted:
        return _searched(prism, dome)
    (near, first), (far, last) = _nearest(prism.profile, dome), _farthest(prism.profile, dome)
    low, high = prism.low, prism.high
    rows = np.array([[near, low], [far, low], [far, high], [near, high]])
    block, section = Segments(rows, np.roll(rows, -1, axis=0), np.zeros(4)), dome.section.segments
    flat, p, q = chain_gap(block, section)
    if flat > 0.0 and section.encloses(rows[:1])[0]:
        flat, q = 0.0, p
    elif flat > 0.0 and block.encloses(dome.section.vertices[:1, :2])[0]:
        flat, p = 0.0, q
    spot = _spot_at(prism.profile, dome, float(p[0]), first, last)
    foot = dome.at(spot[None, :], np.array([q[0]]), np.array([q[1]]))[0]
    return Gap(flat, 0.0, (point3((*spot, p[1])), point3(foot)))


def _searched(prism: Prism, dome: Dome) -> Gap:
    """Branch and bound over the rims, the uprights and the floor of a prism."""
    best = Best(math.inf, np.zeros(3), np.zeros(3), least=boxes_apart(prism, dome))
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
