"""The class file: what an instructor sets up once and trainees open, as one file, a link, or a script in a folder.

It holds whose class it is, words of the instructor, a test, the day of it, minutes a day, a set of questions, questions
and pages of the shop. The limits of the WPS (welding procedure specification) are facts of that test, so they have no
part of their own. All of it is the shop's word: the guide shows it as that and gives it no standing.

A file is untrusted: it is measured before it is read, and refused whole with the place that is wrong.
"""

from __future__ import annotations

import base64
import binascii
import datetime
import json
import re
import zlib
from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Any
from urllib.parse import urlencode

from calc.core.texts import NotText, text_of
from calc.plate_test.fields import FORM
from calc.practice import own
from calc.practice.plan import LEAST_MINUTES, MOST_MINUTES
from calc.record.files import parsed
from calc.record.shape import FORBIDDEN, ID, MOMENT, Record, RecordError, as_data, from_data, pointer, version_of

FORMAT = "plate-test-guide-class"
VERSION = 1
LARGEST = 400_000
"""Characters in a class file."""
LARGEST_LINK = 16_000
"""Characters of a link's text: what browsers and messengers carry whole."""
LONGEST_NAME, LONGEST_WORDS, LONGEST_PAGE, LONGEST_PART_OF_SET = 120, 2_000, 20_000, 2_000
MOST_PAGES = 20
CHOOSES = ("chapters", "questions", "objectives")
SET = (*CHOOSES, "count", "seed")
"""What a practice link can say, and so a set of a class."""
NEEDED = ("format", "version", "id", "changed", "shop", "name")
PARTS = (*NEEDED, "words", "test", "day", "minutes", "set", "questions", "pages")
_LINK = "1."
_FILE = re.compile(r"[^/\\]+\.toml", re.IGNORECASE)


@dataclass(frozen=True)
class ShopPage:
    """A page of the shop: plain text; `calc.classroom.classfile_page` tells what its lines mean."""

    title: str
    text: str


@dataclass(frozen=True)
class ClassFile:
    """A class as its file holds it; what is blank is left out there."""

    id: str
    changed: str
    shop: str
    name: str
    words: str = ""
    test: Record | None = None
    day: str = ""
    minutes: int | None = None
    practice_set: Mapping[str, str] = field(default_factory=dict)
    """What the link of a practice set says, part by part."""
    questions: Mapping[str, str] = field(default_factory=dict)
    """Texts of question files by file name, as a shop keeps them."""
    pages: tuple[ShopPage, ...] = ()

    @property
    def practice_link(self) -> str:
        """The page of practice with the set of the class; "" where it has none."""
        return f"practice.html?{urlencode(self.practice_set)}" if self.practice_set else ""


# --- out ------------------------------------------------------------------------------------------


def class_data(found: ClassFile) -> dict[str, Any]:
    """The class as JSON data, blank parts left out.

    >>> sorted(class_data(ClassFile("demo-class-1", "2026-03-02T07:30:00Z", "Fennick Lock Training Shop", "Spring")))
    ['changed', 'format', 'id', 'name', 'shop', 'version']
    """
    parts = {
        "words": found.words, "test": as_data(found.test) if found.test else None, "day": found.day,
        "minutes": found.minutes, "set": dict(found.practice_set), "questions": dict(found.questions),
        "pages": [{"title": each.title, "text": each.text} for each in found.pages],
    }
    return {
        "format": FORMAT, "version": VERSION, "id": found.id, "changed": found.changed, "shop": found.shop,
        "name": found.name, **{name: part for name, part in parts.items() if part},
    }


def write_class(found: ClassFile) -> str:
    """The text of the class file, which `read_class` reads back."""
    return json.dumps(class_data(found), ensure_ascii=False, indent=1) + "\n"


def write_script(found: ClassFile) -> str:
    """The same as a script: a page opened from a folder may read no file beside it, but it may load a script."""
    return f"Guide.classFile({json.dumps(class_data(found), indent=1)});\n"


