"""How fast a build is, every file checked and read back, as ratios against a plain kernel script
of the same outline and voids, in turn with it in one run. Run by hand:

    python -m tests.bench.bench_build [ROUNDS]

Not a test: nothing here fails on a slow machine. The clock's figures mean something on a machine
that does nothing else, the processor's (of all processes together) on any.
"""

from __future__ import annotations

import json
import os
import subprocess
import sys
import tempfile
import time
from pathlib import Path

from bodycad.geometry.solids.edge import Roundover
from bodycad.layout.layout import Layout
from bodycad.layout.tool import tool_shapes
from bodycad.script import load_design
from bodycad.words import SIDES

ROOT = Path(__file__).resolve().parents[2]
DEMO = ROOT / "designs" / "teasel.py"
ROUNDS = 3
Seconds = tuple[float, float]
"""By the clock, and of the processor with that of every process it started."""


def numbers(layout: Layout) -> dict[str, object]:
    """Outline and voids of a layout as bare numbers; every void that is no bore as an upright prism
    over its plan."""
    round_ = ((face, layout.skin.edge(face)) for face in SIDES)
    face, radius = next((f, e.radius) for f, e in round_ if isinstance(e, Roundover))
    found: dict[str, object] = {"outline": layout.skin.outline.vertices.tolist()}
    found |= {"thickness": layout.thickness, "face": face, "radius": radius}
    prisms, bores = [], []
    for shape in tool_shapes(layout.body).values():
        if shape.hole:
            way, radius = shape.hole.direction, shape.hole.radius
            bores.append([shape.hole.start, way, radius, shape.hole.shoulder, shape.hole.tip])
        else:
            prisms.append([shape.plan.vertices.tolist(), *shape.full])
    return found | {"prisms": prisms, "bores": bores}


def timed(command: list[str]) -> tuple[Seconds, str]:
    """What a command takes, and what it prints."""
    environment = {**os.environ, "PYTHONPATH": str(ROOT)}
    start, before = time.perf_counter(), os.times()
    done = subprocess.run(command, capture_output=True, text=True, env=environment, cwd=ROOT)
    clock, after = time.perf_counter() - start, os.times()
    if done.returncode:
        raise SystemExit(f"{' '.join(command)}: {done.stderr or done.stdout}")
    spent = after.children_user - before.children_user
    return (clock, spent + after.children_system - before.children_system), done.stdout


def least(rows: list[Seconds]) -> Seconds:
    """The least by the clock and the least of the processor."""
    clock, processor = zip(*rows, strict=True)
    return min(clock), min(processor)


def main(rounds: int = ROUNDS) -> None:
    layout = load_design(DEMO).layout()
    plain, build, alone = list[Seconds](), list[Seconds](), list[Seconds]()
    with tempfile.TemporaryDirectory() as place:
        given, out = Path(place, "numbers.json"), Path(place, "out")
        given.write_text(json.dumps(numbers(layout)), encoding="utf-8")
        script = [sys.executable, str(ROOT / "tests/bench/plain_kernel.py"), str(given)]
        for _ in range(rounds):
            command = [sys.executable, "-m", "bodycad", "build", str(DEMO), "--out", str(out)]
            build.append(timed(command)[0])
            plain.append(timed([*script, str(out / "plain.step"), "each"])[0])
            stages = json.loads(timed([*script, str(out / "plain.step"), "once"])[1])
            rows = [stages[name] for name in ("import", "cuts", "step")]
            clock, processor = map(sum, zip(*rows, strict=True))
            alone.append((clock, processor))
    print(f"{layout.name}, {len(layout.voids)} voids, the best of {rounds} rounds, s:")
    for words, rows in (
        ("build, all files, checked and read back", build),
        ("plain script, voids one by one, one STEP file", plain),
        ("kernel's import, one boolean, one STEP file", alone),
    ):
        print(f"  {words:47} {least(rows)[0]:6.2f} by the clock {least(rows)[1]:6.2f} processor")
    for words, rows in (("the plain script", plain), ("import, boolean and STEP", alone)):
        ratios = (mine / theirs for mine, theirs in zip(least(build), least(rows), strict=True))
        print("  build to {}: {:.2f} by the clock, {:.2f} processor".format(words, *ratios))


if __name__ == "__main__":
    main(*map(int, sys.argv[1:]))
