"""Edges of random bodies, held against the kernel: `python -m tests.bench.bench_edges [how many]`.

For each body: its volume by the layout's sums and by the kernel; for each solid near its edges: the
wood to them by our distances and by the kernel's.
"""

from __future__ import annotations

import sys

from bodycad.errors import BodycadError
from bodycad.geometry.distance.edge import edge_gap
from bodycad.layout.volume import skin_volume
from bodycad.solid import kernel
from bodycad.solid.proof import figure, pieces
from bodycad.solid.skin import skin_solid
from tests.solid.edge_bodies import Body, a_body


def held(body: Body) -> tuple[float, list[float]]:
    """The relative difference of the volumes, and the differences of the gaps, mm."""
    due = skin_volume(body.skin)
    volume = kernel.volume(skin_solid(body.skin)) / due - 1.0
    edge, gaps = pieces("edge", body.skin, "edge"), []
    for shape in body.shapes:
        gap = edge_gap(shape, body.skin)
        if gap.distance > 0.0:
            gaps.append(figure(gap, pieces(shape, body.skin, "solid"), edge) - gap.distance)
    return volume, gaps


def main(count: int) -> None:
    """Print what differs most, and every body that the kernel refuses."""
    volumes, gaps, refused = [], [], 0
    for seed in range(count):
        body = a_body(seed)
        try:
            volume, found = held(body)
        except BodycadError as err:
            refused += 1
            print(f"{body.name}: {err}")
            continue
        volumes.append(abs(volume))
        gaps += [abs(g) for g in found]
        if abs(volume) > 1e-6 or max(map(abs, found), default=0.0) > 0.01:
            print(f"{body.name}: volume {volume:.2e}, gaps {[f'{g:.4f}' for g in found]}")
    print(
        f"{count} bodies, {refused} refused, {len(gaps)} gaps: volumes differ by at most "
        f"{max(volumes):.2e}, gaps by at most {max(gaps):.4f} mm"
    )


if __name__ == "__main__":
    main(int(sys.argv[1]) if len(sys.argv) > 1 else 300)
