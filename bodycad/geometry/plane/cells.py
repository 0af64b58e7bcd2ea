"""Cells of a square grid merged exactly into closed chains of straight lines."""

from __future__ import annotations

from collections import defaultdict

import numpy as np

from bodycad.errors import InputError, number
from bodycad.geometry.plane.arrange import Region
from bodycad.geometry.plane.profile import Profile, trusted

Node = tuple[int, int]
_CORNERS = ((0, 0), (1, 0), (1, 1), (0, 1))
"""A cell's corners, counter-clockwise."""


def merged(mask: np.ndarray, origin: tuple[float, float], grid: float) -> tuple[Region, ...]:
    """The regions between chosen nodes of a grid, largest first: every vertex is a chosen node.

    mask (n, m): whether the node at origin + grid (i, j) is chosen. A cell with four chosen corners
    counts whole, one with three as their triangle, any other not at all; a chosen node that spans
    no area with its neighbours is in no region. Regions and holes touch at nodes only."""
    number("a grid", grid, above=0.0)
    mask = np.asarray(mask, bool)
    if mask.ndim != 2:
        raise InputError("a mask of a grid", f"an array of {mask.ndim} axes", "one of two")
    chains = [_straightened(chain) for chain in _chains(_edges(mask))]
    spots = ([(origin[0] + grid * i, origin[1] + grid * j) for i, j in chain] for chain in chains)
    shapes = [(_area(c), trusted(rows, "a patch of a grid"), c) for c, rows in zip(chains, spots)]
    outers = sorted((s for s in shapes if s[0] > 0), key=lambda s: (-s[0], s[2]))
    holes: dict[int, list[Profile]] = defaultdict(list)
    for area, hole, _ in shapes:
        if area < 0:
            holes[_home(hole, [s[1] for s in outers])].append(hole)
    return tuple(Region(outer, tuple(holes[k])) for k, (_, outer, _) in enumerate(outers))


def _edges(mask: np.ndarray) -> set[tuple[Node, Node]]:
    """The directed border of the cells: inner edges run both ways and are struck out."""
    found: set[tuple[Node, Node]] = set()
    count = mask[:-1, :-1].astype(int) + mask[1:, :-1] + mask[:-1, 1:] + mask[1:, 1:]
    for i, j in np.argwhere(count >= 3).tolist():
        ring = [(i + a, j + b) for a, b in _CORNERS if mask[i + a, j + b]]
        for one, two in zip(ring, ring[1:] + ring[:1]):
            found ^= {(two, one) if (two, one) in found else (one, two)}
    return found


def _chains(edges: set[tuple[Node, Node]]) -> list[list[Node]]:
    """Closed chains of the directed edges, each node once a chain: at a node where several meet,
    the sharpest turn to the left is taken, round the same patch."""
    ahead: dict[Node, list[Node]] = defaultdict(list)
    for one, two in sorted(edges):
        ahead[one].append(two)
    chains = []
    for start in sorted(ahead):
        while ahead[start]:
            chain = [start, ahead[start].pop(0)]
            while chain[-1] != start:
                here, last = chain[-1], chain[-2]
                onward = max(ahead[here], key=lambda node: _turn(last, here, node))
                ahead[here].remove(onward)
                chain.append(onward)
            chains += _simple(chain[:-1])
    return chains


def _simple(chain: list[Node]) -> list[list[Node]]:
    """A chain cut wherever it comes back to one of its nodes."""
    found: list[list[Node]] = []
    path: list[Node] = []
    seen: dict[Node, int] = {}
    for node in chain:
        if node in seen:
            k = seen[node]
            found.append(path[k:])
            for gone in path[k + 1 :]:
                del seen[gone]
            path = path[: k + 1]
        else:
            seen[node] = len(path)
            path.append(node)
    return found + [path]


def _turn(last: Node, here: Node, node: Node) -> float:
    """Angle (radians) of the turn at `here`, positive to the left."""
    a, b = (here[0] - last[0], here[1] - last[1]), (node[0] - here[0], node[1] - here[1])
    return float(np.arctan2(a[0] * b[1] - a[1] * b[0], a[0] * b[0] + a[1] * b[1]))


def _straightened(chain: list[Node]) -> list[Node]:
    """Without the nodes in the middle of a straight run."""
    around = zip(chain[-1:] + chain[:-1], chain, chain[1:] + chain[:1])
    return [
        here
        for last, here, node in around
        if (here[0] - last[0]) * (node[1] - here[1]) != (here[1] - last[1]) * (node[0] - here[0])
    ]


def _area(chain: list[Node]) -> float:
    """Signed area in cells."""
    return sum(a[0] * b[1] - b[0] * a[1] for a, b in zip(chain, chain[1:] + chain[:1])) / 2.0


def _home(hole: Profile, outers: list[Profile]) -> int:
    """The smallest outer chain round a hole (outers are sorted, largest first)."""
    middle = hole.segments.at(np.full(len(hole.segments), 0.5))
    inside = [k for k, outer in enumerate(outers) if (outer.signed_distance(middle) < 0.0).all()]
    return inside[-1]
