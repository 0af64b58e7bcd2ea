"""Every check of the house in one command: `python -m tests.all`.

Lint, format, strict types, and all tests on two processes; words given go to pytest. Each is run
whatever the others say; the last lines name those that fail, and the exit status is then 1.
"""

from __future__ import annotations

import subprocess
import sys
from pathlib import Path

ROOT = Path(__file__).resolve().parents[1]
STEPS = {
    "lint": ("ruff", "check", "."),
    "format": ("ruff", "format", "--check", "."),
    "types": ("mypy",),
    "tests": ("pytest", "-n", "2"),
}
"""What is run, as modules of this interpreter; their settings are in pyproject.toml."""


def main(words: list[str]) -> int:
    """Run every step in turn. Returns 0 when all hold, else 1."""
    failed = []
    for name, step in STEPS.items():
        print(f"-- {name}: {' '.join(step)}", flush=True)
        more = words if name == "tests" else []
        if subprocess.run([sys.executable, "-m", *step, *more], cwd=ROOT).returncode:
            failed.append(name)
    print(f"-- FAILED: {', '.join(failed)}" if failed else "-- all hold")
    return 1 if failed else 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
