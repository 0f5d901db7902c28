"""The fuzzers' short form, and that they would notice: a planted break is kept as a file, told, and found again by it."""

from __future__ import annotations

import math
import os
import subprocess
import sys

import pytest

from tools.check import fuzz, fuzz_targets
from tools.common import ROOT, Trouble


def test_short_form_breaks_nothing(tmp_path):
    done = subprocess.run(
        [sys.executable, "-m", "tools.check.fuzz", "--short", "--engine", "hypothesis"], cwd=ROOT, capture_output=True, encoding="utf-8", check=False,
        env={**os.environ, "PYTHONUTF8": "1", "GUIDE_FUZZ_FOLDER": str(tmp_path)},
    )
    assert done.returncode == 0, done.stdout + done.stderr
    for name in fuzz_targets.TARGETS:
        assert f"{name} " in done.stdout
    assert f"{sum(fuzz.SHORT.values()):,} inputs by hypothesis, 0 findings." in done.stdout


def test_what_breaks_is_kept_once_a_place_and_the_shorter_input_stays(tmp_path):
    def planted(data: bytes) -> None:
        if b"7" in data:
            raise ZeroDivisionError("planted")

    run = fuzz.Run("numbers", planted, 3, tmp_path)
    for data in (b"fine", b"far too long 7", b"7"):
        run.one(data)
    (kept,) = tmp_path.glob("*.bin")
    assert run.count == 3 and list(run.found.values()) == [kept.name]
    assert kept.read_bytes() == b"7" and "planted" in kept.with_suffix(".txt").read_text()


def test_a_kept_input_runs_again_in_the_open(tmp_path, monkeypatch):
    kept = tmp_path / "numbers-0123456789.bin"
    kept.write_bytes(b"\x00")
    assert fuzz.repeat(kept) == 0
    monkeypatch.setitem(fuzz_targets.TARGETS, "numbers", lambda data: 1 / data[0])
    with pytest.raises(ZeroDivisionError):
        fuzz.repeat(kept)
    with pytest.raises(Trouble, match="not a kept input"):
        fuzz.repeat(tmp_path / "riddles-1.bin")


@pytest.mark.parametrize(("answer", "said"), [
    ({"html": "<p><fz></p>"}, "markup"),
    ({"read": {"thickness": '<input value="" fz="">'}}, "markup"),
    ({"values": [1.0, math.inf]}, "Infinity"),
    ({"html": "<p>nan mm</p>"}, "not a finite number"),
    ({"trouble": "The page asked in a form the guide does not know (KeyError)."}, "trouble"),
])
def test_a_bad_answer_is_noticed(monkeypatch, answer, said):
    monkeypatch.setattr(fuzz_targets, "respond", lambda text: fuzz_targets.json.dumps(answer))
    with pytest.raises(fuzz_targets.Broken, match=said):
        fuzz_targets.asked({"do": "answer", "calculator": "groove", "inputs": {}}, well_formed=True)


def test_every_target_has_its_share_and_a_short_form():
    assert set(fuzz.SHARES) == set(fuzz.SHORT) == set(fuzz_targets.TARGETS) == set(fuzz.FUZZ_TARGETS)
    assert sum(fuzz.shared_out(fuzz.MILLION, None).values()) == fuzz.MILLION


def test_the_dictionary_is_in_the_form_that_the_fuzzer_reads():
    for line in fuzz.dictionary_text(fuzz_targets.TOKENS + fuzz_targets.TOML_PIECES).splitlines():
        assert line.startswith('"') and line.endswith('"') and line.isascii() and '"' not in line[1:-1]