def class_link(found: ClassFile) -> str:
    """The class as the text of a link. Raises `RecordError` where it is too long for one."""
    short = json.dumps(class_data(found), ensure_ascii=False, separators=(",", ":")).encode()
    text = _LINK + base64.urlsafe_b64encode(zlib.compress(short, 9)).decode().rstrip("=")
    if len(text) > LARGEST_LINK:
        raise RecordError("", f"the class is too long for a link: {len(text)} characters, at most {LARGEST_LINK}")
    return text


# --- in -------------------------------------------------------------------------------------------


def read_class(data: bytes | str) -> ClassFile:
    """The class in a file. Raises `RecordError` that names the place by a JSON Pointer (RFC 6901).

    >>> read_class(b"[]")
    Traceback (most recent call last):
    ...
    calc.record.shape.RecordError: the whole file: this is not a class file; a class file is a JSON object
    """
    if len(data) > 4 * LARGEST:
        raise RecordError("", f"longer than a class file can be, {LARGEST} characters")
    try:
        text = text_of(data) if isinstance(data, bytes) else data
    except NotText as trouble:
        raise RecordError("", str(trouble)) from None
    return class_from(parsed(text, LARGEST, "a class file"))


def read_class_link(text: str) -> ClassFile:
    """The class that the text of a link carries. Raises `RecordError`.

    >>> read_class_link("9.abc")
    Traceback (most recent call last):
    ...
    calc.record.shape.RecordError: the link: it carries no class: it is damaged, cut, or of a later guide
    """
    if len(text) > LARGEST_LINK:
        raise RecordError("the link", f"{len(text)} characters; at most {LARGEST_LINK}")
    try:
        if not text.startswith(_LINK) or not text.isascii():
            raise ValueError
        packed = base64.b64decode(text[len(_LINK):] + "=" * (-(len(text) - len(_LINK)) % 4), b"-_", validate=True)
        open_ = zlib.decompressobj()
        data = open_.decompress(packed, 4 * LARGEST)
        if not open_.eof or open_.unused_data:
            raise ValueError
    except (ValueError, zlib.error, binascii.Error):
        raise RecordError("the link", "it carries no class: it is damaged, cut, or of a later guide") from None
    return read_class(data)


def class_from(data: Any) -> ClassFile:
    """JSON data as a class, checked in full. Raises `RecordError`."""
    if not isinstance(data, dict):
        raise RecordError("", "this is not a class file; a class file is a JSON object")
    if data.get("format") != FORMAT:
        raise RecordError("/format", f"this is not a class file of this guide; it must say “{FORMAT}”")
    version_of(data, VERSION)
    _known(data, PARTS)
    for name in NEEDED:
        if name not in data:
            raise RecordError(pointer(name), "this part is missing")
    return ClassFile(
        _matching(data["id"], ID, "an id: 8 to 40 small letters, digits and hyphens", "id"),
        _matching(data["changed"], MOMENT, "a moment, as in 2026-03-02T07:30:00Z", "changed"),
        _line(data["shop"], LONGEST_NAME, "shop"), _line(data["name"], LONGEST_NAME, "name"),
        _text(data.get("words", ""), LONGEST_WORDS, "words").strip(), _test(data.get("test")),
        _day(data.get("day", "")), _minutes(data.get("minutes")), _set(data.get("set", {})),
        _questions(data.get("questions", {})), _pages(data.get("pages", [])),
    )


def _known(value: Any, names: tuple[str, ...], *place: str | int) -> dict[str, Any]:
    if not isinstance(value, dict):
        raise RecordError(pointer(*place), "write an object between braces")
    for name in value:
        if name not in names:
            raise RecordError(pointer(*place, name), "there is no such part in a class file")
    return value


def _text(value: Any, longest: int, *place: str | int) -> str:
    """A text of several lines, which all end in one way."""
    if not isinstance(value, str):
        raise RecordError(pointer(*place), "write a text between quotation marks")
    value = value.replace("\r\n", "\n").replace("\r", "\n")
    if len(value) > longest:
        raise RecordError(pointer(*place), f"{len(value)} characters; at most {longest}")
    if FORBIDDEN.search(value.replace("\n", "").replace("\t", "")):
        raise RecordError(pointer(*place), "holds a control character, which no text needs")
    return value


