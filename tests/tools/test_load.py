"""The classroom of `guide.py load`: it counts what came whole, and tells what did not."""

from __future__ import annotations

import shutil
import subprocess
import sys

from tools.common import ROOT
from tools.serve import load, server


def test_a_small_class_fetches_everything_from_serve(site):
    done = subprocess.run(
        [sys.executable, "-m", "tools.serve.load", "--short"],
        cwd=ROOT, capture_output=True, text=True, check=False, timeout=600,
    )
    assert done.returncode == 0, done.stdout + done.stderr
    all_files = load.SHORT_READERS * len(load.offline_set(site))
    assert f"{all_files} of {all_files} files complete, 0 errors" in done.stdout


def test_every_damaged_or_missing_file_is_counted(site, tmp_path):
    folder = tmp_path / "site"
    shutil.copytree(site, folder)
    for suffix in ("", ".br", ".gz"):
        (folder / f"groove.html{suffix}").unlink()
    page = folder / "rods.html.br"
    page.write_bytes(page.read_bytes()[:-40])
    files = load.offline_set(site)
    with server.Running(folder) as running:
        done = load.fetch_all(running.url, files, 3)
    assert done.complete == 3 * (len(files) - 2)
    assert {fault.split(":")[0] for fault in done.faults} == {"groove.html", "rods.html"}
    assert not done.well


def test_a_server_that_is_not_there_is_told(site):
    with server.Running(site) as running:
        url = running.url
    done = load.fetch_all(url, {"index.html": "x"}, 2)
    assert (done.complete, len(done.faults)) == (0, 2)


def test_no_reader_is_left_out():
    for readers, processes in ((60, 2), (7, 3), (1, 8)):
        assert sum(load.shares(readers, processes)) == readers
        assert 0 not in load.shares(readers, processes)
