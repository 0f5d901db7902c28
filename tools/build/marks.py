"""Python-Markdown extension: turns the guide's marks into forms, values, sources and terms, all taken from calc.

    [calculator: groove]                              the form, answered for its defaults
    [calculator: groove thickness="1 in" as="thick" case="thick plate"]   the same with other defaults, id and title
    [fact: cap-limit]                                 a value of the register with its source
    [source: cap-limit]                               only its source mark, where your sentence says the value
    [mine: root_opening]  [mine: passes.rods]         a fact of the reader's own test, or a main figure of it
    [term: kerf]  [term: kerf | kerfs]                a link to the glossary
    [picture: undercut | caption]                     a line drawing; several on one line stand side by side
    [objective: groove-angle] text                    something the reader should be able to do
    [moved: cut-plans.md | planning-bars, cut-list]   old addresses of this page that stand on another one now
    [record: app]  [record: blank test-day]           blank forms that the record's script fills; a worksheet

and, each on a line of its own, the lists

    [sources]                         what this page and its calculators cite
    [register]  [documents]           every value with its source; the documents, and what each standing means
    [reference]                       every calculator with its inputs
    [objectives]  [my objectives]     every objective by chapter; the same with a column for where the reader stands
    [licences]  [changelog]           what the guide says of itself
    [glossary]                        every term of docs/terms.toml (terms.py), on the glossary's page
    [limits]                          the limits of a shop (local_pages.py), on its own pages

A mark that names something unknown stops the build and is told. The extension also lets wide tables and blocks of code
scroll by themselves.
"""

from __future__ import annotations

import re
from collections.abc import Callable
from functools import partial
from html import escape
from typing import Any

from markdown import Extension, Markdown
from markdown.postprocessors import Postprocessor
from markdown.preprocessors import Preprocessor

from calc.catalogue import calculator, fact
from calc.core.declare import InputError
from calc.core.sources import Fact
from calc.plate_test import prose
from calc.practice import pictures
from calc.plate_test.fields import STAND_INS
from calc.record.fields import PLATE_TEST, RECORDS, form_of
from calc.record.form import templates_html
from calc.record.sheet import blank_html
from calc.show import pictures as shop_pictures
from calc.show.drawing import drawing_svg
from calc.show.html import form_html
from tools.build import engine_build, licences, lists, local_pages, terms
from tools.common import ROOT, Trouble

try:
    from mkdocs.exceptions import BuildError  # mkdocs tells it in a line, after the name of the page
except ImportError:  # another builder of pages
    BuildError = Trouble

TABLE = re.compile(r"<table>(\s*<thead>.*?</thead>)?", re.DOTALL)
RELEASE = re.compile(r"^## (\d+\.\d+\.\d+), (\d{1,2} \w+ \d{4})$", re.MULTILINE)
STANDS = re.compile(
    r'<h[1-6] id="([^"]+)"|<section class="calculator" id="([^"]+)".*?<h3 id="[^"]+">(.*?)</h3>', re.DOTALL,
)
SLOTS_IN_A_ROW = re.compile(r"<p>((?:slot-\d+-of-the-page\s*){2,})</p>")


# --- marks inside a sentence -----------------------------------------------------------------


def source_mark(each: Fact) -> str:
    """The source mark of a value: its standing, linked to its row of the register."""
    return (
        f'<a class="source-mark" href="register.html#value-{each.id}" title="{escape(each.source.text)}">'
        f'{escape(each.source.standing.value)}<span class="visually-hidden">, source</span></a>'
    )


def value_html(each: Fact) -> str:
    return f'<span class="fact" data-fact="{each.id}">{lists.amount_html(each)} {source_mark(each)}</span>'


def term_html(text: str) -> str:
    """A link to the glossary. Raises KeyError for a term that the list of words has not."""
    name, _, shown = (part.strip() for part in text.partition("|"))
    each = terms.term(name)
    title = escape(each.mean.replace("*", ""))
    return f'<a class="term" href="glossary.html#{each.anchor}" title="{title}">{escape(shown or name)}</a>'


