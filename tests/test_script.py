"""Design scripts: parameters from the signature, settings from text, and every fault in one
line."""

import sys

import pytest
from hypothesis import given
from hypothesis import strategies as st

from bodycad.errors import InputError
from bodycad.script import Parameter, load, load_design, make, read_settings, read_value
from bodycad.units import measured

GOOD = """
from __future__ import annotations
from dataclasses import replace
from tests.sample import design as sample

def design(
    width: float = 60, frets: int = 22, left_handed: bool = False, wood="alder, red", odd=(1, 2)
):
    print("a word to the maker")
    return sample(left_handed=left_handed)
"""


def script(tmp_path, text, name="body.py"):
    path = tmp_path / name
    path.write_bytes(text if isinstance(text, bytes) else text.encode())
    return path


def test_parameters_come_from_the_signature(tmp_path):
    """Annotations decide the type even as text (a float whose default is written 60), else the
    default does."""
    found = load(script(tmp_path, GOOD)).parameters
    assert [(p.name, p.kind, p.default) for p in found] == [
        ("width", float, 60),
        ("frets", int, 22),
        ("left_handed", bool, False),
        ("wood", str, "alder, red"),
        ("odd", None, (1, 2)),
    ]


def test_settings_reach_the_design(tmp_path):
    """Given values replace defaults, the rest stay, and all are kept with the design."""
    made = load_design(script(tmp_path, GOOD), ["width=2 3/8in", "left_handed=yes", "wood=a = b"])
    assert made.parameters == {
        "width": pytest.approx(60.325),
        "frets": 22,
        "left_handed": True,
        "wood": "a = b",
        "odd": (1, 2),
    }
    assert made.layout().left_handed


def test_prints_go_to_stderr(tmp_path, capsys):
    """Results alone belong on stdout, so that --json stays one document."""
    load_design(script(tmp_path, GOOD))
    out, err = capsys.readouterr()
    assert out == "" and "a word to the maker" in err


def test_a_neighbour_can_be_imported_and_the_path_is_restored(tmp_path):
    """Scripts share helpers that lie beside them; loading leaves the import path as it was."""
    script(tmp_path, "WIDTH = 61.5\n", "shared_numbers_of_a_test.py")
    before = list(sys.path)
    text = (
        "from shared_numbers_of_a_test import WIDTH\nfrom tests.sample import design as d\n"
        "def design(width: float = WIDTH):\n return d()\n"
    )
    assert load(script(tmp_path, text)).parameters[0].default == 61.5
    assert sys.path == before


def test_a_measured_default_is_a_number(tmp_path):
    """A size with an origin is set like any float."""
    assert read_value(Parameter("w", float, measured(3.0)), "4") == 4.0
    text = (
        "from bodycad.units import measured\nfrom tests.sample import design as d\n"
        "def design(w=measured(3.0)):\n return d()\n"
    )
    assert load(script(tmp_path, text)).parameters[0].kind is float


@pytest.mark.parametrize(
    "kind, text, value",
    [
        (float, "44.5", 44.5),
        (float, "-3", -3.0),
        (float, "1e1", 10.0),
        (float, ".5", 0.5),
        (float, "45 mm", 45.0),
        (float, "45mm", 45.0),
        (float, "1 3/4in", 44.45),
        (float, '1-3/4"', 44.45),
        (float, "3/8 inch", 9.525),
        (float, "-1in", -25.4),
        (float, "25.5in", 647.7),
        (int, "24", 24),
        (int, "-1", -1),
        (bool, "true", True),
        (bool, "YES", True),
        (bool, "1", True),
        (bool, "false", False),
        (bool, "no", False),
        (bool, "0", False),
        (str, "", ""),
        (str, "ash, white", "ash, white"),
    ],
)
def test_values_are_read_as_the_parameters_type(kind, text, value):
    """Each type reads its own notation; inches become mm (25.4 mm an inch)."""
    found = read_value(Parameter("p", kind, None), text)
    assert found == pytest.approx(value) if kind is float else found == value
    assert type(found) is kind


@pytest.mark.parametrize(
    "kind, text",
    [
        (float, "nan"),
        (float, "inf"),
        (float, "-inf"),
        (float, "1e999"),
        (float, ""),
        (float, "4,5"),
        (float, "1_0"),
        (float, "ten"),
        (float, "1/0in"),
        (float, "in"),
        (float, "0x10"),
        (int, "24.5"),
        (int, "24.0"),
        (int, "two"),
        (int, ""),
        (int, "9" * 5000),
        (bool, "maybe"),
        (bool, "2"),
        (bool, ""),
        (None, "1"),
    ],
)
def test_values_that_cannot_be_used(kind, text):
    """Not finite, not of the type, not to be set: named with the parameter."""
    with pytest.raises(InputError, match="--set p"):
        read_value(Parameter("p", kind, None), text)


