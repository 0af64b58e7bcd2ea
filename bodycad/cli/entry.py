"""The command line. Results go to stdout, messages to stderr; heavy modules are imported by the
command that needs them.

Exit status: 0 no finding fails, 1 at least one fails, 2 unusable input or usage, 130 stopped by the
keyboard.
"""

from __future__ import annotations

import argparse
import io
import os
import sys
import traceback
from collections.abc import Callable, Sequence
from typing import TYPE_CHECKING, NoReturn, TextIO

from bodycad.errors import BodycadError, InputError

if TYPE_CHECKING:
    from bodycad.checks.report import Report
    from bodycad.design import Design

    Commands = argparse._SubParsersAction["_Parser"]

COMMANDS = ("check", "build", "pattern", "explain", "selftest")
PACKAGES = ("numpy", "shapely", "ezdxf", "cadquery")


class _Parser(argparse.ArgumentParser):
    """A parser whose complaint is one line."""

    def error(self, message: str) -> NoReturn:
        raise BodycadError(f"{message}; see {self.prog} --help")


class _Version(argparse.Action):
    def __call__(self, parser: argparse.ArgumentParser, *_: object) -> NoReturn:
        write("\n".join(f"{name} {number}" for name, number in versions()) + "\n")
        sys.exit(0)


def main(argv: Sequence[str] | None = None) -> int:
    """Run one command and return its exit status."""
    for stream in (sys.stdout, sys.stderr):
        _forgiving(stream)
    try:
        arguments = _parse(sys.argv[1:] if argv is None else list(argv))
        return int(arguments.run(arguments))
    except BodycadError as error:
        return _say(str(error))
    except KeyboardInterrupt:
        _say("stopped; nothing was replaced")
        return 130
    except SystemExit as leaving:
        return int(leaving.code or 0)
    except Exception as error:
        if os.environ.get("BODYCAD_TRACEBACK"):
            raise
        return _say(_fault(error))


def versions() -> list[tuple[str, str]]:
    """(name, version) of bodycad, Python and the packages it stands on, without importing those."""
    from importlib.metadata import PackageNotFoundError, version

    from bodycad.version import VERSION

    found = [("bodycad", VERSION), ("python", ".".join(map(str, sys.version_info[:3])))]
    for name in PACKAGES:
        try:
            found.append((name, version(name)))
        except PackageNotFoundError:
            found.append((name, "not installed"))
    return found


def write(text: str) -> None:
    """Print to stdout; a reader that has gone away is no fault."""
    try:
        sys.stdout.write(text)
        sys.stdout.flush()
    except BrokenPipeError:
        # Else the interpreter complains once more at exit.
        sys.stdout = open(os.devnull, "w")  # noqa: SIM115


def coloured(stream: TextIO) -> bool:
    """Whether colour is wanted: on a terminal that knows it, and not when NO_COLOR is set."""
    return stream.isatty() and not os.environ.get("NO_COLOR") and os.environ.get("TERM") != "dumb"


def _parse(argv: list[str]) -> argparse.Namespace:
    parser = _Parser(
        prog="bodycad",
        allow_abbrev=False,
        description="Lay out a solid body from a design script, "
        "check every clearance, and write the files that get the wood cut.",
        epilog="Exit status: 0 no finding fails, 1 at least one fails, 2 unusable input or usage.",
    )
    parser.add_argument(
        "--version", action=_Version, nargs=0, help="versions of bodycad and what it stands on"
    )
    commands = parser.add_subparsers(metavar="COMMAND", title="commands", parser_class=_Parser)
    for add in (_add_check, _add_build, _add_pattern, _add_explain, _add_selftest):
        add(commands)
    command = next((word for word in argv if not word.startswith("-")), None)
    if command is not None and command not in COMMANDS:
        from bodycad.script import nearest

        raise InputError("the command", command, ", ".join(COMMANDS), nearest(command, COMMANDS))
    arguments = parser.parse_args(argv)
    if not hasattr(arguments, "run"):
        raise BodycadError(
            f"no command is given; allowed: {', '.join(COMMANDS)}; see bodycad --help"
        )
    return arguments


def _add_check(commands: Commands) -> None:
    parser = commands.add_parser(
        "check",
        allow_abbrev=False,
        help="lay out and check, tightest first; no solid model",
        description="Lay out a design and check it. Prints the verdict and the findings, "
        "tightest first.",
    )
    _design_arguments(parser)
    parser.add_argument(
        "--chance",
        metavar="N",
        nargs="?",
        const="100000",
        help="draw N bodies (100000) within the shop's and the "
        "parts' tolerances: the chance of each finding and of the whole, and what to tighten and "
        "to measure first",
    )
    parser.set_defaults(run=_check)


def _add_build(commands: Commands) -> None:
    parser = commands.add_parser(
        "build",
        allow_abbrev=False,
        help="check, then write every file to DIR/<design>/",
        description="Check a design, then write drawings, solids and the report to "
        "DIR/<design>/, all or none.",
    )
    _design_arguments(parser)
    parser.add_argument("--out", metavar="DIR", default="out", help="where to write (default: out)")
    parser.add_argument(
        "--proof", action="store_true", help="let the kernel measure every gap again on solids"
    )
    parser.set_defaults(run=_build)