def _line(value: Any, longest: int, *place: str | int) -> str:
    text = _text(value, longest, *place).strip()
    if not text or "\n" in text or "\t" in text:
        raise RecordError(pointer(*place), "write one line here" if text else "is blank; write one line here")
    return text


def _matching(value: Any, pattern: re.Pattern[str], what: str, place: str) -> str:
    if not isinstance(value, str) or not pattern.fullmatch(value):
        raise RecordError(pointer(place), f"is not {what}")
    return value


def _test(value: Any) -> Record | None:
    if value is None:
        return None
    try:
        record = from_data(value)
    except RecordError as trouble:
        raise RecordError("/test" + trouble.place, trouble.message) from None
    if record.kind != FORM.kind:
        raise RecordError("/test/kind", f"this is a {record.form.title.lower()}, not a test")
    return record


def _day(value: Any) -> str:
    if value in ("", None):
        return ""
    try:
        if not isinstance(value, str) or not re.fullmatch(r"[0-9]{4}-[0-9]{2}-[0-9]{2}", value):
            raise ValueError
        return datetime.date.fromisoformat(value).isoformat()
    except ValueError:
        raise RecordError("/day", "write a date, as in 2026-04-20") from None


def _minutes(value: Any) -> int | None:
    if value is None:
        return None
    if type(value) is not int or not LEAST_MINUTES <= value <= MOST_MINUTES:
        raise RecordError("/minutes", f"write a whole number from {LEAST_MINUTES} to {MOST_MINUTES}")
    return value


def _set(value: Any) -> dict[str, str]:
    parts = _known(value, SET, "set")
    read = {
        name: text for name in SET
        if name in parts and (text := _text(parts[name], LONGEST_PART_OF_SET, "set", name).strip())
    }
    if read and not any(name in read for name in CHOOSES):
        raise RecordError("/set", f"name {', '.join(CHOOSES[:-1])} or {CHOOSES[-1]}")
    return read


def _questions(value: Any) -> dict[str, str]:
    if not isinstance(value, dict):
        raise RecordError("/questions", "write an object between braces: the text of each file by its name")
    if len(value) > own.MOST_FILES:
        raise RecordError("/questions", f"{len(value)} files; at most {own.MOST_FILES}")
    for name in value:
        if len(name) > LONGEST_NAME or not _FILE.fullmatch(name) or FORBIDDEN.search(name):
            raise RecordError(pointer("questions", name), "is not the name of a question file; it ends in .toml")
    return {name: _text(text, LARGEST, "questions", name) for name, text in value.items()}


def _pages(value: Any) -> tuple[ShopPage, ...]:
    if not isinstance(value, list):
        raise RecordError("/pages", "write a list between square brackets")
    if len(value) > MOST_PAGES:
        raise RecordError("/pages", f"{len(value)} pages; at most {MOST_PAGES}")
    return tuple(_page(each, number) for number, each in enumerate(value))


def _page(value: Any, number: int) -> ShopPage:
    parts = _known(value, ("title", "text"), "pages", number)
    title = _line(parts.get("title", ""), LONGEST_NAME, "pages", number, "title")
    text = _text(parts.get("text", ""), LONGEST_PAGE, "pages", number, "text").strip()
    if not text:
        raise RecordError(pointer("pages", number, "text"), "is blank; write the page, or take it out")
    return ShopPage(title, text)


# --- one class and another -----------------------------------------------------------------------


def relation(found: ClassFile, kept: Mapping[str, Any]) -> str:
    """What a class is to the one that a reader is in: new (they are in none), same, newer, older, or other.

    >>> found = ClassFile("demo-class-1", "2026-03-02T07:30:00Z", "Fennick Lock Training Shop", "Spring")
    >>> relation(found, {}), relation(found, {"id": "demo-class-1", "changed": "2026-03-01T07:30:00Z"})
    ('new', 'newer')
    """
    if not kept.get("id"):
        return "new"
    if kept["id"] != found.id:
        return "other"
    changed = str(kept.get("changed", ""))
    return "same" if changed == found.changed else "newer" if changed < found.changed else "older"
