"""Bodies for the oracle of `--chance`."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import replace

from bodycad import Bolt, Design, rectangle
from bodycad.geometry.solids.prism import Prism
from designs.teasel import design as teasel
from tests.checks.bench import cut
from tests.strangers.bench import own_parts, quoin, skin


def beside_a_carve() -> Design:
    """Ferrules beside the carve of a heel."""
    parts = own_parts()
    joint = parts["neck"].part
    bolts = (*joint.bolts[:3], Bolt(66.0, -20.0, 16.0, 33.0))
    neck = replace(parts["neck"], part=replace(joint, bolts=bolts))
    return quoin(skin=skin(14.0), swap={"neck": neck})


def beside_a_pocket() -> Design:
    """The string holes of a bridge beside a pocket 30 mm deep; left-handed."""
    well = Prism(rectangle(20.0, 44.0, 6.0, -34.6, 20.0), -30.0, 0.0)
    return quoin(cut("well", well), left_handed=True)


BODIES: Mapping[str, Callable[[], Design]] = {
    "a ferrule beside a carve": beside_a_carve,
    "a hole beside a deep pocket": beside_a_pocket,
    "teasel": teasel,
}
