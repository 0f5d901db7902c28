"""What the browser runs is calc, byte for byte, on a library that lacks nothing calc can reach."""

from __future__ import annotations

import _imp
import json
import os
import sys
import zipfile
from pathlib import Path

import pytest

from calc.record.demo import TEST
from calc.record.files import write_record
from calc.web import respond
from tools.build import engine_build
from tools.common import ROOT

REQUEST = json.dumps({"do": "answer", "calculator": "groove", "inputs": {"thickness": "3/8 in"}})
BAD_REQUEST = json.dumps({"do": "answer", "calculator": "groove", "inputs": {"thickness": "a lot"}})


def carried_sources(engine) -> dict[str, bytes]:
    """The sources that the site carries: name -> bytes."""
    with zipfile.ZipFile(engine.source) as archive:
        return {name: archive.read(name) for name in archive.namelist()}


def test_site_carries_calc_byte_for_byte(engine):
    here = {path.relative_to(ROOT).as_posix(): path.read_bytes() for path in (ROOT / "calc").rglob("*")
            if path.suffix in {".py", ".toml"}}
    assert carried_sources(engine) == here


def test_what_runs_was_made_from_those_bytes(engine):
    """PEP 552: a .pyc with flags 1 carries the SipHash of its source, keyed by its Python's magic number."""
    sources = carried_sources(engine)
    with zipfile.ZipFile(engine.calc) as archive:
        runs = {name: archive.read(name) for name in archive.namelist()}
    assert set(runs) == {name + "c" if name.endswith(".py") else name for name in sources}
    for name, source in sources.items():
        if name.endswith(".py"):
            head = runs[name + "c"][:16]
            assert int.from_bytes(head[4:8], "little") == 1
            assert head[8:] == _imp.source_hash(int.from_bytes(head[:4], "little"), source), name
        else:
            assert runs[name] == source, name


def test_trimmed_library_lacks_no_module_that_calc_names(engine):
    """Load all of calc, and every module named anywhere in it, in the browser's Python with the browser's library."""
    sources = {name: source for name, source in carried_sources(engine).items()
               if name.endswith(".py") and name.split("/")[-1] not in engine_build.NOT_IN_BROWSER}
    modules = [name.removesuffix(".py").removesuffix("/__init__").replace("/", ".") for name in sources]
    imports = sorted(set().union(*map(engine_build.static_imports, sources.values())))
    for request in (REQUEST, BAD_REQUEST):
        said = engine_build.compile_job(
            {"mode": "try", "names": modules, "imports": imports, "request": request},
            files={"calc.zip": engine.calc}, out={}, library=engine.library)
        assert said["faults"] == {}
        assert json.loads(said["answer"]) == json.loads(respond(request))


def test_a_module_that_is_not_carried_would_be_seen(engine):
    """The check above can fail: a module that was trimmed away is reported by name."""
    with zipfile.ZipFile(engine.library) as library:
        assert "smtplib.pyc" not in library.namelist()
    said = engine_build.compile_job({"mode": "try", "names": [], "imports": ["smtplib"]},
                                    files={"calc.zip": engine.calc}, out={},
                                    library=engine.library)
    assert list(said["faults"]) == ["smtplib"]


def test_imports_are_found_wherever_they_stand():
    source = b"import json\nfrom fractions import Fraction\nfrom . import x\nfrom calc.core.units import y\n" \
             b"def f():\n    import decimal, js\n    from os.path import join\n"
    assert engine_build.static_imports(source) == {"json", "fractions", "decimal", "os.path"}


QR = {"do": "test-sheet", "record": json.loads(write_record(TEST)), "link": "https://guide.example/your-test.html#test=1"}
RECALL = {"do": "practice-daily", "today": "2026-03-02", "test_date": "2026-03-23", "cards": {}}


@pytest.mark.parametrize(("name", "asked", "mark"), [("qr", QR, 'class=\\"qr\\"'), ("recall", RECALL, '"planned"')])
def test_what_calc_may_do_without_comes_in_a_part_of_its_own(engine, tmp_path, name, asked, mark):
    """Nothing of it is in what starts; with it the browser's Python answers what is answered here."""
    request = json.dumps(asked)
    package, _ = engine_build.LATER[name]
    both = tmp_path / "both.zip"
    with zipfile.ZipFile(engine.calc) as calc, zipfile.ZipFile(engine.later[name]) as later, \
            zipfile.ZipFile(both, "w") as whole:
        assert not [each for each in calc.namelist() if each.startswith(package)]
        for archive in (calc, later):
            for each in archive.namelist():
                whole.writestr(each, archive.read(each))
    without, whole_answer = [
        engine_build.compile_job({"mode": "try", "names": [], "imports": [], "request": request},
            files={"calc.zip": archive}, out={}, library=engine.library)["answer"]
        for archive in (engine.calc, both)
    ]
    assert json.loads(without)["needs"] == name and mark not in without
    assert json.loads(whole_answer) == json.loads(respond(request)) and mark in whole_answer


def test_engine_keeps_to_its_weight(site):
    """4.5 MB at most until the first live answer on a slow line; else about as much as Pyodide as shipped with calc's
    sources: it was less, and is 0.2 % more since calc grew by the booth, the photo and the class.
    """
    from tools.check import bench

    megabytes = bench.engine_brotli(site)
    assert megabytes["bytecode"] <= 4_500_000
    assert megabytes["kept"] <= 1.005 * megabytes["stock"]


def test_kept_memory_knows_nothing_of_the_machine_that_made_it(engine):
    kept = engine.memory.read_bytes()
    for place in {str(ROOT), str(Path.home()), os.path.realpath(sys.executable)} - {"/"}:
        assert place.encode() not in kept


@pytest.mark.long
def test_kept_memory_is_the_same_each_time_it_is_made(engine, tmp_path, monkeypatch):
    monkeypatch.setattr(engine_build, "PRODUCTS", tmp_path)
    monkeypatch.setenv("TZ", "Pacific/Kiritimati")
    again, _ = engine_build.build_memory(engine.library, engine.calc)  # for calc and library as they are, nothing kept
    assert again.read_bytes() == engine.memory.read_bytes()
