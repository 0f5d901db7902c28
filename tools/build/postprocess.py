"""Makes the built pages fit the content security policy, and refuses pages that don't.

Every inline script that the theme writes is moved, in its place and order, into `assets/inline/<hash>.js`; the search
shim's outside address becomes the local copy. So the policy of policy.py is one constant for any host, with neither
hashes nor `'unsafe-inline'` for scripts. Style attributes stay allowed: tables and formulas have them. What is left
must be free of inline scripts and styles, event handlers, `javascript:` and outside addresses, plain links too: a
page that has one stops the build with its name.
"""

from __future__ import annotations

import hashlib
import os
import re
from dataclasses import dataclass
from html.parser import HTMLParser
from pathlib import Path

from tools.common import Trouble, write_whole

SHIM_IN_SITE = "assets/javascripts/iframe-worker.js"
SHIM_ADDRESS = re.compile(r"^https?://[^/]+/iframe-worker(@[^/]*)?/shim(/index\.js)?$")
INLINE_FOLDER = "assets/inline"
EXECUTABLE_TYPES = {"", "module", "text/javascript", "application/javascript", "text/ecmascript"}
ADDRESS_ATTRIBUTES = {"src", "href", "srcset", "data", "poster", "action", "formaction", "xlink:href", "background"}
OUTSIDE = re.compile(r"^\s*(?:[a-z][a-z0-9+.-]*:)?//", re.IGNORECASE)
DANGEROUS = re.compile(r"^\s*(javascript|vbscript):", re.IGNORECASE)
CSS_ADDRESS = re.compile(r"""(?:url\(|@import)\s*["']?\s*((?:https?:)?//[^"')\s]*)""", re.IGNORECASE)


@dataclass(frozen=True)
class Tag:
    """A start tag as it stands in the page, with the text up to its end tag when it is a script or style."""

    name: str
    attributes: dict[str, str]
    start: int
    end: int
    body_end: int = -1

    @property
    def is_inline_script(self) -> bool:
        """Whether the browser would run the text inside this tag."""
        kind = self.attributes.get("type", "").strip().lower()
        return self.name == "script" and "src" not in self.attributes and kind in EXECUTABLE_TYPES


class TagReader(HTMLParser):
    """Collects every start tag with its place in the text."""

    def __init__(self, text: str) -> None:
        super().__init__(convert_charrefs=True)
        self.line_starts = [0]
        for line in text.split("\n"):
            self.line_starts.append(self.line_starts[-1] + len(line) + 1)
        self.tags: list[Tag] = []
        self.feed(text)
        self.close()

    def place(self) -> int:
        line, column = self.getpos()
        return self.line_starts[line - 1] + column

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        start = self.place()
        # The first of two attributes with one name counts, as in browsers.
        named = {name.lower(): value or "" for name, value in reversed(attrs)}
        self.tags.append(Tag(tag, named, start, start + len(self.get_starttag_text() or "")))

    def handle_startendtag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.handle_starttag(tag, attrs)

    def handle_endtag(self, tag: str) -> None:
        last = self.tags[-1] if self.tags else None
        if tag in {"script", "style"} and last and last.name == tag and last.body_end < 0:
            self.tags[-1] = Tag(last.name, last.attributes, last.start, last.end, self.place())


def read_tags(text: str) -> list[Tag]:
    """Every start tag of a page in order."""
    return TagReader(text).tags


def relative(page: Path, target: str, site: Path) -> str:
    """Address of a site file as seen from a page."""
    return os.path.relpath(site / target, page.parent).replace(os.sep, "/")


def move_scripts_out(page: Path, text: str, site: Path) -> tuple[str, dict[str, bytes]]:
    """Return the page with its inline scripts replaced by addresses, and the files to write."""
    pieces, files, done = [], {}, 0
    for tag in read_tags(text):
        if tag.name != "script":
            continue
        if tag.is_inline_script:
            if tag.body_end < 0:
                raise Trouble(f"{page.relative_to(site)}: a script has no end tag")
            body = text[tag.end:tag.body_end]
            name = f"{INLINE_FOLDER}/{hashlib.sha256(body.encode()).hexdigest()[:12]}.js"
            files[name] = body.encode()
            kept = "".join(f' {key}="{value}"' for key, value in tag.attributes.items() if key in {"type", "id"})
            new, end = f'<script{kept} src="{relative(page, name, site)}">', tag.body_end
        elif SHIM_ADDRESS.match(tag.attributes.get("src", "")):
            new, end = f'<script src="{relative(page, SHIM_IN_SITE, site)}">', tag.end
        else:
            continue
        pieces += [text[done:tag.start], new]
        done = end
    return "".join([*pieces, text[done:]]), files


def faults_of(text: str) -> list[str]:
    """What in a page the policy would block or what leaves the site."""
    faults = []
    for tag in read_tags(text):
        where = f"<{tag.name}>"
        if tag.is_inline_script:
            faults.append(f"{where} holds an inline script")
        if tag.name == "style":
            faults.append(f"{where} holds inline style rules: put them into a style sheet")
        if tag.name == "base":
            faults.append(f"{where} would move every address of the page")
        for name, value in tag.attributes.items():
            if name.startswith("on"):
                faults.append(f"{where} has the event handler {name}")
            elif name == "srcdoc":
                faults.append(f"{where} has {name}")
            elif name in ADDRESS_ATTRIBUTES:
                parts = value.split(",") if name == "srcset" else [value]
                if any(OUTSIDE.match(part) for part in parts):
                    faults.append(f"{where} points outside the site: {value[:80]}")
                if DANGEROUS.match(value):
                    faults.append(f"{where} runs a script by its address")
    return faults


def style_faults(text: str) -> list[str]:
    """Outside addresses in a style sheet."""
    return [f"loads from outside the site: {address[:80]}" for address in CSS_ADDRESS.findall(text)]


def process(site: Path) -> None:
    """Rewrite every page of a site in place, then check pages and style sheets. Raises Trouble with every fault."""
    faults = []
    for page in sorted(site.rglob("*.html")):
        text, files = move_scripts_out(page, page.read_text(encoding="utf-8"), site)
        for name, data in files.items():
            write_whole(site / name, data)
        write_whole(page, text.encode())
        faults += [f"{page.relative_to(site).as_posix()}: {fault}" for fault in faults_of(text)]
    for sheet in sorted(site.rglob("*.css")):
        faults += [f"{sheet.relative_to(site).as_posix()}: {fault}" for fault in
                   style_faults(sheet.read_text(encoding="utf-8"))]
    if faults:
        more = [f"... and {len(faults) - 20} more"] if len(faults) > 20 else []
        raise Trouble("\n  ".join(["pages break the content security policy:", *faults[:20], *more]))
