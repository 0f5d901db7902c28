"""A class from its file to the table: served where no network leads anywhere, joined by the printed address, killed in
between, handed in with one file damaged, one double and one hostile. The table is held against what was handed in, read
here as plain JSON."""

from __future__ import annotations

import csv
import io
import json
import shutil
import subprocess
import sys
from pathlib import Path

import pytest
from playwright.sync_api import Page, expect

from tests.tools.test_room import ADDRESS, IP
from tools.common import ROOT

HOSTILE = '<script>document.title = "taken over"</script>'


def in_a_network_of_its_own() -> tuple[list[str], str]:
    """What a command is started with so that it has a network without any way out, and the host to serve on there."""
    ip = IP.get()
    if ip and shutil.which("unshare"):
        made = (f"{ip} link set lo up multicast on && {ip} addr add {ADDRESS}/24 dev lo && "
                f"{ip} route add 224.0.0.0/4 dev lo && exec \"$0\" \"$@\"")
        start = ["unshare", "--net", "sh", "-c", made]
        if subprocess.run([*start, "true"], capture_output=True, check=False).returncode == 0:
            return start, "0.0.0.0"
    return [], "127.0.0.1"


@pytest.mark.parametrize("trainees, kills", [
    pytest.param(3, 1, id="3 trainees, 1 kill"),
    pytest.param(14, 20, id="14 trainees, 20 kills", marks=pytest.mark.long),
])
@pytest.mark.skipif(not Path("/proc/self/cmdline").exists(), reason="finds the browsers to kill the way of Linux")
def test_a_fortnight(page: Page, served: str, tmp_path: Path, trainees: int, kills: int) -> None:
    start, host = in_a_network_of_its_own()
    command = [*start, sys.executable, "-m", "tests.browser.fortnight", str(tmp_path), str(trainees), str(kills), host]
    done = subprocess.run(command, capture_output=True, text=True, encoding="utf-8", cwd=ROOT, check=False)
    assert done.returncode == 0, done.stderr[-3000:]
    told = json.loads(done.stdout.splitlines()[-1])
    assert (told["killed"], told["lost"], told["errors"]) == (kills, [], [])
    assert told["address"] == f"http://{ADDRESS}:8000/" or not start

    handed = tmp_path / "handed"
    names = sorted(f"Trainee {number}" for number in range(1, trainees + 1))
    for name in names:
        progress = json.loads((handed / f"{name} progress.json").read_text(encoding="utf-8"))
        (reader,) = progress["profiles"]
        assert reader["name"] == name and set(reader["answers"]) == {"groove-angle-meaning", "own-oven-log-morning"}
        plate = json.loads((handed / f"{name} plate.json").read_text(encoding="utf-8"))
        assert plate["values"]["welder"] == name and plate["values"]["procedure"] == "FL-TP-03, issue 2"
    whole = (handed / "Trainee 1 progress.json").read_bytes()
    (handed / "damaged.json").write_bytes(whole[: len(whole) // 2])
    shutil.copy(handed / "Trainee 2 plate.json", handed / "double.json")
    hostile = json.loads((handed / "Trainee 3 plate.json").read_text(encoding="utf-8"))
    (handed / "hostile.json").write_text(json.dumps({**hostile, HOSTILE: HOSTILE}), encoding="utf-8")
    check_command_line(handed, names)
    check_page(page, served, handed, names)


def check_command_line(handed: Path, names: list[str]) -> None:
    done = subprocess.run([sys.executable, "-m", "calc", "judge", str(handed), "--csv"], capture_output=True, text=True,
                          encoding="utf-8", cwd=ROOT, check=False)
    assert done.returncode == 1, "some files were not taken"
    lines = list(csv.DictReader(io.StringIO(done.stdout.lstrip("\ufeff"))))
    people = [line for line in lines if line["Name"] != "Not taken"]
    assert sorted(line["Name"] for line in people) == names and len(lines) == len(names) + 3
    assert all(line["Test"] and line["Verdict"] and line["Last practice"] for line in people)
    refused = done.stderr.splitlines()
    assert sorted(Path(line.partition(": ")[0]).name for line in refused if ".json: " in line) == [
        "damaged.json", "double.json", "hostile.json"]


def check_page(page: Page, served: str, handed: Path, names: list[str]) -> None:
    page.goto(served + "class.html")
    page.set_input_files("#class-files", sorted(handed.iterdir()))
    expect(page.locator("[data-class-glance] .said")).to_have_text(f"{len(names)} in the class.", timeout=120_000)
    table = page.locator("table.glance").first
    assert sorted(table.locator("tbody th").all_inner_texts()) == names
    refused = page.locator(".glance-refused li")
    expect(refused).to_have_count(3)
    assert [text.split(".json")[0] for text in sorted(refused.all_inner_texts())] == ["damaged", "double", "hostile"]
    assert page.title() != "taken over" and page.locator(".glance-shown script").count() == 0
