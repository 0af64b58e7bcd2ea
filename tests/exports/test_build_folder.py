"""What a build promises of its folder: a whole build or none under its name, and the maker's own
files."""

from __future__ import annotations

import errno
import hashlib
import json
import os
import re
import shutil
import signal
import subprocess
import threading
import time
from dataclasses import replace

import pytest

from bodycad.checks.finding import Finding
from bodycad.design import build
from bodycad.errors import FileError, InputError
from bodycad.exports import files, listed, stage, swap
from bodycad.geometry.plane.build import rectangle
from bodycad.geometry.solids.edge import Square
from bodycad.geometry.solids.skin import Skin
from bodycad.layout.workpiece import Workpiece
from tests import sample
from tests.exports import quick
from tests.exports.test_report_files import contents

LIST = "sample-files.sha256"
REFUSED = Finding("solid", "error", ("body",), "the kernel refused a.route")


@pytest.fixture(autouse=True)
def without_kernel(monkeypatch):
    quick.patch(monkeypatch.setattr)


@pytest.fixture
def built(tmp_path):
    """The folder of a build."""
    build(sample.design(), tmp_path)
    return tmp_path / "sample"


def plate(name):
    return Workpiece(name, Skin(rectangle(80.0, 40.0, 4.0), 3.0, Square(), Square()), sheet=True)


def without_swap(monkeypatch):
    """A system that cannot let two folders change names."""
    monkeypatch.setattr(swap, "exchange", lambda one, two: False)


def alone(folder):
    """Whether nothing but the build's folder stands beside it."""
    return os.listdir(folder.parent) == [folder.name]


def test_the_list_names_every_file_by_its_sum(built):
    """As the system's own tool for the format reads it."""
    rows = dict(reversed(row.split("  ")) for row in (built / LIST).read_text().splitlines())
    assert rows.keys() == set(os.listdir(built)) - {LIST}
    for name, due in rows.items():
        assert hashlib.sha256((built / name).read_bytes()).hexdigest() == due
    tool = shutil.which("sha256sum")
    if tool:
        done = subprocess.run([tool, "--check", "--strict", LIST], cwd=built, capture_output=True)
        assert done.returncode == 0


@pytest.mark.parametrize("system", ["whole", "without a swap", "without second names"])
def test_the_makers_own_files_stay(built, monkeypatch, system):
    """Names like a build's, folders, links and all; on any kind of file system."""
    if system != "whole":
        without_swap(monkeypatch)
    if system == "without second names":

        def fail(*_, **__):
            raise OSError(errno.EPERM, "Operation not permitted")

        monkeypatch.setattr(os, "link", fail)
    own = {
        "sample-notes.txt": b"mine",
        "sample-front-toolpaths.dxf": b"toolpaths",
        "sample-guard-front.dxf": b"a drawing of mine",
        "jig/deep/sample-front.dxf": b"another",
        ".hidden": b"",
    }
    for name, data in own.items():
        (built / name).parent.mkdir(parents=True, exist_ok=True)
        (built / name).write_bytes(data)
    (built / "jig" / "empty").mkdir()
    (built / "latest").symlink_to("sample-front.dxf")
    (built / "nowhere").symlink_to("/nonexistent")
    (built / "jig").chmod(0o750)
    inode = (built / "sample-notes.txt").stat().st_ino
    build(sample.design(left_handed=True), built.parent)
    assert {name: contents(built)[name] for name in own} == own
    assert "left-handed" in (built / "report.html").read_text()
    assert (built / "latest").readlink().name == "sample-front.dxf" and (
        built / "nowhere"
    ).is_symlink()
    assert (built / "jig" / "empty").is_dir() and (built / "jig").stat().st_mode & 0o777 == 0o750
    assert (built / "sample-notes.txt").stat().st_ino == inode, "the file itself, not a copy"
    assert alone(built)


def test_what_an_earlier_build_listed_and_this_one_does_not_make_goes(tmp_path):
    """A piece less: its drawings go, and the maker's beside them stays."""
    design = replace(sample.design(), pieces=(plate("guard"),))
    build(design, tmp_path)
    assert (tmp_path / "sample" / "sample-guard-front.dxf").exists()
    (tmp_path / "sample" / "sample-guard-notes.txt").write_text("mine")
    build(sample.design(), tmp_path)
    left = [n for n in os.listdir(tmp_path / "sample") if "guard" in n]
    assert left == ["sample-guard-notes.txt"]


