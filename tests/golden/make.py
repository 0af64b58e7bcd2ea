"""Every figure of the two demo designs as one JSON document: `python -m tests.golden.make`.

The file beside this module holds them as they were when the demo was drawn: `test_figures.py`
compares each with the present one and names what differs.
"""

from __future__ import annotations

import json
import sys
from pathlib import Path

from bodycad.script import load_design

HOME = Path(__file__).resolve().parent
DESIGNS = HOME.parents[1] / "designs"
CASES = {
    "teasel": ("teasel.py", ()),
    "teasel left-handed": ("teasel.py", ("left_handed=true",)),
    "teasel sculpted more": ("teasel.py", ("heel_sculpt=18", "thickness=41")),
    "teasel_wrong": ("teasel_wrong.py", ()),
}
"""Cases by name: a script of `designs` and its settings."""


def rows(name: str) -> list[dict]:
    """The findings of a case, each as check, subjects, limits, figure and words."""
    script, settings = CASES[name]
    report = load_design(DESIGNS / script, settings).check()
    return [
        {
            "check": f.check,
            "code": f.code,
            "subjects": list(f.subjects),
            "status": f.status,
            "value": f.value,
            "bound": f.bound,
            "limit": f.limit,
            "warn": f.warn,
            "most": f.most,
            "unit": f.unit,
            "text": f.text,
        }
        for f in report.findings
    ]


def cuts(name: str) -> list[dict]:
    """The cuts of a case: id, face, operation, volume and box."""
    script, settings = CASES[name]
    layout = load_design(DESIGNS / script, settings).layout()
    return [
        {
            "id": v.id,
            "face": str(v.face),
            "operation": str(v.operation),
            "volume": v.shape.volume,
            "box": list(v.shape.box),
        }
        for v in layout.voids
    ]


def document() -> dict:
    """Every case with its findings and its cuts."""
    return {name: {"findings": rows(name), "cuts": cuts(name)} for name in CASES}


if __name__ == "__main__":
    text = json.dumps(document(), indent=1)
    sys.stdout.write(text) if len(sys.argv) < 2 else Path(sys.argv[1]).write_text(
        text + "\n", encoding="utf-8"
    )
