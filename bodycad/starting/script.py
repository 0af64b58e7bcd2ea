"""The text of a first script: plain, commented, and passing its checks as it stands."""

from __future__ import annotations

import re
import textwrap
from collections.abc import Collection, Iterator

from bodycad.starting.answers import NUT, PITCH, Answers
from bodycad.starting.body import body_text
from bodycad.starting.controls import controls_text
from bodycad.starting.hardware import bridge_text, joint_text, pickups_text

LOWEST = {".130w": (0.13, 0.66, "B0"), ".059w": (0.059, 0.46, "B1"), ".074w": (0.074, 0.52, "F#1")}
"""The core of a usual lowest string, mm, and its pitch (common practice, no source)."""


def script_text(name: str, one: Answers, names: Collection[str]) -> str:
    """The script of a design; `names`: what the package has for scripts, of which it imports what
    it uses."""
    code = "\n".join(_function(name, one))
    plain = re.sub(r"#.*|\"[^\"]*\"", "", code)
    used = sorted({word for word in re.findall(r"[A-Za-z_]\w*", plain) if word in names})
    head = [f'"""{name.capitalize()}: {_brief(one)}', "", *_about(name), '"""', ""]
    head += ["from dataclasses import replace", "from math import ceil", ""]
    head += ["from bodycad import (", *(f"    {word}," for word in used), ")", "", "", ""]
    return "\n".join(head) + code


def _brief(one: Answers) -> str:
    count = {4: "four", 5: "five", 6: "six", 7: "seven", 8: "eight"}[one.strings]
    kind = "bass" if one.bass else "guitar"
    return f"a {count}-string {kind} of {one.scale:g} mm, begun by `bodycad new`."


def _about(name: str) -> list[str]:
    words = (
        f"A plain body to begin with: change what you like. Sizes stand in {name}-sizes.csv once "
        "you have measured your parts; what is not yet filled in there is common practice. "
        "Millimetres; x runs from the scale line to the nut, y to the bass strings, z = 0 is the "
        "front."
    )
    return textwrap.wrap(words, 96)


def _function(name: str, one: Answers) -> Iterator[str]:
    blade = one.switch == "blade"
    yield "def design("
    yield f'    sizes: SizeTable = SizeTable("{name}-sizes.csv"),'
    yield f"    scale: float = {one.scale!r},"
    yield f"    frets: int = {one.frets},"
    yield f"    control_leave: float = {5.5 if blade else 6.0},"
    yield f"    left_handed: bool = {one.left_handed},"
    yield ") -> Design:"
    for block in (
        _neck(one),
        bridge_text(one),
        joint_text(one),
        body_text(one),
        pickups_text(one),
        controls_text(one),
        _end(name, one),
    ):
        yield from (f"    {line}" if line else "" for line in block)
        yield ""
    yield ""


def _neck(one: Answers) -> Iterator[str]:
    width, spread = NUT[one.strings]
    across = PITCH[one.strings] * (one.strings - 1)
    left = 2.0 ** (-one.frets / 12.0)
    margin = 5.0 if one.bass else 4.2
    last = round(spread + (across - spread) * (1.0 - left) + 2.0 * margin, 1)
    length = 86.0 if one.bass or one.joint == "tenon" else 76.0
    mouth = round(last - (last - width) * (length + 10.0) / (one.scale * (1.0 - left)) - 0.4, 1)
    thick = 26.5 if one.bass else 25.4
    planed = 48.0 if "vibrato" in one.bridge else 46.0 if one.switch == "blade" else 45.0
    yield "# The blank: drawn so thick until it is planed and measured."
    yield f'thickness = sizes.value("stock.thickness", {planed}, 20, 80)'
    yield 'stock = sizes.value("stock.thickness", None, 20, 80)  # None until then'
    yield ""
    yield "# The neck. A heel is measured, never assumed: the pocket is cut to it."
    yield "heel = sizes.of("
    yield '    "neck.heel",'
    yield "    Heel("
    for field, value in (
        ("width_mouth", mouth),
        ("width_end", last),
        ("length", length),
        ("thickness", thick),
        ("corner", 0.0 if one.joint == "through" else 7.0),
        ("board_overlap", 0.0 if one.joint == "through" else 6.0),
    ):
        yield f"        {field}=default({value}),"
    yield "    ),"
    yield ")"
    yield "neck = sizes.of("
    yield '    "neck",'
    yield "    Neck("
    yield "        scale=scale,"
    yield "        frets=frets,"
    yield f"        nut_width=default({width}),"
    yield f"        nut_spread=default({spread}),"
    yield f"        width_at_last_fret=default({last}),"
    yield "        heel=heel,"
    yield "        overhang=default(4.0),"
    yield "    ),"
    yield ")"
    own = one.gauges[-1] in LOWEST
    quoted = ", ".join(f'"{gauge}"' for gauge in one.gauges[: -1 if own else None])
    if own:
        gauge, core, pitch = LOWEST[one.gauges[-1]]
        yield "# The lowest string's core, as its maker says, tells how far back its saddle goes."
        yield f'low = String(inch({gauge}), wound=True, core=claimed({core}), pitch="{pitch}")'
        quoted += ", low"
    yield f"gauges = strings(({quoted}))  # treble first, w: wound"
    yield f'spread = sizes.value("bridge.spread", default({across}), 20, 150)'
    yield "instrument = Instrument(neck, gauges, bridge_spread=spread)"


def _end(name: str, one: Answers) -> Iterator[str]:
    yield "# What the two threads show once the neck is in: see `bodycad explain Fitted`."
    yield 'fitted = sizes.of("fitted", Fitted())' if one.joint != "through" else "fitted = None"
    joined = "core=joint.core" if one.joint == "through" else "joints=(58.0,)"
    shop = "Shop(measured_stock=stock)"
    if one.switch == "blade":
        yield "# A 1.5 mm cutter runs the slot of the switch's lever."
        yield "cutters = (Cutter(1.5, 8.0), *Shop().cutters)"
        shop = "Shop(measured_stock=stock, cutters=cutters)"
    yield "body = Design("
    yield f'    "{name}",'
    yield f'    blank_round(outline, species("alder, red"), {joined}),'
    yield "    skin,"
    yield "    instrument,"
    yield "    parts,"
    yield "    links,"
    yield f"    {shop},"
    yield "    left_handed=left_handed,"
    yield "    fitted=fitted,"
    yield ")"
    yield "# Holes for the wires, as a drill on hand can make them, follow all of the above."
    yield "return replace(body, parts=(*parts, *route(body)))"
