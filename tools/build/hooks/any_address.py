"""mkdocs hook: lets the theme's instant navigation work at any address, sub-path and port.

The theme swaps pages in place only where they stand in sitemap.xml under their full address, which a guide that is
carried on a stick cannot know when it is built. So the site map gets addresses relative to the guide, and the one
place in the theme's script that reads them is told what they are relative to. The theme's version is pinned; should
that place ever look otherwise, the build stops here instead of losing the engine at each change of page.
"""

from __future__ import annotations

from pathlib import Path

from mkdocs.exceptions import PluginError

READS_ADDRESS = "new URL(n.textContent),t)"
READS_RELATIVE = "new URL(n.textContent,t),t)"
HEAD = '<?xml version="1.0" encoding="UTF-8"?>\n<urlset xmlns="http://www.sitemaps.org/schemas/sitemap/0.9">\n'


def on_template_context(context, *, template_name, config):
    """The page for missing files finds its parts from its own folder, not from the host's root."""
    if template_name == "404.html":
        context["base_url"] = "."
    return context


def on_post_build(config):
    """Write the site map and adapt the theme's script."""
    site = Path(config["site_dir"])
    pages = sorted(path.relative_to(site).as_posix() for path in site.rglob("*.html") if path.name != "404.html")
    (site / "sitemap.xml").write_text(
        HEAD + "".join(f"<url><loc>{page}</loc></url>\n" for page in pages) + "</urlset>\n", encoding="utf-8"
    )
    (bundle,) = (site / "assets" / "javascripts").glob("bundle.*.min.js")
    script = bundle.read_text(encoding="utf-8")
    if script.count(READS_ADDRESS) != 1:
        raise PluginError(f"{bundle.name} does not read the site map as expected; see tools/build/hooks/any_address.py")
    bundle.write_text(script.replace(READS_ADDRESS, READS_RELATIVE), encoding="utf-8")
