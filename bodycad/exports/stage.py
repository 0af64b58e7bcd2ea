"""The place beside a build's where its files are made, and the one step that puts them in place.

A stage is a folder `.NAME-xxxxxxxx.part` beside the build's. Its `lock` is held as long as its
maker lives, so that the next build can tell what a dead one left. It holds

    new    the files while they are made
    ready  the whole build, and links to the maker's own files in the earlier one
    old    the earlier build, where the system cannot let two folders change names at once

`ready` and the build's folder change names. What is `ready` or `old` after that, at whatever moment
a process died, is put right in one way: where the build's name is free, it gets it back; else the
files that its own list names go, and what is the maker's own moves into the build.
"""

from __future__ import annotations

import errno
import os
import re
import shutil
import signal
import sys
import tempfile
import threading
import time
from collections.abc import Iterator, Sequence
from contextlib import contextmanager, suppress
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from bodycad.errors import FileError, InputError
from bodycad.exports import listed, swap
from bodycad.processes import STOPS

NEW, READY, OLD, LOCK, MADE = "new", "ready", "old", "lock", "made"
TURN_SECONDS = 30.0
"""A build waits so long while others move theirs into the same directory."""
UNLINKABLE = (errno.EPERM, errno.ENOTSUP, errno.EOPNOTSUPP, errno.ENOSYS, errno.EMLINK)
"""Why a file system may have no second name for a file."""


@dataclass(frozen=True, eq=False)
class Stage:
    """A folder in which the build of `name` at `target` is made; `lock` is an open descriptor, None
    where the file system knows no locks."""

    folder: Path
    target: Path
    name: str
    lock: int | None

    @property
    def new(self) -> Path:
        """Where the files are made."""
        return self.folder / NEW


def open_stage(target: Path, name: str) -> Stage:
    """A new stage beside `target`, whose parents are made where they are missing; what dead builds
    left there is put right first. Raises OSError."""
    made = [str(one) for one in target.parents if not one.exists()]
    folder, lock = None, None
    try:
        target.parent.mkdir(parents=True, exist_ok=True)
        with _turn(target.parent):
            _sweep(target, name)
            place = tempfile.mkdtemp(prefix=f".{name}-", suffix=".part", dir=target.parent)
            folder = Path(place)
            lock = _taken(folder / LOCK)
            (folder / MADE).write_text("\n".join(made), encoding="utf-8")
            (folder / NEW).mkdir()
    except BaseException:
        if lock is not None:
            os.close(lock)
        if folder is not None:
            shutil.rmtree(folder, ignore_errors=True)
        _unmade(made)
        raise
    return Stage(folder, target, name, lock)


def sweep(target: Path, name: str) -> bool:
    """Put right what dead builds of `name` at `target` left beside it; no living one is touched.
    Whether nothing is left there."""
    if not target.parent.is_dir():
        return True
    with _turn(target.parent):
        return _sweep(target, name)


def close(stage: Stage) -> None:
    """Remove the stage and what it holds; directories that were made for it go too where they are
    empty."""
    with _turn(stage.target.parent):
        _cleared(stage.folder, stage.target, stage.name, stage.lock)


def publish(stage: Stage, planned: Sequence[str]) -> None:
    """Put the whole and listed build in `stage.new` in its place, and the maker's own files in the
    earlier one with it.

    Raises InputError where a maker's file stands where one of the build would go, FileError where
    others take too long, OSError; then nothing was replaced."""
    target, ready = stage.target, stage.folder / READY
    with _turn(target.parent):
        listed.refuse(target, stage.name, planned)
        if not os.path.lexists(target):
            stage.new.rename(target)
            return
        shutil.copymode(target, stage.new)
        stage.new.rename(ready)
        own = listed.listed(target, stage.name)
        _link(target, ready, own)
        if not swap.exchange(ready, target):
            target.rename(stage.folder / OLD)
            try:
                ready.rename(target)
            except BaseException:
                (stage.folder / OLD).rename(target)
                raise
        _synced(target.parent)
        _settled(stage.folder, target, stage.name)


@contextmanager
def undisturbed() -> Iterator[None]:
    """Let no signal that stops a command break into this; one that came is given on at the end."""
    if threading.current_thread() is not threading.main_thread():
        yield
        return
    came: list[int] = []
    before: dict[int, Any] = {}
    for number in STOPS:
        if callable(signal.getsignal(number)) or signal.getsignal(number) == signal.SIG_DFL:
            before[number] = signal.signal(number, lambda number, _: came.append(number))
    try:
        yield
    finally:
        for number, handler in before.items():
            signal.signal(number, handler)
        if came:
            signal.raise_signal(came[0])


@contextmanager
def _turn(directory: Path) -> Iterator[None]:
    """Hold the directory for one step, so that builds of one name take turns. The hold ends with
    the process, and where the system knows none for directories, the step is made all the same."""
    try:
        place = os.open(directory, os.O_RDONLY)
    except OSError:
        yield
        return
    try:
        until = time.monotonic() + TURN_SECONDS
        while not _locked(place, lacking=True):
            if time.monotonic() > until:
                why = f"another build has held {directory} for {TURN_SECONDS:g} s"
                raise FileError(f"{why}; nothing was replaced")
            time.sleep(0.01)
        yield
    finally:
        os.close(place)


