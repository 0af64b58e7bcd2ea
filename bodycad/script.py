"""Design scripts: a Python file whose `design(...)` returns a Design; its keyword parameters are
the design's.

Everything a script can do wrong ends as one InputError that says which file, which line and what to
do.
"""

from __future__ import annotations

import contextlib
import inspect
import math
import os
import re
import sys
import threading
import types
from collections.abc import Callable, Iterable, Iterator, Mapping
from dataclasses import dataclass, field, replace
from pathlib import Path
from typing import Annotated, Any, get_args, get_origin

from bodycad.declare import Pattern, declared
from bodycad.design import Design, FilePath
from bodycad.errors import Asked, BodycadError, InputError, nearest, place_of
from bodycad.kinds.read import kind_of
from bodycad.kinds.value import ANYTHING, Kind, Refused, Word
from bodycad.measuring.table import SizeTable, opened, text_of
from bodycad.processes import left_running
from bodycad.units import inch

KINDS = (bool, int, float, str)
"""Types that a `--set` value can be read as."""

Setting = Annotated[str, Pattern(r"[^\x00]{0,4000}", "NAME=VALUE")]
_NUMBER = re.compile(r"[+-]?(\d+(\.\d*)?|\.\d+)([eE][+-]?\d+)?")
_WORDS = {"true": True, "yes": True, "1": True, "false": False, "no": False, "0": False}
_WANTED = {
    bool: "true, false, yes, no, 1 or 0",
    int: "a whole number",
    str: "text",
    float: 'a finite number in the script\'s unit, or inches such as "1 3/4in"',
}


NO_SCRIPT = ".csv", ".toml", ".html", ".dxf", ".pdf", ".svg", ".json"
"""Ends of files that stand beside a script and are mistaken for it."""


@dataclass(frozen=True)
class Parameter:
    """A keyword parameter of a script: name, type (None: not to be set from outside), default, and
    what its annotation declares."""

    name: str
    kind: type | None
    default: Any
    declared: Kind = ANYTHING


@dataclass(frozen=True)
class Script:
    """A loaded script: its path, its `design` function and that function's parameters, the text
    that was read, and the texts of its tables of sizes by their parameters' names."""

    path: Path
    function: Callable[..., Any]
    parameters: tuple[Parameter, ...]
    text: bytes = b""
    tables: Mapping[str, bytes | None] = field(default_factory=dict)

    @property
    def named(self) -> dict[str, SizeTable]:
        """The tables of sizes that the script reads, by their parameters' names."""
        found = {one.name: one.default for one in self.parameters}
        return {name: one for name, one in found.items() if isinstance(one, SizeTable)}


@declared()
def load_design(path: FilePath, settings: Iterable[Setting] = ()) -> Design:
    """The design that the script at `path` makes with `settings` ("NAME=VALUE") in place of its
    defaults.

    Raises InputError for a file, a setting or a script that cannot be used."""
    script = load(path)
    return make(script, read_settings(script, settings))


def load(
    path: str | Path,
    text: bytes | None = None,
    tables: Mapping[str, bytes | None] | None = None,
    missing: bool = False,
) -> Script:
    """Run the file once, up to the definition of its `design` function. `text` and `tables`: what
    was read of it and of its tables before; the files may have been saved anew since. `missing`:
    a table may not be there yet.

    What the script prints goes to stderr, so that stdout holds results only. Raises InputError."""
    path = Path(path)
    name = f"the script {path}"
    text = _read(path) if text is None else text
    code = _compiled(path, text)
    module = types.ModuleType(f"bodycad_script_{re.sub(r'[^0-9A-Za-z_]', '_', path.stem)}")
    module.__file__ = str(path.absolute())
    sys.modules[module.__name__] = module
    with _running(path):
        exec(code, module.__dict__)
    function = getattr(module, "design", None)
    if not inspect.isfunction(function):
        allowed = "a file that defines design(...)"
        remedy = "write: def design(scale: float = 648.0) -> Design: ..."
        raise InputError(name, "a file without a design function", allowed, remedy)
    script = Script(path, function, _parameters(path, function), text)
    if tables is None:
        folder = path.absolute().parent
        tables = {name: text_of(table, folder, missing) for name, table in script.named.items()}
    return replace(script, tables=tables)


