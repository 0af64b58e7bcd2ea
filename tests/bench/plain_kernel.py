"""What a plain kernel script takes for an outline and its voids: `bench_build` runs it.

    python tests/bench/plain_kernel.py NUMBERS.json OUT.step each|once

The outline is filleted on one face and the voids are cut one by one (`each`) or in one operation
(`once`); then one STEP file is written. Nothing is checked, nothing shaped besides, nothing read
back. It prints the seconds of each stage, by the clock and of the processor.
"""

from __future__ import annotations

import json
import math
import sys
import time

STAGES: dict[str, list[float]] = {}
LAST = [time.perf_counter(), time.process_time()]


def stage(name: str) -> None:
    """Put down what passed since the last stage."""
    now = time.perf_counter(), time.process_time()
    STAGES[name] = [now[0] - LAST[0], now[1] - LAST[1]]
    LAST[:] = now


def main(numbers: str, out: str, way: str) -> None:
    with open(numbers, encoding="utf-8") as source:
        given = json.load(source)
    stage("start")
    import cadquery as cq

    stage("import")

    def prism(rows, low, high):
        edges = []
        for (x, y, bulge), (x2, y2, _) in zip(rows, rows[1:] + rows[:1], strict=True):
            a, b = cq.Vector(x, y, low), cq.Vector(x2, y2, low)
            if bulge:
                middle = (x + x2 + bulge * (y2 - y)) / 2.0, (y + y2 - bulge * (x2 - x)) / 2.0
                edges.append(cq.Edge.makeThreePointArc(a, cq.Vector(*middle, low), b))
            else:
                edges.append(cq.Edge.makeLine(a, b))
        face = cq.Face.makeFromWires(cq.Wire.assembleEdges(edges))
        return cq.Solid.extrudeLinear(face, cq.Vector(0, 0, high - low))

    def bore(start, way, radius, shoulder, tip):
        start, way = cq.Vector(*start), cq.Vector(*way)
        made = cq.Solid.makeCylinder(radius, shoulder, start, way)
        if tip > 0.0:
            point = cq.Solid.makeCone(radius, 0.0, tip, start + way * shoulder, way)
            made = made.fuse(point).clean()
        return made

    body = prism(given["outline"], -given["thickness"], 0.0)
    level = -given["thickness"] if given["face"] == "back" else 0.0
    edges = [edge for edge in body.Edges() if math.isclose(edge.Center().z, level, abs_tol=1e-6)]
    body = body.fillet(given["radius"], edges)
    tools = [prism(*one) for one in given["prisms"]] + [bore(*one) for one in given["bores"]]
    stage("shapes")
    if way == "once":
        body = body.cut(*tools)
    else:
        for tool in tools:
            body = body.cut(tool)
    stage("cuts")
    body.exportStep(out)
    stage("step")
    print(json.dumps(STAGES))


if __name__ == "__main__":
    main(*sys.argv[1:])
