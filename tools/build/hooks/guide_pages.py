"""mkdocs hook: stops the build where the question files have problems, and writes the foot of every page."""

from __future__ import annotations

import sys
from datetime import date
from pathlib import Path

sys.path.insert(0, str(Path(__file__).resolve().parents[3]))

from mkdocs.exceptions import PluginError  # noqa: E402

from calc.core.sources import CHECKED_ON  # noqa: E402
from calc.practice.forms import problems  # noqa: E402
from tools.build import licences  # noqa: E402


def plain_date(day: date) -> str:
    """A day in words, the same in every language of the machine."""
    months = ("January February March April May June July August September October November December").split()
    return f"{day.day} {months[day.month - 1]} {day.year}"


def on_config(config):
    """The foot of every page: version, and the day when the values were last checked against the sources."""
    if faults := problems():
        raise PluginError("\n".join(["the question files have problems:", *map(str, faults)]))
    config.copyright = (
        f'<a href="changelog.html">Version {licences.guide_version()}</a>. Values last checked against the sources '
        'we hold on '
        f'{plain_date(CHECKED_ON)}: <a href="register.html">register of values</a>. <a href="licences.html">'
        'Licenses</a>.'
    )
    return config
