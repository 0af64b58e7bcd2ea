"""A build's files: all or none, never over anything that is not a build's."""

import json
from dataclasses import replace

import pytest

import bodycad
from bodycad.checks.finding import Finding
from bodycad.design import build
from bodycad.errors import FileError, InputError
from bodycad.exports import files
from bodycad.exports.dxf import annotate
from bodycad.solid import child
from tests import sample
from tests.exports.test_report_html import tree


def without_kernel(monkeypatch, found=(), stopped=None):
    """Stand in for the child process: it writes nothing and answers `found`."""
    monkeypatch.setattr(child, "start", lambda layout, directory, *_: directory)
    monkeypatch.setattr(child, "finish", lambda handle: tuple(found))
    monkeypatch.setattr(
        child, "stop", lambda handle: stopped.append(handle) if stopped is not None else None
    )


def contents(directory):
    """Names and bytes of everything below."""
    return {
        str(p.relative_to(directory)): p.read_bytes() for p in directory.rglob("*") if p.is_file()
    }


def test_a_whole_build(tmp_path):
    """The files of the contract, in their place alone; the report agrees with the returned one."""
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
                )
            ),
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


def test_a_second_build_replaces_the_first(tmp_path, monkeypatch):
    """Files of the first that the second does not make are gone; nothing else is left beside it."""
    without_kernel(monkeypatch)
    build(sample.design(), tmp_path)
    (tmp_path / "sample" / "sample-old.pdf").write_text("of an older version")
    build(sample.design(left_handed=True), tmp_path)
    assert not (tmp_path / "sample" / "sample-old.pdf").exists() and [
        p.name for p in tmp_path.iterdir()
    ] == ["sample"]
    assert "left-handed" in (tmp_path / "sample" / "report.html").read_text()


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


def test_a_move_that_fails_brings_the_old_build_back(tmp_path, monkeypatch):
    """The last step can fail too."""
    without_kernel(monkeypatch)
    build(sample.design(), tmp_path)
    before, rename = contents(tmp_path), files.Path.rename

    def fail(self, target):
        if self.name.startswith(".sample-") and files.Path(target) == tmp_path / "sample":
            raise OSError(5, "Input/output error")
        return rename(self, target)

    monkeypatch.setattr(files.Path, "rename", fail)
    with pytest.raises(FileError, match="nothing was replaced"):
        build(sample.design(), tmp_path)
    assert contents(tmp_path) == before and [p.name for p in tmp_path.iterdir()] == ["sample"]


def test_the_kernels_findings_join_the_report(tmp_path, monkeypatch):
    """A crash is a finding: the files are written, the verdict is fail, the row is in both
    reports."""
    without_kernel(
        monkeypatch,
        [Finding("solid", "error", ("body",), "the kernel was ended while cutting a.route")],
    )
    report = build(sample.design(), tmp_path)
    assert report.verdict == "fail" and report.findings[0].check == "solid"
    assert (
        json.loads((tmp_path / "sample" / "report.json").read_text())["findings"][0]["check"]
        == "solid"
    )
    assert "ended while cutting a.route" in (tmp_path / "sample" / "report.html").read_text()


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
def test_a_directory_that_is_not_a_build_is_left_alone(tmp_path, monkeypatch, name, text):
    """Foreign files, another design's report, or no report: refused before anything is done."""
    without_kernel(monkeypatch)
    place = tmp_path / "sample" / name
    place.parent.mkdir(parents=True)
    place.write_text(text)
    with pytest.raises(InputError, match="move it away"):
        build(sample.design(), tmp_path)
    assert contents(tmp_path) == {f"sample/{name}": text.encode()}


def test_an_empty_directory_and_a_link_will_do(tmp_path, monkeypatch):
    """A link to another disk keeps pointing there."""
    without_kernel(monkeypatch)
    (tmp_path / "disk").mkdir()
    (tmp_path / "sample").symlink_to(tmp_path / "disk", target_is_directory=True)
    build(sample.design(), tmp_path)
    assert (tmp_path / "sample").is_symlink() and (tmp_path / "disk" / "report.json").exists()


def test_check_takes_a_design_or_a_layout():
    """The same answer from both."""
    design = sample.design()
    one, two = bodycad.check(design), bodycad.check(design.layout())
    assert [f.text for f in one.findings] == [
        f.text for f in two.findings
    ] and one.layout is two.layout
    assert bodycad.check(replace(design, left_handed=True)).layout.left_handed
