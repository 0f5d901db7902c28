"""A class as a trainee sees it: whose it is, and all that is the shop's, marked as that. As HTML and as text."""

from __future__ import annotations

import re
from collections.abc import Iterator
from html import escape

from calc.classroom.classfile import ClassFile, ShopPage
from calc.core.units import counted
from calc.plate_test.page import one_line
from calc.practice.own import Own


def class_line(found: ClassFile, own: Own) -> str:
    """Whose class it is and what in the guide is the shop's, as plain words for the line above each page's title.

    >>> class_line(ClassFile("demo-class-1", "2026-03-02T07:30:00Z", "Fennick Lock Training Shop", "Spring"), Own())
    'Your class: Spring, Fennick Lock Training Shop'
    """
    parts = [
        "a test" if found.test else "", "a set of questions" if found.practice_set else "",
        counted(len(found.pages), "page") if found.pages else "",
        counted(len(own.forms), "question") if own.forms else "",
    ]
    given = ", ".join(part for part in parts if part)
    return f"Your class: {found.name}, {found.shop}" + (f". From the shop: {given}" if given else "")


def class_html(found: ClassFile, own: Own) -> str:
    """The class on its page. `data-class-test` and `data-class-days` are where the page's script puts its buttons."""
    shop = escape(found.shop)
    parts = [f'<p class="class-head"><strong>{escape(found.name)}</strong>, {shop}</p>']
    if found.words:
        parts.append(
            f'<div class="class-words"><p class="of-shop">Your instructor writes:</p>{lines_html(found.words)}</div>'
        )
    if found.test:
        parts.append(
            f"<h3>The test of the class</h3><p><strong>{escape(found.test.name or 'Test')}</strong>: "
            f'{escape(one_line(found.test))}</p><p class="of-shop">{shop} wrote its facts and the limits of its WPS '
            "(welding procedure specification). The guide did not check them. Compare each with the signed WPS.</p>"
            "<div data-class-test></div>"
        )
    if found.day or found.minutes:
        parts.append(f"<h3>Day and time</h3><p>{escape(_days(found))}</p><div data-class-days></div>")
    if found.practice_set:
        parts.append(
            f'<h3>The set of the class</h3><p><a class="class-set" href="{escape(found.practice_link)}">'
            "Open the set</a></p>"
        )
    if found.pages:
        parts.append("<h3>Pages of the shop</h3>" + "".join(_page(each, shop) for each in found.pages))
    if found.questions:
        parts.append(f"<h3>Questions of the shop</h3>{_questions(found, own)}")
    return "".join(parts)


def _days(found: ClassFile) -> str:
    told = f"Day of the test: {found.day}. " if found.day else ""
    told += f"Practice: {found.minutes} minutes a day. " if found.minutes else ""
    return told + "Practice goes by it where you set nothing else."


def _page(page: ShopPage, shop: str) -> str:
    return (
        f'<details class="shop-page"><summary>{escape(page.title)}</summary>'
        f'<p class="of-shop">Page of {shop}. The guide did not check it.</p>{lines_html(page.text)}</details>'
    )


def _questions(found: ClassFile, own: Own) -> str:
    count = counted(len(own.forms), "question") if own.forms else "No question"
    joins = "joins" if len(own.forms) < 2 else "join"
    html = f"<p>{count} {joins} your practice, marked as of the shop.</p>"
    if own.problems:
        items = "".join(f"<li>{escape(str(each))}</li>" for each in own.problems)
        html += f'<div class="notice"><p>Files with a problem are left out:</p><ul>{items}</ul></div>'
    return html


def lines_html(text: str) -> str:
    """Plain text as paragraphs, apart by blank lines; lines that begin with "- " are a list, "# " makes a heading.

    >>> lines_html("# Oven\\n\\nKeep it\\nshut.\\n- <b>Log</b> it")
    '<h4>Oven</h4><p>Keep it shut.</p><ul><li>&lt;b&gt;Log&lt;/b&gt; it</li></ul>'
    """
    return "".join(_block(kind, lines) for kind, lines in _blocks(text))


def _block(kind: str, lines: list[str]) -> str:
    if kind == "- ":
        return f"<ul>{''.join(f'<li>{escape(line)}</li>' for line in lines)}</ul>"
    tag = "h4" if kind == "# " else "p"
    return f"<{tag}>{escape(' '.join(lines))}</{tag}>"


def _blocks(text: str) -> Iterator[tuple[str, list[str]]]:
    """Lines that belong together, with what they begin with."""
    for block in re.split(r"\n[ \t]*(?=\n)", text.replace("\r\n", "\n")):
        kind, lines = "", []
        for line in filter(None, map(str.strip, block.split("\n"))):
            own_kind = line[:2] if line[:2] in ("- ", "# ") else ""
            if lines and (own_kind != kind or kind == "# "):
                yield kind, lines
                lines = []
            kind = own_kind
            lines.append(line[len(kind):].strip())
        if lines:
            yield kind, lines


def class_text(found: ClassFile, own: Own) -> str:
    """The class for a terminal."""
    told = [f"{found.name}, {found.shop}", f"id {found.id}, changed {found.changed}"]
    told += [found.words] if found.words else []
    told += [f"Test: {found.test.name or 'Test'}: {one_line(found.test)}"] if found.test else ["No test."]
    told += [_days(found)] if found.day or found.minutes else []
    told += [f"Set of questions: {found.practice_link}"] if found.practice_set else []
    told += [f"Page: {each.title}" for each in found.pages]
    told += [f"Questions: {len(own.forms)} in {counted(len(found.questions), 'file')}"] if found.questions else []
    told += [f"  {form.id}: question of {form.shop}" for form in own.forms]
    return "\n".join([*told, "All of it is the shop's word. The guide did not check it."])
