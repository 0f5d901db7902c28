"""mkdocs hook: turns the guide's marks in Markdown into forms, values, sources and terms, all taken from calc.

The marks (DEVELOPERS.md lists them for authors):

    [calculator: groove]                              the form, answered for its defaults
    [calculator: groove thickness="1 in" as="thick" case="thick plate"]   the same with other defaults, id and title
    [fact: cap-limit]                                 a value of the register with its source
    [source: cap-limit]                               only the source mark of that value
    [term: kerf]  [term: kerf | kerfs]                a link to the glossary
    [define: kerf] text                               a glossary entry, on the glossary page
    [picture: undercut | caption]                     a line drawing with its caption; several on one line stand side by side
    [objective: groove-angle] text                    something the reader should be able to do
    [sources]  [register]  [documents]  [reference]  [objectives]   lists made from calc and the pages

A mark that names something unknown stops the build with the page and the mark.
"""

from __future__ import annotations

import re
import sys
from collections.abc import Iterator
from html import escape
from pathlib import Path

sys.path.insert(0, str(Path(__file__).resolve().parents[3]))

from mkdocs.exceptions import PluginError  # noqa: E402

from calc.show import pictures as shop_pictures  # noqa: E402
from calc.catalogue import CALCULATORS, FACTS, calculator, fact  # noqa: E402
from calc.core.declare import Calculator, Choice, InputError, Quantity, Rows  # noqa: E402
from calc.show.drawing import drawing_svg  # noqa: E402
from calc.show.html import both, citation_html, form_html, standing_html  # noqa: E402
from calc.practice import pictures  # noqa: E402
from calc.core.sources import DOCUMENTS, Citation, Fact, Standing  # noqa: E402
from calc.core.units import show_printed  # noqa: E402
from tools.build.practice_pages import objectives_html, question_faults  # noqa: E402

MARK = re.compile(r"\[(calculator|fact|source|term|define|objective|picture): ([^\]\n]+)\]|^\[(sources|register|documents|reference|objectives)\]$", re.MULTILINE)
PRESET = re.compile(r'(\w+)="([^"]*)"')

TABLE = re.compile(r"<table>(\s*<thead>.*?</thead>)?", re.DOTALL)

_pages: dict[str, str] = {}
_slots: dict[str, dict[str, str]] = {}


def on_files(files, config):
    """Read every page once: the glossary and the register need to know all of them."""
    _pages.clear()
    for file in files.documentation_pages():
        _pages[file.src_uri] = file.content_string
    if faults := question_faults():
        raise PluginError(f"the question files have problems:\n{faults}")
    return files


def on_page_markdown(markdown, page, config, files):
    """Replace the marks; block-sized pieces wait in slots so that Markdown leaves them alone."""
    source = page.file.src_uri
    slots = _slots[source] = {}

    def replace(match: re.Match[str]) -> str:
        try:
            return _replace(match, source, slots)
        except (KeyError, InputError) as trouble:
            raise PluginError(f"{source}: {match[0]}: {trouble.args[0]}") from None

    return MARK.sub(replace, markdown)


def on_page_content(html, page, config, files):
    """Let wide tables scroll by themselves, and fill the slots."""
    html = TABLE.sub(_wide_table, html).replace("</table>", "</table></div>")
    html = re.sub(r"<p>((?:slot-\d+-of-[\w-]+\s*){2,})</p>", r'<div class="pictures">\1</div>', html)
    for slot, content in _slots[page.file.src_uri].items():
        html = html.replace(f"<p>{slot}</p>", content).replace(slot, content)
    return html


def _wide(name: str) -> str:
    """The start of a box in which a table scrolls by itself; it takes the focus, so that keys scroll it too."""
    return f'<div class="wide" tabindex="0" role="group" aria-label="Table: {name}">'


def _wide_table(match: re.Match[str]) -> str:
    """A table of a page's text, named by its columns."""
    cells = re.findall(r"<th[^>]*>(.*?)</th>", match[1] or "", re.DOTALL)
    columns = ", ".join(text for text in (re.sub(r"<[^>]+>", "", cell).strip() for cell in cells) if text)
    return f'{_wide(columns.replace(chr(34), "&quot;"))}<table class="prose">{match[1] or ""}'


def _replace(match: re.Match[str], source: str, slots: dict[str, str]) -> str:
    name, text = match[1], (match[2] or "").strip()
    match name:
        case "fact":
            return fact_html(fact(text))
        case "source":
            return mark_html(fact(text))
        case "term":
            return _term(text)
        case "define":
            return f'<span class="defined" id="{term_id(text)}">{escape(text)}</span>'
        case "objective":
            return f'<span class="objective" id="objective-{escape(text)}" data-objective="{escape(text)}"></span>'
        case "calculator":
            content = _calculator(text)
        case "picture":
            content = _picture(text, len(slots))
        case _:
            content = {
                "sources": lambda: sources_of(source), "register": register_html, "documents": documents_html,
                "reference": reference_html, "objectives": lambda: objectives_html(_pages, _plain, source == "progress.md"),
            }[match[3]]()
    slot = f"slot-{len(slots)}-of-{source.replace('.', '-')}"
    slots[slot] = content
    return slot


def _calculator(text: str) -> str:
    identifier, _, rest = text.partition(" ")
    presets = dict(PRESET.findall(rest))
    place = presets.pop("as", identifier)
    case = presets.pop("case", "")
    if place != identifier and not case:
        raise KeyError("a second form says with case=\"...\" what its numbers are")
    return form_html(calculator(identifier), presets, place, case)


