"""All questions at once."""

from __future__ import annotations

from typing import Any

from tests.oracle.judge import fits, neck, screws, shape, thickness
from tests.oracle.judge.ruin import Ruin
from tests.oracle.judge.scene import Scene
from tests.oracle.judge.wood import Skin


def ruins(layout: Any, skin: Skin | None = None) -> list[Ruin]:
    """What is ruined in a laid-out instrument; nothing for a sound one."""
    scene = Scene(layout, skin)
    return [
        *neck.ruins(scene),
        *fits.ruins(scene),
        *screws.ruins(scene),
        *shape.ruins(scene.wood),
        *thickness.ruins(scene.wood),
    ]