def mine_html(text: str) -> str:
    """A figure of the invented shop's test, in whose place docs/assets/mine-page.js puts the reader's own.

    Raises KeyError for one that no test says or gives.
    """
    try:
        return f'<span data-mine="{escape(text)}">{prose.printed()[text]}</span>'
    except KeyError:
        raise KeyError("no fact of a test that something stands in for, and no main figure of it") from None


INLINE: dict[str, Callable[[str], str]] = {
    "fact": lambda text: value_html(fact(text)),
    "source": lambda text: source_mark(fact(text)),
    "term": term_html,
    "mine": mine_html,
    "objective": lambda text: (
        f'<span class="objective" id="objective-{escape(text)}" data-objective="{escape(text)}"></span>'
    ),
}


# --- marks that stand for a block ---------------------------------------------------------------


def calculator_html(text: str) -> str:
    """A form with the answer for its defaults or for the inputs given. Raises KeyError, InputError."""
    identifier, _, rest = text.partition(" ")
    presets = dict(lists.PRESET.findall(rest))
    place = presets.pop("as", identifier)
    case = presets.pop("case", "")
    if place != identifier and not case:
        raise KeyError("a second form says with case=\"...\" what its numbers are")
    form = form_html(calculator(identifier), presets, place, case)
    before = lists.stood_on().get(place)
    # What the reader typed is kept by page and place.
    return form.replace(" data-calculator", f' data-stood-on="{lists.address(before)}" data-calculator', 1) if before else form


def picture_html(text: str, number: int) -> str:
    name, _, caption = (part.strip() for part in text.partition("|"))
    drawing = shop_pictures.picture(name) if name in shop_pictures.PICTURES else pictures.picture(name)
    words = f"<figcaption>{escape(caption or drawing.title)}</figcaption>"
    return f'<figure class="drawn">{drawing_svg(drawing, f"picture-{number}")}{words}</figure>'


def record_html(text: str) -> str:
    """The blank forms of the record, or a worksheet. Raises KeyError for another."""
    if text == "app":
        return templates_html(RECORDS)
    if text == "test":
        return templates_html((PLATE_TEST,), "test", STAND_INS) + local_pages.shop_test_html()
    try:
        return blank_html(form_of(text.removeprefix("blank ")))
    except KeyError:
        raise KeyError(f"there is app, test, {' and '.join('blank ' + form.kind for form in RECORDS)}") from None


def licences_html() -> str:
    engine_build.fetch_packages()
    return licences.table_html()


def changelog() -> str:
    """The changelog with an anchor at each release, as Markdown.

    Raises Trouble unless its newest release is the guide's version.
    """
    text = (ROOT / "CHANGELOG.md").read_text(encoding="utf-8")
    newest = RELEASE.search(text)
    if not newest or newest[1] != licences.guide_version():
        raise Trouble(
            f"CHANGELOG.md: its first release is {newest[1] if newest else 'missing'}, pyproject.toml says "
            f"{licences.guide_version()}"
        )
    body = re.sub(r"\A# .*\n", "", text)
    return RELEASE.sub(lambda found: f"{found[0]} {{#changelog-{found[1].replace('.', '-')}}}", body).strip()


LISTS: dict[str, Callable[[], str]] = {
    "register": lists.register_html, "from memory": lists.memory_html, "documents": lists.documents_html,
    "reference": lists.reference_html, "objectives": partial(lists.objectives_html, False),
    "my objectives": partial(lists.objectives_html, True), "licences": licences_html,
    "limits": local_pages.limits_table,
}


# --- the extension ----------------------------------------------------------------------------------