def _locked(place: int, lacking: bool) -> bool:
    """Lock an open file or directory for this process; False where another has it, `lacking` where
    the system knows no such lock."""
    if sys.platform == "win32":
        import msvcrt

        try:
            msvcrt.locking(place, msvcrt.LK_NBLCK, 1)
        except OSError:
            return False
        return True
    import fcntl

    try:
        fcntl.flock(place, fcntl.LOCK_EX | fcntl.LOCK_NB)
    except BlockingIOError:
        return False
    except OSError:
        return lacking
    return True


def _taken(path: Path) -> int | None:
    """The lock file at `path`, open and locked; None where another process may have it."""
    try:
        place = os.open(path, os.O_RDWR | os.O_CREAT, 0o600)
    except OSError:  # another user's
        return None
    if _locked(place, lacking=False):
        return place
    os.close(place)
    return None


def _sweep(target: Path, name: str) -> bool:
    """See `sweep`; the caller has the turn."""
    clean, mine = True, re.compile(rf"\.{re.escape(name)}-[a-z0-9_]{{8}}\.part")
    for one in sorted(target.parent.iterdir()):
        if mine.fullmatch(one.name) and one.is_dir() and not one.is_symlink():
            lock = _taken(one / LOCK)
            if lock is not None:
                _cleared(one, target, name, lock)
            clean = clean and lock is not None
    return clean


def _cleared(folder: Path, target: Path, name: str, lock: int | None) -> None:
    """Put right what a stage holds and remove it, and then the lock; the caller has the turn."""
    try:
        _settled(folder, target, name)
        made = folder / MADE
        parents = made.read_text(encoding="utf-8").splitlines() if made.exists() else []
        if sys.platform == "win32" and lock is not None:
            os.close(lock)  # no open file can be removed there
            lock = None
        for tries in range(20):
            shutil.rmtree(folder, ignore_errors=True)
            if not folder.exists():
                break
            time.sleep(0.01 * tries)  # a kernel's process that is ending may still write there
        _unmade(parents)
    finally:
        if lock is not None:
            os.close(lock)


def _unmade(directories: Sequence[str]) -> None:
    """Remove the directories that were made for a stage, innermost first, where they are empty."""
    for one in directories:
        with suppress(OSError):
            os.rmdir(one)


def _settled(folder: Path, target: Path, name: str) -> None:
    """Give the build back what it has in the stage, and remove the files of the other build."""
    for place in (folder / OLD, folder / READY):
        if not place.is_dir():
            continue
        if not os.path.lexists(target):
            place.rename(target)
            continue
        for one in listed.listed(place, name):
            (place / one).unlink()
        _moved(place, target)


def _link(old: Path, new: Path, own: Sequence[str]) -> None:
    """Give what is the maker's own in `old` a second name in `new`, so that at no moment it is
    without one; what can have none moves once the folders have changed names."""
    for entry in sorted(os.scandir(old), key=lambda e: e.name):
        there = new / entry.name
        if entry.name in own:
            continue
        if entry.is_dir(follow_symlinks=False):
            if os.path.ismount(entry.path):
                allowed = "folders and files of the same disk"
                raise InputError(f"a disk inside {old}", entry.path, allowed, listed.AWAY)
            if not os.access(entry.path, os.R_OK | os.W_OK | os.X_OK):
                raise PermissionError(errno.EACCES, os.strerror(errno.EACCES), entry.path)
            there.mkdir()
            _link(Path(entry.path), there, ())
            shutil.copystat(entry.path, there)
            continue
        try:
            os.link(entry.path, there, follow_symlinks=False)
        except NotImplementedError:
            pass
        except OSError as error:
            if error.errno not in UNLINKABLE:
                raise


def _moved(old: Path, new: Path) -> None:
    """Move what is left in `old` into `new` and remove `old`; a second name of the same file goes,
    and what would meet another file gets a name of its own."""
    for entry in sorted(os.scandir(old), key=lambda e: e.name):
        there = new / entry.name
        if entry.is_dir(follow_symlinks=False) and there.is_dir() and not there.is_symlink():
            _moved(Path(entry.path), there)
        elif not os.path.lexists(there):
            os.rename(entry.path, there)
        elif os.path.samestat(there.lstat(), entry.stat(follow_symlinks=False)):
            os.unlink(entry.path)
        else:
            os.rename(entry.path, _free(there))
    os.rmdir(old)


def _free(path: Path) -> Path:
    """A name beside `path` that nothing has."""
    k = 1
    while os.path.lexists(path.with_name(f"{path.stem}-kept-{k}{path.suffix}")):
        k += 1
    return path.with_name(f"{path.stem}-kept-{k}{path.suffix}")


def _synced(directory: Path) -> None:
    """Wait until the disk has the names in a directory, where the system lets one."""
    with suppress(OSError):
        place = os.open(directory, os.O_RDONLY)
        try:
            os.fsync(place)
        finally:
            os.close(place)
