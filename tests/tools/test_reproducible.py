"""The same sources give the same bytes, whatever the clock's zone, the order of sets and the language of the machine.

The engine's files come from the cache here; `guide.py build --twice` makes those anew as well.
"""

from __future__ import annotations

import pytest

from tools.build import packer, site_build


@pytest.mark.long
def test_a_build_elsewhere_gives_the_same_site_and_zip(site, tmp_path):
    other = tmp_path / "elsewhere" / "site"
    other.parent.mkdir()
    site_build.build_elsewhere(other, **site_build.OTHER_MACHINES[0])
    assert site_build.differences(site, other) == []
    assert packer.pack(site, tmp_path / "a.zip").read_bytes() == packer.pack(other, tmp_path / "b.zip").read_bytes()


def test_a_difference_is_seen(tmp_path):
    for name, text in (("one", "a"), ("two", "b")):
        (tmp_path / name / "sub").mkdir(parents=True)
        (tmp_path / name / "same").write_text("x")
        (tmp_path / name / "sub" / "other").write_text(text)
    (tmp_path / "two" / "more").write_text("x")
    assert site_build.differences(tmp_path / "one", tmp_path / "two") == ["more", "sub/other"]