class FillMarks(Preprocessor):
    """Replaces the marks before Markdown reads the page. A block waits in a slot, so that Markdown leaves it alone."""

    slots: dict[str, str]

    def run(self, lines: list[str]) -> list[str]:
        text = "\n".join(lines)
        self.slots = {}

        def replace(match: re.Match[str]) -> str:
            try:
                return self.content(match[1] or match[3], (match[2] or "").strip(), text)
            except (KeyError, InputError, Trouble) as trouble:
                raise BuildError(f"{match[0]}: {trouble.args[0]}") from None

        return lists.MARK.sub(replace, text).split("\n")

    def content(self, name: str, said: str, page: str) -> str:
        """What stands in a mark's place: its content, or the slot that waits for it."""
        if name in INLINE:
            return INLINE[name](said)
        match name:
            case "changelog":
                return changelog()
            case "glossary":
                return self.glossary()
            case "calculator":
                content = calculator_html(said)
            case "picture":
                content = picture_html(said, len(self.slots))
            case "record":
                content = record_html(said)
            case "moved":
                content = lists.moved_html(said)
            case "sources":
                content = lists.sources_html(page)
            case _:
                content = LISTS[name]()
        slot = f"slot-{len(self.slots)}-of-the-page"
        self.slots[slot] = content
        return slot

    def glossary(self) -> str:
        """A heading for each letter; its entries wait in a slot and stay out of the page's list of contents."""
        parts = []
        for letter, group in terms.letters():
            slot = f"slot-of-letter-{letter}"
            self.slots[slot] = lists.listing(
                ", ".join(escape(each.word) for each in group), "".join(terms.entry_html(each) for each in group),
            )
            parts.append(f"## {letter} {{ #glossary-{letter.lower()} data-search-exclude }}\n\n{slot}")
        return "\n\n".join(parts)


class FillSlots(Postprocessor):
    """Boxes the tables of the text, fills the slots, and lets blocks of code take the focus."""

    def __init__(self, md: Markdown, marks: FillMarks) -> None:
        super().__init__(md)
        self.marks = marks

    def run(self, text: str) -> str:
        text = TABLE.sub(_boxed, text).replace("</table>", "</table></div>")
        text = SLOTS_IN_A_ROW.sub(r'<div class="pictures">\1</div>', text)
        for slot, content in self.marks.slots.items():
            text = text.replace(f"<p>{slot}</p>", content).replace(slot, content)
        self.md.toc_tokens = contents(getattr(self.md, "toc_tokens", []), text)
        # The block, not the code in it: from that the theme takes the focus where it measures before it is laid out.
        return text.replace("<pre><code", '<pre tabindex="0"><code')


def contents(tokens: list[dict[str, Any]], text: str) -> list[dict[str, Any]]:
    """A page's list of contents with its calculators, each below the heading that it stands under.

    `tokens` is that of the headings alone, as Python-Markdown's extension toc makes it. A text without calculators, such
    as the title alone, which passes here too, changes nothing.
    """
    stands = STANDS.findall(text)
    if not any(place for _, place, _ in stands):
        return tokens
    known: dict[str, dict[str, Any]] = {}
    waiting = list(tokens)
    while waiting:
        known[waiting[0]["id"]] = waiting[0]
        waiting[:1] = waiting[0]["children"]
    made: dict[str, Any] = {"level": 0, "children": []}
    above = [made]
    for heading, place, title in stands:
        if place:
            token = {"level": 3, "id": place, "name": title, "html": title, "data-toc-label": ""}
        elif heading in known:
            token = known[heading]
        else:
            continue
        while above[-1]["level"] >= token["level"]:
            above.pop()
        above[-1]["children"].append(token | {"children": []})
        above.append(above[-1]["children"][-1])
    return made["children"]


def _boxed(match: re.Match[str]) -> str:
    """The start of a table of a page's text, in a box that is named by its columns."""
    cells = re.findall(r"<th[^>]*>(.*?)</th>", match[1] or "", re.DOTALL)
    columns = ", ".join(text for text in (re.sub(r"<[^>]+>", "", cell).strip() for cell in cells) if text)
    return f'{lists.wide(columns.replace(chr(34), "&quot;"))}<table class="prose">{match[1] or ""}'


class GuideMarks(Extension):
    """Puts both at the two ends of Python-Markdown's work."""

    def extendMarkdown(self, md: Markdown) -> None:
        marks = FillMarks(md)
        md.preprocessors.register(marks, "guide_marks", 1000)
        md.postprocessors.register(FillSlots(md, marks), "guide_slots", -1000)


def makeExtension(**options: object) -> GuideMarks:
    """The name by which Python-Markdown asks for an extension."""
    return GuideMarks(**options)
