"""What this machine has and lacks: each line says ok, or FAILED with what to do."""

from __future__ import annotations

import argparse
import math
import sys
from collections.abc import Callable, Sequence
from typing import Any

from bodycad.cli import console

PACKAGES = ("numpy", "shapely", "ezdxf", "svgelements", "cadquery")
LIBRARIES = (("libGL.so.1", "libgl1"), ("libX11.so.6", "libx11-6"))
"""Shared libraries the CAD kernel loads, and the Debian packages that bring them."""

SECONDS = 120.0
"""The kernel is given up after this."""

# Runs in a child process, for the kernel may crash the interpreter that loads it.
_CUT = """
from cadquery.func import box, cylinder
left = box(100.0, 60.0, 40.0).cut(cylinder(20.0, 80.0))
print(repr(left.Volume()))
"""


def add_selftest(commands: argparse._SubParsersAction[Any]) -> None:
    """Put the command among the others."""
    parser = commands.add_parser(
        "selftest",
        allow_abbrev=False,
        help="what this machine has and lacks",
        description="Versions, what the machine lacks, a cut with a known volume, and a file "
        "written and read back.",
    )
    parser.set_defaults(run=_selftest)


def _selftest(arguments: argparse.Namespace) -> int:
    lines, whole = run(versions())
    console.write("\n".join(lines) + "\n")
    return 0 if whole else 1


def versions() -> list[tuple[str, str]]:
    """(name, version) of bodycad, Python and the packages it stands on, without importing those."""
    from importlib.metadata import PackageNotFoundError, version

    from bodycad.version import VERSION

    found = [("bodycad", VERSION), ("python", ".".join(map(str, sys.version_info[:3])))]
    for name in PACKAGES:
        try:
            found.append((name, version(name)))
        except PackageNotFoundError:
            found.append((name, "not installed"))
    return found


def run(versions: Sequence[tuple[str, str]]) -> tuple[list[str], bool]:
    """The report's lines, and whether all is in order. `versions`: (name, version or not)."""
    lines, whole = [], True
    for name, number in versions:
        missing = number == "not installed"
        lines.append(_line(f"{name} {number}", f"pip install {name}" if missing else ""))
        whole &= not missing
    tests: list[tuple[str, Callable[[], str]]] = [
        (f"library {name}", _library(name, package)) for name, package in LIBRARIES
    ]
    tests += [
        ("a cut with a known volume", _cut),
        ("a file written and read back", _file),
        ("a drawing written and read back", _drawing),
    ]
    for title, test in tests:
        try:
            trouble = test()
        except Exception as error:
            trouble = f"{type(error).__name__}: {' '.join(str(error).split())}"
        lines.append(_line(title, trouble))
        whole &= not trouble
    lines.append(
        "everything is in order" if whole else "something is missing: see the lines that say FAILED"
    )
    return lines, whole


def _line(title: str, trouble: str) -> str:
    return f"FAILED  {title}: {trouble}" if trouble else f"ok      {title}"


def _library(name: str, package: str) -> Callable[[], str]:
    def test() -> str:
        import ctypes

        if not sys.platform.startswith("linux"):
            return ""
        try:
            ctypes.CDLL(name)
        except OSError:
            return f"not found; the solid model needs it: apt-get install {package}"
        return ""

    return test


def _cut() -> str:
    """A 100 x 60 x 40 mm block less a 20 mm bore right through, against its closed form."""
    import subprocess

    expected = 100.0 * 60.0 * 40.0 - math.pi * 10.0**2 * 40.0
    try:
        done = subprocess.run(
            [sys.executable, "-c", _CUT], capture_output=True, text=True, timeout=SECONDS
        )
    except subprocess.TimeoutExpired:
        late = f"the CAD kernel did not answer within {SECONDS:g} s"
        return f"{late}; try again with less running beside it"
    if done.returncode:
        last = (done.stderr.strip().splitlines() or ["no message"])[-1]
        stopped = f"the CAD kernel stopped (status {done.returncode}): {last}"
        return f"{stopped}; pip install 'cadquery>=2.8,<2.9'"
    return compared(float(done.stdout.split()[-1]), expected)


def compared(found: float, expected: float) -> str:
    """What is wrong with a volume in mm3, or nothing when it is right to a millionth."""
    if abs(found - expected) <= 1e-6 * expected:
        return ""
    return f"{found:.3f} mm3 instead of {expected:.3f}; reinstall cadquery in a fresh environment"


def _file() -> str:
    import tempfile
    from pathlib import Path

    text = "0.1 mm, \u00f8 9.5\n"
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "selftest.txt"
        path.write_text(text, encoding="utf-8")
        if path.read_text(encoding="utf-8") != text:
            return f"what came back differs; check the disk of {folder}"
    return ""


def _drawing() -> str:
    """A plate with a hole as DXF, read back and compared entity by entity."""
    import tempfile
    from pathlib import Path

    import ezdxf

    corners = [(0.0, 0.0, 0.0), (50.0, 0.0, 0.0), (50.0, 20.0, 0.5), (0.0, 20.0, 0.0)]
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "selftest.dxf"
        made = ezdxf.new("R2000", units=4)
        made.modelspace().add_lwpolyline(corners, format="xyb", close=True)
        made.modelspace().add_circle((10.0, 10.0), 4.0)
        made.saveas(path)
        plate, hole = ezdxf.readfile(path).modelspace()
    same = (
        plate.closed
        and [tuple(p) for p in plate.get_points("xyb")] == corners
        and hole.dxf.radius == 4.0
    )
    return "" if same else "what came back differs; pip install --force-reinstall ezdxf"
