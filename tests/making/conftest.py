"""The layouts that several tests of making ask about, each laid out once."""

from __future__ import annotations

import os
from pathlib import Path

import pytest

from bodycad import load_design

HOME = Path(__file__).resolve().parents[2] / "designs"
NAMES = ["bramble", "burdock", "campion", "sorrel", "tansy", "teasel", "yarrow"]
"""Posts and a tenon, a bridge a string, a guard, springs, inserts, binding, a neck through;
BODYCAD_DESIGNS=all asks of all designs."""
if os.environ.get("BODYCAD_DESIGNS") == "all":
    NAMES = sorted(path.stem for path in HOME.glob("*.py") if path.stem != "teasel_wrong")


@pytest.fixture(scope="session")
def layouts():
    return {name: load_design(HOME / f"{name}.py").layout() for name in NAMES}