def _plain(text: str) -> str:
    """A text with its marks as plain words: for a link, which may hold no other."""
    shown = MARK.sub(lambda match: match[2].partition("|")[2].strip() or match[2].partition("|")[0].strip(), text)
    return escape(re.sub(r"[*`]", "", shown))


def _picture(text: str, number: int) -> str:
    name, _, caption = (part.strip() for part in text.partition("|"))
    drawing = shop_pictures.picture(name) if name in shop_pictures.PICTURES else pictures.picture(name)
    return f'<figure class="drawn">{drawing_svg(drawing, f"picture-{number}")}<figcaption>{escape(caption or drawing.title)}</figcaption></figure>'


# --- values and sources in a sentence -----------------------------------------


def amount_html(each: Fact) -> str:
    """A value of the register in both systems, or its wording."""
    if each.amount is None or each.kind is None:
        return escape(each.wording)
    return both(show_printed(each.amount, each.kind, "us"), show_printed(each.amount, each.kind, "si"))


def mark_html(each: Fact) -> str:
    """The source mark of a value: its standing, linked to its row of the register."""
    standing = each.source.standing.value
    return (
        f'<a class="source-mark" href="register.html#value-{each.id}" title="{escape(each.source.text)}">'
        f'{escape(standing)}<span class="visually-hidden">, source</span></a>'
    )


def fact_html(each: Fact) -> str:
    return f'<span class="fact" data-fact="{each.id}">{amount_html(each)} {mark_html(each)}</span>'


# --- glossary ------------------------------------------------------------------


def term_id(term: str) -> str:
    return "term-" + re.sub(r"[^a-z0-9]+", "-", term.lower()).strip("-")


def definitions() -> dict[str, str]:
    """Every glossary entry by its term."""
    return dict(
        (term.strip(), text.strip()) for term, text in re.findall(r"\[define: ([^\]]+)\]\s*\n?:?\s*([^\n]+)", _pages.get("glossary.md", ""))
    )


def _term(text: str) -> str:
    term, _, shown = (part.strip() for part in text.partition("|"))
    known = definitions()
    if term not in known:
        raise KeyError(f"the glossary does not define “{term}”")
    meaning = MARK.sub("", known[term])
    return f'<a class="term" href="glossary.html#{term_id(term)}" title="{escape(meaning)}">{escape(shown or term)}</a>'


# --- lists made from calc --------------------------------------------------------


def marks_in(source: str, *names: str) -> Iterator[tuple[str, str]]:
    """The marks of these names in a page, in order: (name, text)."""
    for match in MARK.finditer(_pages[source]):
        if match[1] in names:
            yield match[1], match[2].strip()


def calculators_in(source: str) -> list[Calculator]:
    return [calculator(text.partition(" ")[0]) for _, text in marks_in(source, "calculator")]


def facts_in(source: str) -> list[Fact]:
    return [fact(text) for _, text in marks_in(source, "fact", "source")]


def sources_of(source: str) -> str:
    """Every citation that a page and its calculators use, each once."""
    used: dict[Citation, None] = dict.fromkeys(each.source for each in facts_in(source))
    for each in calculators_in(source):
        used.update(dict.fromkeys(each.answer().sources))
    items = "".join(f"<li>{citation_html(citation)}</li>" for citation in used)
    return f'<ul class="page-sources">{items}</ul>'


def pages_using(each: Fact) -> list[str]:
    """The pages that name a value, or hold a calculator of the module that declares it."""
    return [
        source for source in _pages
        if each in facts_in(source) or any(each in _facts_of(calc) for calc in calculators_in(source))
    ]


def _facts_of(calc: Calculator) -> tuple[Fact, ...]:
    return getattr(sys.modules[calc.work.__module__], "FACTS", ())


def _page_title(source: str) -> str:
    heading = re.search(r"^# (.+)$", _pages[source], re.MULTILINE)
    return heading[1].strip() if heading else source


def register_html() -> str:
    """Every value of the register with its source, standing and pages."""
    rows = "".join(
        f'<tr id="value-{each.id}"><th scope="row">{escape(each.label)}</th><td>{amount_html(each)}</td>'
        f"<td>{citation_html(each.source)}</td><td>{_links(pages_using(each))}</td></tr>"
        for each in FACTS
    )
    return (
        f'{_wide("the register of values")}<table class="register"><thead><tr><th scope="col">Value</th><th scope="col">Figure</th>'
        f'<th scope="col">Source and standing</th><th scope="col">Used on</th></tr></thead><tbody>{rows}</tbody></table></div>'
    )


def _links(sources: list[str]) -> str:
    return ", ".join(f'<a href="{source.removesuffix(".md")}.html">{escape(_page_title(source))}</a>' for source in sources)


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
    return f'<ul class="standings">{meanings}</ul><ul class="documents">{items}</ul>'


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
    page = calc.page.removesuffix(".md") + ".html"
    first = calc.inputs[0]
    example = f'python -m calc {calc.id} {first.name}="{first.default.replace(chr(10), "; ")}"'
    return (
        f'<section id="reference-{calc.id}"><h3>{escape(calc.title)} <code>{calc.id}</code></h3><p>{escape(calc.question)} '
        f'<a href="{page}#{calc.id}">Open it on its page.</a></p>'
        f'{_wide("inputs of " + escape(calc.title))}<table><thead><tr><th scope="col">Input</th>'
        f'<th scope="col">Meaning</th><th scope="col">Kind</th><th scope="col">Range</th><th scope="col">Default</th></tr></thead>'
        f"<tbody>{rows}</tbody></table></div><p>Command line: <code>{escape(example)}</code></p></section>"
    )


def _sort(each: object) -> str:
    return {Choice: "choice", Rows: "list"}.get(type(each), type(each).__name__.lower())
