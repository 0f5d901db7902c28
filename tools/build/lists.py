"""The lists that pages get from calc and from one another.

Sources, register of values, documents, reference, objectives.
"""

from __future__ import annotations

import re
import sys
from collections.abc import Iterator
from functools import cache
from html import escape

from calc.catalogue import CALCULATORS, FACTS, calculator, fact
from calc.core.declare import Calculator, Choice, InputError, Level, Quantity, Rows
from calc.core.sources import DOCUMENTS, Citation, Fact, Standing
from calc.core.units import show_printed
from calc.practice.forms import CHAPTERS, KINDS, all_forms, shop_objectives
from calc.show.html import both, citation_html, standing_html
from tools.common import ROOT

MARK = re.compile(
    r"\[(calculator|fact|source|mine|term|objective|picture|record|moved): ([^\]\n]+)\]"
    r"|^\[(sources|register|from memory|documents|reference|objectives|my objectives|licences|changelog|limits|glossary)\]$", re.MULTILINE)
HEADING = re.compile(r"^#{2,} (.+?)\s*\{\s*#([a-z0-9-]+)\s*\}", re.MULTILINE)
PRESET = re.compile(r'(\w+)="([^"]*)"')
OBJECTIVE = re.compile(r"\[objective: ([^\]\n]+)\]\s*((?:.+\n?)(?:[ \t]+\S.*\n?)*)")


@cache
def pages() -> dict[str, str]:
    """The Markdown of every page of the guide by its file name, the first page first."""
    found = sorted((ROOT / "docs").glob("*.md"), key=lambda path: (path.name != "index.md", path.name))
    return {path.name: path.read_text(encoding="utf-8") for path in found}


def plain(text: str) -> str:
    """A text with its marks as plain words: for a link, which may hold no other."""
    shown = MARK.sub(lambda match: match[2].partition("|")[2].strip() or match[2].partition("|")[0].strip(), text)
    return escape(re.sub(r"[*`]", "", shown))


def wide(name: str) -> str:
    """The start of a box in which a table scrolls by itself; it takes the focus, so that keys scroll it too."""
    return f'<div class="wide" tabindex="0" role="group" aria-label="Table: {name}">'


def listing(words: str, inside: str) -> str:
    """A part of a long list, folded: `words` say what is in it. A link into it opens it."""
    return f'<details class="listing"><summary>{words}</summary>{inside}</details>'


# --- values and their marks -----------------------------------------------------------------


def amount_html(each: Fact) -> str:
    """A value of the register in both systems, or its wording."""
    if each.amount is None or each.kind is None:
        return escape(each.wording)
    return both(show_printed(each.amount, each.kind, "us"), show_printed(each.amount, each.kind, "si"))


# --- what pages use ---------------------------------------------------------------------------


def marks_in(text: str, *names: str) -> Iterator[tuple[str, str]]:
    """The marks of these names in a page, in order: (name, text)."""
    for match in MARK.finditer(text):
        if match[1] in names:
            yield match[1], match[2].strip()


def calculators_in(text: str) -> list[Calculator]:
    return [calculator(said.partition(" ")[0]) for _, said in marks_in(text, "calculator")]


def facts_in(text: str) -> list[Fact]:
    return [fact(said) for _, said in marks_in(text, "fact", "source")]


def sources_html(text: str) -> str:
    """Every citation that a page and its calculators use, each once."""
    used: dict[Citation, None] = dict.fromkeys(each.source for each in facts_in(text))
    for each in calculators_in(text):
        used.update(dict.fromkeys(each.answer().sources))
    items = "".join(f"<li>{citation_html(citation)}</li>" for citation in used)
    return f'<ul class="page-sources">{items}</ul>'


@cache
def uses() -> dict[str, tuple[frozenset[str], frozenset[str]]]:
    """Of every page the ids of the values that it names, and the modules of its calculators.

    Unknown ones are told on their page.
    """
    modules = {each.id: each.work.__module__ for each in CALCULATORS}
    return {
        page: (frozenset(said for _, said in marks_in(text, "fact", "source")),
               frozenset(modules.get(said.partition(" ")[0], "") for _, said in marks_in(text, "calculator")))
        for page, text in pages().items()
    }


