"""How fast the verdict is, as ratios against a plain kernel script in the same run. Run by hand:

    python -m tests.bench.bench_verdict

Not a test: nothing here fails on a slow machine.
"""

from __future__ import annotations

import math
import sys
import time
from dataclasses import replace
from itertools import combinations
from pathlib import Path

from bodycad.chance.chance import BODIES, with_chance
from bodycad.checks.runner import run
from bodycad.checks.table import ASKED, CHECKS
from bodycad.checks.wood.near import REACH, near_voids
from bodycad.design import Design
from bodycad.geometry.distance.gap import gap
from bodycad.geometry.plane.build import rectangle
from bodycad.geometry.solids.bore import bore
from bodycad.geometry.solids.edge import Square
from bodycad.geometry.solids.skin import Skin
from bodycad.layout.blank import Blank
from bodycad.layout.layout import Placed
from bodycad.layout.void import Void
from bodycad.script import load_design
from bodycad.wood import species
from tests.sample import Loose, instrument

DEMO = Path(__file__).resolve().parents[2] / "designs" / "teasel.py"
PITCH = 8.0


def holes(count: int) -> Design:
    """A square board with `count` string-like holes, 3.2 mm wide and PITCH apart, each a part of
    its own."""
    side = math.ceil(math.sqrt(count))
    half = side * PITCH / 2.0 + 30.0
    parts = []
    for k in range(count):
        x, y = (k % side - side / 2) * PITCH, (k // side - side / 2) * PITCH
        name = f"hole{k}"
        void = Void(
            name,
            name,
            "front",
            "BORE",
            bore((x, y, 0.0), (0, 0, -1), 3.2, 44.0),
            frozenset({"front", "back"}),
        )
        parts.append(Placed(name, Loose((void,))))
    skin = Skin(rectangle(2 * half, 2 * half, 20.0), 44.0, Square(), Square())
    blank = Blank(-half - 10, -half - 10, half + 10, half + 10, species("alder, red"))
    return Design("holes", blank, skin, instrument(), tuple(parts))


def best_of(times: int, job, prepare=lambda: None) -> float:
    """Least processor seconds of several runs of `job` on what `prepare` makes, which is not
    counted."""
    return best_of_each(times, (job,), prepare)[0]


def best_of_each(times: int, jobs, prepare=lambda: None) -> list[float]:
    """Least processor seconds of each of several jobs, run in turn, so that what slows the machine
    slows them alike."""
    found = [math.inf] * len(jobs)
    for _ in range(times):
        for k, job in enumerate(jobs):
            made = prepare()
            start = time.process_time()
            job(made)
            found[k] = min(found[k], time.process_time() - start)
    return found


def main() -> None:
    layout = load_design(DEMO).layout()
    run(layout)
    jobs = run, lambda made: run(made, ASKED)
    demo, bare = best_of_each(15, jobs, lambda: load_design(DEMO).layout())
    again = best_of(15, run, lambda: replace(layout))
    print(
        f"verdict of the demo, {len(layout.voids)} voids, in a warm process: {1000 * again:.0f} ms "
        "with nothing remembered but its "
        f"shapes, {1000 * demo:.0f} ms for a layout just made"
    )
    print(f"with the net under all checks against without it: ratio {demo / bare:.2f}")
    report = run(layout)
    print(
        f"chance of {BODIES} bodies besides: "
        f"{best_of(2, lambda _: with_chance(report, BODIES)):.2f} s"
    )

    seconds = []
    for count in (250, 500, 1000, 2000):
        seconds.append(best_of(2, run, lambda count=count: holes(count).layout()))
        print(f"verdict of {count} holes: {seconds[-1]:.2f} s")
    exponent = math.log(seconds[-1] / seconds[0]) / math.log(2000 / 250)
    print(f"growth: time ~ count^{exponent:.2f}")

    from cadquery import Solid

    from bodycad.layout.tool import tool_shapes
    from bodycad.solid.kernel import solid_of

    shapes = tool_shapes(layout)
    solids = {name: Solid(solid_of(shape, name).wrapped) for name, shape in shapes.items()}
    pairs = list(combinations(sorted(shapes), 2))
    kernel = best_of(1, lambda _: [solids[a].distance(solids[b]) for a, b in pairs])
    every = best_of(3, lambda _: [gap(shapes[a], shapes[b]) for a, b in pairs])
    near = best_of(3, lambda _: [gap(a.shape, b.shape) for a, b in near_voids(layout.body)])
    print(
        f"{len(pairs)} pairs of voids: kernel {kernel:.1f} s, ours {1000 * every:.0f} ms (ratio "
        f"{kernel / every:.0f}); "
        f"ours, only those within {REACH:g} mm, {1000 * near:.0f} ms (ratio {kernel / near:.0f})"
    )
    print(
        f"the kernel's pairs against the whole verdict of {len(CHECKS)} checks: ratio "
        f"{kernel / demo:.0f}"
    )


if __name__ == "__main__":
    sys.exit(main())
