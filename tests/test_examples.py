"""Every public name has an example that runs and gives a thing of its kind."""

from __future__ import annotations

import ast
from dataclasses import replace
from enum import StrEnum

import pytest

import bodycad
from bodycad import Square, blank_round, rectangle, species
from bodycad.cli import main
from bodycad.cli.names import PAGE, by_kind, page, renewed
from bodycad.examples import EXAMPLES, GIVEN
from bodycad.layout.layout import Placed

ALDER = species("alder, red")


@pytest.fixture(scope="module")
def given():
    """What examples may use: the public names, the demo and what it is made of."""
    body = bodycad.load_design("designs/teasel.py")
    found = {name: getattr(bodycad, name) for name in bodycad.NAMES}
    own = {
        "body": body,
        "skin": body.skin,
        "outline": body.skin.outline,
        "blank": body.blank,
        "instrument": body.instrument,
        "neck": body.instrument.neck,
        "heel": body.instrument.neck.heel,
    }
    assert own.keys() == {*GIVEN}
    return {**found, **own}


def test_every_name_has_one():
    assert set(EXAMPLES) == set(bodycad.NAMES), "each name needs a line in bodycad/examples.py"


def test_every_name_is_of_one_kind():
    assert {name for names in by_kind().values() for name in names} == set(bodycad.NAMES)


def test_the_lists_of_names_are_the_packages():
    """The README's list and the page that it links."""
    renew = "run: python -m bodycad.cli.names"
    readme = (PAGE.parents[2] / "README.md").read_text(encoding="utf-8")
    assert renewed(readme) == readme, renew
    assert PAGE.read_text(encoding="utf-8") == page(), renew
    assert "(bodycad/pages/names.md)" in readme


def test_explain_lists_every_name_and_prints_its_example(capsys):
    assert main(["explain"]) == 0
    said = capsys.readouterr().out
    for name in bodycad.NAMES:
        assert f"  {name} " in said
    assert main(["explain", "hull"]) == 0
    assert f"For example:\n  {EXAMPLES['hull']}\n" in capsys.readouterr().out


def result(code: str, given):
    """What the last line of an example gives."""
    tree = ast.parse(code)
    space = dict(given)
    exec(compile(ast.Module(tree.body[:-1], []), "<example>", "exec"), space)
    last = tree.body[-1]
    assert isinstance(last, ast.Expr)
    return eval(compile(ast.Expression(last.value), "<example>", "eval"), space)


def kinds(thing) -> list[str]:
    """The names of the kinds that something is."""
    return [kind.__name__ for kind in type(thing).__mro__]


@pytest.mark.parametrize("name", sorted(EXAMPLES))
def test_it_gives_a_thing_of_its_kind(name, given, tmp_path, monkeypatch):
    thing = getattr(bodycad, name)
    if name in ("build", "measure_first"):  # the demo takes them half a minute
        body = given["body"]
        plain = replace(body.skin, outline=rectangle(300, 200), contours=(), front=Square())
        parts = {"parts": (), "links": (), "skin": replace(plain, back=Square())}
        given = {**given, "body": replace(body, **parts, blank=blank_round(plain.outline, ALDER))}
        monkeypatch.chdir(tmp_path)
    found = result(EXAMPLES[name], given)
    assert name in EXAMPLES[name] or isinstance(found, thing)
    if isinstance(thing, type):
        if isinstance(found, Placed) and thing is not Placed:
            found = found.part
        assert isinstance(found, thing), f"{name}: {type(found).__name__}"
        assert not issubclass(thing, StrEnum) or found in thing
        return
    words = str(thing.__annotations__["return"]).split(" | ")
    wanted = {word.partition("[")[0].strip("'\"") for word in words}
    found = float(found) if type(found) is int else found
    assert "Any" in wanted or wanted & {*kinds(found)}, f"{name}: {wanted}, {kinds(found)}"
    assert found is not None
