"""`bodycad parts`: every kind of part with its sketch, its sizes and its drawing."""

from __future__ import annotations

import json
import re

import pytest

import bodycad
from bodycad.cli import main
from bodycad.cli.kinds import alone, clause, example, kind_of_part, kinds, meaning
from bodycad.cli.names import by_kind
from bodycad.exports.parts_page import line_of, page, part_box

NAMES = by_kind()["Parts"]


@pytest.fixture(scope="module")
def every():
    return {kind.name: kind for kind in kinds()}


def placed_kinds() -> list[str]:
    return [name for name in NAMES if hasattr(getattr(bodycad, name), "voids")]


def test_every_kind_that_cuts_wood_is_laid_out_alone(every):
    """The part alone, and stand-ins for what it opens into."""
    assert [name for name, kind in every.items() if kind.layout is not None] == placed_kinds()
    for name in placed_kinds():
        layout = every[name].layout
        part = layout.placed[0]
        assert isinstance(part.part, getattr(bodycad, name))
        assert layout.voids_of(part.id) or any(one.part == part.id for one in layout.rooms)
        assert len(layout.placed) <= 4


@pytest.mark.parametrize("name", NAMES)
def test_each_size_says_what_it_is(every, name):
    kind = every[name]
    unsaid = [one.name for one in kind.sizes if not one.what]
    assert not unsaid, f"say in the docstring of {name} what {unsaid} are"
    assert kind.layout is None or kind.sketch, f"{name} needs a dimension sketch in its docstring"
    assert all(one.default for one in kind.sizes)


def test_the_page_draws_every_kind(every):
    text = page(tuple(every.values()))
    for name in NAMES:
        assert f'id="{name}"' in text and f'href="#{name}"' in text
    parts = re.split(r'<section id="', text)[1:]
    assert len(parts) == len(NAMES)
    for one in parts:
        name = one.partition('"')[0]
        wanted = 2 if name in placed_kinds() else 0
        assert one.count("<svg") >= wanted, name
    assert "http" not in re.sub(r'xmlns="[^"]+"', "", text) and "src=" not in text


def test_the_drawing_is_of_the_parts_own_cuts(every):
    """A humbucker's route is drawn as wide as it is cut: 40 mm at 40 mm before the scale line."""
    layout = every["Humbucker"].layout
    x0, y0, x1, y1 = part_box(layout)
    route = layout.by_id["pickup.route"].shape.box
    assert x0 < route[0] and y0 < route[1] and x1 > route[3] and y1 > route[4]
    one, two = line_of(layout, (x0, y0, x1, y1))
    assert one[0] == two[0] and route[0] < one[0] < route[3]


def test_a_part_that_needs_a_cavity_gets_a_stand_in():
    layout = alone(example("Pot"))
    assert [one.id for one in layout.placed] == ["tone", "control"]
    assert "control.cavity" in layout.by_id


def test_what_a_docstring_says_of_a_field():
    text = (
        "A box.\n\n    | low |  low: how low it\n\nhigh, wide: its size; deep is from the rim. End."
    )
    assert meaning("high", text) == meaning("wide", text) == "its size"
    assert meaning("low", text) == "how low it"
    assert clause("deep", text) == "deep is from the rim"
    assert meaning("gone", text) == clause("gone", text) == ""


def test_the_command_lists_and_shows(capsys):
    assert main(["parts"]) == 0
    listed = capsys.readouterr().out
    assert all(re.search(rf"^{name}: ", listed, re.M) for name in NAMES)
    assert main(["parts", "Pot"]) == 0
    shown = capsys.readouterr().out
    assert "can_diameter" in shown and "Bush" in shown and "control-clamp" in shown
    assert main(["parts", "Pot", "--json"]) == 0
    (pot,) = json.loads(capsys.readouterr().out)["parts"]
    assert {row["record"] for row in pot["states"]} >= {"Bush", "Terminal", "Fit"}


def test_the_command_writes_the_page_and_refuses_what_it_cannot(tmp_path, capsys):
    path = tmp_path / "parts.html"
    assert main(["parts", "Pot", "--page", str(path)]) == 0
    assert path.read_text().startswith("<!DOCTYPE html>")
    for words in (["Pott"], ["Pot", "--page", str(tmp_path / "parts.txt")]):
        assert main(["parts", *words]) == 2
        assert capsys.readouterr().err.count("\n") == 1
    assert main(["parts", "Pot", "--page", str(tmp_path / "no" / "x.html")]) == 2


def test_each_kind_states_something_that_a_check_asks_for():
    """No part of the package stands in a block without a record."""
    for name in placed_kinds():
        layout = kind_of_part(name).layout
        assert any(one.part == layout.placed[0].id for one in layout.interfaces), name
