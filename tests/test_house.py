"""The rules of the house, as DEVELOPERS.md states them, held over every module of the package."""

from __future__ import annotations

import ast
import re
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parents[1] / "bodycad"
MODULES = sorted(ROOT.rglob("*.py"))
NAMES = [str(path.relative_to(ROOT)) for path in MODULES]

ORDER = (
    "errors",
    "units",
    "words",
    "wood",
    "moisture",
    "fasteners",
    "shop",
    "waiver",
    "geometry",
    "instrument",
    "layout",
    "parts",
    "checks",
    "pattern",
    "chance",
    "solid",
    "exports",
    "design",
    "script",
    "cure",
    "cli",
)
"""From left to right: a module imports only from its own package and from those before it."""


def package(path: Path) -> str:
    first = path.relative_to(ROOT).parts[0]
    return first.removesuffix(".py")


def imported(tree: ast.AST, top_only: bool) -> set[str]:
    """bodycad packages that a module imports; those for type checkers only are left out."""
    found = set()
    nodes = list(ast.iter_child_nodes(tree)) if top_only else list(ast.walk(tree))
    for node in nodes:
        if isinstance(node, ast.ImportFrom) and node.module and node.module.startswith("bodycad."):
            found.add(node.module.split(".")[1])
        elif isinstance(node, ast.ImportFrom) and node.module == "bodycad":
            found |= {alias.name for alias in node.names}
    return found


@pytest.mark.parametrize("path", MODULES, ids=NAMES)
def test_imports_run_one_way(path):
    mine = package(path)
    if mine not in ORDER:
        pytest.skip(
            "the package's own front, its version and `python -m bodycad` may import anything"
        )
    for other in imported(ast.parse(path.read_text(encoding="utf-8")), top_only=True) - {
        "version",
        mine,
    }:
        assert other in ORDER, f"{path.name} imports {other}, which ORDER does not place"
        assert ORDER.index(other) < ORDER.index(mine), (
            f"{mine} imports {other}, which lies to its right"
        )


@pytest.mark.parametrize("path", MODULES, ids=NAMES)
def test_files_are_small_and_classes_narrow(path):
    text = path.read_text(encoding="utf-8")
    assert len(text.splitlines()) <= 450
    for node in ast.walk(ast.parse(text)):
        if isinstance(node, ast.ClassDef):
            verbs = [
                n.name
                for n in node.body
                if isinstance(n, ast.FunctionDef)
                and not n.name.startswith("_")
                and not any("property" in ast.unparse(d) for d in n.decorator_list)
            ]
            assert len(verbs) <= 12, f"{node.name} has {len(verbs)} public methods"


@pytest.mark.parametrize("path", MODULES, ids=NAMES)
def test_the_kernels_traps_are_not_walked_into(path):
    code = ast.unparse(ast.parse(path.read_text(encoding="utf-8")))
    assert not re.search(r"\bWorkplane\b", re.sub(r"'[^']*'|\"[^\"]*\"", "", code))
    if path.name != "region.py":
        assert ".buffer(" not in code
    if package(path) != "solid":
        assert (
            not re.search(r"^\s*(import cadquery|from cadquery|from OCP|import OCP)", code, re.M)
            or path.name == "selftest.py"
        )


@pytest.mark.parametrize("path", MODULES, ids=NAMES)
def test_every_module_and_public_function_says_what_it_means(path):
    tree = ast.parse(path.read_text(encoding="utf-8"))
    if not tree.body:
        return
    assert ast.get_docstring(tree), f"{path.name} has no docstring"
    for node in tree.body:
        if isinstance(node, (ast.FunctionDef, ast.ClassDef)) and not node.name.startswith("_"):
            assert ast.get_docstring(node), f"{node.name} has no docstring"