def make(script: Script, values: Mapping[str, Any] | None = None) -> Design:
    """The design of a script with `values` in place of its defaults, laid out; its `parameters` and
    what it `asked` of its tables are filled in.

    Raises InputError when the script or one of its parts fails, when it returns anything else than
    a Design, or when a table has a row that the script does not ask for."""
    chosen = {p.name: p.default for p in script.parameters} | dict(values or {})
    tables = {name: opened(one, script.tables[name]) for name, one in script.named.items()}
    with _running(script.path):
        made = script.function(**{**chosen, **tables})
        if not isinstance(made, Design):
            thing = f"what design() of {script.path} returns"
            remedy = "end the function with: return Design(...)"
            raise InputError(thing, type(made).__name__, "a Design", remedy)
        for table in tables.values():
            table.close(made.name)
        chosen |= {name: table.file for name, table in tables.items()}
        asked = tuple(one for table in tables.values() for one in table.asked.values())
        made = replace(made, parameters=chosen, asked=asked)
        made.layout()  # here the script's own parts answer, under the same care
    return made


def read_settings(script: Script, texts: Iterable[str]) -> dict[str, Any]:
    """Values by name of "NAME=VALUE" texts, read as their parameters' types, else InputError."""
    known, values = {p.name: p for p in script.parameters}, {}
    for text in texts:
        name, equals, value = text.partition("=")
        name = name.strip()
        if not equals or not name:
            raise InputError("--set", text, "NAME=VALUE", f"parameters: {_listed(known)}")
        if name not in known:
            raise InputError("the parameter's name", name, _listed(known), nearest(name, known))
        if name in values:
            raise InputError(f"--set {name}", value, "each parameter once", "keep one of the two")
        values[name] = read_value(known[name], value.strip())
    return values


def read_value(parameter: Parameter, text: str) -> Any:
    """`text` as the parameter's type, held to what its annotation declares; inches ("1 3/4in")
    become mm where a float is wanted.

    Raises InputError when it is something else or not finite."""
    value = _typed(parameter, text)
    try:
        return parameter.declared.read(value)
    except Refused as no:
        error = InputError(f"--set {parameter.name}", no.value, no.allowed, no.remedy)
    raise error


def _typed(parameter: Parameter, text: str) -> Any:
    thing = f"--set {parameter.name}"
    if parameter.kind is None:
        allowed = f"no value from outside (its default is {parameter.default!r})"
        remedy = "edit the script, or give the parameter an int, float, bool or str default"
        raise InputError(thing, text, allowed, remedy)
    if parameter.kind is str:
        return text
    if parameter.kind is bool and text.lower() in _WORDS:
        return _WORDS[text.lower()]
    if parameter.kind is int and re.fullmatch(r"[+-]?\d{1,15}", text):
        return int(text)
    if parameter.kind is float:
        inches = re.fullmatch(r'([+-]?)\s*([\d.\s/-]*\d\.?)\s*(?:in|inch|")', text)
        if inches:
            with contextlib.suppress(InputError):
                return (-1.0 if inches[1] == "-" else 1.0) * inch(inches[2])
        plain = text.removesuffix("mm").rstrip()
        if _NUMBER.fullmatch(plain) and math.isfinite(float(plain)):
            return float(plain)
    raise InputError(thing, text, _WANTED[parameter.kind])


def _listed(names: Iterable[str]) -> str:
    return ", ".join(names) or "(this script has none)"


def _read(path: Path) -> bytes:
    name = "the design script"
    if path.suffix.lower() in NO_SCRIPT:
        own = re.sub(r"-(sizes|measuring|cutting|drilling|parts)$", "", path.stem)
        near = path.with_name(f"{own}.py")
        remedy = f"did you mean {near}?" if near.is_file() else ""
        raise InputError(name, f"{path}, which is no Python script", "a .py file", remedy)
    if not path.exists():
        raise InputError(name, str(path), "an existing Python file", "check the path")
    if not path.is_file():
        raise InputError(name, str(path), "a file, not a directory", "name the .py file itself")
    try:
        return path.read_bytes()
    except OSError as error:
        raise InputError(name, str(path), f"a file that can be read ({error.strerror})") from error


def _compiled(path: Path, text: bytes) -> types.CodeType:
    try:
        return compile(text, str(path), "exec", dont_inherit=True)
    except SyntaxError as error:
        where = f", line {error.lineno}" if error.lineno else ""
        raise InputError(f"the script {path}{where}", error.msg, "valid Python") from error
    except (ValueError, RecursionError, MemoryError) as error:
        raise InputError(f"the script {path}", _one_line(error), "valid Python in UTF-8") from error


