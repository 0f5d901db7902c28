"""Pages are made to fit the content security policy, and a page that can't be is refused."""

from __future__ import annotations

import pytest

from tools.build import postprocess
from tools.common import Trouble


def write(site, name: str, text: str):
    """Put a page into a site."""
    path = site / name
    path.parent.mkdir(parents=True, exist_ok=True)
    path.write_text(text, encoding="utf-8")
    return path


def test_inline_scripts_move_out_in_place(tmp_path):
    page = write(tmp_path, "a/b.html", '<p>é</p>\n<script>var x = "<p>";</script><p>mid</p><script>x += 1</script>')
    postprocess.process(tmp_path)
    text = page.read_text(encoding="utf-8")
    first, second = postprocess.read_tags(text)[1], postprocess.read_tags(text)[3]
    assert text.index("<p>mid</p>") > first.end
    bodies = [(page.parent / tag.attributes["src"]).resolve().read_text() for tag in (first, second)]
    assert bodies == ['var x = "<p>";', "x += 1"]


def test_data_blocks_stay(tmp_path):
    text = '<script id="config" type="application/json">{"a": "//b"}</script>'
    page = write(tmp_path, "index.html", text)
    postprocess.process(tmp_path)
    assert page.read_text() == text


def test_search_shim_becomes_local(tmp_path):
    page = write(tmp_path, "deep/page.html", '<script src="https://example.org/iframe-worker/shim"></script>')
    postprocess.process(tmp_path)
    assert 'src="../assets/javascripts/iframe-worker.js"' in page.read_text()


@pytest.mark.parametrize(("text", "said"), [
    ('<script src="https://example.org/x.js"></script>', "outside the site"),
    ('<link rel="stylesheet" href="//example.org/x.css">', "outside the site"),
    ('<img src="http://example.org/x.png">', "outside the site"),
    ('<img srcset="a.png 1x, https://example.org/b.png 2x">', "outside the site"),
    ('<iframe src="https://example.org/"></iframe>', "outside the site"),
    ('<video><source src="https://example.org/x.webm"></video>', "outside the site"),
    ('<a href="https://example.org/">out</a>', "outside the site"),
    ('<form action="https://example.org/"></form>', "outside the site"),
    ('<svg><use xlink:href="https://example.org/#a"></use></svg>', "outside the site"),
    ('<a href="HTTPS://example.org/">out</a>', "outside the site"),
    ('<button onclick="go()">x</button>', "event handler onclick"),
    ('<body ONLOAD="go()">', "event handler onload"),
    ('<a href="JavaScript:go()">x</a>', "runs a script"),
    ("<style>p { color: red }</style>", "inline style rules"),
    ('<iframe srcdoc="x"></iframe>', "srcdoc"),
    ('<base href="x/">', "move every address"),
])
def test_page_that_breaks_the_policy_stops_the_build(tmp_path, text, said):
    write(tmp_path, "bad.html", text)
    with pytest.raises(Trouble, match=said) as caught:
        postprocess.process(tmp_path)
    assert "bad.html" in str(caught.value)


@pytest.mark.parametrize("rule", ["p { background: url(https://example.org/x.png) }", '@import "//example.org/x.css";'])
def test_style_sheet_that_loads_from_outside_stops_the_build(tmp_path, rule):
    write(tmp_path, "x.css", rule)
    with pytest.raises(Trouble, match="x.css: loads from outside"):
        postprocess.process(tmp_path)


@pytest.mark.parametrize(
    "text",
    [
        '<a href="other.html?x=1#y">in</a>',
        '<img src="data:image/png;base64,AAAA">',
        '<svg xmlns="http://www.w3.org/2000/svg"><path d="M0 0"/></svg>',
        "<p>See example.org//x and onclick=1 in text.</p>",
        '<p style="text-align: right">1</p>',
    ],
)
def test_harmless_page_passes_unchanged(tmp_path, text):
    page = write(tmp_path, "good.html", text)
    postprocess.process(tmp_path)
    assert page.read_text() == text