@pytest.mark.parametrize(
    "make",
    [
        lambda p: p.write_text("a drawing of mine"),
        lambda p: p.mkdir(),
        lambda p: p.symlink_to("/nonexistent"),
        lambda p: os.mkfifo(p),
    ],
    ids=["file", "folder", "link to nothing", "pipe"],
)
def test_a_name_that_no_list_names_is_not_written_over(built, make):
    """Refused before any work, in one line, whatever stands there."""
    make(built / "sample-guard-front.dxf")
    before = sorted(os.listdir(built))
    design = replace(sample.design(), pieces=(plate("guard"),))
    told = []
    with pytest.raises(InputError, match="sample-guard-front.dxf.*keep it under another name") as e:
        build(design, built.parent, told.append)
    assert told == [] and len(str(e.value)) < 400
    assert sorted(os.listdir(built)) == before and alone(built)


def test_a_file_that_was_changed_since_is_the_makers(built):
    """A drawing saved over in another program: not replaced without a word."""
    (built / "sample-front.dxf").write_text("with toolpaths")
    before = contents(built)
    with pytest.raises(InputError, match="sample-front.dxf.*as the last build wrote it"):
        build(sample.design(), built.parent)
    assert contents(built) == before
    (built / "sample-front.dxf").rename(built / "mine.dxf")
    build(sample.design(), built.parent)
    assert (built / "mine.dxf").read_text() == "with toolpaths"


def test_a_changed_file_that_is_not_made_again_stays(tmp_path):
    build(replace(sample.design(), pieces=(plate("guard"),)), tmp_path)
    (tmp_path / "sample" / "sample-guard-front.dxf").write_text("with toolpaths")
    build(sample.design(), tmp_path)
    assert (tmp_path / "sample" / "sample-guard-front.dxf").read_text() == "with toolpaths"


@pytest.mark.parametrize(
    "row",
    [
        "{sum}  ../mine.txt",
        "{sum}  /{name}",
        "{sum}  mine.txt",
        "{sum}  sample-notes.txt ",
        "0  sample-notes.txt",
        "\xff\0\n\n  ",
    ],
)
def test_an_edited_list_can_name_no_other_file(built, row):
    """It names what a build may write, in its own folder, as it was written; no more."""
    for path in (built / "mine.txt", built.parent / "mine.txt", built / "sample-notes.txt"):
        path.write_text("mine")
    due = hashlib.sha256(b"mine").hexdigest()
    with open(built / LIST, "a") as file:
        file.write(row.format(sum=due, name=built.parent / "mine.txt") + "\n")
    build(sample.design(), built.parent)
    for path in (built / "mine.txt", built.parent / "mine.txt", built / "sample-notes.txt"):
        assert path.read_text() == "mine"


@pytest.mark.parametrize("text", ["", "not a list\n", None])
def test_a_list_that_names_nothing_makes_all_files_the_makers(built, text):
    """Emptied, spoiled or a folder: then nothing there is known to be a build's."""
    (built / LIST).unlink()
    (built / LIST).mkdir() if text is None else (built / LIST).write_text(text)
    before = contents(built)
    with pytest.raises(InputError, match="move it away"):
        build(sample.design(), built.parent)
    assert contents(built) == before


def before_lists(folder):
    """Make of a build what one from before there were lists left: fewer kinds of files, no list."""
    (folder / LIST).unlink()
    told = set(listed._told(folder, "sample"))
    for path in folder.iterdir():
        if path.name not in told and path.suffix != ".txt" and path.name != "sample-old.pdf":
            path.unlink()


def test_a_folder_from_before_there_was_a_list(built):
    """Its report names what the build wrote; all else stays, whatever its name."""
    before_lists(built)
    (built / "sample-notes.txt").write_text("mine")
    (built / "sample-old.pdf").write_text("mine too")
    build(sample.design(left_handed=True), built.parent)
    assert "left-handed" in (built / "report.html").read_text()
    assert (built / "sample-notes.txt").exists() and (built / "sample-old.pdf").exists()
    before_lists(built)
    document = json.loads((built / "report.json").read_text())
    document["pieces"] = [{"id": "../x"}, {"id": 3}, "guard", {"id": "notes.txt"}]
    (built / "report.json").write_text(json.dumps(document))
    (built.parent / "x-front.dxf").write_text("mine")
    build(sample.design(), built.parent)
    assert (built / "sample-notes.txt").exists() and (built.parent / "x-front.dxf").exists()