def pages_using(each: Fact) -> list[str]:
    """The pages that name a value, or hold a calculator of the module that declares it."""
    return [page for page, (facts, modules) in uses().items()
            if each.id in facts or any(each in getattr(sys.modules.get(module), "FACTS", ()) for module in modules)]


def page_title(page: str) -> str:
    heading = re.search(r"^# (.+)$", pages()[page], re.MULTILINE)
    return heading[1].strip() if heading else page


def address(page: str) -> str:
    return page.removesuffix(".md") + ".html"


def page_links(names: list[str]) -> str:
    return ", ".join(f'<a href="{address(page)}">{escape(page_title(page))}</a>' for page in names)


# --- what stands on another page now ------------------------------------------------------------


def places(page: str) -> dict[str, str]:
    """The anchors of a page, each with its words: headings, calculators, objectives."""
    text = pages()[page]
    found = {anchor: plain(words) for words, anchor in HEADING.findall(text)}
    for _, said in marks_in(text, "calculator"):
        presets, calc = dict(PRESET.findall(said)), calculator(said.partition(" ")[0])
        found[presets.get("as", calc.id)] = escape(": ".join(filter(None, (calc.title, presets.get("case")))))
    return found | {f"objective-{name}": f"to {plain(words)}" for name, words in objectives_of(text)}


def moved(said: str) -> tuple[str, list[str]]:
    """What the mark of moved places says: the page where they stand now, and their anchors.

    >>> moved("cut-plans.md | planning-bars, cut-list")
    ('cut-plans.md', ['planning-bars', 'cut-list'])
    """
    page, _, anchors = said.partition("|")
    return page.strip(), [each.strip() for each in anchors.split(",")]


def moved_html(said: str) -> str:
    """Links from old addresses to the page where the same anchors stand now. page.js follows them at once.

    Raises KeyError for a page or an anchor that is not there.
    """
    page, anchors = moved(said)
    if page not in pages():
        raise KeyError(f"there is no page {page}")
    words, target = places(page), address(page)
    for each in anchors:
        if each not in words:
            raise KeyError(f"{page} has no anchor {each}")
    links = "; ".join(f'<a id="{each}" href="{target}#{each}" data-moved>{words[each]}</a>' for each in anchors)
    return (
        f'<p class="moved" data-search-exclude>Moved to <a href="{target}">{escape(page_title(page))}</a>: {links}.</p>'
    )


@cache
def stood_on() -> dict[str, str]:
    """The page on which a calculator stood before, by its place."""
    return {
        anchor: page for page, text in pages().items() for _, said in marks_in(text, "moved")
        for anchor in moved(said)[1]
    }


# --- lists made from calc -------------------------------------------------------------------------


def register_html() -> str:
    """Every value of the register with its source, standing and pages, in a fold for each stage of the job."""
    stages: dict[str, list[Fact]] = {}
    for each in FACTS:
        stages.setdefault(_stage(each), []).append(each)
    return "".join(
        listing(f"{escape(stage)} ({len(values)})", _values(stage, values)) for stage, values in stages.items()
    )


def _stage(each: Fact) -> str:
    """The page of the first calculator whose module declares a value; else the first page that names it."""
    homes = (calc.page for calc in CALCULATORS if each in getattr(sys.modules[calc.work.__module__], "FACTS", ()))
    page = next(homes, None) or next(iter(pages_using(each)), None)
    return page_title(page) if page else "On no page"


def _values(stage: str, values: list[Fact]) -> str:
    rows = "".join(
        f'<tr id="value-{each.id}"><th scope="row">{escape(each.label)}</th><td>{amount_html(each)}</td>'
        f"<td>{citation_html(each.source)}</td><td>{page_links(pages_using(each))}</td></tr>"
        for each in values
    )
    return (
        f'{wide(f"values of {escape(stage)}")}<table class="register"><thead><tr><th scope="col">Value</th><th '
        'scope="col">Figure</th>'
        f'<th scope="col">Source and standing</th><th scope="col">Used on</th></tr></thead><tbody>{rows}</tbody>'
        '</table></div>'
    )


