"""Equal input gives equal bytes in every file of a build."""

from __future__ import annotations

import os
import subprocess
import sys
from pathlib import Path

ROOT = Path(__file__).parents[2]
SCRIPT = """from tests.strangers.bench import quoin


def design():
    return quoin(left_handed=True)
"""


def test_two_builds_are_equal_in_every_byte(tmp_path):
    """In two processes that order what has no order each in its own way, at other places, in other
    time zones, and into folders of other names."""
    script = tmp_path / "body.py"
    script.write_text(SCRIPT, encoding="utf-8")
    folders = []
    for seed, zone in (("1", "UTC"), ("20", "Asia/Tokyo")):
        place = tmp_path / f"place-{seed}"
        place.mkdir()
        environment = {**os.environ, "PYTHONPATH": str(ROOT), "PYTHONHASHSEED": seed, "TZ": zone}
        command = [sys.executable, "-m", "bodycad", "build", str(script), "--out", f"out-{seed}"]
        done = subprocess.run(command, cwd=place, env=environment, capture_output=True, text=True)
        assert done.returncode in (0, 1), done.stderr
        folders.append(place / f"out-{seed}" / "quoin")
    one, two = ({p.name: p.read_bytes() for p in folder.iterdir()} for folder in folders)
    assert one.keys() == two.keys() and len(one) >= 9
    assert [file for file, raw in one.items() if two[file] != raw] == []
