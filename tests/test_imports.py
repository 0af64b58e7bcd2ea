"""What importing costs, by module names and counts in a fresh interpreter, and what the package
offers."""

import importlib
import re
import subprocess
import sys
from pathlib import Path

import pytest

import bodycad
from bodycad.errors import InputError

ROOT = Path(__file__).parents[1]
HEAVY = ("numpy", "shapely", "ezdxf", "svgelements", "cadquery", "OCP", "matplotlib")
MOST_MODULES = 122


def modules_after(code: str, cwd=ROOT) -> set[str]:
    """Names in sys.modules after running `code` in a fresh interpreter."""
    done = subprocess.run(
        [
            sys.executable,
            "-c",
            f"import sys\nsys.path.insert(0, {str(ROOT)!r})\n{code}\nprint('\\n@', *sys.modules)",
        ],
        capture_output=True,
        text=True,
        cwd=cwd,
        check=True,
    )
    return set(done.stdout.rpartition("@")[2].split())


def heavy(names):
    return {name.split(".")[0] for name in names} & set(HEAVY)


@pytest.mark.parametrize(
    "code",
    [
        "import bodycad",
        "from bodycad.cli import main\nassert main(['--help']) == 0",
        "from bodycad.cli import main\nassert main(['--version']) == 0",
    ],
)
def test_light_commands_load_the_standard_library_only(code):
    """`import bodycad`, --help and --version stay cheap."""
    names = modules_after(code)
    assert not heavy(names) and ("--version" in code or len(names) <= MOST_MODULES)


def test_the_kernel_comes_without_what_wraps_it():
    """Half the time of loading it would go into a renderer, a solver and a drawing library."""
    names = modules_after("import bodycad.solid.work, bodycad.solid.proof")
    assert {"OCP"} <= names
    assert not {"cadquery", "vtkmodules", "casadi", "ezdxf"} & {n.split(".")[0] for n in names}


def test_check_loads_neither_kernel_nor_dxf(tmp_path):
    """A clearance verdict pays for numpy and shapely alone."""
    (tmp_path / "body.py").write_text("from tests.sample import design\n")
    names = modules_after(
        f"from bodycad.cli import main\nassert main(['check', {str(tmp_path / 'body.py')!r}]) in "
        "(0, 1)",
        tmp_path,
    )
    assert heavy(names) <= {"numpy", "shapely"} and "numpy" in names


def test_the_page_needs_neither_kernel_nor_dxf():
    """A Design shows itself as a drawing in a notebook without the kernel."""
    assert heavy(
        modules_after("from tests.sample import design\nassert '<svg' in design()._repr_svg_()")
    ) <= {
        "numpy",
        "shapely",
    }


@pytest.mark.parametrize("name", bodycad.NAMES)
def test_every_public_name_resolves(name):
    """The table names a module that has it, under the name by which it is defined there."""
    found = getattr(bodycad, name)
    home = getattr(found, "__module__", None)
    assert found is getattr(importlib.import_module(f"bodycad.{bodycad.NAMES[name]}"), name)
    assert home == f"bodycad.{bodycad.NAMES[name]}"


def test_the_public_surface_is_the_table():
    """`from bodycad import *`, dir() and the table agree; an unknown name says what is known."""
    assert set(bodycad.__all__) == {*bodycad.NAMES, "__version__"} == set(dir(bodycad))
    with pytest.raises(AttributeError, match="no attribute 'desing'.*Design"):
        bodycad.desing  # noqa: B018


def test_the_version_is_the_projects():
    """One version, in the package and in pyproject.toml."""
    assert (
        re.search(r'^version = "(.+)"$', (ROOT / "pyproject.toml").read_text(), re.M)[1]
        == bodycad.__version__
    )


def test_check_of_something_else():
    """The Python entry points say what they take."""
    for entry in (bodycad.check, bodycad.build):
        with pytest.raises(InputError, match="load_design"):
            entry("body.py")