def deciding_from_memory(calc: Calculator) -> dict[str, tuple[Citation, ...]]:
    """What a calculator judges by a value held from memory: the id of the check, and the citations.

    Found by asking it: its defaults, and each input in turn at its ends, its usual values and its options.
    """
    asked: list[dict[str, str]] = [{}]
    for each in calc.inputs:
        texts = [each.low, each.high, *each.common] if isinstance(each, Quantity) else []
        texts += [option.value for option in each.options] if isinstance(each, Choice) else []
        asked += [{each.name: text} for text in texts]
    found: dict[str, dict[Citation, None]] = {}
    for texts in asked:
        try:
            checks = calc.answer(texts).checks
        except InputError:
            continue
        for check in checks:
            if check.level is not Level.NOTE and check.source.standing is Standing.FROM_MEMORY:
                found.setdefault(re.sub(r"-[0-9]+$", "", check.id), {})[check.source] = None
    return {name: tuple(citations) for name, citations in found.items()}


def memory_html() -> str:
    """The values that decide a verdict and are held from memory, with the input where the reader's own figure goes."""
    pages_of = dict.fromkeys(calc.page for calc in CALCULATORS)
    rows = {page: [row for calc in CALCULATORS if calc.page == page for row in _memory_rows(calc)] for page in pages_of}
    return "".join(
        listing(
            f"{escape(page_title(page))} ({len(inside)})",
            f'{wide(f"judged from memory on {escape(page_title(page))}")}<table><thead><tr><th scope="col">Calculator</th>'
            '<th scope="col">What it judges</th><th scope="col">From memory</th><th scope="col">Where your WPS comes in</th>'
            f'</tr></thead><tbody>{"".join(inside)}</tbody></table></div>',
        )
        for page, inside in rows.items() if inside
    )


def _memory_rows(calc: Calculator) -> list[str]:
    return [
        f'<tr><td><a href="{address(calc.page)}#{calc.id}">{escape(calc.title)}</a></td><td><code>{escape(name)}</code></td>'
        f"<td>{'<br>'.join(citation_html(each) for each in citations)}</td><td>{_own_place(calc, name)}</td></tr>"
        for name, citations in deciding_from_memory(calc).items()
    ]


def _own_place(calc: Calculator, check: str) -> str:
    """Where the reader's own figure for a check goes, or at least the choice of the rule that the WPS names."""
    own = calc.own_limits(check) or [
        each for each in calc.inputs if isinstance(each, Choice) and "WPS" in f"{each.label} {each.help}"
        and (each.name == check or each.label.startswith("Rule "))
    ]
    return escape("; ".join(each.label for each in own)) or "No input yet: ask your inspector for the figure in force."


def documents_html() -> str:
    """The documents of the register, and what each standing means."""
    items = "".join(
        f'<li id="document-{each.id}"><cite>{escape(each.title)}</cite>'
        + "".join(f", {escape(part)}" for part in (each.issued_by, each.edition) if part)
        + (f". {escape(each.note)}" if each.note else ".")
        + "</li>"
        for each in DOCUMENTS if any(one.source.document == each for one in FACTS)
    )
    meanings = "".join(f"<li>{standing_html(each)}: {escape(each.meaning)}</li>" for each in Standing)
    return f'<ul class="standings">{meanings}</ul>' + listing("The documents", f'<ul class="documents">{items}</ul>')


def reference_html() -> str:
    """Every calculator with its inputs, as the link and the command line name them."""
    return "".join(_reference(each) for each in CALCULATORS)


def _reference(calc: Calculator) -> str:
    rows = "".join(
        f"<tr><th scope='row'><code>{each.name}</code></th><td>{escape(each.label)}</td>"
        f"<td>{escape(each.kind.name) if isinstance(each, Quantity) else _sort(each)}</td>"
        f"<td>{escape(each.range_text())}</td><td>{escape(each.default).replace(chr(10), '; ') or 'blank'}</td></tr>"
        for each in calc.inputs
    )
    first = calc.inputs[0]
    example = f'python -m calc {calc.id} {first.name}="{first.default.replace(chr(10), "; ")}"'
    return (
        f'<section id="reference-{calc.id}"><h3>{escape(calc.title)} <code>{calc.id}</code></h3><p>'
        f'{escape(calc.question)} '
        f'<a href="{address(calc.page)}#{calc.id}">Open it on its page.</a></p>'
        + listing(
            f'Inputs<span class="visually-hidden"> of {escape(calc.title)}</span>, command line',
            f'{wide("inputs of " + escape(calc.title))}<table><thead><tr><th scope="col">Input</th>'
            '<th scope="col">Meaning</th><th scope="col">Kind</th><th scope="col">Range</th><th scope="col">'
            'Default</th></tr></thead>'
            f"<tbody>{rows}</tbody></table></div><p>Command line: <code>{escape(example)}</code></p>",
        ) + "</section>"
    )


