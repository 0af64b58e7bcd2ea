"""Parts that follow the strings of a fitted neck: those that bear, hold or sense strings."""

from __future__ import annotations

from dataclasses import replace

from bodycad.errors import InputError
from bodycad.instrument.fitted import Fitted
from bodycad.instrument.neck import board_end_x
from bodycad.layout.interface import Anchor, Core, Joint, Poles, Saddle, StringHole
from bodycad.layout.layout import Layout, Placed

LED = Saddle, StringHole, Anchor, Poles
"""Records of what strings lead."""


def follow(drawn: Layout, fitted: Fitted) -> tuple[Placed, ...]:
    """The placed parts of a right-handed layout, those that the strings lead moved with the fitted
    neck. Raises InputError for a part that stays and is none."""
    ids = [one.id for one in drawn.placed]
    for name in fitted.stays:
        if name not in ids:
            known = f"known: {', '.join(ids)}"
            raise InputError("a part that stays", name, "the id of a placed part", known)
    led = {one.part for kind in LED for one in drawn.stated(kind)}
    led -= {one.part for kind in (Joint, Core) for one in drawn.stated(kind)} | {*fitted.stays}
    end = board_end_x(drawn.instrument.neck)

    def as_fitted(one: Placed) -> Placed:
        if one.id not in led:
            return one
        x, y = fitted.moved((one.place.x, one.place.y), end)
        turn = one.place.turn_deg + fitted.turn_deg(end)
        return replace(one, place=replace(one.place, x=x, y=y, turn_deg=turn))

    return tuple(map(as_fitted, drawn.placed))
