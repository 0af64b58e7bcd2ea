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
    "processes",
    "kinds",
    "declare",
    "units",
    "measuring",
    "words",
    "wood",
    "moisture",
    "fasteners",
    "safety",
    "guides",
    "pace",
    "tools",
    "shop",
    "waiver",
    "geometry",
    "instrument",
    "layout",
    "imports",
    "parts",
    "checks",
    "pattern",
    "routing",
    "chance",
    "making",
    "simulation",
    "solid",
    "exports",
    "design",
    "unwatched",
    "examples",
    "script",
    "cure",
    "starting",
    "cli",
)
"""From left to right: a module imports only from its own package and from those before it."""


def package(path: Path) -> str:
    first = path.relative_to(ROOT).parts[0]
    return first.removesuffix(".py")


FACADE = ("script", "cli")
"""Who may ask the front of the package for the names that a script can use."""
INSIDE = ("plane", "solids", "distance")
"""The same order among the folders of `geometry`."""


def imported(path: Path) -> set[str]:
    """Modules of bodycad that a module imports, wherever it does: at its top, in a function, for
    type checkers only."""
    found = set()
    for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
        if isinstance(node, ast.ImportFrom):
            assert not node.level, f"{path.name} imports by dots"
            if node.module == "bodycad":
                found |= {f"bodycad.{alias.name}" for alias in node.names}
            elif (node.module or "").startswith("bodycad."):
                found.add(str(node.module))
        elif isinstance(node, ast.Import):
            found |= {a.name for a in node.names if a.name.partition(".")[0] == "bodycad"}
    return found


@pytest.mark.parametrize("path", MODULES, ids=NAMES)
def test_imports_run_one_way(path):
    mine = package(path)
    if mine not in ORDER:
        assert mine in ("__init__", "__main__", "version"), f"ORDER does not place {mine}"
        return
    for name in imported(path) - {"bodycad.version"}:
        other = name.split(".")[1] if "." in name else "the front"
        if other == "the front":
            assert mine in FACADE, f"{mine} imports the whole package"
            continue
        assert other in ORDER, f"{path.name} imports {other}, which ORDER does not place"
        assert ORDER.index(other) <= ORDER.index(mine), f"{mine} imports {other} on its right"
        if mine == other == "geometry" and path.parent.name in INSIDE:
            folder = name.split(".")[2]
            runs = INSIDE.index(folder) <= INSIDE.index(path.parent.name)
            assert runs, f"{path} imports {name}"


HEAVY = {
    "cadquery": "solid/",
    "OCP": "solid/",
    "ezdxf": ("exports/dxf/", "imports/"),
    "svgelements": "imports/",
    "reportlab": "exports/pdf/",
    "shapely": "geometry/plane/region.py",
}
"""Where a heavy library may be imported."""


@pytest.mark.parametrize("path", MODULES, ids=NAMES)
def test_heavy_libraries_are_kept_to_their_folder(path):
    """The kernel in `solid`, DXF in `exports`, shapely in one module of plane geometry; `selftest`
    asks whether each is there."""
    name = str(path.relative_to(ROOT))
    for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
        names = [a.name for a in node.names] if isinstance(node, ast.Import) else []
        names += [node.module or ""] if isinstance(node, ast.ImportFrom) else []
        for library in {one.partition(".")[0] for one in names} & HEAVY.keys():
            right = name == "cli/selftest.py" or name.startswith(HEAVY[library])
            assert right, f"{name} imports {library}"


@pytest.mark.parametrize("path", MODULES, ids=NAMES)
def test_files_are_small_and_classes_narrow(path):
    text = path.read_text(encoding="utf-8")
    # Room for one whole idea (all arithmetic of arcs stands in `segments`), none for two.
    assert len(text.splitlines()) <= 500
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
    if path.name != "svg.py":
        # Its `escape` also takes out what XML cannot hold.
        assert not re.search(r"from html import|import html\b", code)
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


