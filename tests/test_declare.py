"""Declarations: what is given is read by them or refused in one line, with its place in the
script."""

from __future__ import annotations

import inspect
import math
import re
from dataclasses import dataclass, is_dataclass
from typing import Annotated, Any, Literal

import numpy as np
import pytest

import bodycad
from bodycad import (
    Bolt,
    Cavity,
    Contour,
    Depth,
    Heel,
    Humbucker,
    NeckJoint,
    Placed,
    Prism,
    Skin,
    Square,
    StrapButton,
    fall_away,
    species,
)
from bodycad.cli import main
from bodycad.cli.explain import name_page
from bodycad.declare import Count, Id, Spot, Text, between, declarations, declared, mm, over
from bodycad.errors import LONGEST, InputError
from bodycad.geometry.plane.profile import Profile
from bodycad.kinds.value import Number
from bodycad.script import load, load_design, read_settings
from bodycad.shop import Shop
from bodycad.tools import Cutter, Drill
from bodycad.units import default
from bodycad.words import Face


@dataclass(frozen=True)
@declared()
class Peg:
    """A peg."""

    id: Id = "peg"
    width: Annotated[float, mm(2.0, 40.0)] = 6.0
    lean: Annotated[float, over(45.0, "degrees")] = 1.0
    count: Annotated[int, between(1, 18)] = 1
    glued: bool = False
    face: Face | None = None
    fit: Literal["loose", "tight"] = "loose"
    at: tuple[Spot, Spot] = (0.0, 0.0)
    stops: Annotated[tuple[Annotated[float, mm(0.0, 9.0)], ...], Count(0, 4)] = ()
    note: Text | None = None


BAD = [
    ({"width": math.nan}, "a peg's width is nan; allowed: 2 to 40 mm"),
    ({"width": -math.inf}, "is -inf"),
    ({"width": "6"}, "write the number without quotes"),
    ({"width": None}, "is None"),
    ({"width": True}, "is True"),
    ({"width": (6.0,)}, "without brackets and comma"),
    ({"width": 10**400}, "a peg's width is"),
    ({"width": 6000.0}, "lengths are mm"),
    ({"width": 0.25}, r"write inch\(0.25\) for inches"),
    ({"lean": 0.0}, "more than 0 and at most 45 degrees"),
    ({"count": 2.5}, "a whole number from 1 to 18"),
    ({"count": 1e300}, "a whole number from 1 to 18"),
    ({"glued": "no"}, "True or False"),
    ({"glued": 1}, "True or False"),
    ({"face": "Front"}, 'allowed: front, back, edge, or None. write "front"'),
    ({"face": Face}, "a peg's face is the class Face"),
    ({"fit": "slack"}, "loose, tight"),
    ({"at": (1.0,)}, "each -3000 to 3000 mm"),
    ({"at": ((1.0, 2.0),)}, "leave out one pair of brackets"),
    ({"at": (1.0, "2")}, "item 2 of a peg's at is '2'"),
    ({"stops": 3.0}, "with a comma"),
    ({"stops": ((3.0, 4.0),)}, "leave out one pair of brackets"),
    ({"stops": (1.0, math.nan)}, "item 2 of a peg's stops is nan"),
    ({"stops": (1.0,) * 5}, "4 at most"),
    ({"note": "a\x1b[2J"}, "words"),
    ({"note": "\ud800"}, "words"),
    ({"id": "弦"}, "letters a to z"),
    ({"id": "p" * 10_000}, "60 at most"),
    ({"id": "a b"}, "letters a to z"),
    ({"id": 7}, "letters a to z"),
]


@pytest.mark.parametrize("given, said", BAD)
def test_what_is_not_allowed_is_one_line(given, said):
    with pytest.raises(InputError, match=said) as fault:
        Peg(**given)
    line = str(fault.value)
    assert "peg's " in line and len(line) <= LONGEST and line.isprintable()


def test_what_is_nearly_right_is_read():
    """Lists as tuples, words as their kind, whole floats as whole numbers; sizes stay sizes."""
    found = Peg(width=default(6.0), count=6.0, face="back", at=[1, 2.5], stops=[3.0])
    assert found == Peg("peg", 6.0, count=6, face=Face.BACK, at=(1, 2.5), stops=(3.0,))
    assert (type(found.count), type(found.face), type(found.stops)) == (int, Face, tuple)
    assert found.width.origin == "default"


