"""What the site ships and under which licence: the list of licences/parts.toml, with the versions that are pinned.

The page about licences, its versions and the texts come from it. A new package, or a file in a foreign folder of the
site, without an entry fails a test. A licence text is taken from the package that carries it; licences/ holds only
those that no package carries.
"""

from __future__ import annotations

import json
import re
import tomllib
from dataclasses import dataclass
from html import escape
from importlib import metadata
from pathlib import Path

from tools.build import engine_build
from tools.common import ENGINE_SOURCE, ROOT, Trouble

FOLDER = ROOT / "tools" / "build" / "licences"
IN_SITE = "licences"
PINNED = re.compile(r"^([A-Za-z0-9._-]+)==([^\s;\\]+)", re.MULTILINE)


@dataclass(frozen=True)
class Part:
    """One thing that the site ships. `origin` says where its version is pinned, `inside` what carries it."""

    name: str
    origin: str
    inside: str
    licence: str
    ships: str
    files: tuple[str, ...]
    seen: tuple[str, ...]
    texts: tuple[str, ...]


def parts() -> tuple[Part, ...]:
    """Every part in the order of the list."""
    data = tomllib.loads((FOLDER / "parts.toml").read_text(encoding="utf-8"))
    return tuple(
        Part(each["name"], each.get("from", ""), each.get("inside", ""), each["licence"], each["ships"],
             tuple(each.get("files", ())), tuple(each.get("seen", ())), tuple(each["texts"]))
        for each in data["part"])


def not_shipped() -> dict[str, str]:
    """Pinned packages that the site does not carry, with the reason."""
    return tomllib.loads((FOLDER / "parts.toml").read_text(encoding="utf-8"))["not-shipped"]


def guide_version() -> str:
    """The version of the guide, from pyproject.toml."""
    return tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))["project"]["version"]


def npm_versions() -> dict[str, str]:
    """Every npm package of the engine's lock file."""
    lock = json.loads((ENGINE_SOURCE / "package-lock.json").read_text(encoding="utf-8"))
    return {path.removeprefix("node_modules/"): each["version"] for path, each in lock["packages"].items() if path}


def version_of(origin: str) -> str:
    """The pinned version of a part. Raises Trouble when nothing pins it."""
    kind, _, name = origin.partition(":")
    try:
        match kind:
            case "guide":
                return guide_version()
            case "npm":
                return npm_versions()[name]
            case "pypi":
                return dict(PINNED.findall((ROOT / "tools" / "requirements.txt").read_text(encoding="utf-8")))[name]
            case "pyodide":
                info = json.loads((engine_build.PYODIDE / "pyodide-lock.json").read_text(encoding="utf-8"))["info"]
                return info[name].removeprefix("emscripten_").replace("_", ".")
    except KeyError:
        pass
    raise Trouble(f"tools/build/licences/parts.toml: nothing pins {origin}")


def text_name(reference: str) -> str:
    """The name that a licence text has in the site."""
    if reference == "root":
        return "this-guide.txt"
    return reference if reference.endswith(".txt") else reference.replace(":", "-").replace("/", "-") + ".txt"


def text_of(reference: str) -> bytes:
    """A licence text: from the installed package, or from tools/build/licences/.

    Raises Trouble when it is not there.
    """
    kind, _, name = reference.partition(":")
    if kind == "root":
        found = [ROOT / "LICENSE"]
    elif kind == "pypi":
        found = [
            Path(str(each.locate()))
            for each in metadata.files(name) or ()
            if re.search(r"\.dist-info/(.*/)?LICENSE(\.\w+)?$", each.as_posix())
        ]
    elif kind == "npm":
        found = sorted((engine_build.PACKAGES / "node_modules" / name).glob("LICENSE*"))
    elif kind == "icons":
        found = [
            Path(str(metadata.distribution("mkdocs-material").locate_file(f"material/templates/.icons/{name}/LICENSE")))
        ]
    else:
        found = [FOLDER / reference]
    if len(found) != 1 or not found[0].is_file():
        raise Trouble(f"tools/build/licences/parts.toml: the licence text {reference} is not where it should be")
    return found[0].read_bytes().replace(b"\r\n", b"\n")


def write_texts(site: Path) -> None:
    """Put every licence text into the site."""
    folder = site / IN_SITE
    folder.mkdir(parents=True, exist_ok=True)
    for reference in sorted({text for part in parts() for text in part.texts}):
        (folder / text_name(reference)).write_bytes(text_of(reference))


def table_html() -> str:
    """The list as a table."""
    rows = "".join(_row(part) for part in parts())
    head = "".join(
        f'<th scope="col">{words}</th>' for words in ("Part", "Version", "License", "What of it this site carries")
    )
    return (
        '<div class="wide" tabindex="0" role="region" aria-label="Licenses"><table class="licences"><thead><tr>'
        f'{head}</tr></thead>'
        f"<tbody>{rows}</tbody></table></div>"
    )


def _row(part: Part) -> str:
    version = version_of(part.origin) if part.origin else f"inside {part.inside}"
    texts = ", ".join(
        f'<a href="{IN_SITE}/{text_name(each)}">{"text" if place == 0 else "more"}</a>'
        for place, each in enumerate(part.texts)
    )
    name = part.licence.replace("LicenseRef-public-domain", "public domain")
    return (f'<tr><th scope="row">{escape(part.name)}</th><td>{escape(version)}</td><td>{escape(name)} ({texts})</td>'
            f"<td>{escape(part.ships)}</td></tr>")
