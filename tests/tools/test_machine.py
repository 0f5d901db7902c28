"""What the tests need of the machine: brought where that is possible, else told in one line and never by a
traceback.
"""

from __future__ import annotations

import sys

import pytest

from tools.check import browser, debian, test_run
from tools.check.debian import Part
from tools.common import Trouble

LACKING = [
    sys.executable, "-c", "import sys; print('more words', file=sys.stderr); sys.exit('libnone.so.1: cannot open "
    "shared object file')",
]


@pytest.fixture
def installs(monkeypatch) -> list[list[str]]:
    """The installer's calls in place of the installer, as root on Debian."""
    calls: list[list[str]] = []
    monkeypatch.setattr(debian, "can_install", lambda: True)
    monkeypatch.setattr(debian, "try_install", lambda command: calls.append(command) or True)
    return calls


def test_a_program_that_does_not_start_is_told_by_its_last_line(tmp_path):
    assert browser.stays_away(LACKING) == "libnone.so.1: cannot open shared object file"
    assert browser.stays_away([str(tmp_path / "none")])
    assert browser.stays_away([sys.executable, "-c", ""]) is None


def test_a_browser_driver_that_lacks_a_library_is_told_in_one_line(monkeypatch, installs):
    monkeypatch.setattr(browser, "driver_program", lambda: LACKING)
    monkeypatch.setattr(browser, "DRIVER", Part("the library", lambda: None, ("libnone1",)))
    with pytest.raises(Trouble) as told:
        browser.need_driver()
    assert "libnone.so.1" in str(
        told.value
    ) and "apt install libnone1" in str(told.value) and "\n" not in str(told.value)
    assert installs[-1][-1] == "libnone1"


def test_what_is_missing_is_installed_in_one_go_and_what_stays_missing_is_named(installs):
    here, late, never = (Part(name, find, (f"{name}-package",)) for name, find in (
        ("here", lambda: "x"), ("late", lambda: "x" if installs else None), ("never", lambda: None)))
    assert debian.bring([here, late, never]) == [never]
    assert installs[1][-2:] == ["late-package", "never-package"]
    assert "here-package" not in sum(installs, [])


def test_nothing_is_installed_without_the_right_to(monkeypatch, installs):
    monkeypatch.setattr(debian, "can_install", lambda: False)
    never = Part("never", lambda: None, ("never-package",))
    assert debian.bring([never]) == [never] and installs == []


@pytest.mark.parametrize(
    ("given", "plain"),
    [
        (["tests/calc"], True), (["tests/calc/test_units.py", "-k", "inch"], True), (["calc"], True),
        (["tests/practice", "tests/calc"], True), ([], False), (["-k", "groove"], False), (["tests/browser"], False),
        (["tests"], False), (["tests/calc", "tests/tools"], False),
    ],
)
def test_tests_of_calc_alone_need_neither_a_browser_nor_the_site(given, plain):
    assert test_run.plain(given) is plain