def _sort(each: object) -> str:
    return {Choice: "choice", Rows: "list"}.get(type(each), type(each).__name__.lower())


# --- objectives -------------------------------------------------------------------------------------


def objectives_of(text: str) -> list[tuple[str, str]]:
    """The objectives of a page: id and text.

    >>> objectives_of("- [objective: groove-angle] tell the angles\\n  apart\\n")
    [('groove-angle', 'tell the angles apart')]
    """
    return [(name.strip(), " ".join(words.split())) for name, words in OBJECTIVE.findall(text)]


def objectives_html(standing: bool) -> str:
    """Every objective by chapter, with its questions, a link to its place and a link that practices it.

    `standing` folds each chapter and adds the column that the page's script fills in.
    """
    found: dict[str, list[tuple[str, str, str]]] = {chapter: [] for chapter in CHAPTERS}
    for page, text in pages().items():
        for name, words in objectives_of(text):
            found[chapter_of(name)].append((address(page), name, words))
    of_guide = (_chapter(chapter, CHAPTERS[chapter], each, standing) for chapter, each in found.items())
    return "".join(of_guide) + _shop(standing)


def chapter_of(objective: str) -> str:
    """The chapter of an objective, after which it is named. Raises KeyError for none.

    >>> chapter_of("heat-flow-wait")
    'heat-flow'
    """
    fitting = [chapter for chapter in CHAPTERS if objective.startswith(f"{chapter}-")]
    if not fitting:
        raise KeyError(f"the objective “{objective}” is named after no chapter")
    return max(fitting, key=len)


def _chapter(chapter: str, title: str, objectives: list[tuple[str, str, str]], standing: bool) -> str:
    if not objectives:
        return ""
    rows = "".join(_row(*each, standing) for each in objectives)
    table = _table(title, rows, standing)
    if standing:
        count = f"{len(objectives)} objective{'s' if len(objectives) > 1 else ''}"
        return (
            f'<details class="objectives"><summary><span class="chapter">{escape(title)}</span> '
            f'<span class="standing" data-chapter-standing>{count}</span></summary>'
            f'<p><a href="{chapter}.html">Read this chapter</a> · '
            f'<a href="practice.html?chapters={chapter}">Practice this chapter</a></p>{table}</details>'
        )
    return f'<section class="objectives"><h3><a href="{chapter}.html">{escape(title)}</a></h3>{table}</section>'


def _table(title: str, rows: str, standing: bool) -> str:
    last = '<th scope="col">Where you stand</th>' if standing else ""
    return (
        f'<div class="wide" tabindex="0" role="group" aria-label="Objectives: {escape(title)}"><table><thead><tr>'
        '<th scope="col">You can</th>'
        f'<th scope="col">Questions</th>{last}</tr></thead><tbody>{rows}</tbody></table></div>'
    )


def _shop(standing: bool) -> str:
    """The objectives that a shop wrote itself."""
    rows = "".join(
        _row_of(f'<span id="objective-{escape(name)}">{escape(text)}</span>', name, standing)
        for name, text in shop_objectives().items()
    )
    if not rows:
        return ""
    return f'<section class="objectives"><h3>Our shop</h3>{_table("Our shop", rows, standing)}</section>'


def _row(page: str, name: str, text: str, standing: bool) -> str:
    return _row_of(f'<a href="{page}#objective-{escape(name)}">{plain(text)}</a>', name, standing)


def _row_of(told: str, name: str, standing: bool) -> str:
    kinds = [form.kind for form in all_forms() if form.objective == name]
    counted = ", ".join(f"{kinds.count(kind)} {kind}" for kind in KINDS if kind in kinds) or "none yet"
    practice = f'<a href="practice.html?objectives={escape(name)}">{counted}</a>' if kinds else counted
    last = f'<td><span data-standing="{escape(name)}"></span></td>' if standing else ""
    return (
        f'<tr><th scope="row">{told}</th><td>'
        f'{practice}</td>{last}</tr>'
    )
