"""The command that a new user types: clear answers to wrong arguments, and no work before they are right."""

from __future__ import annotations

import socket
import subprocess
import sys

import pytest

from tools import guide
from tools.check import test_run
from tools.common import ROOT, Trouble
from tools.serve import server


def run_guide(*arguments: str) -> subprocess.CompletedProcess[str]:
    """Run guide.py as a user does."""
    return subprocess.run([sys.executable, ROOT / "tools" / "guide.py", *arguments], capture_output=True, text=True,
                          check=False, timeout=300)


@pytest.mark.parametrize(("arguments", "said"), [
    ([], "command"),
    (["fly"], "fly"),
    (["serve", "--port", "99999"], "65535"),
    (["serve", "--port", "eight"], "'eight' is not a port"),
    (["build", "--everything"], "--everything"),
    (["load", "--readers", "0"], "999"),
])
def test_wrong_arguments_are_told_in_a_line(arguments, said):
    done = run_guide(*arguments)
    assert done.returncode == 2
    assert said in done.stderr
    assert "Traceback" not in done.stderr


def test_help_names_every_command():
    done = run_guide("--help")
    assert done.returncode == 0
    for command in ("serve", "build", "test", "pack", "bench", "load", "fuzz", "cover", "mutate"):
        assert command in done.stdout


def test_taken_port_is_told_and_without_a_port_the_next_is_used():
    with socket.socket() as taken:
        taken.bind(("127.0.0.1", 0))
        taken.listen()
        port = taken.getsockname()[1]
        with pytest.raises(Trouble, match=f"port {port} can't be used"):
            server.open_socket("127.0.0.1", port)
    with server.open_socket("127.0.0.1", None) as first, server.open_socket("127.0.0.1", None) as second:
        assert first.getsockname()[1] != second.getsockname()[1]


def test_address_of_another_machine_is_told():
    with pytest.raises(Trouble, match="can't serve on 192.0.2.1"):
        server.open_socket("192.0.2.1", 8123)


@pytest.mark.parametrize(("host", "loopback"), [("127.0.0.1", True), ("localhost", True), ("0.0.0.0", False)])
def test_only_addresses_that_others_reach_are_warned_of(host, loopback):
    assert server.is_loopback(host) is loopback
    assert "not encrypted" in server.network_warning(host)


def test_stamp_changes_with_the_pinned_versions(tmp_path):
    pinned = tmp_path / "requirements.txt"
    pinned.write_text("one==1\n")
    before = guide.stamp_for(pinned)
    assert guide.stamp_for(pinned) == before
    pinned.write_text("one==2\n")
    assert guide.stamp_for(pinned) != before


SHORT = ["-m", "not long"]


@pytest.mark.parametrize(
    ("given", "asked"),
    [
        ([], [*SHORT, "calc", "tests"]),
        (["-k", "groove"], [*SHORT, "-k", "groove", "calc", "tests"]),
        (["--long"], ["calc", "tests"]),
        (["tests/tools"], ["tests/tools"]),
        (
            ["tests/tools/test_guide_command.py::test_help_names_every_command"],
            ["tests/tools/test_guide_command.py::test_help_names_every_command"],
        ),
    ],
)
def test_a_named_test_replaces_the_whole_run_and_only_then_or_asked_for_the_long_ones_run(given, asked):
    assert test_run.pytest_arguments(given)[4:] == asked


def test_every_pinned_library_has_hashes_and_no_registry():
    files = sorted((ROOT / "tools").glob("requirements*.txt"))
    assert {path.stem for path in files} == {path.stem for path in (ROOT / "tools").glob("requirements*.in")}
    for path in files:
        text = path.read_text()
        assert "://" not in text
        for block in text.replace("\\\n", " ").splitlines():
            assert "==" in block and "--hash=sha256:" in block, block
    assert "://" not in (ROOT / "tools" / "build" / "engine" / "package-lock.json").read_text()
