"""How long the demo's ways take to find: `python -m tests.bench.bench_route`."""

from __future__ import annotations

import time

from bodycad import load_design
from bodycad.routing.judged import without_ways
from bodycad.routing.route import propose


def main() -> None:
    """Print the least of five times, wall and CPU, and what was found."""
    layout = without_ways(load_design("designs/teasel.py").layout())
    times = []
    for _ in range(5):
        wall, cpu = time.perf_counter(), time.process_time()
        found = propose(layout)
        times.append((time.perf_counter() - wall, time.process_time() - cpu))
    print(f"{len(found.holes)} holes, {len(found.missing)} missing")
    print(f"wall {min(w for w, _ in times):.2f} s, CPU {min(c for _, c in times):.2f} s")


if __name__ == "__main__":
    main()
