"""The holes that screws or their threaded inserts bite outside the workpieces: those in a neck, on
its heel's underside."""

from __future__ import annotations

import math
from collections.abc import Iterator

import numpy as np

from bodycad.checks.rules.bolts import each
from bodycad.checks.rules.screw_figures import Screws, insert_point
from bodycad.checks.rules.seated import Neck
from bodycad.checks.wood.thread import bitten, length
from bodycad.geometry.solids.solid import Point3, point3
from bodycad.layout.interface import Screw
from bodycad.layout.layout import Layout
from bodycad.making.hole import Hole, HoleFit, Wood, chosen
from bodycad.making.marking import tilt
from bodycad.tools import FLAT
from bodycad.words import Face, Operation


def hole_of(screw: Screw) -> str:
    """The id of the hole that a screw bites outside the workpieces."""
    return f"{screw.part}.bite.{screw.number}"


def heel_holes(layout: Layout) -> Iterator[Hole]:
    """One hole for each screw that says what is drilled for it in what it bites.

    Of a wood screw the hole ends where the screw's own tip does, the drill's point counted, so that
    it comes no nearer to the fretboard; an insert says how deep its hole is at full diameter. A
    heel's own frame has its origin in the middle of its bridge-side end, x along its underside
    toward the nut, y as the body's, and z into the neck. What is no heel in a pocket is told in
    the body's frame. Where a screw does not reach what it bites there is no hole."""
    done, found = set[Screw](), list[Hole]()
    for neck, screw, _, one in each(layout):
        if screw.pilot:
            done.add(screw)
            found.append(_in_heel(layout, neck, screw, one))
    for screw in layout.stated(Screw):
        if screw.bitten and screw not in done and length(bitten(layout, screw), screw.reach) > 0.0:
            found.append(_in_room(layout, screw))
    yield from (hole for hole in found if hole.full > 0.0)


def _in_heel(layout: Layout, neck: Neck, screw: Screw, one: Screws) -> Hole:
    way = np.array(screw.way)
    mouth = one.at[0] + float(one.enters[0]) * way
    own = axes(neck)
    x, y, _ = (float((mouth - np.array(neck.end)) @ axis) for axis in own)
    turned = point3([float(way @ axis) for axis in own])
    deep = float(np.linalg.norm(one.holes[0] - mouth))
    left = min((float(one.to_board[0]), "fretboard"), (float(one.to_rod[0]), "truss rod"))
    return _hole(
        layout, screw, neck.joint.heel, (x, y, 0.0), turned, deep, Wood(left[0], 0, left[1])
    )


def axes(neck: Neck) -> tuple[np.ndarray, np.ndarray, np.ndarray]:
    """The unit ways of a heel's own frame in the instrument's."""
    (ax, ay, _), (sx, sy) = neck.joint.ahead, neck.rest.slope
    along, up = np.array([ax, ay, ax * sx + ay * sy]), np.array([-sx, -sy, 1.0])
    along, up = along / np.linalg.norm(along), up / np.linalg.norm(up)
    return along, np.cross(up, along), up


def _in_room(layout: Layout, screw: Screw) -> Hole:
    """A hole in a room that is no heel in a pocket, from where the screw's axis enters it."""
    assert screw.bites is not None
    begin = bitten(layout, screw)[0][0]
    deep = float(screw.reach) - begin
    if screw.insert is not None:
        deep = max(deep, screw.insert.depth + insert_point(layout.shop, screw.insert))
    mouth = point3(np.array(screw.at) + begin * np.array(screw.way))
    return _hole(layout, screw, screw.bites, mouth, screw.way, deep, None)


def _hole(
    layout: Layout,
    screw: Screw,
    piece: str,
    at: Point3,
    way: Point3,
    deep: float,
    wood: Wood | None,
) -> Hole:
    diameter = float(screw.pilot or 0.0)
    drill, notes = chosen(layout.shop, diameter, deep)
    point = drill.point if drill is not None else 0.0
    face = Face.BACK if way[2] > 0.0 else Face.FRONT
    steep, direction = tilt(way, face)
    square = steep < 1e-9
    bites = "its threaded insert" if screw.insert else "it"
    return Hole(
        id=hole_of(screw),
        part=screw.part,
        serves=f"{screw.part}: screw {screw.number}, {bites} bites here",
        piece=piece,
        face=face,
        operation=Operation.PILOT,
        fit=HoleFit.INSERT if screw.insert else HoleFit.PILOT,
        fits=float(screw.insert.outside if screw.insert else screw.thread),
        at=at,
        way=way,
        diameter=diameter,
        drill=drill,
        out=deep - point,
        full=max(deep - point, 0.0),
        tip=deep,
        point_deg=drill.point_deg if drill is not None else FLAT,
        tilt_deg=0.0 if square else math.fabs(steep),
        direction_deg=0.0 if square else direction,
        wood=wood,
        notes=notes,
    )
