"""How soon the verdict of a failing design is printed, and how long cures take after it. Run by
hand:

    python -m tests.bench.bench_cures

Not a test: nothing here fails on a slow machine. Each row is a process of its own, as a maker
starts it; `idle` is how much of the machine's processors it could have.
"""

from __future__ import annotations

import os
import subprocess
import sys
import time
from pathlib import Path

ROOT = Path(__file__).resolve().parents[2]
FAILING = ("designs/teasel_wrong.py",), ("designs/teasel.py", "--set", "control_leave=2")


def timed(*words: str) -> tuple[float, float, str]:
    """Seconds to the last line of the verdict and to the end of `bodycad check`, and the text."""
    start = time.monotonic()
    process = subprocess.Popen(
        [sys.executable, "-u", "-m", "bodycad", "check", *words],
        stdout=subprocess.PIPE,
        cwd=ROOT,
        env={**os.environ, "PYTHONPATH": str(ROOT)},
        text=True,
    )
    assert process.stdout is not None
    verdict, lines = 0.0, list[str]()
    for line in process.stdout:
        lines.append(line)
        if line.startswith("Working safely"):
            verdict = time.monotonic() - start
    process.wait()
    return verdict, time.monotonic() - start, "".join(lines)


def main() -> None:
    busy = os.getloadavg()[0] / (os.cpu_count() or 1)
    print(f"runnable processes a processor before: {busy:.1f}")
    for words in FAILING:
        timed(*words, "--no-cures")  # whatever is read from the disk is read
        verdict, end, text = min(timed(*words) for _ in range(3))
        cures = text.count(" set ")
        print(f"{' '.join(words)}: verdict after {verdict:.2f} s, {cures} cures by {end:.2f} s")


if __name__ == "__main__":
    main()
