"""A build's files: all or none, never over anything that is not a build's."""

import json
from dataclasses import replace
from functools import partial

import pytest

import bodycad
from bodycad.design import build
from bodycad.errors import FileError
from bodycad.exports import files, more
from bodycad.exports.dxf import annotate
from bodycad.solid import child
from bodycad.solid.beside import Beside
from tests import sample
from tests.exports.quick import small
from tests.exports.test_report_html import tree


def without_kernel(monkeypatch, found=(), stopped=None):
    """Stand in for the child process: it writes small files that end as they should and answers
    `found`."""

    def start(layout, directory, *_):
        for name in child.files_of(layout.name, any(p.skin.contours for p in layout.pieces)):
            (directory / name).write_bytes(small(name, layout))
        return directory

    monkeypatch.setattr(child, "start", start)
    monkeypatch.setattr(child, "judged", lambda handle: child.Made(tuple(found)))
    monkeypatch.setattr(child, "made", lambda handle: child.Made(tuple(found)))
    monkeypatch.setattr(
        child, "stop", lambda handle: stopped.append(handle) if stopped is not None else None
    )


def further(layout):
    """The names of the files beside drawings, solids and reports."""
    return [name for kind in more.kinds() for name in kind.names(layout)]


def contents(directory):
    """Names and bytes of everything below."""
    return {
        str(p.relative_to(directory)): p.read_bytes() for p in directory.rglob("*") if p.is_file()
    }


def test_a_whole_build(tmp_path):
    """The files of a build, in their place alone; the report agrees with the returned one."""
    steps = []
    report = bodycad.build(sample.design(), tmp_path / "out", steps.append)
    made = tmp_path / "out" / "sample"
    assert sorted(p.name for p in made.iterdir()) == sorted(
        [
            "report.html",
            "report.json",
            *(
                f"sample-{n}"
                for n in (
                    "front.dxf",
                    "back.dxf",
                    "front-annotated.dxf",
                    "back-annotated.dxf",
                    "body.step",
                    "layout.step",
                    "body.glb",
                    "contours.step",
                    "files.sha256",
                )
            ),
            *further(report.layout),
        ]
    )
    assert [p.name for p in (tmp_path / "out").iterdir()] == ["sample"]
    document = json.loads((made / "report.json").read_text())
    assert document["verdict"] == report.verdict and len(document["findings"]) == len(
        report.findings
    )
    tree((made / "report.html").read_text())
    assert not any(f.status == "error" for f in report.findings), [
        f.text for f in report.findings if f.status == "error"
    ]
    assert steps[0] == "checking" and steps[-1] == "writing the report"
    assert (made.stat().st_mode & 0o077) == (tmp_path.joinpath("out").stat().st_mode & 0o077), (
        "as readable as its neighbours"
    )


@pytest.mark.parametrize(
    "error",
    [FileError("the drawing differs"), OSError(28, "No space left on device"), KeyboardInterrupt()],
)
def test_a_failed_build_leaves_the_old_one(tmp_path, monkeypatch, error):
    """Byte for byte; the child is stopped; no temporary directory stays."""
    stopped = []
    without_kernel(monkeypatch, stopped=stopped)
    build(sample.design(), tmp_path)
    before = contents(tmp_path)

    def fail(*_):
        raise error

    monkeypatch.setattr(annotate, "write_annotated", fail)
    with pytest.raises(type(error) if not isinstance(error, OSError) else FileError):
        build(sample.design(), tmp_path)
    assert (
        contents(tmp_path) == before
        and len(stopped) == 1
        and [p.name for p in tmp_path.iterdir()] == ["sample"]
    )


def test_a_failed_first_build_leaves_nothing(tmp_path, monkeypatch):
    """Not even the directories that it made."""
    without_kernel(monkeypatch)
    monkeypatch.setattr(annotate, "write_annotated", lambda *_: 1 / 0)
    with pytest.raises(ZeroDivisionError):
        build(sample.design(), tmp_path / "a" / "b")
    assert list(tmp_path.iterdir()) == []


def test_check_takes_a_design_or_a_layout():
    """The same answer from both."""
    design = sample.design()
    one, two = bodycad.check(design), bodycad.check(design.layout())
    assert [f.text for f in one.findings] == [
        f.text for f in two.findings
    ] and one.layout is two.layout
    assert bodycad.check(replace(design, left_handed=True)).layout.left_handed


def test_what_breaks_in_a_copy_says_nothing_there(capfd, tmp_path):
    """It is written again here, where the reason is told in one line."""

    def broken(report, folder):
        raise KeyError("stack.bass")

    kind = more.Kind("a page", lambda layout: ("a.html",), broken, slow=True)
    copy = Beside("writing a page", partial(files._tried, kind, None, tmp_path))
    with pytest.raises(KeyError):
        files._whole(kind, copy, None, tmp_path)
    assert capfd.readouterr() == ("", "")