def _parameters(path: Path, function: Callable[..., Any]) -> tuple[Parameter, ...]:
    try:
        signature = inspect.signature(function, eval_str=True)
    # An annotation that names nothing says nothing about the type: the default does.
    except Exception:
        signature = inspect.signature(function)
    found = []
    for one in signature.parameters.values():
        thing = f"the parameter {one.name} of design() in {path}"
        if one.kind not in (one.POSITIONAL_OR_KEYWORD, one.KEYWORD_ONLY):
            allowed = "a keyword parameter with a default"
            raise InputError(thing, str(one), allowed, f"write {one.name}: float = 1.0")
        if one.default is one.empty:
            remedy = f"write {one.name}: float = 1.0"
            raise InputError(thing, "one without a default", "a parameter with a default", remedy)
        if isinstance(one.default, float) and not math.isfinite(one.default):
            thing = f"the default of {thing.removeprefix('the ')}"
            raise InputError(thing, float(one.default), "a finite number")
        kind = _kind(one.annotation, one.default)
        asked = ANYTHING if one.annotation is one.empty else kind_of(one.annotation)
        found.append(Parameter(one.name, kind, one.default, ANYTHING if asked.bare else asked))
    return tuple(found)


def _kind(annotation: object, default: object) -> type | None:
    if get_origin(annotation) is Annotated:
        annotation = get_args(annotation)[0]
    if annotation is not inspect.Parameter.empty and isinstance(kind_of(annotation), Word):
        return str
    for kind in KINDS:
        if annotation in (kind, kind.__name__):
            return kind
    if annotation is not inspect.Parameter.empty and not isinstance(annotation, str):
        return None
    return next((kind for kind in KINDS if isinstance(default, kind)), None)


@contextlib.contextmanager
def _running(path: Path) -> Iterator[None]:
    """Run a script's code: prints to stderr, neighbours importable, every way to end but the end as
    InputError; the working directory comes back."""
    place = str(path.resolve().parent)
    try:
        here = os.getcwd()
    except OSError:  # it was removed: there is none to come back to
        here = None
    process, threads = os.getpid(), set(threading.enumerate())
    added = place not in sys.path
    if added:
        sys.path.append(place)
    allowed = "a script that runs to its end"
    try:
        with contextlib.redirect_stdout(sys.stderr):
            yield
    except InputError as error:
        error.at(place_of(error, place))
        raise
    except (BodycadError, KeyboardInterrupt):
        raise
    except BaseException as error:
        line = _line(error, str(path))
        notes = getattr(error, "__notes__", ())
        asked = next((note for note in notes if isinstance(note, Asked)), "")
        thing = f"{asked}, {path.name}{line}," if asked else f"the script {path}{line}"
        found = "" if line else place_of(error, place)
        raise InputError(thing, _one_line(error), allowed, _keyword(error), found) from error
    finally:
        if os.getpid() != process:
            os._exit(1)  # a copy of this process that the script made and let go on
        if here is not None:
            with contextlib.suppress(OSError):
                os.chdir(here)
        if added and place in sys.path:
            sys.path.remove(place)
    left = left_running(threads)
    if left:
        given = f"one that leaves the thread {left[0]} running"
        raise InputError(f"the script {path}", given, allowed, "wait for it with join()")


def _line(error: BaseException, path: str) -> str:
    """ ", line n": the deepest line of the script itself on the way to the exception."""
    line, trace = None, error.__traceback__
    while trace is not None:
        if trace.tb_frame.f_code.co_filename == path:
            line = trace.tb_lineno
        trace = trace.tb_next
    return f", line {line}" if line else ""


def _keyword(error: BaseException) -> str:
    """What may have been meant by a keyword that one of our values or functions does not have."""
    import bodycad

    found = re.match(
        r"(\w+)(?:\.__init__)?\(\) got an unexpected keyword argument '(\w+)'", str(error)
    )
    if not found or found[1] not in bodycad.NAMES:
        return ""
    known = list(inspect.signature(getattr(bodycad, found[1])).parameters)
    return nearest(found[2], known) or f"{found[1]} takes {', '.join(known)}"


def _one_line(error: BaseException) -> str:
    text = " ".join(str(error).split())
    return f"{type(error).__name__}: {text}" if text else type(error).__name__
