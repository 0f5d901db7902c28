"""mkdocs hook: what the guide says of itself.

    [licences]     the table of what the site ships
    [changelog]    CHANGELOG.md, without its title

and the line at the foot of every page: version, and the day when the values were last checked against the sources.
"""

from __future__ import annotations

import re
import sys
from datetime import date
from pathlib import Path

sys.path.insert(0, str(Path(__file__).resolve().parents[3]))

from mkdocs.exceptions import PluginError  # noqa: E402
from mkdocs.plugins import event_priority  # noqa: E402

from calc.core.sources import CHECKED_ON  # noqa: E402
from tools.build import engine_build, licences  # noqa: E402
from tools.common import ROOT, Trouble  # noqa: E402

MARK = re.compile(r"^\[(licences|changelog)\]$", re.MULTILINE)
RELEASE = re.compile(r"^## (\d+\.\d+\.\d+), (\d{1,2} \w+ \d{4})$", re.MULTILINE)
SLOT = "slot-of-the-licences"


def plain_date(day: date) -> str:
    """A day in words, the same in every language of the machine."""
    months = ("January February March April May June July August September October November December").split()
    return f"{day.day} {months[day.month - 1]} {day.year}"


def changelog() -> str:
    """The changelog with an anchor at each release. Raises PluginError unless its newest release is the guide's version."""
    text = (ROOT / "CHANGELOG.md").read_text(encoding="utf-8")
    newest = RELEASE.search(text)
    if not newest or newest[1] != licences.guide_version():
        raise PluginError(f"CHANGELOG.md: its first release is {newest[1] if newest else 'missing'}, pyproject.toml says {licences.guide_version()}")
    body = re.sub(r"\A# .*\n", "", text)
    return RELEASE.sub(lambda found: f"{found[0]} {{#changelog-{found[1].replace('.', '-')}}}", body).strip()


def on_config(config):
    """The foot of every page."""
    config.copyright = (
        f'<a href="changelog.html">Version {licences.guide_version()}</a>. Values last checked against the sources we hold on '
        f'{plain_date(CHECKED_ON)}: <a href="register.html">register of values</a>. <a href="licences.html">Licences</a>.'
    )
    return config


def on_page_markdown(markdown, page, config, files):
    """Fill in the changelog; the table waits in a slot."""
    return MARK.sub(lambda found: changelog() if found[1] == "changelog" else SLOT, markdown)


@event_priority(-50)  # after the hook that wraps tables
def on_page_content(html, page, config, files):
    """Put the table in its place."""
    if f"<p>{SLOT}</p>" not in html:
        return html
    engine_build.fetch_packages()
    try:
        return html.replace(f"<p>{SLOT}</p>", licences.table_html())
    except Trouble as trouble:
        raise PluginError(str(trouble)) from None


def on_post_build(config):
    """The licence texts."""
    licences.write_texts(Path(config["site_dir"]))