ASKS = ("checks", "chance", "cure", "pattern", "exports")
"""Packages that ask what parts state, whatever part states it."""
PROTOCOL = {"voids", "rooms", "interfaces"}
"""What every part answers (`parts.part.Part`)."""
CLASSES = {
    node.name
    for path in (ROOT / "parts").glob("*.py")
    for node in ast.parse(path.read_text(encoding="utf-8")).body
    if isinstance(node, ast.ClassDef)
}


def known_of_parts(path: Path) -> set[str]:
    """What the code of a module knows of parts beyond what they state: a class of `parts` by name,
    `layout.parts(...)`, a field of a placed part, `getattr` and `hasattr` of one."""
    found = set()
    for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
        if isinstance(node, ast.ImportFrom):
            names, where = {alias.name for alias in node.names}, node.module or ""
            if where == "bodycad.parts":
                found |= names - {"part"}
            elif where == "bodycad" or where.startswith("bodycad.parts."):
                found |= names & {*CLASSES, "*"}
        elif isinstance(node, ast.Import):
            found |= {a.name for a in node.names if a.name.startswith("bodycad.parts")}
        elif isinstance(node, ast.Attribute):
            text = ast.unparse(node)
            whole = isinstance(node.value, ast.Attribute) and node.value.attr == "part"
            if whole and node.attr not in PROTOCOL and not hasattr(str, node.attr):
                found.add(text)
        elif isinstance(node, ast.Call):
            name, given = ast.unparse(node.func), [ast.unparse(one) for one in node.args]
            if name in ("getattr", "hasattr") and re.search(r"\b(part|placed|joint)\b", given[0]):
                found.add(ast.unparse(node))
            if name.endswith(".parts") and given:
                found.add(ast.unparse(node))
    return found


@pytest.mark.parametrize("path", MODULES, ids=NAMES)
def test_checks_ask_what_parts_state_and_never_for_a_class(path):
    assert package(path) not in ASKS or not known_of_parts(path)


KINDS = {"Prism", "Bore", "Carve", "Dome"}


def asked_for_kinds(path: Path) -> set[str]:
    """Where a module asks which kind a solid has, by `isinstance`, by its type or by its class's
    name, or keeps a table of kinds."""
    found = set()
    for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
        text = ast.unparse(node)
        names = set(re.findall(r"\w+", text)) & KINDS
        call = isinstance(node, ast.Call) and ast.unparse(node.func) in ("isinstance", "issubclass")
        match = isinstance(node, ast.MatchClass) and ast.unparse(node.cls) in KINDS
        table = isinstance(node, ast.Dict) and any(ast.unparse(k) in KINDS for k in node.keys if k)
        compared = isinstance(node, ast.Compare) and re.search(r"\btype\(|__(class|name)__", text)
        if (call or match or table or compared) and names:
            found.add(text)
    return found


@pytest.mark.parametrize("path", MODULES, ids=NAMES)
def test_only_geometry_and_the_kernels_table_know_kinds_of_solids(path):
    name = str(path.relative_to(ROOT))
    if package(path) == "geometry":
        return
    if name == "solid/kernel.py":
        assert asked_for_kinds(path) == {"{Prism: _prism, Bore: _bore, Carve: _carve, Dome: _dome}"}
    else:
        assert not asked_for_kinds(path)


def test_that_rule_sees_each_way_to_ask(tmp_path):
    spoiled = tmp_path / "spoiled.py"
    spoiled.write_text(
        "def f(shape):\n"
        "    isinstance(shape, (Prism, Bore))\n"
        "    type(shape) is Carve, shape.__class__.__name__ == 'Bore'\n"
        "    {Prism: 1}[type(shape)]\n"
        "    match shape:\n"
        "        case Bore(): pass\n"
        "    return Bore(shape.start), shape.hole\n"
    )
    assert len(asked_for_kinds(spoiled)) == 5