def test_a_function_is_held_as_well():
    @declared("the row of {name}")
    def row(name: Id, *steps: Annotated[float, mm(0.0, 5.0)], turn: Spot = 0.0) -> Any:
        return name, steps, turn

    assert row("a", 1.0, 2, turn=3.0) == ("a", (1.0, 2), 3.0)
    with pytest.raises(InputError, match="the steps of the row of a is 9; allowed: 0 to 5 mm"):
        row("a", 1.0, 9.0)
    with pytest.raises(InputError, match="the turn of the row of b is 'c'"):
        row("b", turn="c")


SCRIPT = """from bodycad import *
import {beside}


def design(depth: float = 17.0):
    return {beside}.shop(depth)
"""


def test_a_refusal_names_file_and_line(tmp_path):
    """The deepest line of the maker's own files: of the script, or of a file beside it."""
    (tmp_path / "beside_of_a_test.py").write_text(
        "from bodycad import Shop\n\ndef shop(depth):\n    return Shop(depth_stop=depth)\n"
    )
    (tmp_path / "body.py").write_text(SCRIPT.format(beside="beside_of_a_test"))
    with pytest.raises(InputError) as fault:
        load_design(tmp_path / "body.py")
    assert str(fault.value) == (
        "the shop's depth_stop is 17; allowed: 0 to 5 mm (beside_of_a_test.py, line 4)"
    )


PLAN = bodycad.rectangle(400.0, 300.0)
REGION = bodycad.union([PLAN])[0]
FALL = (44.0, (0.0, 90.0), 90.0, 40.0, 10.0)
CARVE = fall_away("a", "front", *FALL).carve
HEEL = Heel(width_mouth=56.0, width_end=56.0, length=76.0, thickness=25.4, corner=7.0)
BOLTS = (Bolt(60.0, 16.0, 18.0), Bolt(14.0, 16.0, 18.0))


@pytest.mark.parametrize(
    "make, said",
    [
        (lambda: Shop(drills=Drill(3.0, 60.0)), "one alone is written"),
        (lambda: Shop(cutters=((Cutter(6.0, 30.0),),)), "leave out one pair of brackets"),
        (lambda: NeckJoint(HEEL, 17.0, 6.4, BOLTS, species="oak of a kind"), "a wood species"),
        (lambda: NeckJoint(HEEL, 17.0, 6.4, BOLTS, grain="flat"), "tangential, radial"),
        (lambda: NeckJoint(HEEL, 17.0, 6.4, BOLTS, masked="yes"), "True or False"),
        (lambda: NeckJoint(HEEL, 17.0, 6.4, BOLTS[0]), "one alone is written"),
        (lambda: Placed("a", StrapButton), "make one of it"),
        (lambda: Placed("弦", StrapButton(-22.0)), "letters a to z"),
        (lambda: Placed("a", 3.0), "answers voids, rooms and interfaces"),
        (lambda: bodycad.blank_round(bodycad.rectangle(400, 300), "alder, red"), "as species"),
        (lambda: bodycad.Blank(0, 0, 9, 9, species("alder, red"), joints=24.0), "with a comma"),
        (lambda: bodycad.Pin(1.0, math.nan), "a datum pin's y is nan"),
        (lambda: species(3), "a wood species' name is 3"),
        (lambda: Skin(REGION, 44.0, Square(), Square()), "the skin's outline .* take its outer"),
        (lambda: Skin(PLAN, 44.0, Square, Square()), "the skin's front is the class Square"),
        (lambda: Cavity(REGION, Depth(20.0)), "a cavity's profile .* take its outer"),
        (lambda: Cavity(PLAN, 20.0), r"a cavity's depth is 20; .* write Depth\(depth\)"),
        (lambda: Prism(REGION, -9.0, 0.0), "a prism's profile"),
        (lambda: Profile(np.ndarray), "a profile's vertices is the class ndarray"),
        (lambda: Contour("a", "Front", CARVE), 'the face of a is .Front.; .* write "front"'),
        (lambda: fall_away("a", "Front", *FALL), 'the face of a is .Front.; .* write "front"'),
        (lambda: bodycad.Place(1.0, 2.0, flipped="no"), "a place's flipped is 'no'"),
        (lambda: bodycad.Place(1.0, 2.0, flipped=0), "a place's flipped is 0"),
    ],
)
def test_parts_shop_blank_and_neck_refuse_what_cannot_be(make, said):
    with pytest.raises(InputError, match=said) as fault:
        make()
    assert len(str(fault.value)) <= LONGEST


def test_a_design_refuses_a_wrong_kind_at_once(tmp_path):
    """A Region where a profile belongs, a part that is not placed, a skin that is an outline."""
    from tests.strangers.bench import OUTLINE, quoin

    for changes, said in (
        ({"skin": OUTLINE}, "the design's skin"),
        ({"blank": None}, "the design's blank is None"),
        ({"instrument": "one"}, "the design's instrument"),
        ({"links": ("pickup", "volume")}, "item 1 of the design's links"),
        ({"left_handed": "no"}, "the design's left_handed is 'no'; allowed: True or False"),
        ({"shop": Shop}, "the design's shop is the class Shop"),
    ):
        with pytest.raises(InputError, match=said):
            quoin(**changes)


