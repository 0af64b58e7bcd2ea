"""What differs on purpose from the figures that were kept, each with its reason."""

from __future__ import annotations

CHANGED: dict[tuple[str, tuple[str, ...]], str] = {
    ("wire-path", ("ground", "chuck")): "the longest drill on hand of 3.2 mm reaches 150 mm: the "
    "300 mm of the 6.35 mm one make no ground hole",
    **dict.fromkeys(
        [("drill-reach", ("wire.control",)), ("drill-reach", ("wire.switch",))],
        "the drill must stand out of its chuck over the cavity's rim, so it is the long one",
    ),
    ("pocket-fit", ("neck.pocket", "neck.heel")): "the season moves the heel's wider end by more",
    ("balance", ("strap.horn", "strap.tail")): "a jack weighs where it stands, not in the middle"
    " of what is kept free for its plug",
    **dict.fromkeys(
        [
            ("wire-path", ("pickup.neck", "toggle")),
            ("wire-path", ("pickup.bridge", "toggle")),
            ("wire-path", ("toggle", "volume")),
        ],
        "leads of 3 mm: those of 4, 4 and 5 mm were more than the switch's way holds",
    ),
}
"""(check, subjects) of kept findings that are now otherwise or gone -> why."""
ADDED: dict[tuple[str, tuple[str, ...]], str] = {}
"""(code, subjects) of new findings that fail or warn -> why."""
CUTS: dict[str, str] = {}
"""Ids of kept cuts that are now otherwise -> why."""
