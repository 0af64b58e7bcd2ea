"""The workpieces and the rooms as one GLB: binary glTF 2.0, metres, y up, equal input gives equal
bytes.

Written here because the kernel's own writer makes a mesh of every face and keeps millimetres where
the format means metres (glTF 2.0 specification, section 3.4: +Y up, metres).
"""

from __future__ import annotations

import json
import math
import struct
from collections.abc import Sequence
from pathlib import Path
from typing import Any

import numpy as np
from OCP.BRep import BRep_Tool
from OCP.BRepMesh import BRepMesh_IncrementalMesh
from OCP.gp import gp_Trsf
from OCP.TopAbs import TopAbs_Orientation
from OCP.TopLoc import TopLoc_Location

from bodycad.errors import FileError
from bodycad.layout.workpiece import BODY
from bodycad.solid import occ
from bodycad.solid.body import NamedSolid
from bodycad.solid.step import ascii_names

CHORD = 0.05
"""Largest distance (mm) of the mesh from the true surface."""
TURN = 0.35
"""Largest turn (radians) between neighbouring facets."""

FLOAT, UINT = 5126, 5125
ARRAY, ELEMENTS = 34962, 34963
JSON_CHUNK, BIN_CHUNK = 0x4E4F534A, 0x004E4942


def write_glb(things: Sequence[NamedSolid], path: Path, name: str) -> None:
    """Write the workpieces and rooms, one coloured mesh each, named by id; the body by the
    design's name too.

    Raises FileError when a solid gives no triangles.
    """
    names = ascii_names([f"{name}-body" if one.id == BODY else one.id for one in things])
    blob, views, accessors = bytearray(), list[Any](), list[Any]()
    meshes, materials = list[Any](), list[Any]()
    for thing, label in zip(things, names, strict=True):
        points, normals, index = mesh(thing.solid)
        if not len(index):
            raise FileError(f"{path.name}: {label} gives no triangles")
        first = len(accessors)
        for array, kind, target in (
            (points, "VEC3", ARRAY),
            (normals, "VEC3", ARRAY),
            (index, "SCALAR", ELEMENTS),
        ):
            span = {"byteOffset": len(blob), "byteLength": array.nbytes}
            views.append({"buffer": 0, **span, "target": target})
            number = UINT if kind == "SCALAR" else FLOAT
            entry: dict[str, Any] = {"bufferView": len(views) - 1, "componentType": number}
            entry |= {"count": len(array), "type": kind}
            if array is points:
                entry |= {"min": points.min(axis=0).tolist(), "max": points.max(axis=0).tolist()}
            accessors.append(entry)
            blob += array.tobytes()
        alpha = "OPAQUE" if thing.colour[3] == 1.0 else "BLEND"
        paint = {"baseColorFactor": list(thing.colour), "metallicFactor": 0.0}
        paint["roughnessFactor"] = 0.7
        material = {"name": label, "doubleSided": False, "alphaMode": alpha}
        materials.append({**material, "pbrMetallicRoughness": paint})
        attributes = {"POSITION": first, "NORMAL": first + 1}
        triangles = {"attributes": attributes, "indices": first + 2, "material": len(meshes)}
        meshes.append({"name": label, "primitives": [triangles]})
    count = range(len(meshes))
    document = {
        "asset": {"version": "2.0", "generator": "bodycad"},
        "scene": 0,
        "scenes": [{"nodes": list(count)}],
        "nodes": [{"name": names[k], "mesh": k} for k in count],
        "meshes": meshes,
        "materials": materials,
        "accessors": accessors,
        "bufferViews": views,
        "buffers": [{"byteLength": len(blob)}],
    }
    text = json.dumps(document, separators=(",", ":")).encode("ascii")
    text += b" " * (-len(text) % 4)
    blob += b"\0" * (-len(blob) % 4)
    head = struct.pack("<III", 0x46546C67, 2, 12 + 8 + len(text) + 8 + len(blob))
    one, two = ((len(text), JSON_CHUNK), (len(blob), BIN_CHUNK))
    path.write_bytes(
        head + struct.pack("<II", *one) + text + struct.pack("<II", *two) + bytes(blob)
    )


def mesh(
    solid: occ.Shape, chord: float = CHORD, turn: float = TURN
) -> tuple[np.ndarray, np.ndarray, np.ndarray]:
    """Points (n, 3) in metres with y up, unit normals (n, 3), and the flat triangle index, outward.

    Faces do not share points, so that edges stay sharp.
    """
    BRepMesh_IncrementalMesh(solid.wrapped, chord, False, turn, False)
    points, triangles, count = [np.zeros((0, 3))], [np.zeros((0, 3), int)], 0
    for face in solid.Faces():
        p, t = face_mesh(face)
        points.append(p)
        triangles.append(t + count)
        count += len(p)
    p, t = np.vstack(points), np.vstack(triangles)
    # At the tip of a drill point the kernel gives triangles with two corners in one place.
    sides = p[t] - p[np.roll(t, -1, axis=1)]
    t = t[np.linalg.norm(sides, axis=2).min(axis=1, initial=math.inf) > 1e-9]
    facet = np.cross(p[t[:, 1]] - p[t[:, 0]], p[t[:, 2]] - p[t[:, 0]])
    n = np.zeros_like(p)
    for corner in range(3):
        np.add.at(n, t[:, corner], facet)
    length = np.linalg.norm(n, axis=1)[:, None]
    n = np.where(length > 0.0, n / np.where(length > 0.0, length, 1.0), (0.0, 0.0, 1.0))
    return _up(p / 1000.0), _up(n), t.ravel().astype("<u4")


def face_mesh(face: occ.Face) -> tuple[np.ndarray, np.ndarray]:
    """The points (n, 3) and triangles (m, 3), outward, of a face that has a mesh, mm; none of one
    that has none."""
    place = TopLoc_Location()
    found = BRep_Tool.Triangulation_s(face.wrapped, place)
    if found is None:
        return np.zeros((0, 3)), np.zeros((0, 3), int)
    p = np.array([found.Node(k).Coord() for k in range(1, found.NbNodes() + 1)])
    t = np.array([found.Triangle(k).Get() for k in range(1, found.NbTriangles() + 1)]) - 1
    back = face.wrapped.Orientation() == TopAbs_Orientation.TopAbs_REVERSED
    points = p if place.IsIdentity() else _placed(p, place.Transformation())
    return points, t[:, ::-1] if back else t


def _placed(points: np.ndarray, change: gp_Trsf) -> np.ndarray:
    """Points (n, 3) after a change of place."""
    rows = np.array([[change.Value(k, j) for j in range(1, 5)] for k in range(1, 4)])
    moved: np.ndarray = points @ rows[:, :3].T + rows[:, 3]
    return moved


def _up(rows: np.ndarray) -> np.ndarray:
    """(x, y, z) with z up as (x, z, -y) with y up; rounding noise, which differs from run to run,
    is taken off."""
    turned = np.stack([rows[:, 0], rows[:, 2], -rows[:, 1]], axis=1)
    return (turned.round(9) + 0.0).astype("<f4")
