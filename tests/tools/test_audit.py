"""All that is fetched is pinned by version and hash, and the audit tells "nothing known" from "could not ask"."""

from __future__ import annotations

import json

import pytest

from tools.check import audit

HASH = "--hash=sha256:" + "0" * 64


def test_every_pin_of_the_project_is_whole():
    assert audit.pin_faults() == []
    assert {path.name for path in audit.TOOLS.glob("requirements*.in")} == {
        path.with_suffix(".in").name for path in audit.TOOLS.glob("requirements*.txt")}


@pytest.mark.parametrize(
    ("text", "said"),
    [
        (f"six==1.16.0 \\\n    {HASH}\n", None),
        (f"six==1.16.0 ; python_full_version < '3.13' \\\n    {HASH} \\\n    {HASH}\n", None),
        ("six==1.16.0\n", "line 1: six==1.16.0 has no hash"),
        (f"# a note\nsix>=1.16.0 {HASH}\n", "line 2: six>=1.16.0 is not one exact version"),
        (f"six==1.* {HASH}\n", "not one exact version"),
        (f"six @ https://example.org/six.whl {HASH}\n", "not one exact version"),
        ("six==1.16.0 --hash=md5:00\n", "no SHA-256"),
        ("--index-url https://example.org/\n", "not one exact version"),
    ],
)
def test_a_loose_requirement_is_told(text, said):
    faults = audit.requirement_faults(text)
    assert not faults if said is None else said in faults[0]


def changed_lock(**package: object) -> str:
    """The project's own lock with one package changed; None takes a field out."""
    data = json.loads(audit.LOCK.read_text(encoding="utf-8"))
    each = data["packages"]["node_modules/idb"]
    each.update(package)
    data["packages"]["node_modules/idb"] = {name: value for name, value in each.items() if value is not None}
    return json.dumps(data)


@pytest.mark.parametrize(
    ("change", "said"),
    [
        ({"integrity": None}, "integrity"),
        ({"integrity": "sha1-abc"}, "integrity"),
        ({"resolved": "https://example.org/idb.tgz"}, "address"),
        ({"version": None}, "version"),
    ],
)
def test_a_loose_lock_entry_is_told(change, said):
    assert audit.lock_faults(changed_lock()) == []
    (fault,) = audit.lock_faults(changed_lock(**change))
    assert "idb" in fault and said in fault


PIP_REPORT = {
    "dependencies": [
        {"name": "good", "version": "1.0", "vulns": []},
        {
            "name": "bad",
            "version": "2.0",
            "vulns": [{"id": "PYSEC-1", "fix_versions": ["2.1"], "aliases": [], "description": ""}],
        },
    ],
    "fixes": [],
}
NPM_REPORT = {
    "vulnerabilities": {"bad": {"severity": "high", "via": [{"title": "Runs text"}, "other"]}},
    "metadata": {},
}


def test_reports_are_read_and_half_a_report_is_none():
    assert audit.python_findings(json.dumps(PIP_REPORT)) == ["bad 2.0: PYSEC-1, mended in 2.1"]
    assert audit.npm_findings(json.dumps(NPM_REPORT)) == ["bad: high, Runs text; by way of other"]
    skipped = {"dependencies": [{"name": "good", "skip_reason": "not found"}]}
    assert [audit.python_findings(text) for text in ("", "{}", json.dumps(skipped))] == [None] * 3
    assert [audit.npm_findings(text) for text in ("", '{"error": {"summary": "no"}}', '{"message": "404"}')] == [
        None
    ] * 3


@pytest.mark.parametrize(
    ("python", "npm", "code", "words"),
    [
        ([], [], 0, "No vulnerability is known"),
        (["x 1: Y"], [], 1, "x 1: Y"),
        ([], ["z: high, w"], 1, "z: high"),
        (None, [], 3, "Could not ask about tools/requirements-audit.txt"),
        (None, None, 3, "tools/build/engine/package-lock.json"),
        (None, ["z"], 1, "Could not ask"),
    ],
)
def test_what_the_command_says_and_returns(monkeypatch, capsys, python, npm, code, words):
    monkeypatch.setattr(audit, "ask_python", lambda path, service: (python, "no route"))
    monkeypatch.setattr(audit, "ask_npm", lambda path: (npm, "no route"))
    assert audit.main([]) == code
    assert words in capsys.readouterr().out
