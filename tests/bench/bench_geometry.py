"""How long the plane's heavier work takes, in milliseconds. Run by hand:

    python -m tests.bench.bench_geometry

Not a test: nothing here fails on a slow machine.
"""

from __future__ import annotations

import math

from bodycad.geometry.plane.boolean import union
from bodycad.geometry.plane.build import rounded
from bodycad.geometry.plane.offset import offset
from bodycad.geometry.plane.outline import smooth_outline
from tests.bench.bench_verdict import best_of


def wave(count: int) -> list[tuple[float, float]]:
    """Points of a waisted closed curve about as large as a body, mm."""
    found = []
    for k in range(count):
        t = 2.0 * math.pi * k / count
        r = 180.0 + 40.0 * math.cos(2.0 * t) + 15.0 * math.cos(3.0 * t + 0.5)
        found.append((r * math.cos(t), r * math.sin(t)))
    return found


def main() -> None:
    """Print the least time of each."""
    gear = [
        (r * math.cos(t), r * math.sin(t))
        for t, r in ((math.pi * k / 18, 100.0 if k % 2 else 80.0) for k in range(36))
    ]
    shapes = [rounded(gear, 4.0).moved(13.7 * k, 5.1 * k, 7.0 * k) for k in range(10)]
    body = smooth_outline(wave(48))
    for name, job in (
        ("an outline through 40 points", lambda _: smooth_outline(wave(40))),
        ("that outline 6.35 mm out", lambda _: offset(body, 6.35)),
        ("that outline 40 mm in", lambda _: offset(body, -40.0)),
        ("ten gears united", lambda _: union(shapes)),
    ):
        print(f"{name}: {1000.0 * best_of(5, job):.1f} ms")


if __name__ == "__main__":
    main()