def test_a_part_that_is_refused_in_the_stock_is_named():
    from tests.strangers.bench import quoin

    deep = Placed("pickup", Humbucker(50.5, ears=bodycad.Depth(60.0)), bodycad.Place(50.0))
    with pytest.raises(InputError, match="pickup"):
        quoin(swap={"pickup": deep}).layout()


PUBLIC = [
    name
    for name in bodycad.NAMES
    if name != "InputError"
    and not (isinstance(getattr(bodycad, name), type) and not is_dataclass(getattr(bodycad, name)))
]


@pytest.mark.parametrize("name", PUBLIC)
def test_every_public_class_and_function_is_held_to_declarations(name):
    """No field and no argument is left to a bare type: each has its range, words or kind."""
    thing = getattr(bodycad, name)
    assert getattr(thing, "_held", False), "@declared() does not stand over it"
    assert [one.name for one in declarations(thing) if one.kind.bare] == []


def test_a_bare_field_is_seen():
    @dataclass(frozen=True)
    @declared()
    class Loose:
        """Nothing is declared but types."""

        a: float
        b: str
        c: tuple[float, ...]
        d: dict[str, Any]
        e: float | None
        f: Annotated[float, mm(0.0, 1.0)]

    assert [one.name for one in declarations(Loose) if one.kind.bare] == ["a", "b", "c", "d", "e"]


def test_explain_prints_the_declarations():
    """The same words that a refusal says."""
    page = name_page("Pot")
    for one in declarations(bodycad.Pot):
        assert re.search(rf"^  {one.name} .*{re.escape(one.kind.words)}$", page, re.MULTILINE)
    assert "One of: front, back, edge" in name_page("Face")


SET = """from typing import Annotated
from bodycad import Face
from bodycad.declare import mm
from tests.strangers.bench import quoin


def design(drop: Annotated[float, mm(4.0, 20.0)] = 11.0, face: Face = Face.BACK):
    return quoin(left_handed=face == "front")
"""


def test_settings_are_read_by_the_declarations_of_the_script(tmp_path):
    (tmp_path / "body.py").write_text(SET)
    found = load(tmp_path / "body.py")
    assert read_settings(found, ["drop=1/2in", "face=front"]) == {"drop": 12.7, "face": Face.FRONT}
    for text, said in (
        ("drop=30", "--set drop is 30; allowed: 4 to 20 mm"),
        ("drop=0.5", r"4 to 20 mm. lengths are mm: write inch\(0.5\)"),
        ("face=side", "--set face is 'side'; allowed: front, back, edge"),
    ):
        with pytest.raises(InputError, match=said):
            read_settings(found, [text])


def test_a_thousandfold_slip_of_a_default_is_refused():
    """Upward everywhere; downward where nothing, or less than nothing, means nothing."""
    slips = []
    for name in PUBLIC:
        thing = getattr(bodycad, name)
        given = inspect.signature(thing).parameters
        for one in declarations(thing):
            value = given[one.name].default
            if not isinstance(value, (int, float)) or isinstance(value, bool) or not value:
                continue
            for kind in getattr(one.kind, "kinds", (one.kind,)):
                if isinstance(kind, Number) and kind.unit == "mm" and not kind.whole:
                    slips += [(name, one.name)] * kind.fits(1000.0 * value)
                    slips += [(name, one.name)] * (kind.low > 0.0 and kind.fits(0.001 * value))
    assert not slips


def test_the_decorator_in_the_wrong_order_is_an_error():
    """Over @dataclass it would hold nothing, and nothing would say so."""
    with pytest.raises(TypeError, match="under @dataclass"):

        @declared()
        @dataclass(frozen=True)
        class Wrong:
            """Never made."""

            a: Spot = 0.0


def test_a_refusal_ends_in_one_line_and_exit_status_2(tmp_path, capsys):
    (tmp_path / "body.py").write_text(
        "from bodycad import *\n\ndef design():\n    outline = union([rectangle(400, 300)])[0]\n"
        "    return Skin(outline, 44.0, Square(), Square())\n"
    )
    assert main(["check", str(tmp_path / "body.py")]) == 2
    out, err = capsys.readouterr()
    assert out == "" and err.count("\n") == 1 and err.endswith("(body.py, line 5)\n")
    assert err.startswith("bodycad: the skin's outline is Region(")