def test_a_file_system_that_knows_no_case(built, monkeypatch):
    """Where "Sample-Guard-Front.DXF" is "sample-guard-front.dxf", it is in the way too."""
    lexists = os.path.lexists

    def blind(path):
        folder, name = os.path.split(path)
        return lexists(path) or (
            os.path.isdir(folder) and name.casefold() in (n.casefold() for n in os.listdir(folder))
        )

    monkeypatch.setattr(os.path, "lexists", blind)
    (built / "Sample-Guard-Front.DXF").write_text("mine")
    build(sample.design(), built.parent)
    with pytest.raises(InputError, match="sample-guard-front.dxf"):
        build(replace(sample.design(), pieces=(plate("guard"),)), built.parent)
    (built / "sample-front.dxf").rename(built / "Sample-Front.dxf")
    with pytest.raises(InputError, match="sample-front.dxf"):
        build(sample.design(), built.parent)


@pytest.mark.parametrize("where", ["sample", "sample/jig"])
def test_a_disk_that_is_mounted_there_is_told_at_once(built, monkeypatch, where):
    """It cannot change names, nor can what lies in it get a second one outside."""
    (built / "jig").mkdir()
    place, before = str(built.parent / where), contents(built)
    monkeypatch.setattr(os.path, "ismount", lambda path: str(path) == place)
    with pytest.raises(InputError, match="disk"):
        build(sample.design(), built.parent)
    assert contents(built) == before and alone(built)


def test_pieces_whose_files_would_be_one_there_are_refused():
    with pytest.raises(InputError, match="a workpiece id is 'guard'"):
        replace(sample.design(), pieces=(plate("guard"), plate("Guard"))).layout()


@pytest.mark.parametrize(
    "name, text",
    [
        ("notes.txt", "mine"),
        ("sample-jig/x.dxf", "mine"),
        ("report.json", '{"design": "other"}'),
        ("report.json", "not json"),
        ("sample-front.dxf", "a drawing without a report"),
    ],
)
def test_a_directory_that_is_not_a_build_is_left_alone(tmp_path, name, text):
    """Foreign files, another design's report, or no report: refused before anything is done."""
    place = tmp_path / "sample" / name
    place.parent.mkdir(parents=True)
    place.write_text(text)
    with pytest.raises(InputError, match="move it away"):
        build(sample.design(), tmp_path)
    assert contents(tmp_path) == {f"sample/{name}": text.encode()}


def test_an_empty_directory_and_a_link_will_do(tmp_path):
    """A link to another disk keeps pointing there."""
    (tmp_path / "disk").mkdir()
    (tmp_path / "sample").symlink_to(tmp_path / "disk", target_is_directory=True)
    build(sample.design(), tmp_path)
    assert (tmp_path / "sample").is_symlink() and (tmp_path / "disk" / "report.json").exists()


@pytest.mark.parametrize("spoil", ["refused", "cut off", "missing", "more"])
@pytest.mark.parametrize("earlier", [True, False])
def test_nothing_unfinished_or_refused_gets_a_name(tmp_path, monkeypatch, spoil, earlier):
    """Whatever went wrong in the kernel's process, the earlier build stays byte for byte."""
    if earlier:
        build(sample.design(), tmp_path)
    before = contents(tmp_path)

    def spoiled(layout, place, *_):
        report = quick.write(layout, place)
        if spoil == "cut off":
            (place.new / "sample-body.step").write_bytes(b"ISO-10303-21;\n#1=CARTESI")
        if spoil == "missing":
            (place.new / "sample-body.step").unlink()
        if spoil == "more":
            (place.new / "sample-body.step.tmp").write_bytes(b"")
        return replace(report, findings=(REFUSED,)) if spoil == "refused" else report

    monkeypatch.setattr(files, "_write", spoiled)
    if spoil == "refused":
        report = build(sample.design(left_handed=True), tmp_path)
        assert report.verdict == "fail" and report.findings[0] == REFUSED
    else:
        with pytest.raises(FileError, match="sample-body.step"):
            build(sample.design(left_handed=True), tmp_path)
    assert contents(tmp_path) == before and os.listdir(tmp_path) == (["sample"] if earlier else [])


