"""Screws in wood: what they hold, and their root, pilot and head beside their thread. N and mm.

Source: Wood Handbook (USDA FPL-GTR-190, 2010) ch. 8; its ultimate forms are test averages.
"""

from __future__ import annotations

from bodycad.errors import number

SCREW = 108.25
"""15,700 lb,in in N,mm: withdrawal of wood screws, ultimate."""
ROOT_SHARE = 2.0 / 3.0
"""Root over thread diameter of a cut wood screw: Wood Handbook ch. 8."""
PILOT_SHARE = 0.9 * ROOT_SHARE
"""Pilot over thread diameter: 90 % of the root in hardwood (Wood Handbook ch. 8)."""
HEAD_SHARE = 2.0
"""Head over thread diameter of a countersunk wood screw (common practice, no source)."""


def screw_withdrawal(gravity: float, diameter: float, length: float) -> float:
    """N at which a wood screw draws out of side grain: 108.25 G^2 D L (Wood Handbook ch. 8).

    gravity: specific gravity on the volume at 12 %; diameter: of the thread outside, mm; length: of
    thread in the wood, mm. Raises InputError for numbers that no wood and no screw has."""
    return (
        SCREW
        * number("a specific gravity", gravity, 0.05, 1.4) ** 2
        * number("a screw's diameter", diameter, low=0.0)
        * number("a thread's length", length, low=0.0)
    )
