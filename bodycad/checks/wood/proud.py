"""How far a head or a ferrule ends under the shaped face that it is let into."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np

from bodycad.checks.finding import Witness, witness
from bodycad.geometry.solids.skin import Skin
from bodycad.geometry.solids.solid import Point3
from bodycad.words import Face

CORNERS = 72
"""Of the polygon round a flange at whose corners the face is asked. It holds the flange, and a
straight or a hollow fall is deepest at a corner, so that nothing stands farther out than is told;
under the roundest edge of 3 mm this is true within 0.01 mm."""


def sunk(skin: Skin, at: Point3, way: Point3, rise: float, flange: float) -> tuple[float, Witness]:
    """The least depth under the shaped face (mm, negative where it stands proud), all round, of the
    outer end of what stands `rise` mm out from a seat, and where.

    at: the middle of the seat; way: unit way into the wood; flange: diameter of the outer end."""
    key = "sunk", tuple(at), tuple(way), rise, flange
    if key not in skin.memo:
        skin.memo[key] = _sunk(skin, at, way, rise, flange)
    found: tuple[float, Witness] = skin.memo[key]
    return found


def _sunk(skin: Skin, at: Point3, way: Point3, rise: float, flange: float) -> tuple[float, Witness]:
    face, up, middle, rim = _end(at, way, rise, flange)
    found = np.full(CORNERS, skin.level(face))
    if float(skin.inset(middle[None, :2])[0]) <= flange / 2.0 + skin.reach + 1.0:
        found = skin.height(face, rim[:, :2])
    elif not _plain(skin, face, middle[None, :2], flange / 2.0)[0]:
        found -= up * skin.fall(face, rim[:, :2])
    deep = up * (found - rim[:, 2])
    k = int(np.argmin(deep))
    return float(deep[k]), witness(rim[k], (*rim[k, :2], found[k]))


def sunk_each(
    skin: Skin, at: Point3, way: Point3, rise: float, flange: float, proud: float = 0.0
) -> tuple[float, ...]:
    """What `sunk` is the least of: the depth under the face without contours, then under each of
    its contours, mm, and `proud` more; where a contour misses the flange, as under the plain
    face."""
    key = "sunk each", tuple(at), tuple(way), rise, flange, proud
    if key not in skin.memo:
        skin.memo[key] = _sunk_each(skin, at, way, rise, flange, proud)
    found: tuple[float, ...] = skin.memo[key]
    return found


def _sunk_each(
    skin: Skin, at: Point3, way: Point3, rise: float, flange: float, proud: float
) -> tuple[float, ...]:
    face, up, _, rim = _end(at, way, rise, flange)
    plan, level = rim[:, :2], skin.level(face)
    if "plain" not in skin.memo:
        skin.memo["plain"] = replace(skin, contours=())
    found = [skin.memo["plain"].height(face, plan)]
    for contour in (c for c in skin.contours if c.face is face):
        cut = np.nan_to_num(contour.carve.height(plan, face), nan=level)
        found.append(level + up * np.minimum(up * (cut - level), 0.0))
    return tuple(float((up * (z - rim[:, 2])).min()) + proud for z in found)


def proud_words(deep: float, face: Face, meant: float) -> str:
    """What `sunk` found, in words, and how much may stand out on purpose."""
    lies = f"ends {abs(deep):.2f} mm under" if deep > -0.005 else f"stands {-deep:.2f} mm out of"
    return f"{lies} the shaped {face}" + (f", {meant:g} of it on purpose" if meant else "")


def _end(
    at: Point3, way: Point3, rise: float, flange: float
) -> tuple[Face, float, np.ndarray, np.ndarray]:
    """The face toward which something stands out from its seat, the sign of that way, and of its
    outer end the middle and the corners (CORNERS, 3)."""
    face, up = (Face.FRONT, 1.0) if way[2] < 0.0 else (Face.BACK, -1.0)
    axis, level = np.array(way), np.array([1.0, 0.0, 0.0])
    side = np.cross(axis, level if abs(axis[0]) < 0.7 else level[[1, 0, 2]])
    side /= np.linalg.norm(side)
    middle = np.array(at) - rise * axis
    return face, up, middle, middle + _corners(flange) @ np.vstack([side, np.cross(axis, side)])


def deepest_back(skin: Skin, points: np.ndarray, flange: float, inset: np.ndarray) -> np.ndarray:
    """Height (m,) of the shaped back where it is carved deepest under upright flanges about plan
    points (m, 2), `inset` (m,) mm in from the outline, as `sunk` asks it, mm."""
    level = skin.level(Face.BACK)
    found = np.full(len(points), level)
    edge = inset <= flange / 2.0 + skin.reach + 1.0
    carved = ~edge & ~_plain(skin, Face.BACK, points, flange / 2.0)
    for rows in (edge, carved):
        rim = (points[rows, None] + _corners(flange)).reshape(-1, 2)
        z = skin.height(Face.BACK, rim) if rows is edge else skin.fall(Face.BACK, rim) + level
        found[rows] = z.reshape(-1, CORNERS).max(axis=1)
    return found


def _plain(skin: Skin, face: Face, points: np.ndarray, radius: float) -> np.ndarray:
    """Whether no contour of a face comes near a flange about each of `points` (m, 2)."""
    plain = np.full(len(points), True)
    for contour in skin.contours:
        x0, y0, _, x1, y1, _ = contour.carve.box
        beside = np.maximum(np.array([x0, y0]) - points, points - np.array([x1, y1])).max(axis=1)
        plain &= (contour.face is not face) | (beside > radius + 1.0)
    return plain


def _corners(flange: float) -> np.ndarray:
    """Corners (CORNERS, 2) of the polygon round a flange."""
    turn = np.linspace(0.0, 2.0 * math.pi, CORNERS, endpoint=False)
    radius = flange / 2.0 / math.cos(math.pi / CORNERS)
    return radius * np.column_stack([np.cos(turn), np.sin(turn)])