@pytest.mark.parametrize(
    "name, raw, whole",
    [
        ("a.step", b"ISO-10303-21;\nEND-ISO-10303-21;\n", True),
        ("a.step", b"ISO-10303-21;\nEND-ISO-1", False),
        ("a.glb", quick.GLB, True),
        ("a.glb", quick.GLB + b"\0", False),
        ("a.glb", quick.GLB[:11], False),
        ("a.dxf", b"  0\nEOF\n", True),
        ("a.dxf", b"  0\nEO", False),
        ("a.html", b"</html>\n", True),
        ("a.html", b"<p>", False),
        ("a.json", b"{}\n", True),
        ("a.json", b"", False),
    ],
)
def test_the_end_of_a_file_tells_whether_it_is_whole(name, raw, whole):
    """STEP: ISO 10303-21, 5.2; GLB: glTF 2.0, 4.4.2; DXF ends with the group EOF."""
    assert listed._whole(name, raw) is whole


@pytest.mark.parametrize("where", ["exchange", "first rename", "second rename", "link"])
def test_a_move_that_fails_leaves_the_earlier_build(built, monkeypatch, where):
    """Every step of putting a build in place can fail."""
    (built / "mine.txt").write_text("mine")
    before, rename = contents(built.parent), stage.Path.rename

    def fail(*_, **__):
        raise OSError(5, "Input/output error")

    def renamed(self, target):
        if (self == built and where == "first rename") or (
            self.name == "ready" and where == "second rename"
        ):
            fail()
        return rename(self, target)

    monkeypatch.setattr(swap, "exchange", fail if where == "exchange" else lambda *_: False)
    monkeypatch.setattr(stage.Path, "rename", renamed)
    if where == "link":
        monkeypatch.setattr(os, "link", fail)
    with pytest.raises(FileError, match="nothing was replaced"):
        build(sample.design(), built.parent)
    assert contents(built.parent) == before and alone(built)


def dead(built, when):
    """Kill a process that builds over `built` just before or after the step `when`."""
    process = os.fork()
    if process == 0:
        try:
            name, after = when
            owner = {"exchange": swap, "rename": stage.Path, "link": os}.get(name, stage)
            function, count = getattr(owner, name), iter(range(99))

            def killed(*given, **named):
                k = next(count)
                if not after[0] and k == after[1]:
                    os.kill(os.getpid(), signal.SIGKILL)
                made = function(*given, **named)
                if after[0] and k == after[1]:
                    os.kill(os.getpid(), signal.SIGKILL)
                return made

            setattr(owner, name, killed)
            build(sample.design(left_handed=True), built.parent)
        finally:
            os._exit(3)
    _, status = os.waitpid(process, 0)
    return os.WIFSIGNALED(status)


TIMES = {
    "open_stage": 1,
    "publish": 1,
    "exchange": 1,
    "rename": 1,
    "link": 3,
    "_link": 2,
    "_settled": 2,
    "_moved": 2,
    "_cleared": 1,
    "close": 1,
}
"""Functions of a build that puts itself in place, and how often each is called."""
STEPS = [
    (swaps, (name, (after, k)))
    for swaps in (True, False)
    for name, times in (TIMES | ({} if swaps else {"rename": 3})).items()
    for k in range(times)
    for after in (False, True)
]


@pytest.mark.skipif(not hasattr(os, "fork"), reason="kills a fork of itself")
@pytest.mark.parametrize("swaps, when", STEPS, ids=str)
def test_a_kill_at_any_step(built, monkeypatch, swaps, when):
    """A whole build under its name at once, where the system has a swap, and else after the next
    build's first step; the maker's own files; and then nothing left behind."""
    (built / "mine.txt").write_text("mine")
    (built / "sample-notes.txt").write_text("mine")
    (built / "jig").mkdir()
    (built / "jig" / "sample-front.dxf").write_text("mine")
    if not swaps:
        without_swap(monkeypatch)
    old = {n: d for n, d in contents(built).items() if n in listed.listed(built, "sample")}
    assert dead(built, when), "the step is one of a build"

    def whole():
        rows = dict(reversed(row.split("  ")) for row in (built / LIST).read_text().splitlines())
        now = contents(built)
        assert all(now[f] == b"mine" for f in ("mine.txt", "sample-notes.txt"))
        assert now["jig/sample-front.dxf"] == b"mine"
        sums = {n: hashlib.sha256(d).hexdigest() for n, d in now.items() if n in rows}
        assert sums == rows
        assert len(now) == len(old) + 3, "no file of the other build among them"

    if swaps:
        whole()
    stage.sweep(built, "sample")
    whole()
    assert alone(built)
    build(sample.design(), built.parent)
    assert contents(built) | old == contents(built), "and the next build is as any"
    assert alone(built)


