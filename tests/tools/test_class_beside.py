"""A class file beside the guide: what `serve --class` and `pack --class` take, and what no kept set may hold."""

from __future__ import annotations

import json
import zipfile

import pytest

from calc.classroom.classfile import read_class, write_class
from tests.calc.test_class_file import CLASS
from tools.build import packer, site_build
from tools.common import Trouble


@pytest.fixture
def small_site(tmp_path):
    site = tmp_path / "site"
    site.mkdir()
    (site / "index.html").write_text("<h1>Guide</h1>")
    for name, data in site_build.NO_CLASS.items():
        (site / name).write_bytes(data)
    return site


def test_the_class_takes_the_place_of_the_empty_files_in_the_zip(small_site, tmp_path):
    file = tmp_path / "mine.json"
    file.write_text(write_class(CLASS), encoding="utf-8")
    made = packer.pack(small_site, tmp_path / "with.zip", packer.class_named(str(file)))
    with zipfile.ZipFile(made) as archive:
        inside = {name.split("/", 1)[1]: archive.read(name) for name in archive.namelist()}
    assert len(archive.namelist()) == len(set(archive.namelist()))
    assert read_class(inside["class.json"]) == CLASS
    assert inside["class.js"].startswith(b"Guide.classFile({")
    without = packer.pack(small_site, tmp_path / "without.zip")
    with zipfile.ZipFile(without) as archive:
        assert json.loads(archive.read(f"{packer.FOLDER}/class.json")) is None


@pytest.mark.parametrize("content, words", [(b"{}", "/format"), ("a".encode("utf-16"), "UTF-16"), (None, "be opened")])
def test_a_file_that_is_none_stops_with_one_line(tmp_path, content, words):
    file = tmp_path / "class.json"
    if content is not None:
        file.write_bytes(content)
    with pytest.raises(Trouble, match=words):
        packer.class_named(str(file))


def test_no_kept_set_holds_the_class(small_site):
    """Else a guide kept for use without a network would show the class of the day when it was kept."""
    assert [path.name for path in site_build.cached_files(small_site)] == ["index.html"]