@given(st.floats(allow_nan=False, allow_infinity=False))
def test_floats_survive_their_own_notation(value):
    """repr of a float reads back as itself, in one notation or the other."""
    assert read_value(Parameter("p", float, 0.0), repr(value)) == value


@given(st.text(max_size=30))
def test_any_text_is_a_finite_number_or_an_input_error(text):
    """No text whatever gets past as something that is not finite, or ends in another exception."""
    try:
        value = read_value(Parameter("p", float, 0.0), text)
    except InputError:
        return
    assert abs(value) < float("inf")


@pytest.mark.parametrize(
    "settings, words",
    [
        (["widht=3"], ["widht", "did you mean width", "frets"]),
        (["width"], ["NAME=VALUE"]),
        (["=3"], ["NAME=VALUE"]),
        (["width=3", "width=4"], ["once"]),
        (["odd=3"], ["odd", "(1, 2)"]),
    ],
)
def test_settings_that_cannot_be_used(tmp_path, settings, words):
    """An unknown name gets the nearest one and the list."""
    with pytest.raises(InputError) as caught:
        read_settings(load(script(tmp_path, GOOD)), settings)
    assert all(word in str(caught.value) for word in words)


@pytest.mark.parametrize(
    "text, words",
    [
        ("def design(:\n", ["line 1"]),
        ("x = 1\n", ["without a design function"]),
        ("design = 3\n", ["without a design function"]),
        ("class design: pass\n", ["without a design function"]),
        (
            "import nothing_of_that_name\n",
            ["line 1", "ModuleNotFoundError", "nothing_of_that_name"],
        ),
        ("def design():\n    return 1 / 0\n", ["line 2", "ZeroDivisionError"]),
        ("def design():\n    raise ValueError('one\\ntwo')\n", ["line 2", "ValueError: one two"]),
        ("def design():\n    return None\n", ["NoneType", "a Design"]),
        ("def design(width):\n    pass\n", ["width", "without a default"]),
        ("def design(*widths):\n    pass\n", ["*widths", "keyword parameter"]),
        ("def design(**widths):\n    pass\n", ["**widths", "keyword parameter"]),
        ("def design(width=float('nan')):\n    pass\n", ["width", "finite"]),
        ("raise SystemExit(0)\n", ["line 1", "SystemExit"]),
        ("def design():\n    design()\ndef d(): pass\n", ["RecursionError"]),
        (b"\xff\xfe\x00", ["body.py"]),
        (b"x = '\xe4'\n", ["body.py"]),
        (b"x = 1\0\n", ["body.py"]),
    ],
)
def test_scripts_that_cannot_be_used(tmp_path, text, words):
    """One line: which file, where in it, what happened."""
    with pytest.raises(InputError) as caught:
        load_design(script(tmp_path, text))
    assert all(word in str(caught.value) for word in words) and "\n" not in str(caught.value)


def test_paths_that_cannot_be_used(tmp_path):
    """A missing file and a directory are told apart."""
    with pytest.raises(InputError, match="existing"):
        load(tmp_path / "none.py")
    with pytest.raises(InputError, match="not a directory"):
        load(tmp_path)


def test_an_input_error_of_the_script_passes_through(tmp_path):
    """What the toolkit itself says about a number is the best message there is."""
    text = (
        "from bodycad.geometry.plane.build import circle\n"
        "def design(d: float = 5.0):\n    circle(d)\n"
    )
    with pytest.raises(InputError) as caught:
        make(load(script(tmp_path, text)), {"d": -3.0})
    assert str(caught.value) == (
        "a circle's diameter is -3; allowed: more than 0 and at most 200000 mm (body.py, line 3)"
    )


@pytest.mark.parametrize(
    "call, said",
    [
        ("Hardtail(52.5, plate_frnt=33.0)", "did you mean plate_front?"),
        ("rectangle(10.0, width_mm=4.0)", "did you mean width?"),
        ("Place(quite_another_thing=1.0)", "Place takes x, y, turn_deg, flipped, z"),
    ],
)
def test_a_keyword_that_is_not_there(tmp_path, call, said):
    """What was meant, or what there is."""
    path = tmp_path / "body.py"
    path.write_text(f"from bodycad import *\n\ndef design() -> Design:\n    return {call}\n")
    with pytest.raises(InputError, match="line 4 is .*unexpected keyword") as fault:
        load_design(path)
    assert str(fault.value).endswith(said)