def test_what_a_living_build_holds_is_not_swept(built):
    place = stage.open_stage(built, "sample")
    (place.new / "sample-front.dxf").write_text("half")
    build(sample.design(), built.parent)
    assert (place.new / "sample-front.dxf").read_text() == "half"
    stage.close(place)
    assert alone(built)


@pytest.mark.parametrize(
    "name", [".sample-notes", ".sample-abcdefgh.part.txt", ".sample-more-abcdefgh.part", "x.part"]
)
def test_what_is_not_a_stage_of_this_design_is_not_swept(built, name):
    (built.parent / name).mkdir()
    build(sample.design(), built.parent)
    assert (built.parent / name).is_dir()


def test_a_dead_first_build_takes_its_directories_with_it(tmp_path):
    target = tmp_path / "a" / "b" / "sample"
    place = stage.open_stage(target, "sample")
    os.close(place.lock)
    stage.sweep(target, "sample")
    assert os.listdir(tmp_path) == []


def test_builds_in_the_same_instant_take_turns(tmp_path):
    """Six at once, over each other: none is refused, one of them stands."""
    faults = []

    def one(left_handed):
        try:
            build(sample.design(left_handed=left_handed), tmp_path)
        except BaseException as fault:
            faults.append(fault)

    threads = [threading.Thread(target=one, args=(k % 2 == 0,)) for k in range(6)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    assert faults == [] and alone(tmp_path / "sample")
    assert set(listed.listed(tmp_path / "sample", "sample")) == set(os.listdir(tmp_path / "sample"))


def test_a_build_that_looks_while_another_is_put_in_place_looks_again(built, monkeypatch):
    """The list is the earlier build's, the files are the other's."""
    build(sample.design(left_handed=True), built.parent / "other")
    sums, other = listed._sums, built.parent / "other" / "sample"

    def late(folder, name):
        found = sums(folder, name)
        if other.exists():
            built.rename(built.parent / "other" / "gone")
            other.rename(built)
        return found

    monkeypatch.setattr(listed, "_sums", late)
    listed.refuse(built, "sample", files.names(sample.design().layout()))
    assert not other.exists()


def test_a_file_saved_while_the_folders_change_names_stays(built, monkeypatch):
    """An editor that writes beside the old name and renames over it, just before the swap."""
    (built / "mine.txt").write_text("old")
    exchange = swap.exchange

    def late(one, two):
        (built / "saved").write_text("new")
        (built / "saved").rename(built / "mine.txt")
        (built / "sample-front.dxf").unlink()
        (built / "sample-front.dxf").write_text("with toolpaths")
        return exchange(one, two)

    monkeypatch.setattr(swap, "exchange", late)
    build(sample.design(), built.parent)
    texts = {p.name: p.read_text() for p in built.iterdir() if "kept" in p.name}
    assert texts == {"mine-kept-1.txt": "new", "sample-front-kept-1.dxf": "with toolpaths"}
    assert (built / "mine.txt").read_text() == "old" and alone(built)


@pytest.mark.parametrize("number", [signal.SIGINT, signal.SIGTERM])
def test_a_stop_while_the_build_is_put_in_place_waits(built, monkeypatch, number):
    """It is whole then, and the stop says so."""

    def stop(*_):
        raise KeyboardInterrupt

    before, exchange = signal.signal(number, stop), swap.exchange

    def stopped(one, two):
        os.kill(os.getpid(), number)
        time.sleep(0.01)
        return exchange(one, two)

    monkeypatch.setattr(swap, "exchange", stopped)
    try:
        with pytest.raises(KeyboardInterrupt, match="the files in .*sample are written"):
            build(sample.design(left_handed=True), built.parent)
    finally:
        signal.signal(number, before)
    assert "left-handed" in (built / "report.html").read_text() and alone(built)


def test_a_script_that_moves_does_not_move_the_build(tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)
    (tmp_path / "elsewhere").mkdir()
    build(sample.design(), "out", lambda step: os.chdir(tmp_path / "elsewhere"))
    assert (tmp_path / "out" / "sample" / LIST).exists()
    assert os.listdir(tmp_path / "elsewhere") == []


def test_a_link_is_followed_for_the_folder_alone(tmp_path):
    """The link stays; the folder it leads to is the one that changes names."""
    (tmp_path / "disk").mkdir()
    (tmp_path / "sample").symlink_to(tmp_path / "disk" / "body", target_is_directory=True)
    for _ in range(2):
        build(sample.design(), tmp_path)
    assert (tmp_path / "sample").is_symlink()
    assert re.fullmatch(r"body", "".join(os.listdir(tmp_path / "disk")))
