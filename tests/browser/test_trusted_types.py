"""Strings become markup or scripts in a served page only where two small policies let them, and then harmlessly."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from tests.browser.conftest import went_wrong

ASSETS = Path(__file__).resolve().parents[2] / "docs" / "assets"
RUNS = (
    "<img src=x onerror='ran.push(1)'>", "<script>ran.push(1)</script>", "<svg><script>ran.push(1)</script></svg>",
    "<a href=' java\nscript:ran.push(1)'>x</a>", "<svg><a xlink:href='javascript:ran.push(1)'><text>x</text></a></svg>",
    "<iframe srcdoc='<script>parent.ran.push(1)</script>'></iframe>", "<svg onload='ran.push(1)'></svg>",
    "<base href='https://a.invalid/'>", "<details open ontoggle='ran.push(1)'></details>",
    "<template><img src=x onerror='ran.push(1)'></template>",
    "<meta http-equiv=refresh content='0;url=https://a.invalid/'>", "<style>body { display: none }</style>",
)


def refusal(page, html: str) -> str:
    """What guideHTML says of a piece of markup: the name of the error, or the markup back."""
    return page.evaluate("""(html) => {
      try { return String(guideHTML(html)); } catch (error) { return error.name; }
    }""", html)


@pytest.mark.parametrize("way", ["served", "file"])
def test_markup_that_runs_is_refused_and_an_answer_is_not(page, served, file_site, way, watch):
    """From a folder there is no header and no enforcement; the check of our own scripts holds all the same."""
    watch.expect("inline event handler")  # said of the inert copy that the check looks at
    page.goto((served if way == "served" else file_site.as_uri() + "/") + "groove.html")
    assert [refusal(page, html) for html in RUNS] == ["TypeError"] * len(RUNS)
    answer = page.evaluate("document.querySelector('#groove').innerHTML")
    assert refusal(page, answer) == answer


def test_what_scripts_assign_without_the_check_comes_in_as_text_or_bare_tags(page, served):
    page.goto(served)
    shown = page.evaluate("""(all) => {
      window.ran = [];
      const box = document.createElement("div");
      document.body.append(box);
      return all.map((html) => { box.innerHTML = html; return [...box.querySelectorAll("*")].map((each) => each.outerHTML); });
    }""", [*RUNS, "one <mark>two</mark> <p class='x'>three &lt;b&gt;"])
    assert shown == [[]] * len(RUNS) + [["<mark>two</mark>"]]
    went_wrong(page)
    assert page.evaluate("ran") == []


def test_a_script_comes_from_the_guide_or_not_at_all(page, served_subpath, watch):
    """Another folder of the same host, another host, a data address: refused before any request is made."""
    watch.expect("requires 'Trusted")
    page.goto(served_subpath)
    tried = page.evaluate("""() => ["https://a.invalid/x.js", "/other/x.js", "data:text/javascript,1", "../x.js", "assets/x.png", "assets/core.js"].map((address) => {
      try { document.createElement("script").src = address; return "taken"; } catch (error) { return error.name; }
    })""")
    assert tried == ["TypeError"] * 5 + ["taken"]


def test_no_other_policy_can_be_made(page, served, watch):
    watch.expect("trusted-types|TrustedTypePolicy|Content Security Policy")
    page.goto(served)
    made = page.evaluate("""() => ["guide", "default", "mine"].map((name) => {
      try { trustedTypes.createPolicy(name, { createHTML: (text) => text }); return "made"; } catch (error) { return error.name; }
    })""")
    assert made == ["TypeError"] * 3


def test_a_hostile_search_in_a_link_stays_words(page, served):
    """The theme writes the words that it did not find below a result, as markup."""
    page.goto(served + "index.html?q=groove%20%3Cimg%20src%3Dx%20onerror%3Dwindow.bad%3D1%3E")
    page.wait_for_selector(".md-search-result__terms", state="attached")
    assert "<img" in page.inner_text(".md-search-result__terms >> nth=0")
    assert page.locator(".md-search-result img").count() == 0
    assert page.evaluate("window.bad") is None


def test_the_theme_still_finds_marks_and_changes_pages(page, served):
    page.goto(served + "index.html")
    page.evaluate("window.same = true")
    page.wait_for_function("() => !/^Initial/.test(document.querySelector('.md-search-result__meta').textContent.trim())")
    page.fill("[data-md-component=search-query]", "included angle")
    page.press("[data-md-component=search-query]", "End")  # the theme listens to keys
    page.wait_for_selector(".md-search-result__item mark")
    assert "<" not in page.inner_text(".md-search-result__list"), "markup is shown as text"
    page.click(".md-search-result__item a")
    page.wait_for_function("() => !location.pathname.endsWith('index.html')")
    page.wait_for_selector(".md-content h1")
    assert page.evaluate("window.same"), "the page was loaded anew and the engine lost"


@pytest.mark.parametrize("script", sorted(ASSETS.glob("*.js")), ids=lambda path: path.name)
def test_our_scripts_write_markup_through_the_check_alone(script):
    """In a browser without Trusted Types nothing else stands between an answer and the page."""
    text = script.read_text(encoding="utf-8")
    if script.name != "trusted-types.js":
        assert not re.findall(r"(?:inner|outer)HTML\s*\+?=(?!\s*guideHTML\()[^=]", text)
    assert not re.findall(r"insertAdjacentHTML|document\.write|createContextualFragment|setHTMLUnsafe|srcdoc\s*=", text)
