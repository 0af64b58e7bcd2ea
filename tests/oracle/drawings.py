"""Hostile drawings by the hundred: `python -m tests.oracle.drawings 500 [SEED]` prints each that is
not one clear line and exit status 2, then the time, the slowest, and the memory that its readers
took."""

from __future__ import annotations

import contextlib
import io
import itertools
import resource
import sys
import tempfile
import time
from pathlib import Path

from bodycad.cli import main
from bodycad.errors import LONGEST
from tests.imports.hostile import files

UNCLEAR = ("Traceback", "Warning", "takes longer", "breaks its reader", "ends the process")
"""What no line says of a file that is understood."""


def wrong(path: Path) -> str:
    """What is wrong with how the command refuses a file; "" where nothing is."""
    told, result = io.StringIO(), io.StringIO()
    with contextlib.redirect_stderr(told), contextlib.redirect_stdout(result):
        status = main(["outline", str(path), "--out", str(path.parent / "out")])
    line = told.getvalue()
    if status != 2 or result.getvalue():
        return f"exit status {status}: {result.getvalue()[:200]}"
    if line.count("\n") != 1 or len(line) > LONGEST + len("bodycad: \n"):
        return f"not one line: {line[:400]}"
    if not line.startswith("bodycad: ") or path.name not in line:
        return f"does not name the file: {line}"
    return line if any(word in line for word in UNCLEAR) else ""


def run(count: int, seed: int) -> int:
    """How many of `count` files are not refused as they should be."""
    bad, slowest = 0, (0.0, "")
    with tempfile.TemporaryDirectory() as folder:
        for k, (kind, ending, data) in enumerate(itertools.islice(files(seed), count)):
            path = Path(folder) / f"{kind}-{k}.{ending}"
            path.write_bytes(data)
            since = time.process_time() + resource.getrusage(resource.RUSAGE_CHILDREN).ru_utime
            found = wrong(path)
            took = time.process_time() + resource.getrusage(resource.RUSAGE_CHILDREN).ru_utime
            slowest = max(slowest, (took - since, kind))
            path.unlink()
            if found:
                bad += 1
                print(f"{kind} (seed {seed}, file {k}): {found}")
    memory = resource.getrusage(resource.RUSAGE_CHILDREN).ru_maxrss / 1024
    print(f"{count} files, {bad} wrong; slowest {slowest[0]:.2f} s ({slowest[1]}); {memory:.0f} MB")
    return bad


if __name__ == "__main__":
    given = [int(word) for word in sys.argv[1:]] or [500]
    sys.exit(1 if run(given[0], given[1] if given[1:] else 1) else 0)
