"""mkdocs hook: the search finds a place also by what a trainee types for it (docs/terms.toml).

The words go into the index as tags of the place's own entry, so that they lead before a word that only stands in a
text. A place that the index lacks stops the build.
"""

from __future__ import annotations

import sys
from pathlib import Path

sys.path.insert(0, str(Path(__file__).resolve().parents[3]))

from mkdocs.exceptions import PluginError  # noqa: E402
from mkdocs.plugins import event_priority  # noqa: E402

from tools.build.terms import link, searched  # noqa: E402


def entry_of(place: str, entries: dict[str, dict]) -> dict:
    """The entry of a place; a calculator's is that of its heading."""
    address = link(place)
    found = entries.get(address) or entries.get(f"{address}-title")
    if not found:
        raise PluginError(f"terms.toml: the search index has no place {place}")
    return found


@event_priority(100)  # before the index is written
def on_post_build(config):
    """Give each place its words."""
    entries = {entry["location"]: entry for entry in config.plugins["material/search"].search_index.entries}
    for place, words in searched().items():
        entry_of(place, entries)["tags"] = list(dict.fromkeys(words))