def _design_arguments(parser: argparse.ArgumentParser) -> None:
    parser.add_argument(
        "design", metavar="DESIGN.py", help="a Python file that defines design(...) -> Design"
    )
    parser.add_argument(
        "--set",
        metavar="NAME=VALUE",
        action="append",
        default=[],
        dest="settings",
        help="another value for a parameter of design(); may be repeated",
    )
    parser.add_argument(
        "--no-cures",
        action="store_true",
        help="do not look for the parameter that cures a finding (faster)",
    )
    parser.add_argument(
        "--json", action="store_true", help="print the report as one JSON document and nothing else"
    )


def _add_pattern(commands: Commands) -> None:
    from bodycad.cli.pattern import add_pattern

    add_pattern(commands, write)


def _add_explain(commands: Commands) -> None:
    parser = commands.add_parser(
        "explain",
        allow_abbrev=False,
        help="the page of a check, or of a name that scripts use",
        description="Print what a check asks, why, its limits and the usual cures; or what a part "
        "or another name of a script is and takes; without a name, the list of checks.",
    )
    parser.add_argument(
        "check", metavar="NAME", nargs="?", help="a check or a part, such as floor or Humbucker"
    )
    parser.set_defaults(run=_explain)


def _add_selftest(commands: Commands) -> None:
    parser = commands.add_parser(
        "selftest",
        allow_abbrev=False,
        help="what this machine has and lacks",
        description="Versions, what the machine lacks, a cut with a known volume, and a file "
        "written and read back.",
    )
    parser.set_defaults(run=_selftest)


def _check(arguments: argparse.Namespace) -> int:
    if arguments.chance is not None:
        from bodycad.chance.chance import bodies_of

        bodies_of(arguments.chance)  # a bad number is said before any work
    design, improve, progress = _loaded(arguments)
    report = improve(design.check())
    if arguments.chance is not None:
        from bodycad.chance.measure import with_chances

        report = with_chances(report, arguments.chance)
    _clear(progress)
    write(_shown(report, arguments.json))
    return report.exit_status


def _build(arguments: argparse.Namespace) -> int:
    from bodycad.design import build

    design, improve, progress = _loaded(arguments)
    report = build(
        design,
        arguments.out,
        tell=_progress if progress else None,
        improve=improve,
        proof=arguments.proof,
    )
    _clear(progress)
    write(_shown(report, arguments.json))
    if not arguments.json:
        write(f"\nFiles: {os.path.join(arguments.out, design.name)}{os.sep}\n")
    return report.exit_status


def _loaded(
    arguments: argparse.Namespace,
) -> tuple[Design, Callable[[Report], Report], bool]:
    """The design that the arguments name, what works out the cures of its report, and whether to
    show progress."""
    from bodycad.script import load, make, read_settings

    script = load(arguments.design)
    values = read_settings(script, arguments.settings)
    design, progress = make(script, values), sys.stderr.isatty() and not arguments.json

    def improve(report: Report) -> Report:
        if arguments.no_cures or report.verdict == "pass":
            return report
        from bodycad.cure.search import with_cures

        return with_cures(report, script, values, _progress if progress else None)

    return design, improve, progress


def _clear(progress: bool) -> None:
    if progress:
        sys.stderr.write("\r\033[K")


def _shown(report: Report, as_json: bool) -> str:
    if as_json:
        from bodycad.exports.report.json import json_text

        return json_text(report)
    from bodycad.exports.report.text import report_text

    return report_text(report, coloured(sys.stdout))


def _progress(step: str) -> None:
    sys.stderr.write(f"\r\033[K{step} ...")
    sys.stderr.flush()


def _explain(arguments: argparse.Namespace) -> int:
    from bodycad.checks.table import MANUAL
    from bodycad.exports.report.text import check_list, check_page

    if arguments.check is None:
        write(check_list(MANUAL))
        return 0
    found = next((check for check in MANUAL if check.name == arguments.check), None)
    if found is None:
        import bodycad
        from bodycad.cli.name_page import name_page, parts
        from bodycad.script import nearest

        if arguments.check in bodycad.NAMES:
            write(name_page(arguments.check))
            return 0
        names = [check.name for check in MANUAL]
        raise InputError(
            "what to explain",
            arguments.check,
            ", ".join((*names, *parts())),
            nearest(arguments.check, (*names, *bodycad.NAMES)),
        )
    write(check_page(found))
    return 0


def _selftest(arguments: argparse.Namespace) -> int:
    from bodycad.cli.selftest import run

    lines, whole = run(versions())
    write("\n".join(lines) + "\n")
    return 0 if whole else 1


def _say(message: str) -> int:
    line = " ".join(message.split())
    try:
        sys.stderr.write(f"bodycad: {line}\n")
        sys.stderr.flush()
    except OSError:
        pass  # nobody reads stderr: the exit status must do
    return 2


def _fault(error: Exception) -> str:
    """One line for a fault that no check of ours foresaw: what, and the last place in the code."""
    *_, last = traceback.extract_tb(error.__traceback__)
    place = f"{os.path.basename(last.filename)} line {last.lineno}"
    return (
        f"{type(error).__name__} at {place}: {error}. A part or a number of the design has a kind "
        "that is not allowed there; BODYCAD_TRACEBACK=1 shows the way to it"
    )


def _forgiving(stream: TextIO) -> None:
    """Let a stream that cannot show a character show it escaped instead of failing."""
    if isinstance(stream, io.TextIOWrapper):
        stream.reconfigure(errors="backslashreplace")
