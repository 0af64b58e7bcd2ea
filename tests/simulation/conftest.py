"""Cutting files as they are written, and a copy to spoil, of the `layout` of each module."""

from __future__ import annotations

import shutil

import pytest

from tests.simulation.bodies import written


@pytest.fixture(scope="module")
def sound(layout, tmp_path_factory):
    return written(layout, tmp_path_factory.mktemp("cam"))


@pytest.fixture
def files(sound, tmp_path):
    """A copy to spoil."""
    shutil.copytree(sound, tmp_path / "cam")
    return tmp_path / "cam"
