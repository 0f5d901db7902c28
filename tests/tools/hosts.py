"""What the tests of served files share: one request, and the tables of the page about hosting."""

from __future__ import annotations

import http.client
import re

from tools.serve import nginx


def ask(port: int, path: str, method: str = "GET", **headers: str):
    """One request; (status, headers, body). Underscores in header names stand for hyphens."""
    link = http.client.HTTPConnection("127.0.0.1", port, timeout=300)
    link.request(method, path, headers={name.replace("_", "-"): value for name, value in headers.items()})
    answer = link.getresponse()
    body = answer.read()
    link.close()
    return answer.status, answer.headers, body


def table(section: str) -> list[list[str]]:
    """The first two columns of the table below a heading of docs/hosting.md, without code marks and its head."""
    text = nginx.PAGE.read_text(encoding="utf-8")
    part = re.split(r"^#+ .*$", text[text.index("{#" + section + "}"):], maxsplit=1, flags=re.MULTILINE)[0]
    rows = [
        [cell.strip().strip("`") for cell in line.strip("|").split("|")][:2]
        for line in part.splitlines()
        if line.startswith("|")
    ]
    return rows[2:]
