"""Which files of a folder are a build's: those that its list names, as long as they are as the
build wrote them. All others are the maker's.

The list is a file of the build itself, in the form that `sha256sum --check` reads: a line each of
the SHA-256 sum (FIPS 180-4) in hexadecimal, two spaces and the name.
"""

from __future__ import annotations

import hashlib
import json
import os
import re
import stat
from collections.abc import Iterable, Iterator, Mapping
from pathlib import Path
from typing import Any

from bodycad.errors import FileError, InputError

REPORTS = ("report.json", "report.html")
AWAY = "move it away, or name another place with --out"
ENDS = {
    ".step": b"END-ISO-10303-21;",
    ".dxf": b"EOF",
    ".html": b"</html>",
    ".json": b"}",
    ".pdf": b"%%EOF",
    ".csv": b"",
    ".png": b"IEND\xaeB`\x82",
    ".tif": b"",
    ".stl": b"",
}
"""What a whole file of each kind ends with, but for white space."""


def list_of(name: str) -> str:
    """The name of the list in a build of the design `name`."""
    return f"{name}-files.sha256"


def write_list(folder: Path, name: str, planned: Iterable[str]) -> None:
    """List the files of a finished build, each read from the disk again.

    Raises FileError where the folder holds others than the `planned` ones, or one that is not
    whole."""
    due, there = set(planned) - {list_of(name)}, set(os.listdir(folder))
    for one in sorted(due ^ there):
        raise FileError(f"{one} {'was not written' if one in due else 'is no file of a build'}")
    rows = []
    for one in sorted(due):
        raw = (folder / one).read_bytes()
        if not _whole(one, raw):
            raise FileError(f"{one} is not whole: it holds {len(raw)} bytes and has no proper end")
        rows.append(f"{hashlib.sha256(raw).hexdigest()}  {one}\n")
    (folder / list_of(name)).write_text("".join(rows), encoding="ascii", newline="\n")
    for one in (*due, list_of(name)):
        _settled(folder / one)


def _whole(name: str, raw: bytes) -> bool:
    ending = os.path.splitext(name)[1]
    if ending == ".glb":
        # The header of a binary glTF (2.0, section 4.4.2) says how long the file is.
        return raw[:4] == b"glTF" and int.from_bytes(raw[8:12], "little") == len(raw)
    return raw.rstrip().endswith(ENDS[ending])


def _settled(path: Path) -> None:
    """Wait until the disk has the file, so that a cut of power after the swap finds it whole."""
    with open(path, "rb+") as file:
        os.fsync(file.fileno())


def refuse(target: Path, name: str, planned: Iterable[str]) -> None:
    """Raise InputError where the place of a build is something else, or holds under a name that is
    about to be written what no build's list names, or what was changed since."""
    wanted = tuple(planned)
    while True:
        before = _which(target)
        try:
            return _refuse(target, name, wanted)
        except InputError:
            # Where another build took the place meanwhile, its list and files were mixed up.
            if _which(target) == before:
                raise


def _which(target: Path) -> int | None:
    """What tells one folder from another of its name; None where there is none."""
    try:
        return target.stat().st_ino
    except OSError:
        return None


def _refuse(target: Path, name: str, planned: Iterable[str]) -> None:
    what = "the place for the build"
    if not os.path.lexists(target):
        return
    if not target.is_dir():
        raise InputError(what, str(target), "a directory or nothing", "move the file away")
    if os.path.ismount(target):
        remedy = "name a directory on that disk with --out"
        raise InputError(what, str(target), "no disk of its own, for it changes names", remedy)
    if not any(target.iterdir()):
        return
    own, sums = set(listed(target, name)), _sums(target, name)
    if not sums:
        allowed = f"a build of {name}, an empty directory or nothing"
        held = f"{target} (it holds {_some(sorted(os.listdir(target)))})"
        raise InputError(what, held, allowed, AWAY)
    # The file system says which names are one: on some "A.dxf" is "a.dxf".
    taken = [one for one in sorted(planned) if one not in own and os.path.lexists(target / one)]
    if taken:
        changed = all(one in sums for one in taken)
        allowed = "a file as the last build wrote it" if changed else "a file that its list names"
        remedy = f"it is yours: keep it under another name, {AWAY}"
        thing = f"in {target}, what the build would write over,"
        raise InputError(thing, _some(taken), allowed, remedy)


def _some(names: list[str]) -> str:
    """The first three names, and how many more there are."""
    more = f" and {len(names) - 3} more" if len(names) > 3 else ""
    return ", ".join(one if len(one) <= 60 else f"{one[:57]}..." for one in names[:3]) + more


def listed(folder: Path, name: str) -> tuple[str, ...]:
    """The files in `folder` that a build of `name` wrote, as it wrote them; what tells so is the
    last of them. No file is one that was changed, replaced by a directory or a link, or renamed."""
    sums = _sums(folder, name)
    own = [one for one in sums if _as_written(folder / one, sums[one])]
    tells = list_of(name) if _regular(folder / list_of(name)) else "report.json"
    own = [one for one in own if one != tells]
    return (*own, tells) if _regular(folder / tells) else tuple(own)


def _as_written(path: Path, due: str | None) -> bool:
    if not _regular(path):
        return False
    return due is None or hashlib.sha256(path.read_bytes()).hexdigest() == due


def _regular(path: Path) -> bool:
    """Whether a file stands there under exactly that name, no link and no directory."""
    try:
        return stat.S_ISREG(path.lstat().st_mode) and path.name in os.listdir(path.parent)
    except OSError:
        return False


def _sums(folder: Path, name: str) -> Mapping[str, str | None]:
    """The names that the folder's build wrote, with their sums.

    A folder that was built before there was a list has none: its report tells the names, and what
    stands there is taken as it is. Whatever else is in a list is passed over: it can only name what
    a build may write, in its own folder."""
    path, found = folder / list_of(name), dict[str, str | None]()
    if not os.path.lexists(path):
        found = dict.fromkeys(_told(folder, name))
    elif _regular(path):
        text = path.read_text(encoding="utf-8", errors="replace")
        rows = (re.fullmatch(r"([0-9a-f]{64})  (.+)", line) for line in text.split("\n"))
        found = {row[2]: row[1] for row in rows if row}
    mine = re.compile(rf"{re.escape(name)}-[A-Za-z0-9_.+-]+|report\.(json|html)")
    return {one: due for one, due in found.items() if mine.fullmatch(one)}


def _told(folder: Path, name: str) -> Iterator[str]:
    """The names that a build wrote before there was a list, by its report."""
    report = _report(folder)
    if report.get("design") != name:
        return
    pieces = report.get("pieces")
    ids = [one.get("id") for one in pieces or () if isinstance(one, dict)]
    for own in ("", *(f"{one}-".replace(".", "-") for one in ids if isinstance(one, str))):
        for rest in ("front", "back", "front-annotated", "back-annotated"):
            yield f"{name}-{own}{rest}.dxf"
    yield from (f"{name}-body.step", f"{name}-layout.step", f"{name}-body.glb", *REPORTS)


def _report(folder: Path) -> dict[str, Any]:
    try:
        found = json.loads((folder / "report.json").read_text(encoding="utf-8"))
    except (OSError, ValueError, RecursionError):
        return {}
    return found if isinstance(found, dict) else {}
