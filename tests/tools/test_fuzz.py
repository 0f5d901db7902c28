"""That the fuzzers would notice: a planted break is found, a bad answer told, and a kept input runs again."""

from __future__ import annotations

import math
import os
import subprocess
import sys

import pytest

from tools import guide
from tools.check import fuzz, fuzz_targets
from tools.common import ROOT, Trouble


@pytest.mark.long
def test_the_short_form_breaks_nothing():
    done = subprocess.run(
        [sys.executable, "-m", "tools.check.fuzz", "--short"],
        cwd=ROOT, capture_output=True, encoding="utf-8", check=False,
        env={**os.environ, "PYTHONUTF8": "1"},
    )
    assert done.returncode == 0, done.stdout + done.stderr
    for name in fuzz_targets.TARGETS:
        assert f"{name}: " in done.stdout
    assert "No input broke a promise." in done.stdout


def test_hypothesis_finds_a_planted_break_and_makes_it_small(tmp_path, monkeypatch):
    seen = []

    def planted(data: bytes) -> None:
        seen.append(data)
        if 7 in data:
            raise ZeroDivisionError("planted")

    monkeypatch.setattr(fuzz, "FOLDER", tmp_path)
    with pytest.raises(ZeroDivisionError, match="planted"):
        fuzz.by_hypothesis(planted, 500, 1)()
    assert seen[-1] == b"\x07"


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


def test_every_target_has_its_share():
    assert set(fuzz.SHARES) == set(fuzz_targets.TARGETS) == set(guide.FUZZ_TARGETS)
    assert sum(fuzz.shared_out(fuzz.MANY, None).values()) == fuzz.MANY


def test_the_dictionary_is_in_the_form_that_the_fuzzer_reads():
    for line in fuzz.dictionary_text(fuzz_targets.TOKENS + fuzz_targets.TOML_PIECES).splitlines():
        assert line.startswith('"') and line.endswith('"') and line.isascii() and '"' not in line[1:-1]
