"""Every check of the house in one command: `python -m tests.all`.

Lint, format and strict types, and beside them all tests on two processes; words given go to pytest.
Each is run whatever the others say; the last lines name those that fail, and the exit status is
then 1.
"""

from __future__ import annotations

import os
import subprocess
import sys
from pathlib import Path
from typing import Any

ROOT = Path(__file__).resolve().parents[1]
BESIDE = {
    "lint": ("ruff", "check", "."),
    "format": ("ruff", "format", "--check", "."),
    "types": ("mypy",),
}
"""What is run beside the tests, as modules of this interpreter; their settings are in
pyproject.toml."""
TESTS = ("pytest", "-n", "2")


def main(words: list[str]) -> int:
    """Run every step. Returns 0 when all hold, else 1."""
    # Some hundred processes are started: each would compile the package anew.
    kept = {name: value for name, value in os.environ.items() if name != "PYTHONDONTWRITEBYTECODE"}
    given: dict[str, Any] = {"cwd": ROOT, "env": kept}
    piped = {"stdout": subprocess.PIPE, "stderr": subprocess.STDOUT, "text": True, **given}
    running = {name: subprocess.Popen(_command(step), **piped) for name, step in BESIDE.items()}
    print(f"-- tests: {' '.join(TESTS)}", flush=True)
    failed = ["tests"] if subprocess.run(_command((*TESTS, *words)), **given).returncode else []
    for name, process in running.items():
        said, _ = process.communicate()
        print(f"-- {name}: {' '.join(BESIDE[name])}\n{said}", end="", flush=True)
        failed += [name] if process.returncode else []
    print(f"-- FAILED: {', '.join(failed)}" if failed else "-- all hold")
    return 1 if failed else 0


def _command(step: tuple[str, ...]) -> list[str]:
    return [sys.executable, "-m", *step]


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