def test_that_rule_sees_what_it_forbids(tmp_path):
    """Each of the ways to know a class, in one module."""
    spoiled = tmp_path / "spoiled.py"
    spoiled.write_text(
        "import bodycad.parts.jack\n"
        "from bodycad import Pot, measured\n"
        "from bodycad.parts import cavity, part\n"
        "from bodycad.parts.bridge import Hardtail, fitted\n"
        "def f(layout, placed, record):\n"
        "    layout.parts(Hardtail), placed.part.cavity, placed.part.rooms('a', 1, 2)\n"
        "    getattr(placed.part, 'a', 0), hasattr(placed.part, 'b'), record.part.split('.')\n"
    )
    assert known_of_parts(spoiled) == {
        "bodycad.parts.jack",
        "Pot",
        "cavity",
        "Hardtail",
        "layout.parts(Hardtail)",
        "placed.part.cavity",
        "getattr(placed.part, 'a', 0)",
        "hasattr(placed.part, 'b')",
    }


@pytest.mark.parametrize("path", MODULES, ids=NAMES)
def test_nothing_is_kept_in_module_state(path):
    """No cache beside a function, and no list or set in a module; tables are never written to."""
    for node in ast.parse(path.read_text(encoding="utf-8")).body:
        for mark in getattr(node, "decorator_list", ()):
            assert not re.search(r"\b(lru_)?cache\b", ast.unparse(mark)), node.name
        if isinstance(node, (ast.Assign, ast.AnnAssign)) and node.value is not None:
            name = ast.unparse(node.targets[0] if isinstance(node, ast.Assign) else node.target)
            changing = (ast.List, ast.Set, ast.ListComp, ast.SetComp)
            made = ast.unparse(node.value).partition("(")[0] in (
                "dict",
                "list",
                "set",
                "defaultdict",
            )
            assert name == "__all__" or not (isinstance(node.value, changing) or made), name


UNREAD = (
    r"(?-i:\bREFERENCES\b)|\b(references|formats|design|trade|models)\.md\b"
    r"|\b(references|formats|design),? (section |sec\. ?|§ ?)?([a-i]?\d[\d.]*)\b"
)
"""Notes that no reader of the project has."""
UNNAMED = (
    r"\b(as|the|values|figures) published\b|\bpublished (values?|figures?|examples?|laws?|cents)\b"
    r"|\b(a|one|some|another) (hand ?book|textbook|web ?(page|site|chart|guide))\b"
    r"|\bwoodworking page|\bhomework\b|\bphysics problem|\b(met|found) in print\b"
    r"|\bcalculated by others\b|\bof the trade\b|\btrade lore\b"
)
"""Sources without a name."""


def sourceless(text: str) -> list[str]:
    """What a text takes from notes that its reader has not, or from a source that has no name."""
    return [m[0] for m in re.finditer(f"{UNREAD}|{UNNAMED}", " ".join(text.split()), re.I)]


PROJECT = ROOT.parent
TEXTS = sorted(
    path
    for kind in ("py", "md", "css", "toml")
    for folder in ("bodycad", "designs", "tests")
    for path in (PROJECT / folder).rglob(f"*.{kind}")
    if path != Path(__file__)
) + [PROJECT / "README.md", PROJECT / "DEVELOPERS.md"]


@pytest.mark.parametrize("path", TEXTS, ids=lambda path: str(path.relative_to(PROJECT)))
def test_a_source_has_a_name_that_its_reader_can_look_up(path):
    assert sourceless(path.read_text(encoding="utf-8")) == []


def test_that_rule_sees_sources_without_a_name():
    for text in (
        "E by diameter: REFERENCES a3",
        "named as in FORMATS 1.6",
        "see DESIGN section 7",
        "../papers/trade.md",
        "pilots as a woodworking page\n    has them",
        "values as\n    published",
        "a homework answer",
        "a fact of the trade",
    ):
        assert sourceless(text), text
    assert not sourceless("Wood Handbook ch. 8; a design of 3.2 mm; references: Steiner; by hand")
