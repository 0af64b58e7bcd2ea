"""How a router template is laid for a floor that is not level: a router cuts level with its base.

The template is wedged up until it is as steep as the floor. It turns where its wood ends, so that
the floor lies equally far under it everywhere: what the bit is set by."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace

from bodycad.geometry.plane.boolean import intersection
from bodycad.geometry.plane.profile import Profile, support_range
from bodycad.layout.void import Void
from bodycad.layout.workpiece import Workpiece
from bodycad.making.guided import Guide, Step
from bodycad.making.upright import tilted_floor

ALONG = 1e-9
"""A floor's slope to one side under this is none."""


@dataclass(frozen=True)
class Wedge:
    """A template on a wedge. level, deepest: the floor's highest and lowest place under the plain
    face, mm. under: the floor under the template's underside, square to it, less its packing, mm.
    way: whither the floor falls, deg: how steeply. turns: where the template turns. gaps: how far
    from there the opening's two ends are and how high over the face the template is there, the
    near one first, mm."""

    level: float
    deepest: float
    under: float
    way: str
    deg: float
    turns: str
    gaps: tuple[tuple[float, float], tuple[float, float]]

    @property
    def notes(self) -> tuple[str, ...]:
        """What is done."""
        (near, low), (far, high) = self.gaps
        rise, lean = math.tan(math.radians(self.deg)), math.sin(math.radians(self.deg))
        return (
            f"the floor falls {self.deg:.2f} deg {self.way}, from {self.level:.2f} to "
            f"{self.deepest:.2f}: a level cut goes no deeper than {self.level:.2f}",
            f"then draw the pins, wedge the template up off the wood by {100.0 * rise:.2f} mm in "
            f"100 from where it turns, {self.turns}, behind the opening too, and clamp it",
            f"measure, for the wedged setting counts on it: the template is {low:.2f} over the "
            f"face at the opening's near end, {near:.2f} from where it turns, {high:.2f} at its "
            f"far end, {far:.2f} from there",
            f"the walls of the wedged cut lean as much, {self.under * lean:.2f} mm at their foot",
        )


def wedge_for(
    void: Void, opening: Profile, rim: Profile, piece: Workpiece, packing: float
) -> Wedge | None:
    """The wedge for a template of this rim and opening on the blank, or on the body's own wood
    where none is drawn; None for a level floor. The outline is cut after the routes, and what is
    cleared for a neck leaves wood on both sides."""
    prism = tilted_floor(void)
    if prism is None:
        return None
    (sx, sy), rise = prism.slope, math.hypot(*prism.slope)
    downhill, level_deg = math.atan2(-sy, -sx), math.atan(rise)
    wood = piece.blank.plan if piece.blank is not None else piece.skin.outline
    parts = [region.outer for region in intersection(rim, wood)] or [rim]
    turn = max(support_range(part, downhill)[1] for part in parts)
    far, near = (turn - min(end, turn) for end in support_range(opening, downhill))
    own = support_range(rim, downhill)[1] - turn < ALONG
    whose = "its own end" if own else "the end of the wood under it"
    along = abs(sy) < ALONG
    place = f"x = {-turn if sx > 0.0 else turn:.2f}"
    place = place if along else f"{turn:.2f} mm down the slope from the datum"
    way = "toward the bridge" if sx > 0.0 else "toward the nut"
    under = (rise * turn - float(prism.floor(0.0, 0.0)) + packing) * math.cos(level_deg)
    deepest, level = (-z for z in prism.floor_range)
    return Wedge(
        level,
        deepest,
        under - packing,
        way if abs(sx) >= abs(sy) else "to one side",
        math.degrees(level_deg),
        f"{whose} at {place}",
        ((near, rise * near + packing), (far, rise * far + packing)),
    )


def wedged(guide: Guide, wedge: Wedge) -> Guide:
    """A guide down to a wedge's floor: first level to the floor's highest place, then its last bit
    on the wedged template."""
    level, last = wedge.level, guide.steps[-1]
    steps = tuple(_ended(step, level) for step in guide.steps if step.start < level)
    end = min(last.end, wedge.under)
    if end > level:
        setting = last.setting - last.end + end
        more = replace(last, start=level, end=end, setting=setting, bored=False, wedged=True)
        steps = (*steps, more)
    return replace(guide, depth=wedge.under, steps=steps)


def _ended(step: Step, level: float) -> Step:
    """A step that ends at `level` at the latest."""
    less = max(step.end - level, 0.0)
    hung = None if step.hung is None else (step.hung[0], step.hung[1] - less)
    return replace(step, end=step.end - less, setting=step.setting - less, hung=hung)
